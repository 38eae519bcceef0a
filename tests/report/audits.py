"""Small audits for the report tests; a test states only what it is about."""

from typing import Any

from auditor.job.model import CellRef, Table, TableKind
from auditor.results.audit_result import (
    Audit,
    ControllersResult,
    Cut,
    CutListResult,
    CutReel,
    DeviceResult,
    LimitsResult,
    Move,
    PortPlanResult,
    PullResult,
    RunResult,
    Status,
    SupplyResult,
)
from auditor.results.findings import Finding, Level, Verdict

FT = 0.3048
LIMITS = LimitsResult(cable_m=2000 * FT, reach_m=1000 * FT, devices=50, power_w=None)


def run(port: str | None = "1", **changes: Any) -> RunResult:
    usual: dict[str, Any] = {
        "controller": "C1",
        "port": port,
        "branch": None,
        "cable_m": 400 * FT,
        "reach_m": 250 * FT,
        "farthest": "KP-02",
        "devices": 2,
        "power_w": 5.0,
        "current_a": 0.21,
        "min_voltage_v": 23.1,
        "min_voltage_at": "KP-02",
        "loss_w": 0.08,
        "capacitance_nf": 12.0,
        "loops": 0,
        "derated": False,
        "growth_margin": 4.0,
        "first_limit": "reach",
        "limits": LIMITS,
        "verdict": Verdict.PASS,
    }
    own = usual | changes
    if None not in (own["power_w"], own["loss_w"]):
        own = {"supplied_w": own["power_w"] + own["loss_w"], **own}
    return RunResult(**own)


def device(tag: str, row: int, **changes: Any) -> DeviceResult:
    usual: dict[str, Any] = {
        "tag": tag,
        "controller": "C1",
        "port": "1",
        "distance_m": 100 * FT,
        "voltage_v": 23.5,
        "power_w": 2.5,
        "suggested_controller": None,
        "suggested_port": None,
        "verdict": Verdict.PASS,
        "where": CellRef("Devices", row, 1),
    }
    return DeviceResult(**(usual | changes))


def pull(name: str, row: int, **changes: Any) -> PullResult:
    usual: dict[str, Any] = {
        "id": name,
        "near": "C1.1",
        "far": "KP-01",
        "length_m": 100 * FT,
        "cable": "16/2",
        "controller": "C1",
        "port": "1",
        "reel": None,
        "verdict": Verdict.PASS,
        "where": CellRef("Pulls", row, 1),
    }
    own = usual | changes
    return PullResult(**({"feeds": own["far"]} | own))


def table(kind: TableKind, sheet: str, rows: range, **columns: int) -> Table:
    return Table(
        kind=kind,
        sheet=sheet,
        header_row=rows.start - 1,
        first_row=rows.start,
        last_row=rows.stop - 1,
        first_column=1,
        last_column=max(columns.values(), default=1),
        columns=columns,
        rows=tuple(rows),
    )


def finding(**changes: Any) -> Finding:
    usual: dict[str, Any] = {
        "rule": "reach",
        "level": Level.FAIL,
        "subject": "KP-02",
        "message": "KP-02 is 1,050 ft from C1.1, 50 ft too far. Feed it from a port nearer to it.",
        "where": CellRef("Devices", 6, 1),
        "measured": 1050 * FT,
        "limit": 1000 * FT,
        "unit": "m",
    }
    return Finding(**(usual | changes))


def audit(**changes: Any) -> Audit:
    """A job of one port with two devices and two pulls that passes."""
    usual: dict[str, Any] = {
        "job": "Gull Cottage",
        "file": "gull/cottage.xlsx",
        "profile": "two-wire-35w",
        "profile_chosen": "no other profile was given",
        "verdict": Verdict.PASS,
        "runs": (run(),),
        "controllers": ControllersResult(scheduled=1, needed=1, lower_bound=1, status=Status.PROVEN),
        "devices": (device("KP-01", 5), device("KP-02", 6, distance_m=250 * FT, voltage_v=23.1)),
        "pulls": (pull("P1", 4), pull("P2", 5, near="KP-01", far="KP-02", length_m=150 * FT)),
        "tables": (
            table(TableKind.DEVICES, "Devices", range(5, 7), tag=1, power_w=3),
            table(TableKind.PULLS, "Pulls", range(4, 6), id=1, near=2, far=3, length_m=4),
        ),
        "rows_read": 4,
        "supplies": (SupplyResult(controller="C1", voltage_v=24.0, power_w=35.0, devices=100),),
        "voltage_basis": "30 °C, constant power",
    }
    return Audit(**(usual | changes))


def full_audit() -> Audit:
    """A job with something on every sheet: two controllers, a reach that fails, a plan, cut lists."""
    devices, pulls = [], []
    for port, count, step_ft in (("1", 6, 175), ("2", 9, 90), ("3", 12, 60)):
        controller, terminal = ("C2", "1") if port == "3" else ("C1", port)
        for index in range(count):
            tag, row, far_ft = f"KP-{port}{index + 1:02}", 5 + len(devices), (index + 1) * step_ft
            far = far_ft > 1000
            devices.append(
                device(
                    tag,
                    row,
                    controller=controller,
                    port=terminal,
                    distance_m=far_ft * FT,
                    voltage_v=24 - 0.002 * far_ft,
                    power_w=1.2,
                    suggested_controller="C2" if far else None,
                    suggested_port="2" if far else None,
                    verdict=Verdict.FAIL if far else Verdict.PASS,
                    why=f"{tag} is {far_ft:,} ft from {controller}.{terminal}, {far_ft - 1000} ft too far"
                    if far
                    else "",
                )
            )
            near = f"{controller}.{terminal}" if index == 0 else f"KP-{port}{index:02}"
            pulls.append(
                pull(
                    f"P{port}{index + 1:02}",
                    4 + len(pulls),
                    near=near,
                    far=tag,
                    length_m=step_ft * FT,
                    controller=controller,
                    port=terminal,
                    reel="R1" if len(pulls) < 6 else "R2",
                )
            )
    runs = (
        run(
            "1",
            cable_m=1050 * FT,
            reach_m=1050 * FT,
            devices=6,
            power_w=7.2,
            min_voltage_v=21.9,
            farthest="KP-106",
            min_voltage_at="KP-106",
            growth_margin=0.952,
            verdict=Verdict.FAIL,
            loss_w=0.31,
        ),
        run(
            "2",
            cable_m=810 * FT,
            reach_m=810 * FT,
            devices=9,
            power_w=10.8,
            min_voltage_v=22.38,
            farthest="KP-209",
            min_voltage_at="KP-209",
            growth_margin=1.235,
            loss_w=0.44,
        ),
        run(
            "1",
            controller="C2",
            cable_m=720 * FT,
            reach_m=720 * FT,
            devices=12,
            power_w=14.4,
            min_voltage_v=22.56,
            farthest="KP-312",
            min_voltage_at="KP-312",
            growth_margin=1.389,
            derated=None,
            loss_w=0.52,
            verdict=Verdict.REVIEW,
        ),
    )
    planned = (
        run("1", cable_m=875 * FT, reach_m=875 * FT, devices=5, power_w=6.0, min_voltage_v=22.25),
        runs[1],
        runs[2],
        run(
            "2",
            controller="C2",
            cable_m=640 * FT,
            reach_m=640 * FT,
            devices=1,
            power_w=1.2,
            min_voltage_v=23.8,
        ),
    )
    reels = (
        CutReel(
            reel="R1",
            length_m=1000 * FT,
            pulls=tuple(f"P1{n:02}" for n in range(1, 6)),
            cut_m=(181 * FT,) * 5,
            offcut_m=95 * FT,
        ),
        CutReel(
            reel="R2",
            length_m=500 * FT,
            pulls=("P106", "P201", "P202", "P203"),
            cut_m=(181 * FT, 96 * FT, 96 * FT, 96 * FT),
            offcut_m=31 * FT,
            on_shelf=True,
        ),
    )
    return audit(
        job="Harbour House, level 2",
        verdict=Verdict.FAIL,
        runs=runs,
        controllers=ControllersResult(
            scheduled=2, needed=2, lower_bound=2, status=Status.PROVEN, driven_by="cable"
        ),
        devices=tuple(devices),
        pulls=tuple(pulls),
        findings=(
            finding(
                rule="separation",
                level=Level.NOTE,
                subject="Pulls",
                measured=None,
                limit=None,
                unit=None,
                where=None,
                message="The schedule records no distance to mains cable. Check it on site.",
            ),
            finding(subject="KP-106", where=CellRef("Devices", 10, 1)),
            finding(
                rule="cable-spec",
                level=Level.REVIEW,
                subject="P301",
                where=CellRef("Pulls", 19, 5),
                unit=None,
                measured=None,
                limit=None,
                message="The conductor of cable 16/2 LSZH is not known, so C2.1 is judged both ways: it "
                "keeps the full limits and would break them derated. Add the cable to the cable types.",
            ),
            finding(
                rule="voltage",
                level=Level.REVIEW,
                subject="KP-106",
                where=CellRef("Devices", 10, 3),
                unit="V",
                measured=21.9,
                limit=22.0,
                message="KP-106 gets 21.9 V, 0.1 V less than the 22 V that it needs.",
            ),
        ),
        port_plan=PortPlanResult(
            status=Status.PROVEN,
            reason=None,
            runs=planned,
            moves=(
                Move(branch="P106", origin="C1.1", target="C2.2"),
                Move(branch="P204", origin=None, target="C1.2"),
            ),
            cuts=(Cut(pull="P106", new_home_run_m=640 * FT),),
        ),
        cut_lists=(
            CutListResult(
                cable="16/2",
                status=Status.PROVEN,
                lower_bound=1500 * FT,
                cost=None,
                bought_m=1000 * FT,
                needed_m=1374 * FT,
                reels=reels,
            ),
            CutListResult(
                cable="18/2",
                status=Status.BEST_FOUND,
                lower_bound=400 * FT,
                cost=120.0,
                bought_m=500 * FT,
                needed_m=350.5 * FT,
                uncut=("P999",),
                reels=(
                    CutReel(
                        reel="R3",
                        length_m=500 * FT,
                        pulls=("P301",),
                        cut_m=(350.5 * FT,),
                        offcut_m=149.5 * FT,
                    ),
                ),
            ),
        ),
        tables=(
            table(TableKind.DEVICES, "Devices", range(5, 32), tag=1, room=2, power_w=3),
            table(TableKind.PULLS, "Pulls", range(4, 31), id=1, near=2, far=3, length_m=4, cable=5),
        ),
        supplies=(
            SupplyResult(controller="C1", voltage_v=24.0, power_w=35.0, devices=100),
            SupplyResult(controller="C2", voltage_v=24.0, power_w=14.0, devices=100),
        ),
        rows_read=54,
        rows_left_out=2,
    )

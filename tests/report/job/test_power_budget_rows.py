"""The power budget's rows cell by cell, over several controllers; how the sheet is laid out."""

import dataclasses

import pytest

from auditor.job.model import CellRef, TableKind
from auditor.report.job.power_budget import LiveRows
from auditor.report.job.sheets import job_sheets
from auditor.report.page.look import MUTED
from auditor.results.audit_result import DeviceResult, LimitsResult, SupplyResult
from auditor.results.findings import Finding, Level
from tests.report.audits import audit, device, run, table
from tests.report.books import Cells, formulas, opened, rows_below

OF_A_PORT = LimitsResult(cable_m=None, reach_m=None, devices=None, power_w=8.0)
RUNS = (
    run("1", power_w=5.0, loss_w=0.25, devices=2, min_voltage_v=22.0, min_voltage_at="B", limits=OF_A_PORT),
    run("2", power_w=4.0, loss_w=0.5, devices=1, min_voltage_v=21.0, min_voltage_at="C", limits=OF_A_PORT),
    run("1", controller="C2", power_w=3.0, loss_w=0.125, devices=4, min_voltage_v=21.5, min_voltage_at="A"),
)
SUPPLIES = (
    SupplyResult(controller="C1", voltage_v=24.0, power_w=10.0),
    SupplyResult(controller="C2", voltage_v=24.0, power_w=12.5),
)


def budget(**changes: object) -> tuple[list[Cells], dict[str, str]]:
    """The rows of the budget, and the formulas in it by cell."""
    data = job_sheets(audit(**{"runs": RUNS, "devices": (), "supplies": SUPPLIES} | changes))
    found = {cell: text for (sheet, cell), text in formulas(data).items() if sheet == "Power budget"}
    return rows_below(opened(data)["Power budget"], "Port"), found


def test_each_controller_and_the_job_are_the_sums_of_their_ports() -> None:
    """C1: 5 + 4 W and 0.25 + 0.5 W lost, 9.75 W of 10 W; C2: 3.125 W of 12.5 W, a quarter."""
    rows, _ = budget()
    assert [tuple(row.values()) for row in rows] == [
        ("C1.1", 2, 5, 8, 3, 0.625, "within", 0.25, 5.25, 22, "B"),
        ("C1.2", 1, 4, 8, 4, 0.5, "within", 0.5, 4.5, 21, "C"),
        ("Controller C1", 3, 9, 10, 0.25, 0.975, "within", 0.75, 9.75, 21, "C"),
        ("C2.1", 4, 3, None, None, None, None, 0.125, 3.125, 21.5, "A"),
        ("Controller C2", 4, 3, 12.5, 9.375, 0.25, "within", 0.125, 3.125, 21.5, "A"),
        ("Whole job", 7, 12, None, None, None, None, 0.875, 12.875, 21, "C"),
    ]


def test_each_sum_is_a_subtotal_over_the_rows_above_it_and_each_limit_is_compared_with_its_own_row() -> None:
    _, found = budget()
    ranges = {7: "5:{0}6", 9: "8:{0}8", 10: "5:{0}9"}  # C1, C2, the whole job
    expected = {
        f"{column}{row}": f"=SUBTOTAL(9,{column}{over.format(column)})"
        for row, over in ranges.items()
        for column in "BCHI"
    }
    for row, power in ((5, "C"), (6, "C"), (7, "I"), (9, "I")):
        expected |= {
            f"E{row}": f"=D{row}-{power}{row}",
            f"F{row}": f"={power}{row}/D{row}",
            f"G{row}": f'=IF({power}{row}>D{row}*(1+1E-9),"over","within")',
        }
    expected |= {f"I{row}": f"=C{row}+H{row}" for row in (5, 6, 8)}
    assert found == expected


def test_a_job_with_one_controller_has_no_row_for_the_whole_job() -> None:
    rows, _ = budget(runs=RUNS[:2])
    assert [row["Port"] for row in rows] == ["C1.1", "C1.2", "Controller C1"]


@pytest.mark.parametrize(
    ("rated_w", "shown"),
    [
        (9.1, (9.1, None, None, None)),
        (9.0, (9.0, None, None, None)),  # the devices alone take all of it, and the loss is not known
        (8.0, (8.0, -1.0, 9 / 8, "over")),
    ],
)
def test_a_supply_whose_loss_is_not_known_is_over_or_nothing_is_said(
    rated_w: float, shown: tuple[object, ...]
) -> None:
    runs = (RUNS[0], dataclasses.replace(RUNS[1], loss_w=None, supplied_w=None))
    rows, found = budget(
        runs=runs, supplies=(SupplyResult(controller="C1", voltage_v=24.0, power_w=rated_w),)
    )
    total = rows[2]
    assert tuple(total[name] for name in ("May draw (W)", "Headroom (W)", "Used", "Keeps it")) == shown
    assert found.get("F7") == ("=C7/D7" if shown[3] else None)


def test_branches_without_a_port_are_summed_by_themselves_and_their_watts_stay_numbers() -> None:
    runs = (run(None, controller=None, branch="P1", power_w=2.5, min_voltage_v=None, min_voltage_at=None),)
    one = device("A", 5, controller=None, port=None, power_w=2.5, where=CellRef("Devices", 5, 1))
    data = job_sheets(audit(runs=runs, devices=(one,)), live=(live(1),))
    row, total = rows_below(opened(data)["Power budget"], "Port")
    assert (row["Port"], total["Port"]) == ("branch P1", "Not on a port yet")
    assert (total["May draw (W)"], total["Lowest volts"], total["At device"]) == (None, None, None)
    assert ("Power budget", "C5") not in formulas(data)


def test_what_a_run_takes_is_the_sum_beside_it_only_where_all_parts_are_known() -> None:
    runs = (run("1", loss_w=None, supplied_w=5.0), run("2", power_w=5.0, loss_w=0.25, supplied_w=5.25))
    _, found = budget(runs=runs)
    assert ("I5" in found, found["I6"]) == (False, "=C6+H6")


# --- watts that follow the device list ----------------------------------------------------------------


def live(count: int, first: int = 5, sheet: str = "Devices", **changes: object) -> LiveRows:
    """Device rows whose power is a plain number."""
    rows = range(first, first + count)
    usual: dict[str, object] = {
        "table": table(TableKind.DEVICES, sheet, rows, tag=1, power_w=3),
        "port_column": 8,
        "plain_rows": frozenset(rows),
        "power_w_per_unit": 1.0,
    }
    return LiveRows(**usual | changes)  # type: ignore[arg-type]


def test_the_rows_of_several_tables_are_added_up() -> None:
    devices = (
        device("A", 5, power_w=2.5, where=CellRef("Devices", 5, 1)),
        device("B", 5, power_w=2.5, where=CellRef("Attic", 5, 1)),
    )
    tables = (live(1), live(1, sheet="Attic"), live(1, sheet="Cellar"))
    found = formulas(job_sheets(audit(runs=(run("1", power_w=5.0),), devices=devices), live=tables))
    assert found["Power budget", "C5"] == (
        "=SUMIFS('Devices'!$C$5:$C$5,'Devices'!$H$5:$H$5,$A5)+SUMIFS('Attic'!$C$5:$C$5,'Attic'!$H$5:$H$5,$A5)"
    )


def test_a_quantity_column_and_a_power_in_milliwatts_stand_in_the_formula() -> None:
    columns = table(TableKind.DEVICES, "Devices", range(5, 7), tag=1, quantity=2, power_w=3)
    devices = tuple(device(tag, row, power_w=2.5) for tag, row in (("A", 5), ("B", 6)))
    rows = live(2, table=columns, power_w_per_unit=0.001)
    found = formulas(job_sheets(audit(runs=(run("1", power_w=5.0),), devices=devices), live=(rows,)))
    on_port, watts, count = "'Devices'!$H$5:$H$6=$A5", "'Devices'!$C$5:$C$6", "'Devices'!$B$5:$B$6"
    assert found["Power budget", "C5"] == (
        f'=(SUMPRODUCT(({on_port})*({count}=""),{watts})+SUMPRODUCT(--({on_port}),{watts},{count}))*0.001'
    )


@pytest.mark.parametrize("unknown", ["the device's", "the port's"])
def test_watts_that_are_not_known_stay_as_audited(unknown: str) -> None:
    of_device, of_port = (None, 5.0) if unknown == "the device's" else (5.0, None)
    job = audit(runs=(run("1", power_w=of_port),), devices=(device("A", 5, power_w=of_device),))
    assert ("Power budget", "C5") not in formulas(job_sheets(job, live=(live(1),)))


@pytest.mark.parametrize(("without", "more"), [(12, ""), (13, " and 1 more without a formula in their cell")])
def test_at_most_twelve_ports_are_named_that_do_not_follow(without: int, more: str) -> None:
    ports = [str(number) for number in range(1, without + 2)]
    devices = tuple(device(f"K{port}", row, port=port) for row, port in enumerate(ports, 5))
    runs = tuple(run(port, power_w=2.5) for port in ports)
    data = job_sheets(audit(runs=runs, devices=devices), live=(live(1),))
    names = ", ".join(f"C1.{number}" for number in range(2, 14))
    assert opened(data)["Power budget"]["A2"].value == (
        "All devices drawing at once. Volts and loss: 30 °C, constant power. Watts follow the device list as you "
        "change its figures; volts, loss, ports and new rows are as audited. Not so the watts of "
        f"{names}{more}: a power there is missing or no plain number; audit again after a change."
    )


# --- lay-out ------------------------------------------------------------------------------------------


def test_the_heading_stays_in_sight_and_the_caution_below_the_table_is_printed() -> None:
    sheet = opened(job_sheets(audit(runs=RUNS, supplies=SUPPLIES)))["Power budget"]
    assert (sheet.print_title_rows, sheet.freeze_panes) == ("$4:$4", "A5")
    assert sheet["A2"].font.color.rgb == f"FF{MUTED[1:]}"
    assert sheet["A11"].value is None  # a row of air below «Whole job»
    assert str(sheet["A12"].value).startswith("Size the supply with headroom for devices added later. ")
    assert (sheet.max_row, sheet.print_area.rpartition("$")[2]) == (12, "12")
    assert [sheet.cell(row, 1).font.bold for row in range(5, 11)] == [False, False, True, False, True, True]


DARK = (
    device("KP-08", 8, controller=None, port=None, quantity=2, power_w=1.0),
    device("KP-09", 9, controller=None, port=None, power_w=0.5),
)
FED = device("KP-01", 4)


@pytest.mark.parametrize(
    ("dark", "told", "sentence"),
    [
        (DARK, DARK, "3 devices that no port feeds are not counted: KP-08, KP-09, 1.5 W together."),
        (DARK[1:], DARK[1:], "1 device that no port feeds is not counted: KP-09, 0.5 W."),
        (DARK, DARK[1:], "3 devices that no port feeds are not counted."),  # a question asks of the other
        (
            (dataclasses.replace(DARK[1], power_w=None),),
            DARK[1:],
            "1 device that no port feeds is not counted: KP-09.",
        ),
    ],
)
def test_devices_that_no_port_feeds_are_said_to_be_left_out(
    dark: tuple[DeviceResult, ...], told: tuple[DeviceResult, ...], sentence: str
) -> None:
    findings = tuple(
        Finding(rule="unfed", level=Level.FAIL, subject=each.tag, message="", where=each.where)
        for each in told
    )
    one = audit(runs=(run(devices=1),), devices=(FED, *dark), findings=findings)
    assert opened(job_sheets(one))["Power budget"]["A2"].value.endswith(sentence)


def test_where_every_device_is_counted_nothing_is_said_of_it() -> None:
    one = audit(runs=(run(devices=1),), devices=(FED,))
    assert "not counted" not in opened(job_sheets(one))["Power budget"]["A2"].value

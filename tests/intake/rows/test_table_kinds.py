"""One job in every kind of table: C1.1 - K1 - K2 - K3 and C1.2 - K4 - K5, read from each as the same."""

from collections.abc import Sequence
from typing import Any

import pytest

from auditor.intake import read_job
from auditor.job.model import Job
from auditor.units import m_from_ft
from tests.intake.workbooks import workbook

Sheets = dict[str, Sequence[Sequence[Any]]]
HOPS = [("C1.1", "K1", 40), ("K1", "K2", 25), ("K2", "K3", 30), ("C1.2", "K4", 60), ("K4", "K5", 15)]
DEVICES = [["Tag", "Room", "Watts"], *([f"K{n}", "Hall", 0.5] for n in range(1, 6))]
PLACE = {"C1.1": ("C1", 1), "C1.2": ("C1", 2)}


def place(end: str) -> tuple[str, int | str]:
    return PLACE.get(end, (end, ""))


def with_devices(*pulls: Sequence[Any]) -> Sheets:
    return {"Devices": DEVICES, "Pulls": list(pulls)}


KINDS: dict[str, Sheets] = {
    "device list and pull list": with_devices(["From", "To", "Length (ft)"], *HOPS),
    "combined": {
        "Schedule": [
            ["Tag", "Watts", "Fed from", "Length (ft)"],
            *([b, 0.5, a, ft] for a, b, ft in HOPS),
        ]
    },
    "the far end's data in the pull's row": {
        "Pulls": [
            ["Cable", "From", "To", "Room", "Watts", "Length (ft)"],
            *([f"W{i}", a, b, "Hall", 0.5, ft] for i, (a, b, ft) in enumerate(HOPS, 1)),
        ]
    },
    "device and terminal in two columns": with_devices(
        ["From device", "From terminal", "To device", "To terminal", "Length (ft)"],
        *([*place(a), b, "IN", ft] for a, b, ft in HOPS),
    ),
    "mirrored names of an export": with_devices(
        ["SrcTag", "SrcPort", "DstTag", "LenFt"], *([*place(a), b, ft] for a, b, ft in HOPS)
    ),
    "panel and port in columns": {
        "Devices": [
            ["Panel", "Port", "Seq", "Device", "Watts", "ft from previous"],
            *(["C1", 1, i, f"K{i}", 0.5, HOPS[i - 1][2]] for i in (1, 2, 3)),
            *(["C1", 2, i, f"K{i + 3}", 0.5, HOPS[i + 2][2]] for i in (1, 2)),
        ]
    },
    "level numbers": {
        "Tree": [
            ["Level", "Item", "Watts", "Cable length (ft)"],
            ["1", "C1.1", "", ""],
            *(["1" + ".1" * i, f"K{i}", 0.5, HOPS[i - 1][2]] for i in (1, 2, 3)),
            ["2", "C1.2", "", ""],
            *(["2" + ".1" * i, f"K{i + 3}", 0.5, HOPS[i + 2][2]] for i in (1, 2)),
        ]
    },
    "ports as columns": {
        "Devices": DEVICES,
        "Runs": [
            ["C1.1", "ft", "C1.2", "ft"],
            ["K1", 40, "K4", 60],
            ["K2", 25, "K5", 15],
            ["K3", 30, "", ""],
        ],
    },
    "a list of cores": with_devices(
        ["Wire", "From", "To", "Core", "Length (ft)"],
        *([f"W{i}", a, b, core, ft] for i, (a, b, ft) in enumerate(HOPS, 1) for core in ("+", "-")),
    ),
    "drum marks": with_devices(
        ["Cable", "From", "To", "Drum", "Start mark (ft)", "End mark (ft)"],
        *(
            [f"W{i}", a, b, "D1", start, start + ft]
            for i, ((a, b, ft), start) in enumerate(zip(HOPS, (100, 140, 165, 195, 255), strict=True), 1)
        ),
    ),
    "lengths that count from the port": with_devices(
        ["From", "To", "Distance from port (ft)"],
        *([*hop[:2], ft] for hop, ft in zip(HOPS, (40, 65, 95, 60, 75), strict=True)),
    ),
    "chains in one cell": {
        "Devices": DEVICES,
        "Runs": [
            ["No", "Run", "Lengths (ft)"],
            ["R1", "C1.1 > K1 > K2 > K3", "40, 25, 30"],
            ["R2", "C1.2 > K4 > K5", "60, 15"],
        ],
    },
    "both ends in one cell": with_devices(
        ["Cable", "Link", "Length (ft)"],
        *([f"W{i}", f"{a} - {b}", ft] for i, (a, b, ft) in enumerate(HOPS, 1)),
    ),
    "a line above each controller's rows": {
        "Devices": DEVICES,
        "Pulls": [
            ["PANEL: C1"],
            ["From", "To", "Length (ft)"],
            *([f"Port {a[-1]}" if a in PLACE else a, b, ft] for a, b, ft in HOPS),
        ],
    },
    "cables and connections joined by ids": {
        "Devices": DEVICES,
        "Cables": [["Cable", "Length (ft)"], *([f"W{i}", ft] for i, (_, _, ft) in enumerate(HOPS, 1))],
        "Connections": [
            ["Cable", "From", "To"],
            *([f"W{i}", a, b] for i, (a, b, _) in enumerate(HOPS, 1)),
        ],
    },
    "headings of no language": with_devices(
        ["Vorl", "Esk", "Ambit", "Trenn"],
        *([f"W{i}", a, b, f"{ft} ft"] for i, (a, b, ft) in enumerate(HOPS, 1)),
    ),
    "no headings": with_devices(*([f"W{i}", a, b, f"{ft} ft"] for i, (a, b, ft) in enumerate(HOPS, 1))),
    "ditto marks under the near end": with_devices(
        ["From", "To", "Length (ft)"],
        ["C1.1", "K1", 40],
        ["K1", "K2", 25],
        ["K2", "K3", 30],
        ["C1.2", "K4", 60],
        ["K4", "K5", 15],
        ["C1.3", "K6", 10],
        ['"', "K7", 12],
    ),
    "a unit column": with_devices(
        ["From", "To", "Length", "Unit"],
        *([a, b, ft if i else 12.192, "ft" if i else "m"] for i, (a, b, ft) in enumerate(HOPS)),
    ),
}
MORE = {"ditto marks under the near end": [("C1.3", "K6", 10), ("C1.3", "K7", 12)]}


def hops(job: Job) -> list[tuple[str, str, float | None]]:
    found = [(p.near, p.far, p.length_m and round(p.length_m / m_from_ft(1), 2)) for p in job.pulls]
    return sorted(found, key=lambda hop: hop[1])


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_pulls_from_every_kind_of_table(kind: str) -> None:
    sheets = KINDS[kind]
    if kind in MORE:
        sheets = {**sheets, "Devices": [*DEVICES, ["K6", "Hall", 0.5], ["K7", "Hall", 0.5]]}
    job = read_job(workbook(sheets), "a.xlsx")
    assert hops(job) == HOPS + MORE.get(kind, [])
    assert {device.tag: device.power_w for device in job.devices}.items() >= {
        (f"K{n}", 0.5) for n in range(1, 6)
    }
    assert [r.message for r in job.remarks if r.level == "review"] == []

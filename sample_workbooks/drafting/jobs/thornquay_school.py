"""Six branches from a panel, ports left to the installer: the audit must plan them."""

import datetime as dt

from drafting.jobs.common import EXPECT, notes_sheet, pairs
from drafting.office import PLAIN, Book, Column, Sheet, load_by, rows

_BLOCKS = (  # letter, place, trunk feet from device to device, spur feet
    ("A", "Entrance block", (120.0, 55.0, 60.0, 58.0, 62.0), (22.0, 31.0, 18.0, 27.0)),
    ("B", "Hall and stage", (95.0, 70.0, 64.0, 72.0), (26.0, 19.0, 24.0)),
    ("C", "Science block", (160.0, 48.0, 52.0, 50.0, 54.0), (30.0, 24.0, 21.0, 33.0)),
    ("D", "Library", (180.0, 66.0, 58.0), (28.0, 25.0)),
    ("E", "Kitchen and dining", (75.0, 80.0, 44.0, 61.0), (17.0, 29.0, 23.0)),
    ("F", "Art rooms", (210.0, 62.0, 57.0, 66.0), (24.0, 35.0, 20.0)),
)


def _device_rows() -> list[list[object]]:
    lines: list[list[object]] = []
    for letter, place, trunk, spurs in _BLOCKS:
        for index in range(1, len(trunk) + 1):
            lines.append([f"{letter}{index}", place, f"Door {letter}{index}", "keypad", 1.0, 0.6, None, None])
        for index in range(1, len(spurs) + 1):
            kind, watts = ("thermostat", 0.8) if index % 2 else ("dimmer control", 1.2)
            lines.append([f"{letter}{index}a", place, f"Room {letter}{index}", kind, 1.0, watts, None, None])
    return lines


_DEVICES = Sheet(
    name="Devices",
    title="Device list",
    columns=(
        Column(title="Tag", width=12),
        Column(title="Block", width=22),
        Column(title="Room", width=14),
        Column(title="Description", width=18),
        Column(title="Qty", width=8),
        Column(title="Watts (W)", width=13, number_format="0.0"),
        Column(title="Notes", width=30),
        EXPECT,
    ),
    filtered=True,
    rows=_device_rows(),  # type: ignore[arg-type]
)


def _pull_rows() -> list[list[object]]:
    lines: list[list[object]] = []
    for letter, _, trunk, spurs in _BLOCKS:
        for index, length_ft in enumerate(trunk, start=1):
            near = f"{letter}{index - 1}" if index > 1 else "PANEL 1"
            note = "home run, port to be chosen on site" if index == 1 else None
            expect = "port-plan" if index == 1 else None
            lines.append(
                [f"{letter}-{index}", near, f"{letter}{index}", length_ft, "BUS-16", None, note, expect]
            )
        for index, length_ft in enumerate(spurs, start=1):
            spur = [f"{letter}-{index}a", f"{letter}{index}", f"{letter}{index}a", length_ft, "BUS-16"]
            lines.append([*spur, None, None, None])
    return lines


_PULLS = Sheet(
    name="Cable schedule",
    title="Cable schedule",
    columns=(
        Column(title="Pull ref", width=12),
        Column(title="From", width=13),
        Column(title="To", width=13),
        Column(title="Length (ft)", width=13, number_format="#,##0"),
        Column(title="Cable type", width=13),
        Column(title="Pulled on", width=13),
        Column(title="Notes", width=34),
        EXPECT,
    ),
    totals=(("Total cable (ft)", "Length (ft)"),),
    rows=_pull_rows(),  # type: ignore[arg-type]
)

_CABLES = Sheet(
    name="Cable types",
    title="Cable types",
    columns=(
        Column(title="Cable type", width=13),
        Column(title="Gauge (AWG)", width=13),
        Column(title="Conductors", width=13),
        Column(title="Stranding", width=14),
        Column(title="Shield", width=14),
        Column(title="Capacitance (pF/ft)", width=14),
        Column(title="Insulation (V)", width=14),
        EXPECT,
    ),
    rows=rows("""
BUS-16 | 16 | 2 | stranded | unshielded | 27 | 600 |
"""),
)

_CONTROLLERS = Sheet(
    name="Controllers",
    title="Controllers",
    columns=(
        Column(title="Controller", width=13),
        Column(title="Head end", width=24),
        Column(title="Supply voltage (V)", width=14),
        Column(title="Supply power (W)", width=14),
        Column(title="Ports", width=13),
        EXPECT,
    ),
    rows=rows("""
C1 | PANEL 1 | 24 | 35 | 2 |
C2 | PANEL 1 | 24 | 35 | 2 |
"""),
)

BOOK = Book(
    file="thornquay_school.xlsx",
    theme=PLAIN,
    pairs=pairs(
        "Thornquay School", "W-2450", "Thornquay School Board", "M. Dravenall", dt.date(2024, 8, 2), "A"
    ),
    sheets=(
        _DEVICES,
        _PULLS,
        _CABLES,
        _CONTROLLERS,
        load_by(_DEVICES, "Block", "Qty", "Watts (W)"),
        notes_sheet(),
    ),
)

"""The larger job, on 36 V: one port wants more watts than it may give, another has hardly a margin."""

import datetime as dt

from drafting.jobs.common import EXPECT, notes_sheet, pairs, revisions_sheet
from drafting.office import NAVY, Book, Column, Sheet, load_by, rows

_LEVELS = (  # level, port or the level below, feet of the riser pull, rooms with a dimmer, rooms without
    (1, "C1.1", 60.0, 5, 0),
    (2, "KP-10", 28.0, 5, 0),
    (3, "C1.2", 88.0, 4, 1),
    (4, "C2.1", 74.0, 5, 0),
    (5, "KP-40", 28.0, 3, 2),
    (6, "C2.2", 96.0, 3, 1),
    (7, "C3.1", 52.0, 2, 1),
)
_EXPECT = {1: "power", 4: "power"}


def _device_rows() -> list[list[object]]:
    lines: list[list[object]] = []

    def add(tag: str, level: int, room: str, kind: str, quantity: float, watts: float) -> None:
        lines.append([tag, f"Level {level}", room, kind, quantity, watts, None, None])

    for level, _, _, dimmed, plain in _LEVELS:
        add(f"KP-{level}0", level, "Lift lobby", "keypad, with screen", 1.0, 1.2)
        add(f"OS-{level}0", level, "Corridor", "occupancy sensor", 2.0, 0.4)
        for room in range(1, dimmed + plain + 1):
            add(f"KP-{level}{room}", level, f"Room {level}0{room}", "keypad", 1.0, 1.2)
            add(f"TH-{level}{room}", level, f"Room {level}0{room}", "thermostat", 1.0, 1.0)
            if room <= dimmed:
                add(f"DM-{level}{room}", level, f"Room {level}0{room}", "dimmer module", 1.0, 4.0)
    return lines


_DEVICES = Sheet(
    name="Device list",
    title="Device list",
    columns=(
        Column(title="Tag", width=12),
        Column(title="Level", width=14),
        Column(title="Room", width=16),
        Column(title="Description", width=22),
        Column(title="Qty", width=8),
        Column(title="Watts each (W)", width=13, number_format="0.0"),
        Column(title="Notes", width=28),
        EXPECT,
    ),
    filtered=True,
    rows=_device_rows(),  # type: ignore[arg-type]
)


def _pull_rows() -> list[list[object]]:
    lines: list[list[object]] = []

    def pull(near: str, far: str, length_ft: float, expect: str | None = None) -> None:
        number = f"V{far[3]}{sum(line[2][3] == far[3] for line in lines) + 1:02d}"  # type: ignore[index]
        note = "riser" if near.startswith("C") or (length_ft == 28.0 and far.endswith("0")) else None
        lines.append([number, near, far, length_ft, "R-16", 18.0, 90.0, "no", "A", note, expect])

    for level, near, riser_ft, dimmed, plain in _LEVELS:
        pull(near, f"KP-{level}0", riser_ft, _EXPECT.get(level))
        pull(f"KP-{level}0", f"OS-{level}0", 34.0)
        for room in range(1, dimmed + plain + 1):
            pull(f"KP-{level}{room - 1}", f"KP-{level}{room}", 41.0 + 3 * (room % 3))
            pull(f"KP-{level}{room}", f"TH-{level}{room}", 12.0)
            if room <= dimmed:
                pull(f"KP-{level}{room}", f"DM-{level}{room}", 19.0)
    return lines


_PULLS = Sheet(
    name="Pull list",
    title="Cable-pull list",
    columns=(
        Column(title="Pull no.", width=12),
        Column(title="From", width=13),
        Column(title="To", width=13),
        Column(title="Length (ft)", width=10, number_format="#,##0"),
        Column(title="Cable type", width=13, choices="'Cable data'!$A$8:$A$8"),
        Column(title="Distance to mains (in)", width=13),
        Column(title="Crossing angle (deg)", width=13),
        Column(title="Alongside loudspeaker", width=14, choices=("yes", "no")),
        Column(title="Rev", width=7),
        Column(title="Notes", width=20),
        EXPECT,
    ),
    totals=(("Total cable (ft)", "Length (ft)"),),
    filtered=True,
    rows=_pull_rows(),  # type: ignore[arg-type]
)

_CABLES = Sheet(
    name="Cable data",
    title="Cable data",
    columns=(
        Column(title="Cable type", width=13),
        Column(title="Gauge (AWG)", width=13),
        Column(title="Conductors", width=13),
        Column(title="Stranding", width=14),
        Column(title="Shield", width=14),
        Column(title="Capacitance (pF/ft)", width=14),
        Column(title="Insulation voltage (V)", width=14),
        EXPECT,
    ),
    rows=rows("""
R-16 | 16 | 2 | stranded | unshielded | 25 | 600 |
"""),
)

_CONTROLLERS = Sheet(
    name="Controllers",
    title="Controllers and supplies",
    columns=(
        Column(title="Controller", width=13),
        Column(title="Location", width=24),
        Column(title="Supply voltage (V)", width=14),
        Column(title="Supply power (W)", width=14),
        Column(title="Ports", width=13),
        Column(title="Serves", width=26),
        EXPECT,
    ),
    rows=rows("""
C1 | Riser cupboard, level 1 | 36 | 120 | 2 | levels 1 to 3
C2 | Riser cupboard, level 4 | 36 | 120 | 2 | levels 4 to 6
C3 | Riser cupboard, level 7 | 36 | 120 | 2 | level 7
"""),
)

BOOK = Book(
    file="varnholt_tower.xlsx",
    theme=NAVY,
    pairs=pairs(
        "Varnholt Tower",
        "W-2455",
        "Varnholt Holdings",
        "M. Dravenall",
        dt.date(2024, 9, 16),
        "B",
        ("Bus profile", "two-wire-120w"),
    ),
    sheets=(
        _DEVICES,
        _PULLS,
        _CABLES,
        _CONTROLLERS,
        load_by(_DEVICES, "Level", "Qty", "Watts each (W)"),
        revisions_sheet("""
A | 2024-08-26 | M. Dravenall | First issue
B | 2024-09-16 | M. Dravenall | Dimmer modules moved into the rooms
"""),
        notes_sheet(),
    ),
)

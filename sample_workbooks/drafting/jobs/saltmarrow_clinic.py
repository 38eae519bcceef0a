"""Left-over thin, shielded cable on one port: the limits of that run are halved and three of them break."""

import datetime as dt

from drafting.jobs.common import EXPECT, notes_sheet, pairs, revisions_sheet
from drafting.office import RUST, Book, Column, Sheet, load_by, rows

_ROOMS = ("Waiting room", "Reception", "Consulting 1", "Consulting 2", "Consulting 3", "Treatment", "Records")
_WINGS = ("North wing", "South wing")


def _device_rows() -> list[list[object]]:
    lines: list[list[object]] = []
    for room, name in enumerate(_ROOMS, start=1):
        for letter, kind, watts in (
            ("A", "keypad", 0.35),
            ("B", "thermostat", 0.3),
            ("C", "presence sensor", 0.2),
            ("D", "status lamp", 0.25),
        ):
            lines.append(
                [
                    f"N{room}{letter}",
                    name,
                    kind,
                    1.0,
                    watts,
                    None,
                    "reach" if room >= 6 or (room == 5 and letter > "A") else None,
                ]
            )
    for room, name in enumerate(("Staff room", "Office", "Store", "Rear entrance"), start=1):
        for letter, kind, watts in (("A", "keypad", 0.35), ("B", "thermostat", 0.3)):
            lines.append([f"S{room}{letter}", name, kind, 1.0, watts, None, None])
    return lines


_DEVICES = Sheet(
    name="Devices",
    title="Device list",
    columns=(
        Column(title="Device tag", width=13),
        Column(title="Room", width=24),
        Column(title="Description", width=22),
        Column(title="Count", width=8),
        Column(title="W each", width=13, number_format="0.00"),
        Column(title="Comment", width=28),
        EXPECT,
    ),
    filtered=True,
    rows=_device_rows(),  # type: ignore[arg-type]
)


def _pull_rows() -> list[list[object]]:
    lines: list[list[object]] = []

    def pull(near: str, far: str, length_ft: float, cable: str, expect: str | None = None) -> None:
        number = f"{'N' if far[0] == 'N' else 'S'}-{sum(line[0][0] == far[0] for line in lines) + 1:02d}"  # type: ignore[index]
        lines.append([number, near, far, length_ft, cable, "home run" if "/" in near else None, expect])

    for room, trunk_ft in enumerate((90.0, 85.0, 95.0, 90.0, 85.0, 100.0, 70.0), start=1):
        near = f"N{room - 1}A" if room > 1 else "C1 / 1"
        expect = "run-length, device-count" if room == 1 else None
        pull(near, f"N{room}A", trunk_ft, "TP-18S" if room in (4, 5) else "TP-16", expect)
        for letter, spur_ft in (("B", 24.0), ("C", 38.0), ("D", 31.0)):
            pull(f"N{room}A", f"N{room}{letter}", spur_ft, "TP-16")
    for room, trunk_ft in enumerate((70.0, 65.0, 80.0, 60.0), start=1):
        pull(f"S{room - 1}A" if room > 1 else "C1 / 2", f"S{room}A", trunk_ft, "TP-16")
        pull(f"S{room}A", f"S{room}B", 22.0, "TP-16")
    return lines


_PULLS = Sheet(
    name="Cable schedule",
    title="Cable schedule",
    columns=(
        Column(title="Cable no.", width=12),
        Column(title="From", width=13),
        Column(title="To", width=13),
        Column(title="Run length (ft)", width=13, number_format="#,##0"),
        Column(title="Cable type", width=14, choices="Cables!$A$8:$A$9"),
        Column(title="Comment", width=28),
        EXPECT,
    ),
    totals=(("Total length (ft)", "Run length (ft)"),),
    footnotes=("TP-18S is left over from the fire-alarm job and is to be used up.",),
    rows=_pull_rows(),  # type: ignore[arg-type]
)

_CABLES = Sheet(
    name="Cables",
    title="Cable types",
    columns=(
        Column(title="Cable type", width=14),
        Column(title="AWG", width=13),
        Column(title="Cores", width=13),
        Column(title="Stranding", width=14),
        Column(title="Shield", width=14),
        Column(title="Capacitance (pF/ft)", width=14, flag_above=30),
        Column(title="Insulation (V)", width=14),
        EXPECT,
    ),
    rows=rows("""
TP-16  | 16 | 2 | stranded | unshielded | 27 | 600 |
TP-18S | 18 | 2 | stranded | shielded   | 45 | 300 | cable-spec
"""),
)

_CONTROLLERS = Sheet(
    name="Controllers",
    title="Controllers",
    columns=(
        Column(title="Controller", width=13),
        Column(title="Place", width=26),
        Column(title="Supply voltage (V)", width=14),
        Column(title="Supply power (W)", width=14),
        Column(title="Ports", width=13),
        EXPECT,
    ),
    rows=rows("""
C1 | Server cupboard | 24 | 35 | 2
"""),
)

BOOK = Book(
    file="saltmarrow_clinic.xlsx",
    theme=RUST,
    pairs=pairs(
        "Saltmarrow Clinic", "W-2402", "Saltmarrow Practice", "E. Quarrend", dt.date(2024, 1, 17), "B"
    ),
    sheets=(
        _DEVICES,
        _PULLS,
        _CABLES,
        _CONTROLLERS,
        load_by(_DEVICES, "Room", "Count", "W each"),
        revisions_sheet("""
A | 2023-12-11 | E. Quarrend | First issue
B | 2024-01-17 | E. Quarrend | North corridor changed to cable on the shelf
"""),
        notes_sheet(),
    ),
)

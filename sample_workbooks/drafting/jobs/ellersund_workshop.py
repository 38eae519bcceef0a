"""One combined sheet, in metres, sent out before it was finished: values missing, values that cannot be read."""

import datetime as dt

from drafting.jobs.common import EXPECT, pairs, revisions_sheet
from drafting.office import RUST, Book, Column, Sheet, rows

_DEVICES = Sheet(
    name="Bus schedule",
    title="Bus schedule: devices and their feeds",
    columns=(
        Column(title="Device ID", width=13),
        Column(title="Room", width=24),
        Column(title="Description", width=22),
        Column(title="Qty", width=7),
        Column(title="Load [W]", width=10, number_format="0.0"),
        Column(title="Fed from", width=13),
        Column(title="Length [m]", width=13, number_format="0.0"),
        Column(title="Cable", width=11, choices="Cable!$A$8:$A$8"),
        Column(title="Notes", width=34),
        EXPECT,
    ),
    comments={("W-07", "Length [m]"): "Wall not yet built. Ask the builder in June."},
    footnotes=("Feeds follow the cable tray, drops included.",),
    rows=rows("""
W-01 | Office             | keypad           | 1 | 0.6 | C1.1 | 18.5       | KB15 | home run
W-02 | Office             | thermostat       | 1 | 0.8 | W-01 | 6          | KB15 |
W-03 | Machine hall, east | keypad           | 1 | 0.6 | W-01 | 32         | KB15 |
W-04 | Machine hall, east | occupancy sensor | 2 | 0.4 | W-03 | 14.5       | KB15 |
W-05 | Machine hall, west | keypad           | 1 |     | W-03 | 41         | KB15 | new model, data sheet asked for | missing-value
W-06 | Machine hall, west | fan controller   | 1 | 2.2 | W-05 | 9          | KB15 |
W-07 | Paint room         | keypad, sealed   | 1 | 0.6 | W-05 | TBD        | KB15 | wall not yet built | unreadable-value
W-08 | Paint room         | fan controller   | 1 | n/a | W-07 | 7.5        | KB15 | | unreadable-value
W-11 | Stores             | keypad           | 1 | 0.6 | C1.2 | 24         | KB15 | home run
W-12 | Stores             | thermostat       | 1 | 0.8 | W-11 | 2024-06-12 | KB15 | | unreadable-value
W-13 | Goods entrance     | keypad, sealed   | 1 | 0.6 | W-11 |            | KB15 | way round the lift to be agreed | missing-value
W-14 | Goods entrance     | occupancy sensor | 1 | 0.4 | W-13 | 8          | KB15 |
W-15 | Yard gate          | keypad, sealed   | 1 | 0.6 | W-13 | 55         | KB15 |
"""),
)

_CABLES = Sheet(
    name="Cable",
    title="Cable",
    columns=(
        Column(title="Cable", width=13),
        Column(title="Conductor [mm²]", width=14),
        Column(title="Cores", width=13),
        Column(title="Stranding", width=14),
        Column(title="Shield", width=14),
        Column(title="Capacitance [pF/m]", width=14),
        Column(title="Insulation [V]", width=14),
        EXPECT,
    ),
    rows=rows("""
KB15 | 1.5 | 2 | stranded | none | 90 | 600 |
"""),
)

BOOK = Book(
    file="ellersund_workshop.xlsx",
    theme=RUST,
    pairs=pairs(
        "Ellersund Workshop", "W-2438", "Ellersund Joinery", "E. Quarrend", dt.date(2024, 5, 30), "draft"
    ),
    sheets=(
        _DEVICES,
        _CABLES,
        revisions_sheet("""
draft | 2024-05-30 | E. Quarrend | For comment, not for ordering
"""),
    ),
)

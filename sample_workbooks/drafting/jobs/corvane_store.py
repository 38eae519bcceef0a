"""An older job with the mistakes of a busy week: a tag twice, a slip in a tag, two ports joined, no distance kept."""

import datetime as dt

from drafting.jobs.common import EXPECT, pairs
from drafting.office import PLAIN, Book, Column, Sheet, rows

_DEVICES = Sheet(
    name="Sheet1",
    title="Devices",
    columns=(
        Column(title="Device", width=12),
        Column(title="Where", width=24),
        Column(title="What", width=20),
        Column(title="Pcs", width=8),
        Column(title="W", width=13, number_format="0.0"),
        Column(title="Note", width=28),
        EXPECT,
    ),
    rows=rows("""
K1  | Shop floor, front | keypad           | 1 | 0.6 |
K2  | Shop floor, back  | keypad           | 1 | 0.6 |
T1  | Shop floor, back  | thermostat       | 1 | 0.8 |
K3  | Fitting rooms     | keypad           | 1 | 0.6 |
K4  | Stock room        | keypad           | 1 | 0.6 | | double-entry
K4  | Loading bay       | keypad, sealed   | 1 | 0.6 | | double-entry
S1  | Loading bay       | occupancy sensor | 1 | 0.4 |
K5  | Manager's office  | keypad           | 1 | 0.6 |
T2  | Manager's office  | thermostat       | 1 | 0.8 |
K6  | Staff room        | keypad           | 1 | 0.6 |
T3  | Staff room        | thermostat       | 1 | 0.8 | | unfed
"""),
)

_PULLS = Sheet(
    name="Sheet2",
    title="Pulls",
    columns=(
        Column(title="No.", width=12),
        Column(title="From", width=13),
        Column(title="To", width=13),
        Column(title="Feet", width=13),
        Column(title="Cable", width=13),
        Column(title="Distance to parallel mains (in)", width=14),
        Column(title="Crossing angle (deg)", width=13),
        Column(title="Alongside loudspeaker cable", width=14),
        Column(title="Note", width=26),
        EXPECT,
    ),
    rows=rows("""
1  | C1.1 | K1  |  48 | B16 | 12 | 90 | no  |                      |
2  | K1   | K2  |  62 | B16 | 12 | 90 | no  |                      |
3  | K2   | T1  |  15 | B16 |  4 | 90 | no  | same chase as mains  | separation
4  | K2   | K3  |  40 | B16 | 12 | 45 | no  |                      | separation
5  | K3   | K5  |  55 | B16 | 12 | 90 | yes |                      | separation, joined-ports
6  | C1.2 | K4  |  70 | B16 | 12 | 90 | no  |                      |
7  | K4   | S1  |  35 | B16 | 12 | 90 | no  |                      |
8  | S1   | K6  |  44 | B16 | 12 | 90 | no  |                      |
9  | K6   | K5  |  38 | B16 | 12 | 90 | no  | extra feed, as asked |
10 | K5   | T2  |  12 | B16 | 12 | 90 | no  |                      |
11 | KK6  | T3  |  18 | B16 | 12 | 90 | no  |                      | unknown-end, unfed
"""),
)

_CABLES = Sheet(
    name="Sheet3",
    title="Cable",
    columns=(
        Column(title="Cable", width=12),
        Column(title="Gauge", width=13),
        Column(title="Conductors", width=13),
        Column(title="Stranding", width=14),
        Column(title="Shield", width=14),
        Column(title="Capacitance pF/ft", width=13),
        Column(title="Insulation (V)", width=14),
        EXPECT,
    ),
    rows=rows("""
B16 | 16 AWG | 2 | stranded | unshielded | 28 | 600 |
"""),
)

BOOK = Book(
    file="past_jobs/corvane_store.xlsx",
    theme=PLAIN,
    pairs=pairs(
        "Corvane Store", "W-1907", "Corvane Outfitters", "M. Dravenall", dt.date(2019, 10, 3), "as built"
    ),
    sheets=(_DEVICES, _PULLS, _CABLES),
)

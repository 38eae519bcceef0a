"""EN 13757-2, in metres: 250 unit loads at 350 m, a usual building, too much capacitance, old thin cable."""

import datetime as dt

from drafting.jobs.common import EXPECT, pairs
from drafting.office import RUST, Book, Column, Sheet, rows

_DEVICES = Sheet(
    name="Meters",
    title="Meters",
    columns=(
        Column(title="Tag", width=12),
        Column(title="Place", width=26),
        Column(title="Description", width=24),
        Column(title="Qty", width=8, note="unit loads of 1.5 mA; a meter of two unit loads counts twice"),
        Column(title="Current (mA @ 24 V)", width=14, number_format="0.0"),
        Column(title="Notes", width=36),
        EXPECT,
    ),
    rows=rows("""
N1 | House N, cellar  | meters of the house | 250 | 1.5 | all unit loads at the far end | reach
P1 | House P, riser 1 | heat meters         | 24  | 1.5 |                               |
P2 | House P, riser 2 | heat meters         | 24  | 1.5 |                               |
P3 | House P, riser 3 | water meters        | 36  | 1.5 |                               |
Q1 | House Q          | heat meters         | 30  | 1.5 |                               |
Q2 | House R          | heat meters         | 30  | 1.5 |                               |
Q3 | House S          | heat meters         | 30  | 1.5 |                               | reach
T1 | Old boiler house | heat meters         | 200 | 1.5 | bell wire found in the duct   | reach, voltage
"""),
)

_PULLS = Sheet(
    name="Pulls",
    title="Cable pulls",
    columns=(
        Column(title="No.", width=12),
        Column(title="From", width=13),
        Column(title="To", width=13),
        Column(title="Length (m)", width=13, number_format="0.0"),
        Column(title="Cable", width=13),
        Column(title="Notes", width=36),
        EXPECT,
    ),
    totals=(("Total cable (m)", "Length (m)"),),
    rows=rows("""
1  | M1.1 | N1 | 350 | MP08 | 350 m, 250 unit loads  | device-count
2  | M2.1 | P1 | 60  | MP08 |                        |
3  | P1   | P2 | 45  | MP08 |                        |
4  | P2   | P3 | 45  | MP08 |                        |
5  | M3.1 | Q1 | 300 | HC08 | 950 m at 200 nF/km     | capacitance, run-length
6  | M3.1 | Q2 | 310 | HC08 |                        |
7  | M3.1 | Q3 | 340 | HC08 |                        |
8  | M4.1 | T1 | 300 | BW06 |                        | device-count
"""),
)

_CABLES = Sheet(
    name="Cable",
    title="Cable",
    columns=(
        Column(title="Cable", width=12),
        Column(title="Conductor diameter (mm)", width=15),
        Column(title="Cores", width=13),
        Column(title="Stranding", width=14),
        Column(title="Capacitance (nF/km)", width=14),
        Column(title="Resistance (ohm/km)", width=14, note="of one conductor at 20 °C, from the data sheet"),
        EXPECT,
    ),
    rows=rows("""
MP08 | 0.8 | 2 | solid | 120 | 36.5 |
HC08 | 0.8 | 2 | solid | 200 | 36.5 |
BW06 | 0.6 | 2 | solid | 80  |      | cable-spec
"""),
)

_CONTROLLERS = Sheet(
    name="Masters",
    title="Segment masters",
    columns=(
        Column(title="Controller", width=13),
        Column(title="Stands in", width=26),
        Column(title="Ports", width=13),
        Column(title="Notes", width=34),
        Column(title="Checked", width=13),
        EXPECT,
    ),
    rows=rows("""
M1 | House N, attic   | 1 | 375 mA |  | power
M2 | House P, cellar  | 1 | 375 mA |  |
M3 | House Q, cellar  | 1 | 375 mA |  |
M4 | Boiler house     | 1 | 375 mA |  |
"""),
)

BOOK = Book(
    file="open_standards/ostrel_court.xlsx",
    theme=RUST,
    pairs=pairs(
        "Ostrel Court",
        "W-2470",
        "Ostrel Housing Trust",
        "M. Dravenall",
        dt.date(2024, 10, 15),
        "A",
        ("Bus profile", "en-13757-2"),
    ),
    sheets=(_DEVICES, _PULLS, _CABLES, _CONTROLLERS),
)

"""ISO/IEC 14543-3, in metres: one line at the published limits, one usual line, one that is too long."""

import datetime as dt

from drafting.jobs.common import EXPECT, pairs
from drafting.office import RUST, Book, Column, Sheet, rows

_DEVICES = Sheet(
    name="Devices",
    title="Device list",
    columns=(
        Column(title="Tag", width=12),
        Column(title="Room", width=26),
        Column(title="Description", width=24),
        Column(title="Qty", width=8),
        Column(title="Current (mA @ 29 V)", width=14, number_format="0.0"),
        Column(title="Notes", width=34),
        EXPECT,
    ),
    filtered=True,
    footnotes=("Currents from the makers' sheets. Line L1 is drawn at the limits of the standard.",),
    rows=rows("""
A1 | Roof                  | weather station       | 1  | 20  | 350 m from the supply  | reach
B1 | Entrance              | push-button interface | 3  | 10  |                        |
B2 | Office 1              | push-button interface | 4  | 10  |                        |
B3 | Office 2              | push-button interface | 4  | 10  |                        |
B4 | Office 3              | blind actuator        | 6  | 12.5 |                       |
B5 | Meeting room          | room display          | 2  | 20  |                        |
B6 | Corridor              | presence detector     | 8  | 10  |                        |
B7 | Kitchen               | heating actuator      | 4  | 12.5 |                       |
D1 | Store, north          | push-button interface | 2  | 10  |                        |
D2 | Store, north gate     | presence detector     | 2  | 10  | far end, north         | reach
D3 | Store, south          | push-button interface | 2  | 10  |                        |
D4 | Store, south gate     | presence detector     | 2  | 10  | far end, south         | reach
D5 | Loading ramp          | blind actuator        | 4  | 12.5 |                       |
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
        Column(title="Notes", width=34),
        EXPECT,
    ),
    totals=(("Total cable (m)", "Length (m)"),),
    rows=rows("""
1  | L1.1 | A1 | 350 | PR08 | the longest way that is allowed      |
2  | L2.1 | B1 | 38  | PR08 |                                      |
3  | B1   | B2 | 24  | PR08 |                                      |
4  | B2   | B3 | 21  | PR08 |                                      |
5  | B3   | B4 | 26  | PR08 |                                      |
6  | B2   | B5 | 33  | PR08 |                                      |
7  | L2.1 | B6 | 45  | PR08 |                                      |
8  | B6   | B7 | 52  | PR08 |                                      |
9  | L3.1 | D1 | 290 | PR08 |                                      | run-length, reach
10 | D1   | D2 | 55  | PR08 | 345 m from the supply                |
11 | L3.1 | D3 | 310 | PR08 |                                      |
12 | D3   | D4 | 50  | PR08 | 10 m too far                         |
13 | L3.1 | D5 | 305 | PR08 | round the yard                       |
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
        Column(title="Shield", width=14),
        Column(title="Capacitance (pF/m)", width=14),
        Column(title="Resistance (ohm/km)", width=14, note="of one conductor at 20 °C, from the data sheet"),
        EXPECT,
    ),
    rows=rows("""
PR08 | 0.8 | 2 | solid | shielded | 100 | 34.3 |
"""),
)

_CONTROLLERS = Sheet(
    name="Supplies",
    title="Line supplies",
    columns=(
        Column(title="Controller", width=13),
        Column(title="Stands in", width=26),
        Column(title="Ports", width=13),
        Column(title="Notes", width=34),
        Column(title="Checked", width=13),
        EXPECT,
    ),
    rows=rows("""
L1 | Plant room     | 1 | 640 mA |  |
L2 | Reception      | 1 | 640 mA |  |
L3 | Store, gatehouse | 1 | 640 mA |  |
"""),
)

BOOK = Book(
    file="open_standards/aldersund_offices.xlsx",
    theme=RUST,
    pairs=pairs(
        "Aldersund Offices",
        "W-2461",
        "Aldersund Harbour Company",
        "E. Quarrend",
        dt.date(2024, 9, 12),
        "A",
        ("Bus profile", "iso-iec-14543-3"),
    ),
    sheets=(_DEVICES, _PULLS, _CABLES, _CONTROLLERS),
)

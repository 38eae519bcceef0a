"""IEC 62386, in metres: the published 300 m example, a star of 100 m legs, and three lines with a fault."""

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
        Column(title="Current (mA @ 16 V)", width=14, number_format="0.0"),
        Column(title="Notes", width=36),
        EXPECT,
    ),
    rows=rows("""
G1 | Sculpture garden | group controller | 25 | 10 | all 250 mA at the far end of 300 m | voltage
H1 | Gallery, west    | control gear     | 18 | 2  |                                    |
H2 | Gallery, east     | control gear    | 18 | 2  |                                    |
H3 | Gallery, north   | control gear     | 18 | 2  |                                    |
J1 | Cloakroom        | control gear     | 12 | 2  |                                    |
J2 | Archive          | control gear     | 18 | 2  |                                    |
M1 | Café             | control gear     | 14 | 2  |                                    |
M2 | Terrace          | control gear     | 14 | 2  |                                    |
R1 | Workshop         | control gear     | 8  | 2  |                                    |
R2 | Workshop         | control gear     | 8  | 2  |                                    |
R3 | Paint store      | control gear     | 4  | 2  |                                    |
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
    footnotes=(
        "This line is wired like mains: laid, joined and tested by the site electrician under local code.",
    ),
    rows=rows("""
1  | E1.1 | G1 | 300 | L15 | the published example                 | reach
2  | E2.1 | H1 | 100 | L15 | star of 100 m legs: 200 m between any two |
3  | E2.1 | H2 | 100 | L15 |                                       |
4  | E2.1 | H3 | 100 | L15 |                                       |
5  | E3.1 | J1 | 80  | L05 | too thin for 120 m                    | cable-spec
6  | J1   | J2 | 40  | L05 |                                       |
7  | E4.1 | M1 | 160 | N15 | 330 m between the two ends            | reach
8  | E4.1 | M2 | 170 | N15 |                                       |
9  | E5.1 | R1 | 30  | N15 |                                       |
10 | R1   | R2 | 15  | N15 |                                       |
11 | R2   | R3 | 15  | N15 |                                       | loop
12 | R3   | R1 | 20  | N15 | closes a ring                         |
"""),
)

_CABLES = Sheet(
    name="Cable",
    title="Cable",
    columns=(
        Column(title="Cable", width=12),
        Column(title="Conductor (mm²)", width=14),
        Column(title="Cores", width=13),
        Column(title="Stranding", width=14),
        Column(title="Insulation (V)", width=14),
        Column(title="Resistance (ohm/km)", width=14, note="of one conductor at 20 °C, from the data sheet"),
        EXPECT,
    ),
    footnotes=("L15: 1.5 mm² at 56 m/(ohm mm²), as the published example counts.",),
    rows=rows("""
L15 | 1.5 | 2 | solid | 500 | 11.9048 |
N15 | 1.5 | 2 | solid | 500 |         |
L05 | 0.5 | 2 | solid | 500 |         |
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
E1 | Board A, garden   | 1 | 250 mA |  | power
E2 | Board B, gallery  | 1 | 250 mA |  |
E3 | Board C, cellar   | 1 | 250 mA |  |
E4 | Board D, café     | 1 | 250 mA |  |
E5 | Board E, workshop | 1 | 250 mA |  |
"""),
)

BOOK = Book(
    file="open_standards/mirrowby_gallery.xlsx",
    theme=RUST,
    pairs=pairs(
        "Mirrowby Gallery",
        "W-2463",
        "Mirrowby Town Museums",
        "M. Dravenall",
        dt.date(2024, 9, 20),
        "A",
        ("Bus profile", "iec-62386"),
    ),
    sheets=(_DEVICES, _PULLS, _CABLES, _CONTROLLERS),
)

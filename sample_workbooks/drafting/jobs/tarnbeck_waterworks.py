"""ISO/IEC 14908-2, in metres: each cable of the published table at its limits, and two rings."""

import datetime as dt

from drafting.jobs.common import EXPECT, pairs
from drafting.office import RUST, Book, Column, Sheet, rows

_DEVICES = Sheet(
    name="Nodes",
    title="Nodes and terminators",
    columns=(
        Column(title="Tag", width=12),
        Column(title="Place", width=20),
        Column(title="Level", width=13),
        Column(title="Description", width=18),
        Column(title="Qty", width=13),
        Column(title="Own supply", width=13),
        Column(title="Notes", width=30),
        EXPECT,
    ),
    footnotes=("Every node has a supply of its own. One terminator a segment, listed like a node.",),
    rows=rows("""
A1 | Intake       | level 1 | level sensor | 1 | 24 V DC  |                        |
A2 | Intake       | level 0 | terminator   | 1 |          |                        |
A3 | Screen house | level 0 | valve drive  | 1 | 230 V AC |                        |
A4 | Weir         | level 0 | level sensor | 1 | 24 V DC  |                        |
A5 | Gate house   | level 0 | valve drive  | 1 | 230 V AC |                        |
B1 | Filter hall  | level 0 | flow meter   | 4 | 24 V DC  |                        |
B2 | Filter hall  | level 0 | terminator   | 1 |          |                        |
B3 | Backwash     | level 0 | valve drive  | 6 | 230 V AC |                        |
C1 | Pump hall    | level 0 | pump drive   | 4 | 230 V AC |                        |
C2 | Pump hall    | level 0 | terminator   | 1 |          |                        |
C3 | Surge tank   | level 2 | level sensor | 2 | 24 V DC  |                        |
C4 | Valve pit    | level 0 | valve drive  | 1 | 230 V AC |                        |
D1 | Reservoir    | level 1 | level sensor | 2 | 24 V DC  |                        |
D2 | Reservoir    | level 0 | terminator   | 1 |          |                        |
D3 | Outlet       | level 0 | flow meter   | 2 | 24 V DC  |                        |
E1 | Control room | level 1 | panel        | 1 | 230 V AC | ring, well within      |
E2 | Laboratory   | level 1 | analyser     | 3 | 230 V AC |                        |
E3 | Store        | level 0 | sensor       | 2 | 24 V DC  |                        |
E4 | Garage       | level 0 | terminator   | 1 |          |                        |
F1 | East works   | level 0 | panel        | 1 | 230 V AC | ring, too long one way |
F2 | East works   | level 0 | analyser     | 3 | 230 V AC |                        |
F3 | East works   | level 0 | sensor       | 2 | 24 V DC  |                        |
F4 | East works   | level 0 | terminator   | 1 |          |                        |
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
1  | S1.1 | A2 | 25  | TP24 | 450 m in all, 250 m between nodes | run-length, reach
2  | A2   | A1 | 125 | TP24 |                                   |
3  | A2   | A3 | 125 | TP24 |                                   |
4  | A2   | A4 | 125 | TP24 |                                   |
5  | A2   | A5 | 50  | TP24 |                                   |
6  | S2.1 | B2 | 200 | TP22 | 500 m in all, 400 m between nodes | run-length, reach
7  | B2   | B1 | 200 | TP22 |                                   |
8  | B2   | B3 | 100 | TP22 |                                   |
9  | S3.1 | C2 | 160 | TP08 | 500 m in all, 320 m between nodes | run-length, reach
10 | C2   | C1 | 160 | TP08 |                                   |
11 | C2   | C3 | 160 | TP08 |                                   |
12 | C2   | C4 | 20  | TP08 |                                   |
13 | S4.1 | D2 | 200 | TP16 | 500 m in all, 400 m between nodes | run-length, reach
14 | D2   | D1 | 200 | TP16 |                                   |
15 | D2   | D3 | 100 | TP16 |                                   |
16 | S5.1 | E1 | 10  | TP08 |                                   |
17 | E1   | E2 | 60  | TP08 |                                   |
18 | E2   | E3 | 60  | TP08 |                                   |
19 | E3   | E4 | 60  | TP08 |                                   |
20 | E4   | E1 | 60  | TP08 | ring                              |
21 | S6.1 | F1 | 10  | TP08 |                                   | reach
22 | F1   | F2 | 108 | TP08 |                                   |
23 | F2   | F3 | 108 | TP08 |                                   |
24 | F3   | F4 | 108 | TP08 |                                   |
25 | F4   | F1 | 108 | TP08 | ring                              |
"""),
)

_CABLES = Sheet(
    name="Cable",
    title="Cable",
    columns=(
        Column(title="Cable", width=12),
        Column(title="Conductor size", width=14),
        Column(title="Cores", width=13),
        Column(title="Stranding", width=14),
        Column(title="Shield", width=14),
        EXPECT,
    ),
    rows=rows("""
TP24 | 24 AWG | 2 | solid    | unshielded |
TP22 | 22 AWG | 2 | solid    | unshielded |
TP08 | 0.8 mm | 2 | solid    | shielded   |
TP16 | 16 AWG | 2 | stranded | unshielded |
"""),
)

_CONTROLLERS = Sheet(
    name="Routers",
    title="Routers",
    columns=(
        Column(title="Controller", width=13),
        Column(title="Stands in", width=26),
        Column(title="Ports", width=13),
        Column(title="Notes", width=34),
        Column(title="Checked", width=13),
        EXPECT,
    ),
    rows=rows("""
S1 | Intake cabinet     | 1 |  |  |
S2 | Filter cabinet     | 1 |  |  |
S3 | Pump cabinet       | 1 |  |  |
S4 | Reservoir cabinet  | 1 |  |  |
S5 | Control cabinet    | 1 |  |  |
S6 | East works cabinet | 1 |  |  |
"""),
)

BOOK = Book(
    file="open_standards/tarnbeck_waterworks.xlsx",
    theme=RUST,
    pairs=pairs(
        "Tarnbeck Waterworks",
        "W-2467",
        "Tarnbeck Water Board",
        "E. Quarrend",
        dt.date(2024, 10, 2),
        "A",
        ("Bus profile", "iso-iec-14908-2"),
    ),
    sheets=(_DEVICES, _PULLS, _CABLES, _CONTROLLERS),
)

"""A ring landed at both ends on port 1, and a proper spare return, left unlanded, on port 2."""

import datetime as dt

from drafting.jobs.common import EXPECT, notes_sheet, pairs
from drafting.office import NAVY, Book, Column, Sheet, load_by, rows

_DEVICES = Sheet(
    name="Devices",
    title="Bus devices",
    columns=(
        Column(title="ID", width=12),
        Column(title="Room", width=24),
        Column(title="Kind", width=20),
        Column(title="Qty", width=8),
        Column(title="Load (W)", width=13, number_format="0.0"),
        Column(title="Notes", width=32),
        EXPECT,
    ),
    table="BusDevices",
    rows=rows("""
K-01 | Entrance            | keypad            | 1 | 0.6 |
S-01 | Entrance            | occupancy sensor  | 1 | 0.4 |
K-02 | Issue desk          | keypad            | 1 | 0.9 | with a small screen
K-03 | Children's corner   | keypad            | 1 | 0.6 | low, 36 in above floor
D-03 | Children's corner   | dimmer control    | 1 | 1.2 |
K-04 | Reading room, east  | keypad            | 1 | 0.6 |
K-05 | Reading room, west  | keypad            | 1 | 0.6 |
T-05 | Reading room, west  | thermostat        | 1 | 0.8 |
K-06 | Newspaper alcove    | keypad            | 1 | 0.6 |
K-11 | Upper gallery, east | keypad            | 1 | 0.6 |
D-11 | Upper gallery, east | dimmer control    | 1 | 1.2 |
K-12 | Map room            | keypad            | 1 | 0.6 |
T-12 | Map room            | thermostat        | 1 | 0.8 |
K-13 | Upper gallery, west | keypad            | 1 | 0.6 |
K-14 | Study booths        | keypad            | 1 | 0.6 |
S-14 | Study booths        | occupancy sensor  | 4 | 0.4 | one a booth
"""),
)

_PULLS = Sheet(
    name="Pulls",
    title="Cable pulls",
    columns=(
        Column(title="Pull ID", width=12),
        Column(title="From", width=13),
        Column(title="To", width=13),
        Column(title="Length (ft)", width=10, number_format="#,##0"),
        Column(title="Cable", width=10, choices="Cable!$A$8:$A$9"),
        Column(title="Distance from mains (in)", width=14),
        Column(title="Crossing angle (deg)", width=13),
        Column(title="Beside loudspeaker cable", width=14, choices=("yes", "no")),
        Column(title="Status", width=15, choices="Lists!$A$8:$A$9"),
        Column(title="Notes", width=34),
        EXPECT,
    ),
    totals=(("Total length (ft)", "Length (ft)"),),
    comments={("L-07", "Status"): "Landed at both ends on site, see the photograph of 14 May."},
    rows=rows("""
L-01 | C1-P1 | K-01  |  80 | LV16 | 16 | 90 | no | landed       |
L-02 | K-01  | K-02  |  45 | LV16 | 16 | 90 | no | landed       |
L-03 | K-02  | K-03  |  60 | LV16 | 16 | 90 | no | landed       |
L-04 | K-03  | K-04  |  75 | LV16 | 16 | 90 | no | landed       |
L-05 | K-04  | K-05  |  50 | LV16 | 16 | 90 | no | landed       |                                 | loop
L-06 | K-05  | K-06  |  65 | LV16 | 16 | 90 | no | landed       |
L-07 | K-06  | K-01  |  90 | LV16 | 16 | 90 | no | landed       | closes the ring at the entrance |
L-08 | K-01  | S-01  |  12 | LV16 | 16 | 90 | no | landed       |
L-09 | K-03  | D-03  |  10 | LV16 | 16 | 90 | no | landed       |
L-10 | K-05  | T-05  |  14 | LV16 | 16 | 90 | no | landed       |
L-21 | C1-P2 | K-11  | 130 | LV16 | 16 | 90 | no | landed       |
L-22 | K-11  | D-11  |  12 | LV16 | 16 | 90 | no | landed       |
L-23 | K-11  | K-12  |  70 | LV16 | 16 | 90 | no | landed       |
L-24 | K-12  | T-12  |  12 | LV16 | 16 | 90 | no | landed       |
L-25 | K-12  | K-13  |  85 | LV16 | 16 | 90 | no | landed       |
L-26 | K-13  | K-14  |  40 | LV16 | 16 | 90 | no | landed       |
L-27 | K-14  | S-14  |  22 | LV16 | 16 | 90 | no | landed       |
L-28 | K-14  | C1-P2 | 160 | LV16 | 16 | 90 | no | spare return | coil and tag at the controller, leave open |
"""),
)

_CABLES = Sheet(
    name="Cable",
    title="Cable",
    columns=(
        Column(title="Cable", width=12),
        Column(title="Conductor size", width=14),
        Column(title="Conductors", width=13),
        Column(title="Stranded", width=13, choices=("yes", "no")),
        Column(title="Shield", width=13),
        Column(title="Capacitance (pF/ft)", width=14),
        Column(title="Insulation voltage", width=14),
        Column(title="Notes", width=32),
        EXPECT,
    ),
    rows=rows("""
LV16 | 16 AWG | 2 | yes | none | 26 | 600 V | library stock
"""),
)

_CONTROLLERS = Sheet(
    name="Controller",
    title="Controller",
    columns=(
        Column(title="Controller", width=13),
        Column(title="Location", width=26),
        Column(title="Supply (V)", width=14),
        Column(title="Supply (W)", width=14),
        Column(title="Ports", width=13),
        EXPECT,
    ),
    rows=rows("""
C1 | Caretaker's room | 24 | 35 | 2
"""),
)

_LISTS = Sheet(
    name="Lists",
    title="Words offered in the lists",
    columns=(Column(title="Words", width=16), Column(title="Meaning", width=40)),
    rows=rows("""
landed       | joined at both ends
spare return | laid back to the controller and left open
"""),
    hidden=True,
)

BOOK = Book(
    file="pellbrook_library.xlsx",
    theme=NAVY,
    pairs=pairs(
        "Pellbrook Library", "W-2431", "Pellbrook Reading Trust", "M. Dravenall", dt.date(2024, 5, 21), "A"
    ),
    sheets=(
        _DEVICES,
        _PULLS,
        _CABLES,
        _CONTROLLERS,
        load_by(_DEVICES, "Room", "Qty", "Load (W)"),
        notes_sheet(
            "7 | A spare return stays open at the controller. It is landed only after its run was cut open.\n"
        ),
        _LISTS,
    ),
)

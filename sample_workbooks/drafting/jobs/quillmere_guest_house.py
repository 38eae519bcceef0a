"""The clean pass: every limit used by less than nine tenths, every property stated."""

import datetime as dt

from drafting.jobs.common import EXPECT, NOTES, STATUS, notes_sheet, pairs
from drafting.office import NAVY, Book, Column, Sheet, load_by, rows

_DEVICES = Sheet(
    name="Devices",
    title="Device list",
    columns=(
        Column(
            title="Tag",
            width=12,
            note="Letters say what it is: KP keypad, TH thermostat, OS occupancy, DM dimmer.",
        ),
        Column(title="Room", width=22),
        Column(title="Description", width=24),
        Column(title="Qty", width=7),
        Column(title="Watts (W)", width=10, number_format="0.0"),
        Column(title="Mounting", width=14, choices=("flush", "surface", "in panel")),
        NOTES,
        EXPECT,
    ),
    filtered=True,
    comments={("TH-103", "Room"): "Client asked for the thermostat by the wardrobe, not by the window."},
    rows=rows("""
KP-101 | Lobby            | keypad, 6 button     | 1 | 0.6 | flush    |
TH-101 | Lobby            | thermostat           | 1 | 0.8 | flush    |
OS-101 | Ground corridor  | occupancy sensor     | 1 | 0.4 | surface  |
KP-102 | Reading room     | keypad, 4 button     | 1 | 0.6 | flush    |
DM-101 | Reading room     | dimmer control       | 1 | 1.2 | flush    | above the picture rail
KP-103 | Breakfast room   | keypad, 6 button     | 1 | 0.6 | flush    |
DM-102 | Breakfast room   | dimmer control       | 1 | 1.2 | flush    |
TH-102 | Breakfast room   | thermostat           | 1 | 0.8 | flush    |
KP-104 | Guest room 1     | keypad, 4 button     | 1 | 0.6 | flush    | by the bed, left
TH-103 | Guest room 1     | thermostat           | 1 | 0.8 | flush    |
KP-105 | Guest room 2     | keypad, 4 button     | 1 | 0.6 | flush    | by the bed, left
TH-104 | Guest room 2     | thermostat           | 1 | 0.8 | flush    |
OS-102 | Rear stair       | occupancy sensor     | 1 | 0.4 | surface  |
KP-201 | Upper landing    | keypad, 4 button     | 1 | 0.6 | flush    |
OS-201 | Upper landing    | occupancy sensor     | 1 | 0.4 | surface  |
KP-202 | Guest room 3     | keypad, 4 button     | 1 | 0.6 | flush    |
TH-202 | Guest room 3     | thermostat           | 1 | 0.8 | flush    |
KP-203 | Guest room 4     | keypad, 4 button     | 1 | 0.6 | flush    |
TH-203 | Guest room 4     | thermostat           | 1 | 0.8 | flush    |
KP-204 | Guest room 5     | keypad, 4 button     | 1 | 0.6 | flush    |
TH-204 | Guest room 5     | thermostat           | 1 | 0.8 | flush    |
DM-201 | Guest room 5     | dimmer control       | 1 | 1.2 | flush    | vaulted ceiling
KP-205 | Linen room       | keypad, 2 button     | 1 | 0.6 | surface  |
"""),
)

_PULLS = Sheet(
    name="Cable pulls",
    title="Cable-pull schedule",
    columns=(
        Column(title="Pull", width=12),
        Column(title="From", width=13),
        Column(title="To", width=13),
        Column(title="Length (ft)", width=10, number_format="#,##0", flag_above=250),
        Column(title="Cable type", width=12, choices="'Cable types'!$A$8:$A$9"),
        Column(title="Distance to parallel mains (in)", width=14, number_format="0"),
        Column(title="Crossing angle (deg)", width=13, number_format="0"),
        Column(title="Alongside loudspeaker cable", width=14, choices=("yes", "no")),
        STATUS,
        Column(title="Notes", width=26),
        EXPECT,
    ),
    totals=(("Total cable (ft)", "Length (ft)"),),
    footnotes=("Lengths are scaled from the plan, risers included, without slack at the ends.",),
    rows=rows("""
P-101 | C1.1      | KP-101    |  64 | BUS-16 | 18 | 90 | no | landed | home run
P-102 | KP-101    | TH-101    |  22 | BUS-16 | 18 | 90 | no | landed
P-103 | KP-101    | Splice S1 |  58 | BUS-16 | 24 | 90 | no | landed | box above the corridor ceiling
P-104 | Splice S1 | KP-102    |  36 | BUS-16 | 18 | 90 | no | landed
P-105 | KP-102    | DM-101    |  14 | BUS-16 | 12 | 90 | no | landed
P-106 | Splice S1 | KP-103    |  71 | BUS-16 | 18 | 90 | no | landed
P-107 | KP-103    | DM-102    |  16 | BUS-16 | 12 | 90 | no | landed
P-108 | KP-103    | TH-102    |  27 | BUS-16 | 18 | 90 | no | landed
P-109 | Splice S1 | OS-101    |  45 | BUS-16 | 24 | 90 | no | landed
P-110 | OS-101    | KP-104    |  52 | BUS-16 | 18 | 90 | no | landed
P-111 | KP-104    | TH-103    |  18 | BUS-16 | 18 | 90 | no | landed
P-112 | OS-101    | KP-105    |  66 | BUS-16 | 18 | 90 | no | landed
P-113 | KP-105    | TH-104    |  19 | BUS-16 | 18 | 90 | no | landed
P-114 | KP-105    | OS-102    |  48 | BUS-16 | 24 | 90 | no | landed
P-201 | C1.2      | KP-201    | 112 | BUS-16 | 18 | 90 | no | landed | home run, by the riser
P-202 | KP-201    | OS-201    |  24 | BUS-16 | 18 | 90 | no | landed
P-203 | OS-201    | KP-202    |  47 | BUS-16 | 18 | 90 | no | landed
P-204 | KP-202    | TH-202    |  18 | BUS-16 | 18 | 90 | no | landed
P-205 | OS-201    | KP-203    |  63 | BUS-16 | 18 | 90 | no | landed
P-206 | KP-203    | TH-203    |  19 | BUS-16 | 18 | 90 | no | landed
P-207 | KP-203    | KP-204    |  55 | BUS-16 | 18 | 90 | no | landed
P-208 | KP-204    | TH-204    |  21 | BUS-16 | 18 | 90 | no | landed
P-209 | TH-204    | DM-201    |  33 | BUS-16 | 14 | 90 | no | landed
P-210 | KP-201    | KP-205    |  76 | BUS-16 | 18 | 90 | no | landed
"""),
)

_CABLES = Sheet(
    name="Cable types",
    title="Cable types",
    columns=(
        Column(title="Cable type", width=13),
        Column(title="Gauge (AWG)", width=14),
        Column(title="Conductors", width=13),
        Column(title="Stranding", width=14, choices=("stranded", "solid")),
        Column(title="Shield", width=14, choices=("unshielded", "shielded")),
        Column(title="Capacitance (pF/ft)", width=14),
        Column(title="Insulation (V)", width=14, number_format="#,##0"),
        Column(title="Where used", width=30),
        EXPECT,
    ),
    rows=rows("""
BUS-16 | 16 | 2 | stranded | unshielded | 27 | 600 | all bus pulls
"""),
)

_CONTROLLERS = Sheet(
    name="Controllers",
    title="Controllers and supplies",
    columns=(
        Column(title="Controller", width=13),
        Column(title="Head end", width=26),
        Column(title="Supply voltage (V)", width=15),
        Column(title="Supply power (W)", width=15),
        Column(title="Ports", width=13),
        Column(title="Notes", width=40),
        EXPECT,
    ),
    rows=rows("""
C1 | Plant cupboard, ground floor | 24 | 35 | 2 | both ports used
"""),
)

BOOK = Book(
    file="quillmere_guest_house.xlsx",
    theme=NAVY,
    pairs=pairs(
        "Quillmere Guest House", "W-2417", "Quillmere Rooms", "M. Dravenall", dt.date(2024, 3, 4), "C"
    ),
    sheets=(
        _DEVICES,
        _PULLS,
        _CABLES,
        _CONTROLLERS,
        load_by(_DEVICES, "Room", "Qty", "Watts (W)"),
        notes_sheet(),
    ),
)

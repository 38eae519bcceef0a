"""A long building on one port: the total is fine, the two devices at the far end are out of reach."""

import datetime as dt

from drafting.jobs.common import EXPECT, notes_sheet, pairs, revisions_sheet
from drafting.office import MOSS, Book, Column, Sheet, load_by, rows

_DEVICES = Sheet(
    name="Device schedule",
    title="Device schedule",
    columns=(
        Column(title="Device", width=13),
        Column(title="Location", width=26),
        Column(title="Type", width=22),
        Column(title="Quantity", width=10),
        Column(title="Power (W)", width=14, number_format="0.00"),
        Column(title="Remarks", width=34),
        EXPECT,
    ),
    footnotes=("Power is the active figure of one device.",),
    rows=rows("""
KP1  | Office               | keypad           | 1 | 0.60 |
TS1  | Office               | thermostat       | 1 | 0.75 |
KP2  | Tack room            | keypad           | 1 | 0.60 |
OS1  | Feed store           | occupancy sensor | 2 | 0.35 | one at each door, same box
KP3  | Stalls, near end     | keypad           | 1 | 0.60 |
FN1  | Stalls, near end     | fan controller   | 1 | 2.20 |
TS2  | Stalls, middle       | thermostat       | 1 | 0.75 |
FN2  | Stalls, middle       | fan controller   | 1 | 2.20 |
KP4  | Stalls, far end      | keypad           | 1 | 0.60 |
OS2  | Hay loft stair       | occupancy sensor | 1 | 0.35 |
KP5  | Far gate             | keypad, sealed   | 1 | 0.60 | in the lee of the wall | reach
OS3  | Far gate             | occupancy sensor | 1 | 0.35 | looks down the track   | reach
"""),
)

_PULLS = Sheet(
    name="Pull schedule",
    title="Cable-pull schedule",
    columns=(
        Column(title="Pull no.", width=12),
        Column(title="Fed from", width=14),
        Column(title="To", width=12),
        Column(title="Length, ft", width=11, number_format="#,##0", flag_above=200),
        Column(title="Wire type", width=14, choices="Wire!$A$8:$A$8"),
        Column(title="Mains distance (in)", width=14),
        Column(title="Mains crossing (deg)", width=14),
        Column(title="Along speaker cable", width=14, choices=("yes", "no")),
        Column(title="Rev", width=7),
        Column(title="Remarks", width=28),
        EXPECT,
    ),
    totals=(("Total, ft", "Length, ft"),),
    comments={("B11", "Length, ft"): "Measured on site with a wheel, along the purlin."},
    rows=rows("""
B1  | C1 port 1 | KP1 |  45 | BW1 | 24 | 90 | no | A | from the meter cupboard
B2  | KP1       | TS1 |  15 | BW1 | 24 | 90 | no | A |
B3  | KP1       | KP2 | 110 | BW1 | 24 | 90 | no | A |
B4  | KP2       | OS1 |  85 | BW1 | 24 | 90 | no | A |
B5  | OS1       | KP3 | 140 | BW1 | 36 | 90 | no | A |
B6  | KP3       | FN1 |  30 | BW1 | 18 | 90 | no | A |
B7  | KP3       | TS2 | 165 | BW1 | 36 | 90 | no | A |
B8  | TS2       | FN2 |  30 | BW1 | 18 | 90 | no | A |
B9  | TS2       | KP4 | 180 | BW1 | 36 | 90 | no | B |
B10 | KP4       | OS2 |  40 | BW1 | 36 | 90 | no | B |
B11 | KP4       | KP5 | 315 | BW1 | 36 | 90 | no | B | along the purlin
B12 | KP5       | OS3 |  25 | BW1 | 36 | 90 | no | B |
"""),
)

_CABLES = Sheet(
    name="Wire",
    title="Wire types",
    columns=(
        Column(title="Wire type", width=14),
        Column(title="Size", width=12),
        Column(title="No. of conductors", width=14),
        Column(title="Strands", width=14),
        Column(title="Shielded", width=12, choices=("yes", "no")),
        Column(title="Capacitance, pF/ft", width=14),
        Column(title="Insulation voltage (V)", width=14),
        Column(title="Remarks", width=34),
        EXPECT,
    ),
    rows=rows("""
BW1 | 16 AWG | 2 | stranded | no | 28 | 600 | grey jacket, rated for the barn
"""),
)

_CONTROLLERS = Sheet(
    name="Panels",
    title="Controllers",
    columns=(
        Column(title="Controller", width=13),
        Column(title="Location", width=26),
        Column(title="Voltage (V)", width=14),
        Column(title="Power (W)", width=14),
        Column(title="No. of ports", width=14),
        Column(title="Remarks", width=36),
        EXPECT,
    ),
    rows=rows("""
C1 | Meter cupboard | 24 | 35 | 2 | port 2 is free
"""),
)

BOOK = Book(
    file="oxtarn_barn.xlsx",
    theme=MOSS,
    pairs=pairs("Oxtarn Barn", "W-2409", "Oxtarn Stables", "T. Vellacombe", dt.date(2024, 2, 12), "B"),
    sheets=(
        _DEVICES,
        _PULLS,
        _CABLES,
        _CONTROLLERS,
        load_by(_DEVICES, "Location", "Quantity", "Power (W)"),
        revisions_sheet("""
A | 2024-01-29 | T. Vellacombe | First issue
B | 2024-02-12 | T. Vellacombe | Far gate added at the client's wish
"""),
        notes_sheet(),
    ),
)

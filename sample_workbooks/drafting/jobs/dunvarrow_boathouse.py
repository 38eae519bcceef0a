"""Keeps every rule of thumb, and the load at the end of the jetty cannot be delivered.

880 ft of 16 AWG, stranded, out and back is about 7.5 ohm at 30 degC: at 24 V no more than
24^2 / (4 x 7.5) = 19 W can arrive there, whatever the supply could give; the schedule wants 26 W.
"""

import datetime as dt

from drafting.jobs.common import EXPECT, NOTES, STATUS, notes_sheet, pairs
from drafting.office import MOSS, Book, Column, Sheet, load_by, rows

_DEVICES = Sheet(
    name="Devices",
    title="Device list",
    columns=(
        Column(title="Tag", width=12),
        Column(title="Area", width=24),
        Column(title="Description", width=26),
        Column(title="Qty", width=8),
        Column(title="Watts", width=13, number_format="0.0", flag_above=2),
        NOTES,
        EXPECT,
    ),
    comments={("HC-1", "Watts"): "Active figure, motor turning."},
    rows=rows("""
KP-1 | Boathouse door    | keypad, sealed            | 1 | 0.6 |
TH-1 | Workshop          | thermostat                | 1 | 0.8 |
KP-2 | Head of the jetty | keypad, sealed            | 1 | 0.6 |
HC-1 | Jetty end         | hatch controller          | 4 | 3.2 | hatches 1 to 4
HC-2 | Jetty end         | hatch controller          | 3 | 3.2 | hatches 5 to 7
BL-1 | Jetty end         | berth lamp controller     | 2 | 1.5 |
KP-3 | Jetty end         | keypad, sealed            | 1 | 0.6 |
"""),
)

_PULLS = Sheet(
    name="Cable pulls",
    title="Cable-pull schedule",
    columns=(
        Column(title="Pull", width=12),
        Column(title="From", width=13),
        Column(title="To", width=13),
        Column(title="Length (ft)", width=10, number_format="#,##0"),
        Column(title="Cable type", width=13, choices="'Cable types'!$A$8:$A$8"),
        Column(title="Mains distance (in)", width=13),
        Column(title="Crossing angle (deg)", width=13),
        Column(title="Alongside loudspeaker cable", width=14, choices=("yes", "no")),
        STATUS,
        NOTES,
        EXPECT,
    ),
    totals=(("Total cable (ft)", "Length (ft)"),),
    rows=rows("""
J-1 | C1.1 | KP-1 |  40 | JT-16 | 24 | 90 | no | landed | home run                       | voltage
J-2 | KP-1 | TH-1 |  35 | JT-16 | 24 | 90 | no | landed |
J-3 | KP-1 | KP-2 | 190 | JT-16 | 24 | 90 | no | landed | under the boards
J-4 | KP-2 | HC-1 | 590 | JT-16 | 24 | 90 | no | landed | along the jetty's inner stringer
J-5 | HC-1 | HC-2 |  40 | JT-16 | 24 | 90 | no | landed |
J-6 | HC-2 | KP-3 |  15 | JT-16 | 24 | 90 | no | landed |
J-7 | HC-1 | BL-1 |  20 | JT-16 | 24 | 90 | no | landed |
"""),
)

_CABLES = Sheet(
    name="Cable types",
    title="Cable types",
    columns=(
        Column(title="Cable type", width=13),
        Column(title="Gauge", width=13),
        Column(title="Conductors", width=13),
        Column(title="Stranding", width=14),
        Column(title="Shield", width=14),
        Column(title="Capacitance (pF/ft)", width=14),
        Column(title="Insulation (V)", width=14),
        EXPECT,
    ),
    rows=rows("""
JT-16 | 16 AWG | 2 | stranded | unshielded | 29 | 600 |
"""),
)

_CONTROLLERS = Sheet(
    name="Controllers",
    title="Controllers",
    columns=(
        Column(title="Controller", width=13),
        Column(title="Location", width=24),
        Column(title="Supply voltage (V)", width=14),
        Column(title="Supply power (W)", width=14),
        Column(title="Ports", width=13),
        Column(title="Notes", width=30),
        EXPECT,
    ),
    rows=rows("""
C1 | Boathouse, dry side | 24 | 35 | 2 | port 2 kept for the slipway
"""),
)

BOOK = Book(
    file="dunvarrow_boathouse.xlsx",
    theme=MOSS,
    pairs=pairs(
        "Dunvarrow Boathouse", "W-2444", "Dunvarrow Rowing Club", "T. Vellacombe", dt.date(2024, 7, 9), "A"
    ),
    sheets=(
        _DEVICES,
        _PULLS,
        _CABLES,
        _CONTROLLERS,
        load_by(_DEVICES, "Area", "Qty", "Watts"),
        notes_sheet(),
    ),
)

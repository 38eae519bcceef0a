"""An older job that passes: lengths in feet and inches, loads in milliamperes, one combined sheet."""

import datetime as dt

from drafting.jobs.common import EXPECT, pairs
from drafting.office import RUST, Book, Column, Sheet, rows

_DEVICES = Sheet(
    name="Bus list",
    title="Bus list",
    columns=(
        Column(title="Tag", width=12),
        Column(title="Room", width=24),
        Column(title="Description", width=20),
        Column(title="Qty", width=8),
        Column(title="Current (mA at 24 V)", width=13),
        Column(title="From", width=13),
        Column(title="Length", width=13),
        Column(title="Cable", width=12),
        Column(title="Notes", width=28),
        EXPECT,
    ),
    rows=rows("""
K1 | Porch       | keypad, sealed   | 1 | 25 | C1 / 1 | 42'       | C16 | home run
K2 | Nave, south | keypad           | 1 | 25 | K1     | 63'-6"    | C16 |
D1 | Nave, south | dimmer control   | 1 | 50 | K2     | 12'-9"    | C16 |
K3 | Nave, north | keypad           | 1 | 25 | K2     | 88'       | C16 |
D2 | Nave, north | dimmer control   | 1 | 50 | K3     | 11'-3"    | C16 |
S1 | Vestry      | occupancy sensor | 1 | 15 | K3     | 54'-6"    | C16 |
K4 | Vestry      | keypad           | 1 | 25 | S1     | 9' 6 1/2" | C16 |
T1 | Vestry      | thermostat       | 1 | 35 | K4     | 6'        | C16 |
"""),
)

_CABLES = Sheet(
    name="Cable",
    title="Cable",
    columns=(
        Column(title="Cable", width=12),
        Column(title="Gauge", width=13),
        Column(title="Conductors", width=13),
        Column(title="Stranding", width=14),
        Column(title="Shield", width=14),
        Column(title="Capacitance (pF/ft)", width=14),
        Column(title="Insulation (V)", width=14),
        EXPECT,
    ),
    rows=rows("""
C16 | 16 AWG | 2 | stranded | unshielded | 28 | 600 |
"""),
)

BOOK = Book(
    file="past_jobs/fallowmere_chapel.xlsx",
    theme=RUST,
    pairs=pairs(
        "Fallowmere Chapel", "W-2112", "Fallowmere Trustees", "E. Quarrend", dt.date(2021, 4, 19), "as built"
    ),
    sheets=(_DEVICES, _CABLES),
)

"""Terminals in columns of their own: each end is a device and where on it the cable lands. Passes."""

from drafting.kept import Book, Sheet
from drafting.office import NAVY, rows

_WIRING = Sheet(
    name="Wiring schedule",
    above=(
        "Brackenholt Hall: wiring schedule",
        "Cable BC16: 16 AWG, 2 conductor, stranded, unshielded, 27 pF/ft, 600 V",
    ),
    groups=((1, 2, "From"), (3, 4, "To")),
    headings=("Cable no.", "Device", "Terminal", "Device", "Terminal", "Type", "Length (ft)", "expect"),
    widths=(11, 11, 11, 11, 11, 10, 12, 22),
    rows=rows("""
W01 | LC1 | P1      | KP1 | BUS IN | BC16 | 62
W02 | KP1 | BUS OUT | KP2 | BUS IN | BC16 | 35
W03 | KP2 | BUS OUT | TH1 | BUS    | BC16 | 18
W04 | KP2 | BUS OUT | KP3 | BUS IN | BC16 | 74
W05 | KP3 | BUS OUT | DM1 | BUS    | BC16 | 26
W06 | LC1 | P2      | KP4 | BUS IN | BC16 | 110
W07 | KP4 | BUS OUT | OS1 | BUS    | BC16 | 41
W08 | KP4 | BUS OUT | TH2 | BUS    | BC16 | 15
"""),
    below=("Lengths are as paced on site, slack at both ends included.",),
)

_DEVICES = Sheet(
    name="Equipment",
    headings=("Tag", "Room", "What", "Watts", "expect"),
    widths=(10, 22, 20, 9, 22),
    rows=rows("""
KP1 | Porch          | keypad           | 0.6
KP2 | Great hall     | keypad           | 0.6
KP3 | Gallery        | keypad           | 0.6
KP4 | Kitchen        | keypad           | 0.6
TH1 | Great hall     | thermostat       | 0.8
TH2 | Kitchen        | thermostat       | 0.8
DM1 | Gallery        | dimmer control   | 1.4
OS1 | Kitchen passage | occupancy sensor | 0.4
"""),
)

BOOK = Book(file="as_kept/brackenholt_hall.xlsx", theme=NAVY, sheets=(_WIRING, _DEVICES))

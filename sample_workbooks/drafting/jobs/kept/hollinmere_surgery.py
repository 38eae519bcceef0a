"""Order on a port: devices numbered along the run, each length from the one before. One port is overloaded."""

from drafting.kept import Book, Sheet
from drafting.office import MOSS, rows

_RUNS = Sheet(
    name="Bus runs",
    above=(
        "Hollinmere Surgery: bus runs",
        "All cable is BW16: 16 AWG, 2 conductor, stranded, unshielded, 27 pF/ft, 600 V",
    ),
    headings=("Panel", "Port", "No.", "Device", "Room", "Kind", "W", "ft from previous", "expect"),
    widths=(8, 7, 7, 10, 22, 20, 8, 16, 22),
    rows=rows("""
BP1 | 1 | 1 | K-1 | Reception      | keypad           | 0.6 | 48 | power
BP1 | 1 | 2 | T-1 | Reception      | thermostat       | 0.8 | 12
BP1 | 1 | 3 | K-2 | Waiting room   | keypad           | 0.6 | 37
BP1 | 1 | 4 | S-1 | Waiting room   | occupancy sensor | 0.4 | 22
BP1 | 2 | 1 | F-1 | Plant room     | fan controller   | 12  | 30
BP1 | 2 | 2 | F-2 | Consulting 1   | fan controller   | 12  | 55
BP1 | 2 | 3 | F-3 | Consulting 2   | fan controller   | 12  | 40
BP1 | 2 | 4 | K-3 | Consulting 2   | keypad           | 0.6 | 14
BP2 | 1 | 1 | K-4 | Treatment room | keypad           | 0.6 | 66
BP2 | 1 | 2 | T-2 | Treatment room | thermostat       | 0.8 | 9
BP2 | 1 | 3 | S-2 | Store          | occupancy sensor | 0.4 | 27
"""),
    below=("No. 1 hangs on the port itself.",),
)

BOOK = Book(file="as_kept/hollinmere_surgery.xlsx", theme=MOSS, sheets=(_RUNS,))

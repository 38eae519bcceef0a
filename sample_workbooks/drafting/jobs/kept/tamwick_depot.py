"""An export of a database: technical headings, watts as milliwatts, no titles. Passes."""

from drafting.kept import Book, Sheet
from drafting.office import PLAIN, rows

_DEVICES = Sheet(
    name="DEVICE",
    headings=("DEV_ID", "DEV_TAG", "ROOM_NM", "DEV_TYPE", "PWR_MW", "expect"),
    widths=(9, 12, 18, 14, 10, 22),
    rows=rows("""
1001 | TD-KP-01 | GATE        | KEYPAD | 600
1002 | TD-KP-02 | OFFICE      | KEYPAD | 600
1003 | TD-TH-01 | OFFICE      | THERMO | 800
1004 | TD-KP-03 | BAY 1       | KEYPAD | 600
1005 | TD-OS-01 | BAY 1       | OCCUP  | 400
1006 | TD-KP-04 | BAY 2       | KEYPAD | 600
1007 | TD-OS-02 | BAY 2       | OCCUP  | 400
1008 | TD-TH-02 | WASH        | THERMO | 800
"""),
)

_CABLES = Sheet(
    name="CABLE",
    headings=("CBL_ID", "SRC_TAG", "SRC_PORT", "DST_TAG", "CBL_TYPE", "LEN_M", "expect"),
    widths=(9, 12, 10, 12, 10, 9, 22),
    rows=rows("""
5001 | TD-BC-01 | 1 | TD-KP-01 | B15 | 24.5
5002 | TD-KP-01 |   | TD-KP-02 | B15 | 31
5003 | TD-KP-02 |   | TD-TH-01 | B15 | 6
5004 | TD-BC-01 | 2 | TD-KP-03 | B15 | 48
5005 | TD-KP-03 |   | TD-OS-01 | B15 | 12
5006 | TD-KP-03 |   | TD-KP-04 | B15 | 36.5
5007 | TD-KP-04 |   | TD-OS-02 | B15 | 11
5008 | TD-KP-04 |   | TD-TH-02 | B15 | 19
"""),
)

_TYPES = Sheet(
    name="CBL_TYPE",
    headings=(
        "CBL_TYPE",
        "AREA_MM2",
        "CORE_QTY",
        "STRANDED",
        "SHIELDED",
        "CAP_PF_M",
        "INSUL_V",
        "expect",
    ),
    widths=(10, 11, 10, 11, 11, 10, 10, 22),
    rows=rows("""
B15 | 1.5 | 2 | Y | N | 88 | 600
"""),
)

BOOK = Book(file="as_kept/tamwick_depot.xlsx", theme=PLAIN, sheets=(_DEVICES, _CABLES, _TYPES))

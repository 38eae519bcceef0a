"""Files whose cells, layout or text are unusual, and files that are nothing at all, each made by code."""

import random
from typing import Any

from tests.batch.cases import AUDIT, EITHER, REFUSE, SHEET, WELL, case, lengths, made
from tests.intake.packages import changed, replaced
from tests.intake.workbooks import DEVICES, PULLS, job_workbook, with_lengths, workbook


@case(33, "not calculated.xlsx", AUDIT, "not calculated")
def _() -> bytes:
    data = made(lambda book, sheet: sheet.write_formula(1, 3, "=100+20", None, ""))
    return changed(data, {SHEET: lambda content: content.replace(b"<v></v>", b"")})


@case(34, "faults in cells.xlsx", AUDIT, "#REF!", "#N/A", "#DIV/0!")
def _() -> bytes:
    def faults(book: Any, sheet: Any) -> None:
        for row, value in enumerate(("#REF!", "#N/A", "#DIV/0!"), 1):
            sheet.write_formula(row, 3, "=1/0", None, value)

    return made(faults)


@case(35, "dates.xlsx", AUDIT, "date")
def _() -> bytes:
    return made(
        lambda book, sheet: sheet.write_number(1, 3, 45_632, book.add_format({"num_format": "d-mmm"}))
    )


case(36, "beyond measure.xlsx", AUDIT, "unreadable-value")(lengths(1e308, 1e-320, 9.99e307, 50))

case(37, "not numbers.xlsx", AUDIT, "'NaN'", "'INF'")(lengths("NaN", "INF", 50))


@case(37, "not numbers in cells.xlsx", EITHER)
def _() -> bytes:
    return changed(
        WELL,
        {
            SHEET: lambda content: content.replace(b"<v>120</v>", b"<v>NaN</v>").replace(
                b"<v>80</v>", b"<v>INF</v>"
            )
        },
    )


case(38, "negative.xlsx", AUDIT, "unreadable-value")(lengths(-5, 0, 50))


@case(38, "negative quantity.xlsx", AUDIT, "unreadable-value")
def _() -> bytes:
    return job_workbook(devices=[["Tag", "Qty", "Power (W)"], ["K1", -2, 1], ["K2", 1, 1], ["T3", 1, 1]])


case(39, "units.xlsx", AUDIT)(lengths("120 ft", "36.5 m", "600 in", "50"))

case(39, "no unit.xlsx", AUDIT, "unit")(lambda: with_lengths(120, 36.5, heading="Length"))

case(40, "feet and inches.xlsx", AUDIT, "about 12 feet or so")(
    lengths(
        "120'", "12'-6\"", "12' 6 1/2\"", '6"', "12\u2032-6\u2033", "12\u2019-6\u201d", "about 12 feet or so"
    )
)

case(41, "separators.xlsx", AUDIT, "unreadable-value")(lengths("1.250", "1,25", 50))

case(42, "numbers as text.xlsx", AUDIT, "'TBD'", "'~40'", "missing-value")(
    lengths("\u00a0120", "\uff11\uff12\uff10", "\u0661\u0662\u0660", "120 ", "~40", "40-50", "TBD", "")
)

case(43, "quantities.xlsx", AUDIT, "1.5", "unreadable-value")(
    lambda: job_workbook(
        devices=[
            ["Tag", "Qty", "Power (W)"],
            ["K1", 1.5, 1],
            ["K2", "2 ea", 1],
            ["T3", True, 1],
            ["T4", "10%", 1],
        ]
    )
)


def hostile(*tags: str) -> bytes:
    """A line of devices with these tags, drawing too much, so that every tag is spoken of."""
    pulls = [["Pull", "From", "To", "Length (ft)"]]
    pulls += [
        [f"P{n}", near, far, 900] for n, (near, far) in enumerate(zip(("C1.1", *tags), tags, strict=False), 1)
    ]
    return job_workbook([["Tag", "Power (W)"], *([tag, 20] for tag in tags)], pulls)


case(44, "formulas.xlsx", AUDIT)(
    lambda: hostile("=cmd|'/c calc'!A1", "+1+1", "-2+3", "@SUM(1)", "\t=1+1", "\uff1d1+1")
)


@case(45, "odd characters.csv", AUDIT)
def _() -> bytes:
    tags = ("K\x01\x1b[31m", "K\U0001f600", "K\u202edm", "K\x7f")
    rows = ["Pull,From,To,Length (ft)", *(f"P{n},C1.1,{tag},1500" for n, tag in enumerate(tags))]
    return "\n".join(rows).encode() + b"\nP9,C1.1,K\xed\xa0\x80,20\n"


case(46, "tags alike.xlsx", AUDIT)(lambda: hostile("K-10", "k-10", "K 10", "K-1O", "K\u201310"))

case(47, "letters alike.xlsx", AUDIT)(lambda: hostile("A1", "\u04101", "K\u00fcche", "Ku\u0308che"))


@case(48, "dates from 1904.xlsx", AUDIT)
def _() -> bytes:
    return changed(WELL, {"xl/workbook.xml": replaced(b"<workbookPr ", b'<workbookPr date1904="1" ')})


@case(49, "merged headings.xlsx", AUDIT)
def _() -> bytes:
    def merged(book: Any, sheet: Any) -> None:
        sheet.merge_range("A1:A2", "Pull")
        sheet.merge_range("B1:C1", "Ends")
        sheet.write_row("B2", ["From", "To"])
        sheet.merge_range("D1:D2", "Length (ft)")

    return made(merged, [["", "", "", ""], ["", "", "", ""], *(row[:4] for row in PULLS[1:])])


case(50, "title block.xlsx", AUDIT)(
    lambda: job_workbook(pulls=[["Lodge"], ["Revision", 3], ["Date", "today"], *[[]] * 13, *PULLS])
)

case(51, "tables side by side.xlsx", AUDIT)(
    lambda: workbook(
        {
            "All": [[*device, "", *pull] for device, pull in zip(DEVICES, PULLS, strict=True)]
            + [[], [], ["Cable", "Gauge"], ["16/2", "16 AWG"]]
        }
    )
)

case(52, "headings repeated.xlsx", AUDIT)(lambda: job_workbook(pulls=[*PULLS[:2], PULLS[0], *PULLS[2:]]))

case(53, "totals.xlsx", AUDIT)(
    lambda: job_workbook(
        pulls=[
            PULLS[0],
            ["First floor"],
            *PULLS[1:3],
            ["Subtotal", "", "", 200],
            PULLS[3],
            ["Total", "", "", 245.5],
            ["* measured on plan"],
        ]
    )
)


@case(54, "hidden and struck.xlsx", AUDIT, "hidden", "struck through")
def _() -> bytes:
    def hide(book: Any, sheet: Any) -> None:
        sheet.set_row(1, None, None, {"hidden": True})
        sheet.set_column("E:E", None, None, {"hidden": True})
        sheet.write_row(3, 0, PULLS[3], book.add_format({"font_strikeout": True}))

    return made(hide)


@case(55, "filter and panes.xlsx", AUDIT)
def _() -> bytes:
    def view(book: Any, sheet: Any) -> None:
        sheet.autofilter("A1:E4")
        sheet.filter_column("D", "x > 50")
        sheet.freeze_panes(1, 1)
        sheet.print_area("A1:E4")
        sheet.conditional_format(
            "A1:XFD1048576", {"type": "no_blanks", "format": book.add_format({"italic": True})}
        )

    return made(view)


@case(56, "very hidden list.xlsx", AUDIT, "hidden")
def _() -> bytes:
    data = workbook({"Pulls": PULLS, "Devices": DEVICES})
    hide = replaced(b'<sheet name="Devices" ', b'<sheet name="Devices" state="veryHidden" ')
    return changed(data, {"xl/workbook.xml": hide})


@case(57, "protected.xlsx", AUDIT)
def _() -> bytes:
    data = made(lambda book, sheet: sheet.protect("word"))
    return changed(
        data, {"xl/workbook.xml": replaced(b"<sheets>", b'<workbookProtection lockStructure="1"/><sheets>')}
    )


case(58, "sheet names.xlsx", AUDIT)(
    lambda: workbook(
        {
            "Rooms 'up' & down, first floor": DEVICES,
            "Pulls '1' of thirty-one letters": PULLS,
            "audit": [["mine"]],
        }
    )
)


@case(60, "list object.xlsx", AUDIT)
def _() -> bytes:
    columns = [{"header": header} for header in PULLS[0]]
    return made(lambda book, sheet: sheet.add_table("A1:E4", {"columns": columns, "data": PULLS[1:]}))


@case(61, "links.xlsx", AUDIT)
def _() -> bytes:
    return made(lambda book, sheet: sheet.write_formula("D2", "='[other job.xlsx]Pulls'!$A$1", None, 120))


case(62, "no tables.xlsx", REFUSE, "no pull schedule found", "Budget")(
    lambda: workbook({"Budget": [["Item", "Price"], ["Paint", 20]]})
)

case(63, "no rows.xlsx", AUDIT)(lambda: job_workbook([DEVICES[0]], [PULLS[0]]))

case(64, "other language.xlsx", EITHER)(
    lambda: workbook(
        {
            "Geräte": [["Kennzeichen", "Leistung [W]"], ["K1", 1]],
            "Kabel": [["Kabel-Nr.", "von", "nach", "Länge [m]"], ["1", "C1.1", "K1", 12]],
        }
    )
)

case(64, "odd words.xlsx", EITHER)(
    lambda: workbook({"X": [["Whence", "Whither", "How far"], ["C1.1", "K1", 12]]})
)

_TEXT = "Cable,From,To,Length (ft)\nW1,C1.1,K1,120\n"

case(65, "byte order mark.csv", AUDIT)(lambda: _TEXT.encode("utf-8-sig"))

case(66, "semicolons.csv", AUDIT)(lambda: "Kabel;von;nach;Länge [m]\nW1;C1.1;Küche;41,5\n".encode("cp1252"))

case(67, "wide.csv", AUDIT)(lambda: _TEXT.replace(",", "\t").encode("utf-16"))

case(68, "quoted.csv", AUDIT)(
    lambda: b'sep=;\nPull;From;To;Length (ft);Notes\nP1;C1.1;K1;120;"first line\nsecond ""line"""\n'
)

case(69, "open quote.csv", EITHER)(lambda: b'Pull,From,To,Length (ft)\nP1,C1.1,"K1,120\nP2,K1,K2,50\n')

case(69, "ragged.csv", EITHER)(
    lambda: b"Pull,From,To,Length (ft)\nP1,C1.1,K1,120,,,,x\nP2,K1\n\0\0P3,K1,K2,20\n"
)

case(69, "long cell.csv", EITHER)(
    lambda: b"Pull,From,To,Length (ft),Notes\nP1,C1.1,K1,120," + b"x" * 5_000_000 + b"\n"
)


def noise(seed: int, length: int) -> bytes:
    """Bytes that are nothing at all."""
    return random.Random(seed).randbytes(length)


case(0, "noise.xlsx", REFUSE)(lambda: noise(1, 5000))

case(0, "noise in a package.xlsx", REFUSE)(lambda: b"PK\x03\x04" + noise(2, 5000))

case(0, "noise in an old file.xls", REFUSE)(lambda: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + noise(3, 5000))

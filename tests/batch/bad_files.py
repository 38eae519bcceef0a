"""The files of the list of bad inputs, each made by code. The numbers are that list's.

Cases 70 to 88 are situations, not files: they are made by the tests that need them.
"""

import io
import random
import re
import struct
import zipfile
import zlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import xlsxwriter

from tests.intake.packages import changed, replaced
from tests.intake.workbooks import DEVICES, PULLS, job_workbook, with_lengths, workbook

WELL = job_workbook()
SHEET = "xl/worksheets/sheet2.xml"  # the pull schedule of WELL
AUDIT, REFUSE, EITHER = "audit", "refuse", "either"


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One file, what must become of it, and words that its line or its findings must say."""

    number: int
    file: str
    make: Callable[[], bytes]
    outcome: str
    words: tuple[str, ...]


_CASES: list[Case] = []


def case(number: int, file: str, outcome: str, *words: str) -> Callable[[Callable[[], bytes]], Any]:
    def listed(make: Callable[[], bytes]) -> Callable[[], bytes]:
        _CASES.append(
            Case(number=number, file=f"{number:02} {file}", make=make, outcome=outcome, words=words)
        )
        return make

    return listed


def cases() -> Iterator[Case]:
    return iter(_CASES)


def made(build: Callable[[Any, Any], None], rows: Sequence[Sequence[Any]] = PULLS) -> bytes:
    """A job whose pull sheet XlsxWriter has changed: `build(book, sheet)`."""
    held = io.BytesIO()
    with xlsxwriter.Workbook(held, {"in_memory": True}) as book:
        devices, pulls = book.add_worksheet("Devices"), book.add_worksheet("Pulls")
        for sheet, table in ((devices, DEVICES), (pulls, rows)):
            for r, row in enumerate(table):
                sheet.write_row(r, 0, row)
        build(book, pulls)
    return held.getvalue()


def lengths(*values: Any) -> Callable[[], bytes]:
    return lambda: with_lengths(*values)


# Container


@case(1, "password.xlsx", REFUSE, "needs a password")
def _() -> bytes:
    from msoffcrypto.format.ooxml import OOXMLFile

    held = io.BytesIO()
    OOXMLFile(io.BytesIO(WELL)).encrypt("secret", held)
    return held.getvalue()


case(2, "cut off.xlsx", REFUSE, "incomplete or damaged")(lambda: WELL[: len(WELL) * 6 // 10])


@case(3, "bit flipped.xlsx", REFUSE, "'xl/worksheets/sheet2.xml' is damaged")
def _() -> bytes:
    entry = zipfile.ZipFile(io.BytesIO(WELL)).getinfo(SHEET)
    broken = bytearray(WELL)
    broken[entry.header_offset + 30 + len(SHEET) + entry.compress_size // 2] ^= 0x10
    return bytes(broken)


case(4, "bytes around.xlsx", EITHER)(lambda: b"From: mail\r\n\r\n" + WELL + b"\r\n--end--\r\n")


@case(5, "xls inside.xlsx", AUDIT, "xls by its content")
def _() -> bytes:
    import xlwt

    book = xlwt.Workbook()
    for title, rows in (("Devices", DEVICES), ("Pulls", PULLS)):
        sheet = book.add_sheet(title)
        for r, row in enumerate(rows):
            for c, value in enumerate(row):
                sheet.write(r, c, value)
    held = io.BytesIO()
    book.save(held)
    return held.getvalue()


case(6, "xlsx inside.xls", AUDIT, "xlsx by its content")(lambda: WELL)
case(7, "web page.xls", REFUSE, "web page", "save it as .xlsx")(
    lambda: b"<html><body><table><tr><td>From</td><td>To</td></tr></table></body></html>"
)
case(8, "xml of 2003.xls", REFUSE, "2003 XML")(
    lambda: (
        b'<?xml version="1.0"?><?mso-application progid="Excel.Sheet"?>'
        b'<Workbook xmlns="urn:schemas-microsoft-com:office:spreadsheet"/>'
    )
)
case(9, "text inside.xlsx", AUDIT, "csv by its content")(
    lambda: b"Pull,From,To,Length (ft)\nP1,C1.1,K1,120\n"
)
case(9, "letter.xlsx", REFUSE, "text with a workbook's name")(
    lambda: b"Dear all,\nplease find it attached.\n"
)
case(10, "empty.xlsx", REFUSE, "the file is empty")(lambda: b"")
case(12, "letter of an office.xlsx", REFUSE, "a text document, no workbook")(
    lambda: package({"[Content_Types].xml": b"<Types/>", "word/document.xml": b"<document/>"})
)


def package(parts: dict[str, bytes]) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as target:
        for part, content in parts.items():
            target.writestr(part, content)
    return held.getvalue()


@case(13, "swells.xlsx", REFUSE, "would unpack to 1,074 MB")
def _() -> bytes:
    return swelling(declared_bytes=SWOLLEN_BYTES)


SWOLLEN_BYTES = 1024**3
_BLOCK = b" " * 1024**2


def swelling(declared_bytes: int) -> bytes:
    """A workbook of about 1 MB whose pull schedule unpacks to 1 GiB, and what its directory says of that.

    The sheet is one block again and again. A block that is flushed in full leans on nothing before it, so
    its packed form can be repeated as well, and nothing large is ever made.
    """
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    packed_block = packer.compress(_BLOCK) + packer.flush(zlib.Z_FULL_FLUSH)
    times = SWOLLEN_BYTES // len(_BLOCK)
    packed = packed_block * times + packer.flush()
    check_sum = 0
    for _ in range(times):
        check_sum = zlib.crc32(_BLOCK, check_sum)
    title = SHEET.encode()
    about = struct.pack("<HHHHHIIIHH", 20, 0, 8, 0, 33, check_sum, len(packed), declared_bytes, len(title), 0)
    listed = b"PK\x01\x02" + struct.pack("<H", 20) + about + struct.pack("<HHHII", 0, 0, 0, 0, 0) + title
    part = b"PK\x03\x04" + about + title + packed
    end = b"PK\x05\x06" + struct.pack("<HHHHIIH", 0, 0, 1, 1, len(listed), len(part), 0)
    held, well = io.BytesIO(part + listed + end), zipfile.ZipFile(io.BytesIO(WELL))
    with zipfile.ZipFile(held, "a", zipfile.ZIP_DEFLATED) as target:
        for other in well.namelist():
            if other != SHEET:
                target.writestr(other, well.read(other))
    return held.getvalue()


case(14, "entities.xlsx", REFUSE, "declares a document type")(
    lambda: changed(
        WELL,
        {SHEET: replaced(b"<worksheet", b'<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><worksheet')},
    )
)
case(15, "outside entity.xlsx", REFUSE, "declares a document type")(
    lambda: changed(
        WELL,
        {
            "xl/workbook.xml": replaced(
                b"?>\n<workbook", b'?><!DOCTYPE x [<!ENTITY h SYSTEM "file:///etc/hostname">]><workbook'
            )
        },
    )
)
case(16, "climbs out.xlsx", AUDIT)(lambda: changed(WELL, {}, {"../../evil.txt": b"x"}))


@case(17, "part twice.xlsx", REFUSE, "'xl/worksheets/sheet2.xml' twice")
def _() -> bytes:
    held = io.BytesIO(changed(WELL, {}, {"xl/worksheets/sheet9.xml": b"<worksheet/>"}))
    return held.getvalue().replace(b"xl/worksheets/sheet9.xml", b"xl/worksheets/sheet2.xml")


@case(19, "strict.xlsx", AUDIT)
def _() -> bytes:
    def edit(content: bytes) -> bytes:
        content = content.replace(
            b"http://schemas.openxmlformats.org/spreadsheetml/2006/main",
            b"http://purl.oclc.org/ooxml/spreadsheetml/main",
        )
        return content.replace(
            b"http://schemas.openxmlformats.org/officeDocument/2006/relationships",
            b"http://purl.oclc.org/ooxml/officeDocument/relationships",
        )

    return changed(WELL, dict.fromkeys(zipfile.ZipFile(io.BytesIO(WELL)).namelist(), edit))


@case(20, "prefixed.xlsx", AUDIT)
def _() -> bytes:
    def prefixed(content: bytes) -> bytes:
        return re.sub(rb"<(/?)(?=[a-zA-Z])", rb"<\1x:", content).replace(b"xmlns=", b"xmlns:x=")

    return changed(WELL, {SHEET: prefixed})


@case(21, "no texts.xlsx", EITHER, "damaged")
def _() -> bytes:
    source = zipfile.ZipFile(io.BytesIO(WELL))
    return package({part: source.read(part) for part in source.namelist() if part != "xl/sharedStrings.xml"})


@case(22, "macros.xlsm", AUDIT)
def _() -> bytes:
    types = replaced(b"spreadsheetml.sheet.main+xml", b"sheet.macroEnabled.main+xml")
    named = replaced(
        b"</Types>", b'<Default Extension="bin" ContentType="application/vnd.ms-office.vbaProject"/></Types>'
    )
    return changed(
        WELL,
        {
            "[Content_Types].xml": lambda content: named(
                types(content).replace(
                    b"application/vnd.openxmlformats-officedocument.sheet.macro",
                    b"application/vnd.ms-excel.sheet.macro",
                )
            )
        },
        {"xl/vbaProject.bin": b"\xd0\xcf\x11\xe0 macros"},
    )


@case(23, "signed.xlsx", AUDIT, "signed")
def _() -> bytes:
    origin = (
        b'<Relationship Id="rIdS" Type="http://schemas.openxmlformats.org/package/2006/relationships/'
        b'digital-signature/origin" Target="_xmlsignatures/origin.sigs"/></Relationships>'
    )
    types = (
        b'<Default Extension="sigs" '
        b'ContentType="application/vnd.openxmlformats-package.digital-signature-origin"/></Types>'
    )
    return changed(
        WELL,
        {
            "_rels/.rels": replaced(b"</Relationships>", origin),
            "[Content_Types].xml": replaced(b"</Types>", types),
        },
        {"_xmlsignatures/origin.sigs": b"", "_xmlsignatures/sig1.xml": b"<Signature/>"},
    )


# Size and shape


@case(24, "last column coloured.xlsx", AUDIT)
def _() -> bytes:
    return made(lambda book, sheet: sheet.write_blank("XFD1", None, book.add_format({"bg_color": "red"})))


@case(25, "last cell.xlsx", AUDIT, "XFD1048576 on 'Pulls' stands far away")
def _() -> bytes:
    return made(lambda book, sheet: sheet.write_number("XFD1048576", 1))


@case(26, "a million styled rows.xlsx", AUDIT)
def _() -> bytes:
    rows = b"".join(b'<row r="%d" s="1" customFormat="1"/>' % row for row in range(5, 1_000_005))
    data = made(lambda book, sheet: sheet.set_row(0, None, book.add_format({"bg_color": "silver"})))
    return changed(data, {SHEET: replaced(b"</sheetData>", rows + b"</sheetData>")})


def many_pulls(count: int) -> bytes:
    """That many pulls in lines of twenty devices, four ports a controller; case 27 in `test_large_inputs`."""

    def ends(pull: int) -> tuple[str, str]:
        first = pull % 20 == 0
        return f"C{pull // 80 + 1}.{pull // 20 % 4 + 1}" if first else f"K{pull - 1}", f"K{pull}"

    text = '<c t="inlineStr"><is><t>%s</t></is></c>'
    row = f"<row>{text}{text}{text}<c><v>%d</v></c></row>"
    rows = "".join(row % (f"P{pull}", *ends(pull), 10 + pull % 40) for pull in range(count))
    headed = job_workbook(pulls=[PULLS[0][:4]])
    return changed(headed, {SHEET: replaced(b"</sheetData>", rows.encode() + b"</sheetData>")})


@case(28, "400 sheets.xlsx", AUDIT)
def _() -> bytes:
    return workbook({"Devices": DEVICES, "Pulls": PULLS} | {f"Note {n}": [["a note"]] for n in range(398)})


@case(29, "64,000 styles.xlsx", AUDIT)
def _() -> bytes:
    def many(content: bytes) -> bytes:
        count = re.search(rb'<cellXfs count="(\d+)">', content)
        assert count
        more = b'<xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/>' * (64_000 - int(count[1]))
        content = content.replace(count[0], b'<cellXfs count="64000">')
        return content.replace(b"</cellXfs>", more + b"</cellXfs>")

    return changed(WELL, {"xl/styles.xml": many})


@case(30, "long text.xlsx", AUDIT)
def _() -> bytes:
    return made(
        lambda book, sheet: sheet.write_string(1, 6, "x" * 32_767), [[*PULLS[0], "Notes"], *PULLS[1:]]
    )


@case(31, "last columns.xlsx", AUDIT)
def _() -> bytes:
    held = io.BytesIO()
    with xlsxwriter.Workbook(held, {"in_memory": True}) as book:
        devices, pulls = book.add_worksheet("Devices"), book.add_worksheet("Pulls")
        for r, row in enumerate(DEVICES):
            devices.write_row(r, 0, row)
        for r, row in enumerate(PULLS):
            pulls.write_row(r, 16_384 - len(PULLS[0]), row)
    return held.getvalue()


case(32, "notes at the right.xlsx", AUDIT)(
    lambda: made(lambda book, sheet: sheet.write_string(1, 6, "call the electrician"))
)

# Values


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


# Layout


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

# Text

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

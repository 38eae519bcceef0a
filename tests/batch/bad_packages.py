"""Files whose package is damaged, hostile, large or unusual, each made by code."""

import io
import re
import struct
import zipfile
import zlib

import xlsxwriter

from tests.batch.cases import AUDIT, EITHER, REFUSE, SHEET, WELL, case, made
from tests.intake.packages import changed, replaced
from tests.intake.workbooks import DEVICES, PULLS, job_workbook, workbook


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

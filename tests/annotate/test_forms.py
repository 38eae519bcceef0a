"""Legal forms of the same workbook that other producers write. None may lose a thing, and both ways
of reading rows must come to the same."""

import io
import re
import zipfile

import openpyxl
import pytest
import python_calamine

from auditor.errors import UnusableFileError
from tests.annotate import books
from tests.annotate.calls import annotate, strip
from tests.annotate.compare import lost, out_of_order, parts

SHEET, BOOK, STYLES = "xl/worksheets/sheet1.xml", "xl/workbook.xml", "xl/styles.xml"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def repacked(data: bytes, **changes) -> bytes:
    """The workbook with some parts changed: `sheet`, `book`, `styles` or `everything`."""
    where = {"sheet": SHEET, "book": BOOK, "styles": STYLES}
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, (content, _) in parts(data).items():
            for key, change in changes.items():
                if where.get(key) == name or (key == "everything" and name.endswith((".xml", ".rels"))):
                    content = change(content)  # noqa: PLW2901
            archive.writestr(name, content)
    return out.getvalue()


def feature(book, sheet):
    sheet.set_column("H:XFD", 5)
    sheet.autofilter("A4:F16")
    sheet.conditional_format("D5:D16", {"type": "2_color_scale"})
    sheet.write_url("A20", "https://example.org")
    sheet.print_area("A1:F16")
    sheet.write_blank(6, 30, None, book.add_format({"bold": True}))


def prefixed(content: bytes) -> bytes:
    content = re.sub(rb"<(/?)(?![?!])([\w.-]+)(?=[\s/>])", rb"<\1x:\2", content)
    return content.replace(b' xmlns="', b' xmlns:x="')


def without_places(content: bytes) -> bytes:
    """No r= on rows and cells: rows and cells that are missing are written out empty."""
    rows = dict.fromkeys(range(1, 21), b"<row/>")
    for number, row in re.findall(rb'<row r="(\d+)"[^>]*>(.*?)</row>', content):
        cells = {}
        for letters, cell in re.findall(rb'(?=<c r="([A-Z]+)\d+")(<c .*?(?:/>|</c>))', row):
            cells[letters] = re.sub(rb' r="[A-Z]+\d+"', b"", cell)
        here = [
            cells.get(bytes([65 + at]), b"<c/>")
            for at in range(max([0, *(c[0] - 64 for c in cells if len(c) == 1)]))
        ]
        rows[int(number)] = b"<row>" + b"".join(here) + b"</row>"
    data = b"<sheetData>" + b"".join(rows[number] for number in sorted(rows)) + b"</sheetData>"
    return re.sub(rb"<sheetData>.*</sheetData>", lambda _: data, content)


def strict(content: bytes) -> bytes:
    return (
        content.replace(MAIN.encode(), b"http://purl.oclc.org/ooxml/spreadsheetml/main")
        .replace(
            b"http://schemas.openxmlformats.org/officeDocument/2006/relationships",
            b"http://purl.oclc.org/ooxml/officeDocument/relationships",
        )
        .replace(
            b"http://schemas.openxmlformats.org/drawingml/2006/", b"http://purl.oclc.org/ooxml/drawingml/"
        )
    )


def declared(encoding: str):
    def change(content: bytes) -> bytes:
        text = content.decode().replace('encoding="UTF-8"', f'encoding="{encoding}"')
        return text.encode(encoding, "xmlcharrefreplace")

    return change


FORMS = {
    "byte order mark": {"sheet": lambda c: b"\xef\xbb\xbf" + c, "book": lambda c: b"\xef\xbb\xbf" + c},
    "prefixed sheet": {"sheet": prefixed},
    "prefixed throughout": {"sheet": prefixed, "book": prefixed, "styles": prefixed},
    "comment": {"sheet": lambda c: c.replace(b"<sheetData>", b"<sheetData><!-- </row> <c r='A1'/> -->")},
    "instruction": {"sheet": lambda c: c.replace(b"</row>", b"<?x </row> ?></row>", 3)},
    "character data section": {"sheet": lambda c: c.replace(b"</v></c>", b"</v></c><!-- </c> -->", 9)},
    "value in a section": {"sheet": lambda c: re.sub(rb"<v>(\d+)</v>", rb"<v><![CDATA[\1]]></v>", c)},
    "spread over lines": {
        "sheet": lambda c: re.sub(rb"(<(?:row|c|v|sheetData|cols|col)\b)", rb"\n  \1", c).replace(
            b"</row>", b"\n  </row>"
        )
    },
    "single quotes": {
        "sheet": lambda c: re.sub(rb"(<(?:row|c) [^>]*>)", lambda m: m[1].replace(b'"', b"'"), c)
    },
    "greater-than in an attribute": {
        "sheet": lambda c: c.replace(b'<row r="6"', b"<row thickBot='0' r=\"6\"")
    },
    "blanks in end tags": {
        "sheet": lambda c: c.replace(b"</row>", b"</row >", 5).replace(b"</c>", b"</c\n>", 20)
    },
    "no places": {"sheet": without_places},
    "no dimension": {"sheet": lambda c: re.sub(rb"<dimension[^>]*/>", b"", c)},
    "no columns": {"sheet": lambda c: re.sub(rb"<cols>.*</cols>", b"", c)},
    "empty rows as one tag": {
        "sheet": lambda c: c.replace(b'<row r="4"', b'<row r="2" ht="30"/><row r="3"/><row r="4"')
    },
    "UTF-16 sheet": {"sheet": declared("utf-16")},
    "UTF-16 workbook": {"book": declared("utf-16")},
    "Latin-1": {"sheet": declared("iso-8859-1")},
    "own namespaces": {
        "sheet": lambda c: c.replace(
            b"<worksheet ",
            b'<worksheet xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006" '
            b'mc:Ignorable="q" xmlns:q="urn:q" q:a="1" ',
        ).replace(b"<row ", b'<row q:b="2" ')
    },
    "no styles counts": {"styles": lambda c: re.sub(rb' count="\d+"', b"", c)},
    "no differential formats": {"styles": lambda c: re.sub(rb'<dxfs count="0"/>', b"", c)},
}


@pytest.mark.parametrize("form", FORMS)
def test_forms(form):
    source = repacked(books.plain(feature), **FORMS[form])
    added, sheets = [books.columns(books.table())], books.scratch()
    annotated = annotate(source, added, sheets)
    assert lost(source, annotated, [books.table()], {"Pulls": 7}) == []
    assert out_of_order(annotated) == []
    assert annotate(annotated, added, sheets) == annotated
    assert contents(strip(annotated)) == contents(source)
    assert_read_by_calamine(annotated)


def contents(data: bytes) -> dict[str, bytes]:
    return {name: content for name, (content, _) in parts(data).items()}


def assert_read_by_calamine(annotated: bytes) -> None:
    book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(annotated))
    rows = book.get_sheet_by_name("Pulls").to_python(skip_empty_area=False)
    for offset, column in enumerate(books.columns(books.table()).columns):
        found = {number: rows[number - 1][6 + offset] for number in books.table().rows}
        assert found == {number: column.values.get(number, "") for number in books.table().rows}


def test_strict_workbooks_get_strict_sheets():
    def mark(content: bytes) -> bytes:
        return content.replace(b"<workbook ", b'<workbook conformance="strict" ')

    source = repacked(books.plain(feature), everything=strict, book=mark)
    annotated = annotate(source, [books.columns(books.table())], books.scratch())
    assert lost(source, annotated, [books.table()], {"Pulls": 7}) == []
    assert out_of_order(annotated) == []
    ours = [content for name, (content, _) in parts(annotated).items() if name not in parts(source)]
    assert not [c for c in ours if MAIN.encode() in c or b"officeDocument/2006/relationships/" in c]
    assert contents(strip(annotated)) == contents(source)
    assert_read_by_calamine(annotated)


def test_a_workbook_without_styles_gets_them():
    def without(content: bytes) -> bytes:
        content = re.sub(rb'<Override PartName="/xl/styles.xml"[^>]*/>', b"", content)
        return re.sub(rb'<Relationship Id="\w+" Type="[^"]*/styles"[^>]*/>', b"", content)

    source = repacked(books.plain(), everything=without, sheet=lambda c: re.sub(rb' s="\d+"', b"", c))
    members = contents(source)
    del members[STYLES]
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    annotated = annotate(out.getvalue(), [books.columns(books.table())], books.scratch())
    sheet = openpyxl.load_workbook(io.BytesIO(annotated))["Pulls"]
    assert sheet["I5"].number_format == "0.0"
    assert contents(strip(annotated)) == members


class _Pipe(io.RawIOBase):
    """A stream that cannot seek, so that zipfile writes data descriptors."""

    def __init__(self) -> None:
        self.data = bytearray()

    def writable(self) -> bool:
        return True

    def write(self, data) -> int:
        self.data += data
        return len(data)


def test_streamed_zips_with_extra_fields_and_a_comment():
    pipe = _Pipe()
    with zipfile.ZipFile(pipe, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in contents(books.plain()).items():
            info = zipfile.ZipInfo(name, (2020, 2, 2, 2, 2, 2))
            info.extra, info.comment = b"\x99\x99\x02\x00ab", b"of a member"
            info.compress_type = zipfile.ZIP_DEFLATED if name != BOOK else zipfile.ZIP_STORED
            archive.writestr(info, content)
        archive.comment = b"of the archive"
    source = bytes(pipe.data)
    annotated = annotate(source, [books.columns(books.table())], None)
    assert lost(source, annotated, [books.table()], {"Pulls": 7}) == []
    there = zipfile.ZipFile(io.BytesIO(annotated))
    assert there.comment == b"of the archive"
    assert there.getinfo(STYLES).extra == b"\x99\x99\x02\x00ab"
    assert there.testzip() is None
    assert contents(strip(annotated)) == contents(source)


def test_zip64_members_that_are_small_after_all():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in contents(books.plain()).items():
            with archive.open(zipfile.ZipInfo(name), "w", force_zip64=True) as member:
                member.write(content)
    annotated = annotate(out.getvalue(), [books.columns(books.table())], None)
    assert zipfile.ZipFile(io.BytesIO(annotated)).testzip() is None


def damaged(change) -> bytes:
    return change(books.plain())


def flipped(data: bytes) -> bytes:
    packed = parts(data)[SHEET][1]
    at = data.index(packed) + len(packed) // 2
    return data[:at] + bytes([data[at] ^ 0x55]) + data[at + 1 :]


def encrypted(data: bytes) -> bytes:
    at = data.index(b"PK\x01\x02") + 8
    return data[:at] + bytes([data[at] | 1]) + data[at + 1 :]


def twice(data: bytes) -> bytes:
    out = io.BytesIO(data)
    with pytest.warns(UserWarning, match="Duplicate"), zipfile.ZipFile(out, "a") as archive:
        archive.writestr(SHEET, b"<worksheet/>")
    return out.getvalue()


def without(data: bytes, part: str) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in contents(data).items():
            if name != part:
                archive.writestr(name, content)
    return out.getvalue()


UNUSABLE = {
    "cut off": (lambda data: data[: len(data) * 6 // 10], "incomplete or damaged"),
    "empty": (lambda data: b"", "incomplete or damaged"),
    "password": (lambda data: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "password"),
    "flipped bit": (flipped, "sheet1.xml' is damaged"),
    "encrypted member": (encrypted, "needs a password"),
    "member twice": (twice, "sheet1.xml' twice"),
    "not well-formed": (
        lambda data: repacked(data, sheet=lambda c: c.replace(b"</sheetData>", b"")),
        "sheet1.xml",
    ),
    "document type": (
        lambda data: repacked(data, book=lambda c: c.replace(b"<workbook", b"<!DOCTYPE a><workbook")),
        "document type",
    ),
    "document type in a sheet": (
        lambda data: repacked(
            data, sheet=lambda c: c.replace(b"<worksheet", b"<!DOCTYPE a [<!ENTITY b 'c'>]><worksheet")
        ),
        "sheet1.xml",
    ),
    "unknown encoding": (
        lambda data: repacked(data, sheet=lambda c: c.replace(b"UTF-8", b"X-9")),
        "written in x-9",
    ),
    "another zip": (lambda data: without(data, "xl/workbook.xml"), "without a workbook"),
    "no content types": (lambda data: without(data, "[Content_Types].xml"), "lacks its part"),
}


@pytest.mark.parametrize("case", UNUSABLE)
def test_what_cannot_be_used_is_refused_in_one_sentence(case):
    change, words = UNUSABLE[case]
    with pytest.raises(UnusableFileError, match=words):
        annotate(damaged(change), [books.columns(books.table())], None)


def test_part_names_with_backslashes():
    """As some producers write them; our own parts are named as the standard wants."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in contents(books.plain(feature)).items():
            info = zipfile.ZipInfo(name)
            info.filename = name.replace("/", "\\")
            archive.writestr(info, content)
    source = out.getvalue()
    added, sheets = [books.columns(books.table())], books.scratch()
    annotated = annotate(source, added, sheets)
    there = contents(annotated)
    assert {name.replace("/", "\\") for name in contents(source)} == {
        name for name in there if "\\" in name
    } | {"[Content_Types].xml"}
    assert annotate(annotated, added, sheets) == annotated
    assert contents(strip(annotated)) == contents(source)
    assert_read_by_calamine(annotated)

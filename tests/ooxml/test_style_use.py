"""Styles that name what they do not list: what is appended takes no number that cells name already."""

import io
import re
import zipfile
from collections.abc import Callable, Mapping

import openpyxl
import pytest
from lxml import etree

from auditor.ooxml.opening import open_package
from auditor.ooxml.style_use import LeastSizes
from auditor.ooxml.styles import Styles
from auditor.ooxml.workbook_part import WorkbookPart
from auditor.ooxml.xmltree import splice
from tests.annotate import books
from tests.annotate.calls import annotate, strip
from tests.annotate.repair import faults

SHEET, STYLES = "xl/worksheets/sheet1.xml", "xl/styles.xml"
Edits = Mapping[str, Callable[[bytes], bytes]]
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def workbook(edits: Edits) -> bytes:
    source, held = zipfile.ZipFile(io.BytesIO(books.plain())), io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as target:
        for part in source.namelist():
            content = source.read(part)
            target.writestr(part, edits[part](content) if part in edits else content)
    return held.getvalue()


NORMAL = {"cellStyles": '<cellStyle name="Normal" xfId="0" builtinId="0"/>'}


def listing(**lists: str) -> Callable[[bytes], bytes]:
    """A styles part with these lists alone, in the order in which they are given."""
    content = "".join(f"<{name}>{entries}</{name}>" for name, entries in (lists | NORMAL).items())
    return lambda _: f'<styleSheet xmlns="{MAIN}">{content}</styleSheet>'.encode()


def every_cell(style: int) -> Callable[[bytes], bytes]:
    def edit(sheet: bytes) -> bytes:
        return re.sub(rb'<c r="(\w+)"(?: s="\d+")?', rb'<c r="\1" s="%d"' % style, sheet)

    return edit


def annotated(source: bytes) -> bytes:
    copy = annotate(source, [books.columns(books.table())], books.scratch())
    assert set(faults(copy)) <= set(faults(source))
    assert strip(copy) == source or zipfile.ZipFile(io.BytesIO(strip(copy))).read(STYLES) == zipfile.ZipFile(
        io.BytesIO(source)
    ).read(STYLES)
    return copy


def look(data: bytes, address: str) -> tuple[object, ...]:
    cell = openpyxl.load_workbook(io.BytesIO(data))["Pulls"][address]
    return (
        cell.font.b,
        cell.font.name,
        cell.font.sz,
        cell.fill.fill_type,
        cell.border.top.style,
        cell.number_format,
    )


def entries(data: bytes, list_: str) -> list[bytes]:
    root = etree.fromstring(zipfile.ZipFile(io.BytesIO(data)).read(STYLES))
    return [etree.tostring(node) for node in root.find(f"{{{MAIN}}}{list_}")]


FONT = '<font><sz val="14"/><name val="Arial"/></font>'
FILLS = '<fill><patternFill patternType="none"/></fill><fill><patternFill patternType="gray125"/></fill>'
BORDER = "<border><left/><right/><top/><bottom/><diagonal/></border>"
XF = '<xf numFmtId="0" fontId="0" fillId="0" borderId="0"/>'


def test_a_stylesheet_without_content() -> None:
    copy = annotated(
        workbook({STYLES: lambda _: f'<styleSheet xmlns="{MAIN}"/>'.encode(), SHEET: every_cell(0)})
    )
    assert look(copy, "B6") == (False, "Calibri", 11.0, None, None, "General")
    assert look(copy, "A4") == look(copy, "B6")


def test_a_prefixed_stylesheet_without_content() -> None:
    copy = annotated(
        workbook({STYLES: lambda _: f'<x:styleSheet xmlns:x="{MAIN}" />'.encode(), SHEET: every_cell(0)})
    )
    assert look(copy, "B6") == (False, "Calibri", 11.0, None, None, "General")


@pytest.mark.parametrize(
    ("list_", "attribute", "ours"),
    [
        ("fonts", "fontId", b"<font><b/></font>"),
        ("fills", "fillId", b'<fill><patternFill patternType="solid"/></fill>'),
        ("borders", "borderId", b'<border><left style="thin"/></border>'),
    ],
)
def test_an_entry_that_is_named_and_not_listed_keeps_its_number(
    list_: str, attribute: str, ours: bytes
) -> None:
    named = XF + XF.replace(f'{attribute}="0"', f'{attribute}="4"')
    content = listing(fonts=FONT, fills=FILLS, borders=BORDER, cellStyleXfs=XF, cellXfs=named)
    styles = Styles(WorkbookPart(open_package(workbook({STYLES: content}))))
    assert [styles.entry(list_, ours), styles.entry(list_, ours)] == [5, 5]
    whole = etree.fromstring(splice(styles.tree.data, styles.edits())).find(f"{{{MAIN}}}{list_}")
    filled_up = [etree.tostring(node, method="c14n") for node in whole[-4:-1]]
    assert len(whole) == 6
    assert len(set(filled_up)) == 1
    assert filled_up[0] not in (etree.tostring(whole[-1], method="c14n"), b"")


def test_a_font_that_is_named_and_not_listed_looks_as_it_did() -> None:
    named = XF + XF.replace('fontId="0"', 'fontId="3"')
    styles = listing(fonts=FONT, fills=FILLS, borders=BORDER, cellStyleXfs=XF, cellXfs=named)
    copy = annotated(workbook({STYLES: styles, SHEET: every_cell(1)}))
    assert look(copy, "B6") == (False, "Arial", 14.0, None, None, "General")


@pytest.mark.parametrize("named", [1, 7, 9, 10, 99])
def test_a_cell_format_that_is_named_and_not_listed_keeps_its_number(named: int) -> None:
    styles = listing(fonts=FONT, fills=FILLS, borders=BORDER, cellStyleXfs=XF, cellXfs=XF)
    copy = annotated(workbook({STYLES: styles, SHEET: every_cell(named)}))
    assert look(copy, "B6") == (False, "Arial", 14.0, None, None, "General")
    plain = etree.fromstring(entries(copy, "cellXfs")[named]).attrib
    assert {value for name, value in plain.items() if name.endswith("Id")} == {"0"}


def test_a_differential_format_that_is_named_and_not_listed_keeps_its_number() -> None:
    rule = (
        b'</sheetData><conditionalFormatting sqref="A5"><cfRule type="cellIs" dxfId="2" priority="1" '
        b'operator="equal"><formula>1</formula></cfRule></conditionalFormatting>'
    )
    styles = listing(fonts=FONT, fills=FILLS, borders=BORDER, cellStyleXfs=XF, cellXfs=XF)
    copy = annotated(
        workbook({STYLES: styles, SHEET: lambda x: every_cell(0)(x).replace(b"</sheetData>", rule)})
    )
    assert [len(etree.fromstring(each)) for each in entries(copy, "dxfs")[:4]] == [0, 0, 0, 2]


def test_a_number_format_that_is_named_and_not_listed_keeps_its_number() -> None:
    named = XF.replace('numFmtId="0"', 'numFmtId="170"')
    styles = listing(fonts=FONT, fills=FILLS, borders=BORDER, cellStyleXfs=XF, cellXfs=XF + named)
    copy = annotated(workbook({STYLES: styles, SHEET: every_cell(1)}))
    assert etree.fromstring(entries(copy, "numFmts")[0]).get("numFmtId") == "171"


def test_sound_styles_get_no_entries_but_ours() -> None:
    source = books.plain()
    book = WorkbookPart(open_package(source))
    sizes = {name: len(entries(source, name)) for name in ("fonts", "fills", "borders", "cellXfs")}
    least = LeastSizes(book, book.package.tree(STYLES))
    assert {name: least[name] for name in sizes} == sizes


@pytest.mark.parametrize("size", [1, 5, 9, 10, 19, 65, 99, 100, 1234])
def test_the_numbers_from_a_size_on(size: int) -> None:
    from auditor.ooxml.style_use import _from

    pattern = re.compile(_from(size))
    found = {number for number in range(3000) if pattern.fullmatch(str(number).encode())}
    assert found == set(range(size, 3000))

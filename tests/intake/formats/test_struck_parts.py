"""Texts of which a part is struck through: that part is no longer the cell's."""

import io
import zipfile
from collections.abc import Mapping
from typing import Any

import pytest
import xlsxwriter

from auditor.intake.formats.cells import Sheet
from auditor.intake.formats.read import read_book
from tests.intake.packages import changed, replaced

STRUCK, PLAIN = True, False
# cell -> (text, struck through) one after the other
TEXTS: Mapping[tuple[int, int], list[tuple[str, bool]]] = {
    (1, 1): [("6", STRUCK), ("42", PLAIN)],
    (2, 1): [("KP-109 ", STRUCK), ("KP-102", PLAIN)],
    (3, 1): [("KP-102 ", PLAIN), ("was KP-109 & KP-110", STRUCK), (" hall", PLAIN)],
    (4, 1): [("KP-1", STRUCK), ("03", STRUCK)],
    (5, 1): [("KP-1", PLAIN), ("04", PLAIN)],
    (6, 2): [("old ", STRUCK), (" ", PLAIN)],
}
SAID = (
    "text that is struck through is not read: '6' in A1, 'KP-109' in A2, 'was KP-109 & KP-110' in A3 on "
    "'Pulls'",
)


def holds_what_stands(sheet: Sheet) -> None:
    assert [sheet.value(row, 1) for row in range(1, 6)] == [
        "42",
        "KP-102",
        "KP-102  hall",
        "KP-103",
        "KP-104",
    ]
    assert sheet.struck_parts == {(1, 1): "6", (2, 1): "KP-109", (3, 1): "was KP-109 & KP-110"}
    assert sheet.struck == {4: frozenset({1}), 6: frozenset({2})}
    assert sheet.notes == SAID


def xlsx(texts: Mapping[tuple[int, int], list[tuple[str, bool]]] = TEXTS, cell: Any = None) -> bytes:
    """`cell`: the properties of the cells' own format."""
    held = io.BytesIO()
    with xlsxwriter.Workbook(held, {"in_memory": True}) as book:
        sheet = book.add_worksheet("Pulls")
        line, thin = book.add_format({"font_strikeout": True}), book.add_format({"italic": True})
        own = book.add_format(cell) if cell else None
        for (row, column), runs in texts.items():
            pieces = [piece for text, struck in runs for piece in (line if struck else thin, text)]
            assert sheet.write_rich_string(row - 1, column - 1, *pieces, *([own] if own else [])) == 0
    return held.getvalue()


def first_sheet(data: bytes, name: str = "a.xlsx") -> Sheet:
    return read_book(data, name).sheets[0]


def test_shared_texts() -> None:
    holds_what_stands(first_sheet(xlsx()))


def inline(data: bytes) -> bytes:
    """The same with its texts in the cells."""
    strings = zipfile.ZipFile(io.BytesIO(data)).read("xl/sharedStrings.xml")
    items = strings[strings.index(b"<si>") + 4 : strings.rindex(b"</si>")].split(b"</si><si>")

    def edit(sheet: bytes) -> bytes:
        for index, item in enumerate(items):
            sheet = sheet.replace(
                b't="s"><v>%d</v>' % index, b't="inlineStr"><is>%b</is>' % item.replace(b"\n", b"")
            )
        return sheet

    return changed(data, {"xl/worksheets/sheet1.xml": edit})


def test_texts_in_cells() -> None:
    holds_what_stands(first_sheet(inline(xlsx())))


@pytest.mark.parametrize(
    ("spelling", "value"),
    [
        (b"<strike/>", "42"),
        (b'<strike val="1"/>', "42"),
        (b"<strike val = 'true' />", "42"),
        (b'<strike  val="0"/>', "642"),
        (b'<strike val="false"></strike>', "642"),
    ],
)
def test_spellings(spelling: bytes, value: str) -> None:
    data = changed(xlsx(), {"xl/sharedStrings.xml": replaced(b"<strike/>", spelling)})
    assert first_sheet(data).value(1, 1) == value


def test_prefixed_parts() -> None:
    def prefixed(content: bytes) -> bytes:
        import re

        content = re.sub(rb"<(/?)(?=[a-zA-Z])", rb"<\1x:", content)
        return content.replace(b"xmlns=", b"xmlns:x=")

    parts = ["xl/sharedStrings.xml", "xl/worksheets/sheet1.xml"]
    holds_what_stands(first_sheet(changed(xlsx(), dict.fromkeys(parts, prefixed))))


def test_a_run_in_a_font_of_its_own_stands_in_a_struck_cell() -> None:
    """A run without a font is in the cell's own, which is struck through; the other one is not."""
    data = xlsx({(1, 1): [("6", PLAIN), ("42", PLAIN)]}, {"font_strikeout": True})
    strings = zipfile.ZipFile(io.BytesIO(data)).read("xl/sharedStrings.xml")
    first = strings[strings.index(b"<rPr>") : strings.index(b"</rPr>") + 6]
    data = changed(data, {"xl/sharedStrings.xml": lambda content: content.replace(first, b"", 1)})
    sheet = first_sheet(data)
    assert (sheet.value(1, 1), sheet.struck, sheet.struck_parts) == ("42", {}, {(1, 1): "6"})


def test_no_more_than_five_cells_are_named() -> None:
    texts = {(row, 1): [(f"{row}", STRUCK), (" m", PLAIN)] for row in range(1, 9)}
    assert first_sheet(xlsx(texts)).notes == (
        "text that is struck through is not read: '1' in A1, '2' in A2, '3' in A3, '4' in A4, '5' in A5 "
        "and in 3 more cells on 'Pulls'",
    )


def test_xls() -> None:
    xlwt = pytest.importorskip("xlwt")
    book = xlwt.Workbook()
    sheet = book.add_sheet("Pulls")
    line, plain = xlwt.easyfont("struck_out on"), xlwt.easyfont("italic on")
    for (row, column), runs in TEXTS.items():
        sheet.write_rich_text(
            row - 1, column - 1, [(text, line if struck else plain) for text, struck in runs]
        )
    held = io.BytesIO()
    book.save(held)
    holds_what_stands(first_sheet(held.getvalue(), "a.xls"))


def test_ods() -> None:
    pytest.importorskip("odf")
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.style import Style, TextProperties
    from odf.table import Table, TableCell, TableRow
    from odf.text import P, S, Span

    document = OpenDocumentSpreadsheet()
    line = Style(name="T1", family="text")
    line.addElement(TextProperties(textlinethroughstyle="solid"))
    document.automaticstyles.addElement(line)
    table = Table(name="Pulls")
    for row in range(1, 7):
        element = TableRow()
        for column in range(1, 3):
            cell = TableCell(valuetype="string")
            if runs := TEXTS.get((row, column)):
                paragraph = P()
                for text, struck in runs:
                    span = Span(stylename=line) if struck else Span()
                    span.addText(text.strip() and text)
                    if not text.strip():
                        span.addElement(S(c=1))
                    paragraph.addElement(span)
                cell.addElement(paragraph)
            element.addElement(cell)
        table.addElement(element)
    document.spreadsheet.addElement(table)
    held = io.BytesIO()
    document.write(held)
    holds_what_stands(first_sheet(held.getvalue(), "a.ods"))


def test_ods_with_named_styles() -> None:
    """A named style is struck through, and so is one that stems from it unless it says that it is not."""
    pytest.importorskip("odf")
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.style import Style, TextProperties
    from odf.table import Table, TableCell, TableRow
    from odf.text import P

    document = OpenDocumentSpreadsheet()
    gone = Style(name="Gone", family="table-cell")
    gone.addElement(TextProperties(textlinethroughstyle="solid"))
    document.styles.addElement(gone)
    heir = Style(name="ce1", family="table-cell", parentstylename=gone)
    back = Style(name="ce2", family="table-cell", parentstylename=gone)
    back.addElement(TextProperties(textlinethroughstyle="none"))
    table, row = Table(name="Pulls"), TableRow()
    for style in (heir, back):
        document.automaticstyles.addElement(style)
    for style in (gone, heir, back):
        cell = TableCell(valuetype="string", stylename=style)
        cell.addElement(P(text="K1"))
        row.addElement(cell)
    table.addElement(row)
    document.spreadsheet.addElement(table)
    held = io.BytesIO()
    document.write(held)
    assert first_sheet(held.getvalue(), "a.ods").struck == {1: frozenset({1, 2})}


def test_a_pull_with_a_mended_length_and_end() -> None:
    """What is struck reaches neither the length nor the name."""
    from auditor.intake import read_job
    from tests.intake.workbooks import job_workbook

    mended = {
        b"<si><t>K2</t></si>": b"<si><r><rPr><strike/></rPr><t>KP-109 </t></r><r><t>K2</t></r></si>",
        b"<si><t>P2</t></si>": b"<si><r><t>P2</t></r><r><rPr><strike/></rPr><t>a</t></r></si>",
    }

    def edit(strings: bytes) -> bytes:
        for old, new in mended.items():
            strings = replaced(old, new)(strings)
        return strings

    job = read_job(changed(job_workbook(), {"xl/sharedStrings.xml": edit}), "a.xlsx")
    assert [(pull.id, pull.near, pull.far) for pull in job.pulls][1] == ("P2", "K1", "K2")
    assert [remark.message for remark in job.remarks if "struck" in remark.message] == [
        "text that is struck through is not read: 'KP-109' in A3 on 'Devices'",
        "text that is struck through is not read: 'a' in A3, 'KP-109' in C3 on 'Pulls'",
    ]

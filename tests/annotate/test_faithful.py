"""What the estimator's workbook held is there in the annotated copy, part by part."""

import io
import zipfile

import openpyxl
import pytest
import python_calamine

from tests.annotate import books
from tests.annotate.calls import annotate, strip
from tests.annotate.compare import lost, out_of_order, parts

MACROS = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 not a real project, copied as it is" * 9
OPENPYXL_WARNS = pytest.mark.filterwarnings("ignore:.*xtension is not supported")
SOURCES = {
    "plain": (books.plain, []),
    "xlsxwriter": (books.by_xlsxwriter, []),
    "macros": (lambda: books.by_xlsxwriter(MACROS), []),
    "openpyxl": (books.by_openpyxl, ["xl/tables/table1.xml"]),
    "constant memory": (lambda: books.plain(options={"constant_memory": True, "in_memory": False}), []),
    "1904": (lambda: books.plain(options={"date_1904": True}), []),
}


@pytest.fixture(params=SOURCES, scope="module")
def pair(request):
    """Original, annotated copy, list objects that may be widened."""
    make, widened = SOURCES[request.param]
    source = make()
    return source, annotate(source, [books.columns(books.table())], books.scratch()), widened


def test_nothing_is_lost(pair):
    source, annotated, widened = pair
    assert lost(source, annotated, [books.table()], {"Pulls": 7}, widened) == []


def test_the_order_of_elements_is_that_of_the_standard(pair):
    assert out_of_order(pair[1]) == []


def test_annotating_twice_gives_the_same_bytes(pair):
    source, annotated, _ = pair
    added, sheets = [books.columns(books.table())], books.scratch()
    assert annotate(annotated, added, sheets) == annotated
    assert annotate(source, added, sheets) == annotated


def test_stripping_restores_every_part_byte_for_byte(pair):
    source, annotated, _ = pair
    before, after = parts(source), parts(strip(annotated))
    assert list(before) == list(after)
    assert {name: content for name, (content, _) in before.items()} == {
        name: content for name, (content, _) in after.items()
    }


@OPENPYXL_WARNS
def test_other_readers_open_the_copy_and_see_our_values(pair):
    source, annotated, _ = pair
    expected = books.columns(books.table()).columns
    sheet = openpyxl.load_workbook(io.BytesIO(annotated))["Pulls"]
    read = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(annotated))
    rows = read.get_sheet_by_name("Pulls").to_python(skip_empty_area=False)
    for offset, column in enumerate(expected):
        assert sheet.cell(books.HEADER_ROW, 7 + offset).value == column.header
        for row in books.table().rows:
            assert sheet.cell(row, 7 + offset).value == column.values.get(row)
            assert rows[row - 1][6 + offset] == (column.values.get(row) or "")
    before = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(source))
    assert read.sheet_names == [*before.sheet_names, "Audit", "Power budget"]


@OPENPYXL_WARNS
def test_a_library_that_loads_and_saves_loses_what_we_keep():
    """The comparer is no rubber stamp: the same comparison on an openpyxl load and save."""
    source = books.by_xlsxwriter()
    out = io.BytesIO()
    openpyxl.load_workbook(io.BytesIO(source)).save(out)
    found = lost(source, out.getvalue(), [books.table()], {"Pulls": 7})
    assert any("gone" in each for each in found)
    assert any("not the same bytes" in each for each in found)


def test_macros_and_their_content_type_stay():
    annotated = annotate(books.by_xlsxwriter(MACROS), [books.columns(books.table())], books.scratch())
    archive = zipfile.ZipFile(io.BytesIO(annotated))
    assert archive.read("xl/vbaProject.bin") == MACROS
    assert b"application/vnd.ms-excel.sheet.macroEnabled.main+xml" in archive.read("[Content_Types].xml")

"""Random sheets: annotated, annotated again, stripped, compared."""

import io

import xlsxwriter
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.annotate import books
from tests.annotate.calls import annotate, strip, unplaced
from tests.annotate.compare import lost, parts
from tests.annotate.repair import faults

TEXT = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), max_size=12)
VALUE = st.one_of(st.none(), st.floats(allow_nan=False, allow_infinity=False), TEXT, st.just("styled only"))
CELLS = st.dictionaries(st.tuples(st.integers(0, 24), st.integers(0, 12)), VALUE, max_size=60)


@st.composite
def sheets(draw) -> bytes:
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True, "constant_memory": False})
    sheet = book.add_worksheet("Pulls")
    looks = [None, book.add_format({"bold": True}), book.add_format({"num_format": "0.00", "border": 1})]
    for (row, column), value in draw(CELLS).items():
        look = draw(st.sampled_from(looks))
        if value is None or value == "styled only":
            sheet.write_blank(row, column, None, looks[1])
        elif isinstance(value, str):
            sheet.write_string(row, column, value, look)
        else:
            sheet.write_number(row, column, value, look)
    if draw(st.booleans()):
        sheet.merge_range(draw(st.integers(20, 22)), 0, 23, draw(st.integers(1, 9)), "merged")
    if draw(st.booleans()):
        first = draw(st.integers(0, 12))
        sheet.set_column(
            first, draw(st.sampled_from([first, 15, 16383])), 7, looks[1], {"hidden": draw(st.booleans())}
        )
    if draw(st.booleans()):
        sheet.print_area(0, 0, 20, draw(st.integers(0, 14)))
    if draw(st.booleans()):
        sheet.autofilter(3, 0, 15, draw(st.integers(0, 8)))
    if draw(st.booleans()):
        sheet.set_row(draw(st.integers(0, 24)), 30, looks[2], {"level": 1})
    book.close()
    return out.getvalue()


@settings(max_examples=60, derandomize=True, deadline=None)
@given(sheets(), st.integers(2, 8), st.integers(5, 16), TEXT)
def test_nothing_is_lost_and_everything_is_given_back(source, last_column, last_row, text):
    where = books.table(last_column=last_column, last_row=last_row, rows=tuple(range(5, last_row + 1)))
    columns = books.columns(where).columns
    changed = type(columns[1])(header="Why", width=30, kind="text", values={5: text, last_row: text})
    added = [books.columns(where, columns=[columns[0], changed, columns[2]])]
    assert unplaced(source, added) == []
    annotated = annotate(source, added, books.scratch("Audit"))
    assert lost(source, annotated, [where], {"Pulls": first_of_ours(annotated)}) == []
    assert faults(annotated) == []
    assert annotate(annotated, added, books.scratch("Audit")) == annotated
    assert contents(strip(annotated)) == contents(source)


def contents(data: bytes) -> dict[str, bytes]:
    return {name: content for name, (content, _) in parts(data).items()}


def first_of_ours(annotated: bytes) -> int:
    """The column of our hidden name."""
    name = parts(annotated)["xl/workbook.xml"][0].split(b"_auditor.column.1.1", 1)[1]
    letters, number = name.split(b"!$", 1)[1].split(b"$", 1)[0].decode(), 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number

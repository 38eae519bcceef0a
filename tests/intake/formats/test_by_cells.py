"""What is read cell by cell is what the fast reader gives, for every type of cell and of number format."""

import io
from typing import Any

import pytest
import xlsxwriter

from auditor.errors import UnusableFileError
from auditor.intake.formats.by_cells import Dates, Texts, read_cells
from auditor.intake.formats.read import read_book

CODES = (
    "General", "0", '0.0" m"', "yyyy-mm-dd", "h:mm", "yyyy-mm-dd hh:mm", "mm:ss", "[h]:mm", "[mm]:ss", "[s]",
    "[$-409]d-mmm;@", "[Red]0.0", '"day "0', "0.00E+00", "# ?/?", "@",
)  # fmt: skip
PLAIN = ("General", "0")
NUMBERS = (0, 0.25, 0.999, 1, 1.75, 12, 59, 60, 61, 45000, 45000.25, 2957003)
BUILT_IN = (*range(10), 11, 14, 17, 20, 22, 37, 40, 45, 46, 47, 49)
FAR = (1_048_576, 16_384)


def written(options: dict[str, Any], *, far: bool) -> bytes:
    """With a far cell no fast reader can be let near the sheet."""
    held = io.BytesIO()
    with xlsxwriter.Workbook(held, {"in_memory": True, **options}) as book:
        sheet = book.add_worksheet("A")
        for row, code in enumerate(CODES):
            for column, number in enumerate((*NUMBERS, *([1e308] if code in PLAIN else []))):
                sheet.write_number(row, column, number, book.add_format({"num_format": code}))
        for index in BUILT_IN:
            sheet.write_number(20, index, 45000.5, book.add_format({"num_format": index}))
        sheet.write_row("A23", ["text", " blanks ", "a\nb", "_x0041_", "<&>", "Ünïcode", True, False])
        sheet.write_formula("A24", '="a "', None, "a ")
        sheet.write_formula("B24", "=1+1", None, 2)
        sheet.write_formula("C24", "=TRUE()", None, "TRUE")
        sheet.write_formula("D24", '=""', None, "")
        sheet.write_formula("E24", "=1/0", None, "#DIV/0!")
        sheet.merge_range("B30:D31", "merged")
        if far:
            sheet.write_number(FAR[0] - 1, FAR[1] - 1, 7)
    return held.getvalue()


def cells(data: bytes) -> dict[tuple[int, int], Any]:
    (sheet,) = read_book(data, "a.xlsx").sheets
    return {
        (row, column): (type(value), value)
        for row, values in enumerate(sheet.rows, 1)
        for column, value in enumerate(values, 1)
        if value != "" and (row, column) != FAR
    }


@pytest.mark.parametrize("options", [{}, {"date_1904": True}])
def test_both_readers_agree(options: dict[str, Any]) -> None:
    fast, slow = cells(written(options, far=False)), cells(written(options, far=True))
    assert {
        place: (fast.get(place), value) for place, value in slow.items() if fast.get(place) != value
    } == {}
    assert fast.keys() == slow.keys()


def test_merges_are_read_by_both() -> None:
    books = [read_book(written({}, far=far), "a.xlsx") for far in (False, True)]
    assert [book.sheets[0].merges for book in books] == [((30, 2, 31, 4),)] * 2


def test_a_number_too_large_for_its_date_format_is_a_number() -> None:
    """The fast reader raises then."""
    held = io.BytesIO()
    with xlsxwriter.Workbook(held, {"in_memory": True}) as book:
        sheet = book.add_worksheet("A")
        for column, code in enumerate(("[h]:mm", "yyyy-mm-dd", "h:mm")):
            sheet.write_number(0, column, 1e308, book.add_format({"num_format": code}))
    assert read_book(held.getvalue(), "a.xlsx").sheets[0].rows == [[1e308, 1e308, 1e308]]


@pytest.mark.parametrize("value", ["12x", "1e", "0x10", " "])
def test_a_number_that_is_none_is_damage(value: str) -> None:
    xml = f'<worksheet><sheetData><row r="1"><c r="A1"><v>{value}</v></c></row></sheetData></worksheet>'
    with pytest.raises(UnusableFileError, match=r"the part 'a\.xml' is damaged"):
        read_cells(xml.encode(), Texts(b""), Dates({}), "a.xml")

"""Heights of paragraphs on a sheet in the house look."""

import pytest

from auditor.report.page.look import Look
from auditor.report.page.page import Page
from auditor.report.page.sheet import RowBook
from tests.report.books import opened


@pytest.mark.parametrize(
    ("letters", "plain_lines", "strong_lines"), [(90, 1, 1), (105, 1, 2), (220, 2, 3), (10, 1, 1)]
)
def test_bold_text_has_fewer_letters_to_a_line(letters: int, plain_lines: int, strong_lines: int) -> None:
    """100 characters of width hold 118 letters, and 100 where they are bold."""
    book = RowBook()
    page = Page(book.add_worksheet("Sheet"), Look(book, "ft"), (60, 40))
    text = ("word " * letters)[:letters]
    page.paragraph(0, text)
    page.paragraph(1, text, strong=True)
    page.finish(1)
    sheet = opened(book.content())["Sheet"]
    heights = [sheet.row_dimensions[row].height for row in (1, 2)]
    assert heights == [12.75 * plain_lines + 3, 12.75 * strong_lines + 3]

"""What was understood of a workbook, and which layout fits it."""

from collections.abc import Sequence
from pathlib import PurePath

from auditor.intake.formats.read import read_book
from auditor.intake.job import sort_records, taken_apart
from auditor.intake.layout import Layout
from auditor.intake.layout_apply import layout_of, pick_layout
from auditor.intake.said import NO_ANSWERS, Answers
from auditor.intake.unread_tables import nearest_tables
from auditor.intake.words import SHIPPED, OwnHeadings, known_headings


def explain(
    data: bytes,
    name: str,
    layout: Layout | None = None,
    headings: OwnHeadings = SHIPPED,
    answers: Answers = NO_ANSWERS,
) -> Layout:
    """How a workbook is understood, sheet by sheet and column by column, with reason and sample.

    Parameters
    ----------
    layout : the layout that it is read with; None: as found
    headings : those that an office adds to the shipped ones
    answers : to questions that an earlier reading asked

    Raises
    ------
    UnusableFileError : the file cannot be read
    LayoutError : the layout does not fit the file
    """
    file = PurePath(name).name
    book = read_book(data, file)
    with known_headings(headings):
        document = taken_apart(book, file, layout, answers)
        sort_records(document)  # notes below a table may state a unit
        not_read = nearest_tables(document.blocks, document.tables)
        return layout_of(book, document.tables, file, document.facts, not_read)


def choose_layout(layouts: Sequence[Layout], data: bytes, name: str) -> Layout | None:
    """The layout that fits a workbook: by its file name, by a pattern of names (a folder's layout),
    or because all its headings stand where it says. None: none fits.

    Parameters
    ----------
    layouts : those of the file's folder and of the folders above it, the nearest first
    """
    file = PurePath(name).name
    named = pick_layout(layouts, file, None)
    return pick_layout(layouts, file, read_book(data, file)) if layouts and named is None else named

"""A new .xlsx with the cells of a file that cannot be annotated in place (.xls, .xlsb, .ods, text)."""

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from typing import Any, Protocol

from auditor.report.page.look import clean, new_workbook

WIDEST = 40  # characters; a longer text wraps
SAMPLE_ROWS = 200  # rows that a column's width is taken from


class CellSheet(Protocol):
    """What is needed of a sheet: rows count from 0, merges are (first row, first column, last row,
    last column) from 1."""

    name: str
    rows: list[list[Any]]
    hidden: bool
    merges: tuple[tuple[int, int, int, int], ...]


def rebuilt(sheets: Sequence[CellSheet]) -> bytes:
    """The workbook, every cell where it was: values and texts, no formulas, no formats but dates.

    Returns
    -------
    the same input gives the same bytes
    """
    workbook, held = new_workbook()
    formats = {
        date: workbook.add_format({"num_format": "yyyy-mm-dd"}),
        datetime: workbook.add_format({"num_format": "yyyy-mm-dd hh:mm"}),
        time: workbook.add_format({"num_format": "hh:mm:ss"}),
        timedelta: workbook.add_format({"num_format": "[h]:mm:ss"}),
    }
    taken: list[str] = []
    for sheet in sheets:
        page = workbook.add_worksheet(_free_name(sheet.name, taken))
        for row, cells in enumerate(sheet.rows):
            for column, value in enumerate(cells):
                _write_cell(page, row, column, value, formats)
        for column, width in enumerate(_column_widths(sheet)):
            page.set_column(column, column, width)
        if sheet.hidden and len(sheets) > 1:
            page.hide()
        page.set_landscape()
        page.fit_to_pages(1, 0)
    workbook.close()
    return held.getvalue()


def _write_cell(page: Any, row: int, column: int, value: Any, formats: dict[type, Any]) -> None:
    if value == "" and isinstance(value, str):
        return
    if isinstance(value, bool):
        page.write_boolean(row, column, value)
    elif isinstance(value, int | float):
        page.write_number(row, column, value)
    elif type(value) in formats:
        page.write_datetime(row, column, value, formats[type(value)])
    else:
        page.write_string(row, column, clean(str(getattr(value, "text", value))))


def _column_widths(sheet: CellSheet) -> list[float]:
    widths: list[float] = []
    for cells in sheet.rows[:SAMPLE_ROWS]:
        for column, value in enumerate(cells):
            if column == len(widths):
                widths.append(8.0)
            wanted = len(str(getattr(value, "text", value))) + 2
            if len(cells) > 1 or column > 0:
                widths[column] = min(WIDEST, max(widths[column], wanted))
    return widths


def _free_name(name: str, taken: list[str]) -> str:
    """A name that a spreadsheet program takes, different from the others."""
    allowed = (
        "".join(char if char not in "[]:*?/\\" else "-" for char in clean(name)).strip("'")[:31] or "Sheet"
    )
    found, number = allowed, 1
    while found.casefold() in taken:
        number += 1
        found = f"{allowed[: 31 - len(str(number)) - 1]}-{number}"
    taken.append(found.casefold())
    return found

"""Workbooks as other offices keep them: lines above, headings over one or two rows, rows, lines below."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import xlsxwriter

from drafting.office import CREATED, Theme, Value

_OPTIONS = {"strings_to_numbers": False, "strings_to_formulas": False, "strings_to_urls": False}


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    name: str
    above: tuple[str, ...] = ()  # the first is the title
    groups: tuple[tuple[int, int, str], ...] = ()  # first column, last column, heading over them
    headings: tuple[str, ...]
    widths: tuple[float, ...]
    rows: Sequence[Sequence[Value]]
    below: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    file: str
    theme: Theme
    sheets: tuple[Sheet, ...]


def write(book: Book, folder: Path) -> Path:
    """Writes one workbook below the folder and returns its path."""
    path = folder / book.file
    path.parent.mkdir(parents=True, exist_ok=True)
    with xlsxwriter.Workbook(str(path), _OPTIONS) as workbook:
        workbook.set_properties({"title": book.sheets[0].name, "created": CREATED})
        for sheet in book.sheets:
            _write_sheet(workbook, book.theme, sheet)
    return path


def _write_sheet(workbook: Any, theme: Theme, sheet: Sheet) -> None:
    page = workbook.add_worksheet(sheet.name)
    plain = {"font_name": theme.font, "font_size": 10, "valign": "vcenter"}
    text = workbook.add_format(plain)
    for column, width in enumerate(sheet.widths):
        page.set_column(column, column, width, text)
    row = _write_above(workbook, theme, page, sheet, plain)
    head = workbook.add_format(
        plain | {"bold": True, "bg_color": theme.head_fill, "font_color": theme.head_ink, "border": 1}
    )
    if sheet.groups:
        row = _write_groups(page, sheet, row, head)
    page.write_row(row, 0, sheet.headings, head)
    page.freeze_panes(row + 1, 1)
    cell = workbook.add_format(plain | {"border": 4, "border_color": "#A6A6A6"})
    for values in sheet.rows:
        row += 1
        for column in range(len(sheet.headings)):
            page.write(row, column, values[column] if column < len(values) else None, cell)
    note = workbook.add_format(plain | {"italic": True, "font_size": 9})
    for index, line in enumerate(sheet.below):
        page.write_string(row + 2 + index, 0, line, note)
    page.set_landscape()
    page.set_paper(theme.paper)
    page.fit_to_pages(1, 0)


def _write_above(workbook: Any, theme: Theme, page: Any, sheet: Sheet, plain: dict[str, object]) -> int:
    """The lines above the table; returns the row of its heading."""
    title = workbook.add_format(plain | {"bold": True, "font_size": 14, "font_color": theme.ink})
    text = workbook.add_format(plain)
    for index, line in enumerate(sheet.above):
        page.write_string(index, 0, line, text if index else title)
    return len(sheet.above) + 1 if sheet.above else 0


def _write_groups(page: Any, sheet: Sheet, row: int, head: Any) -> int:
    """The headings that stand over several columns; returns the row below them."""
    for column in range(len(sheet.headings)):
        page.write_blank(row, column, None, head)
    for first, last, group in sheet.groups:
        page.merge_range(row, first, row, last, group, head)
    return row + 1

"""Print areas and print titles, which are defined names of the workbook."""

import re
from collections.abc import Sequence

from auditor.annotate.columns import Placed
from auditor.ooxml.refs import LAST_COLUMN, Area, letters, on_sheet, sheet_areas
from auditor.ooxml.workbook_part import ListedSheet, WorkbookPart

PRINT_AREA = "_xlnm.Print_Area"  # ISO/IEC 29500-1, 18.2.5: built-in names
PRINT_TITLES = "_xlnm.Print_Titles"
_PLAIN = re.compile(
    r"(?:(?:'(?:[^']|'')+'|[^'!,\s(]+)![$A-Za-z0-9:]+)(?:,(?:'(?:[^']|'')+'|[^'!,\s(]+)![$A-Za-z0-9:]+)*"
)


def has_print_titles(book: WorkbookPart, sheet: ListedSheet) -> bool:
    return book.name(PRINT_TITLES, sheet.index) is not None


def widen_print_area(book: WorkbookPart, sheet: ListedSheet, group: Sequence[Placed]) -> bool:
    """Let a print area that shows an annotated table show our columns too; gives whether it was widened."""
    name = book.name(PRINT_AREA, sheet.index)
    if name is None or not _PLAIN.fullmatch(name.text):
        return False
    widened = []
    for _, where in sheet_areas(name.text):
        right = where.right
        for placed in group:
            table = placed.added.table
            if where.meets(Area(table.header_row, table.first_column, table.last_row, table.last_column)):
                right = max(right, placed.last)
        widened.append(on_sheet(sheet.name, Area(where.top, where.left, where.bottom, right)))
    text = ",".join(widened)
    if [where for _, where in sheet_areas(text)] != [where for _, where in sheet_areas(name.text)]:
        book.set_name(PRINT_AREA, sheet.index, text)
        return True
    return False


def repeat_key(book: WorkbookPart, sheet: ListedSheet, group: Sequence[Placed]) -> None:
    """Repeat the column of tags or pulls on the pages to which a wider print area runs on, below and
    beside the titles that are there; columns that are repeated already stay alone."""
    there = book.name(PRINT_TITLES, sheet.index)
    rows = [where for _, where in sheet_areas(there.text)] if there else []
    if len(rows) > 1 or any(where.right - where.left < LAST_COLUMN - 1 for where in rows):
        return
    table = group[0].added.table
    key = letters(table.columns.get("tag") or table.columns.get("id") or table.first_column)
    columns = f"{on_sheet(sheet.name, Area(1, 1, 1, 1)).rpartition('!')[0]}!${key}:${key}"
    book.set_name(PRINT_TITLES, sheet.index, f"{columns},{there.text}" if there else columns)


def repeat_heading(book: WorkbookPart, sheet: ListedSheet, group: Sequence[Placed]) -> None:
    """Repeat the heading of a sheet's first table on every page."""
    row = min(placed.added.table.header_row for placed in group)
    quoted = on_sheet(sheet.name, Area(row, 1, row, 1)).rpartition("!")[0]
    book.set_name(PRINT_TITLES, sheet.index, f"{quoted}!${row}:${row}")

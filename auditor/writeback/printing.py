"""Print areas and print titles, which are defined names of the workbook."""

import re
from collections.abc import Sequence

from auditor.writeback.columns import Placed
from auditor.writeback.refs import Area, on_sheet, sheet_areas
from auditor.writeback.workbook import Book, Sheet

PRINT_AREA = "_xlnm.Print_Area"  # ISO/IEC 29500-1, 18.2.5: built-in names
PRINT_TITLES = "_xlnm.Print_Titles"
_PLAIN = re.compile(
    r"(?:(?:'(?:[^']|'')+'|[^'!,\s(]+)![$A-Za-z0-9:]+)(?:,(?:'(?:[^']|'')+'|[^'!,\s(]+)![$A-Za-z0-9:]+)*"
)


def has_print_names(book: Book, sheet: Sheet) -> bool:
    return any(book.name(name, sheet.index) for name in (PRINT_AREA, PRINT_TITLES))


def widen_print_area(book: Book, sheet: Sheet, group: Sequence[Placed]) -> None:
    """Let a print area that shows an annotated table show our columns too."""
    name = book.name(PRINT_AREA, sheet.index)
    if name is None or not _PLAIN.fullmatch(name.text):
        return
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


def repeat_heading(book: Book, sheet: Sheet, group: Sequence[Placed]) -> None:
    """Repeat the heading of a sheet's first table on every page."""
    row = min(placed.added.table.header_row for placed in group)
    quoted = on_sheet(sheet.name, Area(row, 1, row, 1)).rpartition("!")[0]
    book.set_name(PRINT_TITLES, sheet.index, f"{quoted}!${row}:${row}")

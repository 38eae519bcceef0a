"""The binary .xls of before 2007, with its hidden and struck-through rows."""

import io
import struct
from collections.abc import Iterator
from typing import Any

from auditor.intake.formats.calamine import calamine_sheets
from auditor.intake.formats.cells import Fault, Sheet, WithUnit
from auditor.intake.formats.number_formats import UNITS_SHOWN, shown_unit
from auditor.intake.formats.struck import leave_out_struck
from auditor.ooxml.refusals import damaged, needs_password
from auditor.ooxml.shared_strings import Run

NO_LIBRARY = "struck-through rows and error cells cannot be told in .xls here; save it as .xlsx"
VALUES_ALONE = (
    "only the values of this .xls can be read: struck-through and hidden rows, units that formats show and "
    "error "
    "cells are not seen; save it as .xlsx and audit that"
)
MAX_AREA = 8_000_000  # cells of the rectangle that the fast reader would allocate; project convention
_CELLS = (0x06, 0xBD, 0xBE, 0xD6, 0xFD, 0x201, 0x203, 0x204, 0x205, 0x27E)  # records that begin with a place


def read_xls(data: bytes) -> list[Sheet]:
    """All worksheets.

    Raises
    ------
    UnusableFileError : damaged or protected by a password
    """
    try:
        import xlrd
    except ModuleNotFoundError:
        return _by_fast_reader(data, NO_LIBRARY)
    try:
        book = xlrd.open_workbook(file_contents=data, formatting_info=True, logfile=io.StringIO())
        return [_sheet(book, book.sheet_by_index(index)) for index in range(book.nsheets)]
    except Exception as cause:  # the library raises whatever its parsing runs into
        if "encrypted" in str(cause).casefold() or "password" in str(cause).casefold():
            raise needs_password() from cause
        if not _is_bounded(data):
            raise damaged() from cause
    return _by_fast_reader(data, VALUES_ALONE)


def _by_fast_reader(data: bytes, said: str) -> list[Sheet]:
    sheets = calamine_sheets(data)
    for sheet in sheets:
        sheet.notes = (said,)
    return sheets


def _is_bounded(data: bytes) -> bool:
    """Whether the file's chains of sectors end and its cells stand near enough to each other: of others the
    fast reader would take more memory than there is."""
    from xlrd.compdoc import CompDoc

    try:
        document = CompDoc(data, logfile=io.StringIO())
        found = [document.locate_named_stream(name) for name in ("Workbook", "Book")]
    except Exception:  # the library raises whatever its parsing runs into
        return False
    return all(_area(held[start : start + size]) <= MAX_AREA for held, start, size in found if held)


def _area(stream: bytes) -> int:
    """An upper bound of the cells of any sheet's rectangle.

    Source: [MS-XLS], sections 2.1.4 (records) and 2.5.13 (Cell); from memory, not read again for this code.
    """
    at = last_row = last_column = 0
    while at + 8 <= len(stream):
        kind, size, row, column = struct.unpack_from("<4H", stream, at)
        if kind in _CELLS and size >= 4:
            last_row, last_column = max(last_row, row), max(last_column, column)
        at += 4 + size
    return (last_row + 1) * (last_column + 1)


def _sheet(book: Any, sheet: Any) -> Sheet:
    rows = [
        [_value(cell.ctype, cell.value, book.datemode) for cell in sheet.row(index)]
        for index in range(sheet.nrows)
    ]
    shows_units = _put_units(book, sheet, rows)
    read = Sheet(
        name=sheet.name,
        rows=rows,
        notes=UNITS_SHOWN if shows_units else (),
        hidden=sheet.visibility != 0,
        hidden_rows=frozenset(row + 1 for row, info in sheet.rowinfo_map.items() if info.hidden),
        hidden_columns=frozenset(column + 1 for column, info in sheet.colinfo_map.items() if info.hidden),
        struck=_struck(book, sheet),
        merges=tuple((top + 1, left + 1, bottom, right) for top, bottom, left, right in sheet.merged_cells),
    )
    rich = sheet.rich_text_runlist_map
    texts = {(row + 1, at + 1): list(_runs(book, sheet, row, at)) for row, at in rich}
    leave_out_struck(read, texts)
    return read


def _runs(book: Any, sheet: Any, row: int, column: int) -> Iterator[Run]:
    """The runs of a cell's text; up to the first one that is listed it is in the cell's own font."""
    text, struck, at = str(sheet.cell_value(row, column)), None, 0
    for start, font in sheet.rich_text_runlist_map[row, column]:
        yield text[at:start], struck
        at, struck = start, font < len(book.font_list) and book.font_list[font].struck_out != 0
    yield text[at:], struck


def _put_units(book: Any, sheet: Any, rows: list[list[Any]]) -> bool:
    """Whether number formats show units behind numbers; these are put into the rows."""
    formats = {key: shown_unit(form.format_str or "") for key, form in book.format_map.items()}
    units = {i: unit for i, xf in enumerate(book.xf_list) if (unit := formats.get(xf.format_key))}
    found = False
    for index, cells in enumerate(rows if units else ()):
        for column, value in enumerate(cells):
            unit = units.get(sheet.cell_xf_index(index, column)) if type(value) is float else None
            if unit:
                cells[column], found = WithUnit(value, unit), True
    return found


def _struck(book: Any, sheet: Any) -> dict[int, frozenset[int]]:
    known = len(book.font_list)  # some writers name fonts that they leave out
    fonts = [xf.font_index < known and book.font_list[xf.font_index].struck_out != 0 for xf in book.xf_list]
    struck: dict[int, frozenset[int]] = {}
    for row in range(sheet.nrows):
        styles = (sheet.cell_xf_index(row, column) for column in range(sheet.row_len(row)))
        columns = frozenset(c for c, style in enumerate(styles, 1) if style < len(fonts) and fonts[style])
        if columns:
            struck[row + 1] = columns
    return struck


def _value(kind: int, value: Any, datemode: int) -> Any:
    import xlrd

    if kind == xlrd.XL_CELL_ERROR:
        text = xlrd.error_text_from_code.get(value, "an error")
        return Fault(text, f"the cell shows {text}; mend its formula")
    if kind == xlrd.XL_CELL_BOOLEAN:
        return bool(value)
    if kind == xlrd.XL_CELL_DATE:
        try:
            return xlrd.xldate_as_datetime(value, datemode)
        except (ValueError, OverflowError):
            return value
    return "" if kind in (xlrd.XL_CELL_EMPTY, xlrd.XL_CELL_BLANK) else value

"""The binary .xls of before 2007, with its hidden and struck-through rows."""

from collections.abc import Iterator
from typing import Any

from auditor.errors import UnusableFileError
from auditor.intake.formats.calamine import calamine_sheets
from auditor.intake.formats.cells import Fault, Sheet, WithUnit
from auditor.intake.formats.number_formats import UNITS_SHOWN, shown_unit
from auditor.intake.formats.struck import Run, leave_out_struck


def read_xls(data: bytes, name: str) -> list[Sheet]:
    """All worksheets.

    Raises
    ------
    UnusableFileError : damaged or protected by a password
    """
    import io

    try:
        import xlrd
    except ModuleNotFoundError:
        sheets = calamine_sheets(data, name)
        for sheet in sheets:
            sheet.notes = (
                "struck-through rows and error cells cannot be told in .xls here; save it as .xlsx",
            )
        return sheets
    try:
        book = xlrd.open_workbook(file_contents=data, formatting_info=True, logfile=io.StringIO())
        return [_sheet(book, book.sheet_by_index(index)) for index in range(book.nsheets)]
    except Exception as cause:  # the library raises whatever its parsing runs into
        if "encrypted" in str(cause).casefold() or "password" in str(cause).casefold():
            raise UnusableFileError(f"{name}: the file needs a password; save a copy without one") from cause
        raise UnusableFileError(
            f"{name}: the file is damaged; open it in a spreadsheet program, check it and save it as .xlsx"
        ) from cause


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

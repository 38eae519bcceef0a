"""A laid-out workbook as bytes: .xlsx through xlsxwriter, or text; the same bytes for the same pages."""

import csv as csv_module
import datetime
import io
from typing import Any

import xlsxwriter

from tests.offices.book import Cell, Page

MADE = datetime.datetime(2024, 5, 6, 7, 8, 9)  # a date that never changes


def xlsx(pages: list[Page]) -> bytes:
    """The workbook; the first sheet that is not hidden is shown."""
    held = io.BytesIO()
    book = xlsxwriter.Workbook(held, {"in_memory": True})
    book.set_properties({"created": MADE})
    formats: dict[tuple[tuple[str, Any], ...], Any] = {}
    shown = False
    for page in pages:
        sheet = book.add_worksheet(page.name)
        if page.hidden:
            sheet.hide()
        elif not shown:
            sheet.activate()
            sheet.set_first_sheet()
            shown = True
        _write(book, sheet, page, formats)
    book.close()
    return held.getvalue()


def _write(book: Any, sheet: Any, page: Page, formats: dict[tuple[tuple[str, Any], ...], Any]) -> None:
    def format_of(**what: object) -> Any:
        key = tuple(sorted(what.items()))
        if key not in formats:
            formats[key] = book.add_format(dict(what)) if what else None
        return formats[key]

    for row in page.hidden_rows:
        sheet.set_row(row, None, None, {"hidden": True})
    merged = {(a, b): (c, d) for a, b, c, d in page.merged}
    for (row, column), value in page.cells.items():
        look: dict[str, object] = {}
        if row in page.bold:
            look["bold"] = True
        if row in page.struck:
            look["font_strikeout"] = True
        if isinstance(value, Cell) and value.number_format:
            look["num_format"] = value.number_format
        if (row, column) in merged:
            last = merged[row, column]
            sheet.merge_range(row, column, *last, "", format_of(**look))
        _cell(
            sheet,
            row,
            column,
            value,
            format_of(**look),
            format_of(font_strikeout=True),
            format_of(italic=True),
        )


def _cell(sheet: Any, row: int, column: int, value: object, look: Any, struck: Any, plain: Any) -> None:
    if isinstance(value, Cell) and value.struck:
        sheet.write_rich_string(row, column, struck, value.struck, plain, str(value.value))
    elif isinstance(value, Cell) and value.formula:
        sheet.write_formula(row, column, value.formula, look, value.value)
    else:
        bare = value.value if isinstance(value, Cell) else value
        if isinstance(bare, bool):
            sheet.write_boolean(row, column, bare, look)
        elif isinstance(bare, int | float):
            sheet.write_number(row, column, bare, look)
        else:
            sheet.write_string(row, column, str(bare), look)


def csv(page: Page, separator: str) -> bytes:
    """One sheet as text, UTF-8 with its mark; numbers with a decimal comma where semicolons separate."""
    held = io.StringIO()
    rows = range(max(row for row, _ in page.cells) + 1)
    columns = range(max(column for _, column in page.cells) + 1)
    writer = csv_module.writer(held, delimiter=separator, lineterminator="\r\n")
    for row in rows:
        writer.writerow([_text(page.cells.get((row, column), ""), separator) for column in columns])
    return held.getvalue().encode("utf-8-sig")


def _text(value: object, separator: str) -> str:
    bare = isinstance(value, int | float) and separator == ";"
    return str(value).replace(".", ",") if bare else str(value)

"""Headings that can be read whole: the row grows where nobody has set its height, else the column does."""

import math
import textwrap
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from auditor.annotate.columns import AddedColumn, Placed
from auditor.ooxml.rows import SheetPart
from auditor.ooxml.rowscan import Row
from auditor.ooxml.styles import Styles

_WIDEST = 60.0  # characters; no heading makes a column wider


def readable(sheet: SheetPart, styles: Styles, group: Sequence[Placed]) -> list[Placed]:
    """The columns, wide enough for every word of their headings, and how many lines these take.

    Where the estimator has set the height of the heading's row, it stays: the columns are then so
    wide that their headings fit into it.
    """
    found = []
    for each in group:
        row = sheet.by_number.get(each.added.table.header_row)
        scale = _scale(sheet, styles, each, row)
        room = _lines_of(sheet, row, scale)
        fits = [_fit(column.header, column.width, scale, room) for column in each.added.columns]
        columns = zip(each.added.columns, fits, strict=True)
        added = replace(each.added, columns=tuple(_wide(column, width) for column, (width, _) in columns))
        lines = max(lines for _, lines in fits)
        found.append(replace(each, added=added, heading_lines=lines * scale if lines > 1 else 1.0))
    return found


def _scale(sheet: SheetPart, styles: Styles, placed: Placed, row: Row | None) -> float:
    """How much larger the heading's letters are than those in which widths are counted."""
    style = sheet.style_at(row, placed.added.table.last_column) if row else None
    return max(1.0, styles.size_of(style or 0) / styles.size_of(0))


def _lines_of(sheet: SheetPart, row: Row | None, scale: float) -> float:
    """The lines for which there is room in a row: any number where its height is not set."""
    height = sheet.own_height(row) if row else None
    return math.inf if height is None else max(1.0, height // (sheet.line_height * scale))


@lru_cache(maxsize=512)  # headings are the same in every table
def _fit(header: str, width: float, scale: float, room: float) -> tuple[float, int]:
    """The width that a heading needs, and the lines that it takes then."""
    width = max(width, min(_WIDEST, max(map(len, header.split()), default=0) * scale + 1))
    while heading_lines(header, width, scale) > room and width < _WIDEST:
        width += 1
    return width, heading_lines(header, width, scale)


def _wide(column: AddedColumn, width: float) -> AddedColumn:
    return column if width == column.width else replace(column, width=width)


def heading_lines(text: str, width: float, scale: float) -> int:
    """How many lines a heading takes in a column; `scale`: of its letters to those that widths count."""
    letters = int((width - 1) / scale)
    return 1 if len(text) <= letters else len(textwrap.wrap(text, max(1, letters)))

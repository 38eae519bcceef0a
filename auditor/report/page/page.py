"""A sheet in the house look: headings, tables, print set-up."""

import math
import textwrap
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Any

from auditor.report.page.look import (
    BAR,
    MUTED,
    WORDS,
    WRAPPED,
    Block,
    Cell,
    Column,
    Kind,
    Lines,
    Link,
    Look,
    clean,
    letter,
    looks_like_formula,
)

_NUMERIC: frozenset[Kind] = frozenset({"length", "count", "one", "two", "figure", "share", "money"})
_LINE_POINTS = 12.75  # of one line in the body's font, as spreadsheets space it
_ROW_POINTS = 16.5
_STRONG = (
    0.85  # letters to a line where they are bold, as a part: 83 of 96 in the widest font that was rendered
)
_TALLEST = 409  # points, the most that a row can have
_PLAIN, _LINK, _FORMULA_LIKE = (False, False), (True, False), (False, True)  # see `_link_and_guard`
_AT_ONCE = 1000  # rows whose cells are held at a time


class Page:
    """One sheet: landscape, one page wide on whatever paper the printer holds.

    Parameters
    ----------
    widths : of the columns from the left [characters]; all tables of the sheet share them
    freeze : rows that stay in sight
    repeat : first and last row, from 0, printed on every page
    scale : print scale [%] of a sheet that sets its own page breaks, which a fitted sheet cannot;
        its columns must then fit the page
    """

    def __init__(
        self,
        sheet: Any,
        look: Look,
        widths: Sequence[float],
        *,
        freeze: int = 0,
        repeat: tuple[int, int] | None = None,
        scale: int | None = None,
    ) -> None:
        self.sheet, self.look, self.widths = sheet, look, tuple(widths)
        self._words: dict[str, list[str]] = {}
        for column, width in enumerate(widths):
            sheet.set_column(column, column, width)
        sheet.hide_gridlines(2)
        sheet.set_landscape()
        if scale is None:
            sheet.fit_to_pages(1, 0)
        else:
            sheet.set_print_scale(scale)
        sheet.set_margins(left=0.4, right=0.4, top=0.5, bottom=0.6)
        sheet.set_footer(_footer(look.identity))
        if freeze:
            sheet.freeze_panes(freeze, 0)
        if repeat:
            sheet.repeat_rows(*repeat)

    @property
    def name(self) -> str:
        return str(self.sheet.get_name())

    def title(self, text: str) -> None:
        self.sheet.put_height(0, 24)
        self.text(0, 0, text, self.look.title)

    def text(self, row: int, column: int, text: str, style: Any = None) -> None:
        """Text that may run on over the empty cells at its right."""
        self.sheet.put(row, column, text, style or self.look.plain)

    def cell(self, row: int, column: int, value: Cell, style: Any) -> None:
        self.sheet.put(row, column, value, style)

    def section(self, row: int, text: str) -> None:
        self.sheet.put_height(row, 18)
        self.text(row, 0, text, self.look.section)

    def paragraph(self, row: int, text: str, *, strong: bool = False, muted: bool = False) -> int:
        """Text over the full width, wrapped; gives the row below it."""
        style = self.look.format(text_wrap=True, bold=strong, **({"font_color": MUTED} if muted else {}))
        self.sheet.put_merged(row, 0, len(self.widths) - 1, text, style)
        width = sum(self.widths) * (_STRONG if strong else 1.0)
        self.sheet.put_height(row, _LINE_POINTS * _line_count(clean(text), width) + 3)
        return row + 1

    def finish(self, last_row: int) -> None:
        """The sheet is written down to this row: what is printed, and the fills of its words.

        A fill is bound to the word, so that it follows a sort or a filter; one rule a word serves
        all tables of the sheet.
        """
        self.sheet.print_area(0, 0, last_row, len(self.widths) - 1)
        for word, ranges in self._words.items():
            rule = {
                "type": "cell",
                "criteria": "==",
                "value": f'"{word}"',
                "format": self.look.word_formats[word],
            }
            self.sheet.conditional_format(ranges[0], rule | {"multi_range": " ".join(ranges)})

    def table(
        self,
        top: int,
        columns: Sequence[Column],
        rows: Iterable[Sequence[Cell]],
        *,
        strong: frozenset[int] = frozenset(),
        headed: bool = True,
    ) -> Block:
        """A table with its heading.

        Parameters
        ----------
        top : row of the heading, from 0
        headed : False where one heading, further up, serves several tables; the row `top` is then left
            as it is
        rows : values in the order of the columns; lengths in metres
        strong : which rows, counted from 0, are sums or headings

        Returns
        -------
        where it stands
        """
        body = list(rows)
        if headed:
            self.heading(top, columns)
        lines = self._line_count(columns, body)
        looks = [(index in strong, count > 1) for index, count in enumerate(lines)]
        decimals = [self._decimals(column, offset, body) for offset, column in enumerate(columns)]
        for first in range(0, len(body), _AT_ONCE):
            part, part_looks = body[first : first + _AT_ONCE], looks[first : first + _AT_ONCE]
            by_column = [
                self._cells(columns, offset, top + 1 + first, [row[offset] for row in part], part_looks, each)
                for offset, each in enumerate(decimals)
            ]
            for row, cells in enumerate(zip(*by_column, strict=True), top + 1 + first):
                self.sheet.put_row(row, 0, len(columns) - 1, "".join(cells))
        for row, count in enumerate(lines, top + 1):
            self.sheet.put_height(row, min(_TALLEST, max(_ROW_POINTS, _LINE_POINTS * count + 3)))
        block = Block(top, top + 1, top + len(body))
        self._mark(block, columns)
        return block

    def heading(self, top: int, columns: Sequence[Column]) -> None:
        lines = 1
        for offset, column in enumerate(columns):
            numeric, middle = column.kind in _NUMERIC, column.kind in WORDS
            style = self.look.head(number=numeric, middle=middle, indented=_indented(columns, offset))
            self.sheet.put(top, offset, column.header, style)
            lines = max(lines, _line_count(column.header, self.widths[offset] - 1))
        self.sheet.put_height(top, _LINE_POINTS * lines + 4)

    def _cells(
        self,
        columns: Sequence[Column],
        offset: int,
        first: int,
        values: Sequence[Cell],
        looks: Sequence[tuple[bool, bool]],
        decimals: str | None,
    ) -> list[str]:
        """The cells of one column, each as it stands in its row. What stands in a column comes again
        and again, and is worked out once."""
        kind, indented = columns[offset].kind, _indented(columns, offset)
        opening, content = f'<c r="{letter(offset + 1)}', self.sheet.content
        styles: dict[tuple[Any, ...], str] = {}
        known: dict[tuple[Cell, tuple[bool, bool]], str] = {}
        cells = []
        for row, (value, look) in enumerate(zip(values, looks, strict=True), first):
            rest = known.get((value, look))
            if rest is None:
                shown, number_format = _value_shown(self.look, kind, value, decimals)
                nature = _link_and_guard(value)
                style = styles.get((number_format, look, nature))
                if style is None:
                    body = self.look.body(kind, number_format, look[0], indented, *nature, look[1])
                    style = f'" s="{self.sheet.style_number(body)}"'
                    styles[number_format, look, nature] = style
                rest = style + content(row, offset, shown)
                if nature is not _LINK:  # a link belongs to its cell
                    known[value, look] = rest
            cells.append(f"{opening}{row + 1}{rest}")
        return cells

    def _decimals(self, column: Column, offset: int, rows: Sequence[Sequence[Cell]]) -> str | None:
        """The number format of a column of lengths."""
        return _length_format(self.look, (row[offset] for row in rows)) if column.kind == "length" else None

    def _line_count(self, columns: Sequence[Column], rows: Sequence[Sequence[Cell]]) -> list[int]:
        """How many lines the longest text of each row takes."""
        found = [1] * len(rows)
        for offset, column in enumerate(columns):
            if column.kind not in WRAPPED:
                continue
            room = _letters_to_a_line(self.widths[offset] - 1)
            for index, row in enumerate(rows):
                cell = row[offset]
                if isinstance(cell, Lines):
                    found[index] = max(found[index], sum(_wrapped_lines(text, room) for text in cell.texts))
                elif len(text := _text_of(cell)) > room:
                    found[index] = max(found[index], _wrapped_lines(text, room))
        return found

    def _mark(self, block: Block, columns: Sequence[Column]) -> None:
        if block.last < block.first:
            return
        for offset, column in enumerate(columns):
            if column.kind in WORDS:
                self.mark_words(block, offset, column.kind)
            if column.kind == "share":
                bar = {"type": "data_bar", "bar_color": BAR, "bar_solid": True, "data_bar_2010": True}
                full = {"min_type": "num", "min_value": 0, "max_type": "num", "max_value": 1}
                self.sheet.conditional_format(block.first, offset, block.last, offset, bar | full)

    def mark_words(self, block: Block, column: int, kind: Kind) -> None:
        """Have the words of these cells filled."""
        where = f"{letter(column + 1)}{block.first + 1}:{letter(column + 1)}{block.last + 1}"
        for word in WORDS[kind]:
            self._words.setdefault(word, []).append(where)


def _footer(identity: str) -> str:
    """What stands at the foot of each page; the blank parts a figure from the size before it."""
    said = clean(identity).replace("&", "&&")
    return f"&L&8 {said}\n&A&R&8 Page &P of &N" if said else "&L&8 &A&R&8 Page &P of &N"


def _text_of(value: Cell) -> str:
    return value if isinstance(value, str) else value.text if isinstance(value, Link) else ""


def _indented(columns: Sequence[Column], offset: int) -> bool:
    """Text keeps a little apart from what stands left of it."""
    return offset > 0 and columns[offset].kind not in _NUMERIC


def _line_count(text: str, width: float) -> int:
    room = _letters_to_a_line(width)
    return _wrapped_lines(text, room) if len(text) > room else 1


@lru_cache(maxsize=512)  # headings and cautions are the same in every job
def _wrapped_lines(text: str, room: int) -> int:
    return max(1, len(textwrap.wrap(text, room)))


def _letters_to_a_line(width: float) -> int:
    """Letters to a line in a column [digits of the body's font]: letters are narrower than digits on
    the average, capitals wider."""
    return max(3, int(width * 1.18))


def _link_and_guard(value: Cell) -> tuple[bool, bool]:
    """Whether a value is a link, and whether it is text that looks like a formula."""
    if isinstance(value, str):
        return _FORMULA_LIKE if looks_like_formula(value) else _PLAIN
    return _LINK if isinstance(value, Link) else _PLAIN


def _value_shown(look: Look, kind: Kind, value: Cell, decimals: str | None) -> tuple[Cell, str | None]:
    """What a cell shows of a value, and the number format if it is not that of the column's kind."""
    if kind == "length":
        known = isinstance(value, (int, float)) and math.isfinite(value)
        return (look.length(value) if known else value), decimals  # type: ignore[arg-type]
    if kind == "figure" and isinstance(value, (int, float)) and math.isfinite(value):
        whole = abs(value - round(value)) < 1e-9
        return value, "#,##0" if whole else "#,##0.00" if abs(value) < 100 else "#,##0.0"
    return value, None


def _length_format(look: Look, values: Iterable[Cell]) -> str:
    known = {value for value in values if isinstance(value, (int, float)) and math.isfinite(value)}
    whole = all(abs(length - round(length)) < 0.05 for length in map(look.length, known))
    return "#,##0" if whole else "#,##0.0"

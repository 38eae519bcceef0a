"""Our cells in the rows of a sheet: built as bytes and spliced behind the estimator's own."""

import math
import re
from collections import Counter
from collections.abc import Sequence

from auditor.writeback.celltext import cell_text
from auditor.writeback.columns import AddedColumn, Placed
from auditor.writeback.refs import letters
from auditor.writeback.rows import Row, SheetPart
from auditor.writeback.styles import Styles
from auditor.writeback.xmltree import Edit

_SPANS = re.compile(rb'\sspans="(\d+):(\d+)"')
_MOST_BASES = 8  # different formats of a table's last column that ours are cloned from
_FORMULA_LIKE = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
_ALIGNMENT = {
    "verdict": {"horizontal": "center"},
    "text": {"horizontal": "left", "wrapText": "1"},
    "number": {"horizontal": "right"},
}


class _Writer:
    """Builds the cells of one table's columns."""

    def __init__(self, sheet: SheetPart, styles: Styles, placed: Placed) -> None:
        self.sheet, self.styles, self.placed = sheet, styles, placed
        self.table, self.columns = placed.added.table, placed.added.columns
        self.neighbour = letters(self.table.last_column).encode()
        self.letters = [letters(placed.first + offset).encode() for offset in range(len(self.columns))]
        self.body = set(self.table.rows).union(*(column.values for column in self.columns))
        self.beside = self._formats_beside()
        common = Counter(self.beside.values()).most_common(_MOST_BASES)
        self.bases = [style for style, _ in common] or [0]
        self.prefix = sheet.prefix
        self.texts: dict[str, bytes] = {}
        self.formats: dict[int, list[int]] = {}

    def cells(self, row: Row | None, number: int) -> list[bytes]:
        """The cells of one row, in order; none in a row that is not of the table."""
        if number == self.table.header_row:
            return [
                self._text(at, number, self._header_style(row), column.header)
                for at, column in enumerate(self.columns)
            ]
        if number not in self.body:
            return []
        base = self._base(number)
        if base not in self.formats:
            self.formats[base] = [self._style(base, column) for column in self.columns]
        found = []
        for at, (column, style) in enumerate(zip(self.columns, self.formats[base], strict=True)):
            value = column.values.get(number)
            if number in column.links:
                style = self._style(base, column, underlined=True)  # noqa: PLW2901
            if isinstance(value, str):
                if value.startswith(_FORMULA_LIKE):
                    style = self._style(base, column, quoted=True)  # noqa: PLW2901
                found.append(self._text(at, number, style, value))
            elif value is None or not math.isfinite(value):
                found.append(b'<%bc r="%b%d" s="%d"/>' % (self.prefix, self.letters[at], number, style))
            else:
                found.append(self._number(at, number, style, value))
        return found

    def _number(self, at: int, number: int, style: int, value: float) -> bytes:
        p, written = self.prefix, repr(value + 0).encode()
        return b'<%bc r="%b%d" s="%d"><%bv>%b</%bv></%bc>' % (
            p,
            self.letters[at],
            number,
            style,
            p,
            written,
            p,
            p,
        )

    def _text(self, at: int, number: int, style: int, text: str) -> bytes:
        content = self.texts.get(text)
        if content is None:
            p, written = self.prefix, cell_text(text)
            space = b' xml:space="preserve"' if text != text.strip() or "\n" in text else b""
            content = b't="inlineStr"><%bis><%bt%b>%b</%bt></%bis></%bc>' % (p, p, space, written, p, p, p)
            self.texts[text] = content
        return b'<%bc r="%b%d" s="%d" %b' % (self.prefix, self.letters[at], number, style, content)

    def _formats_beside(self) -> dict[int, int]:
        """The format of the table's last cell in each row of the body."""
        by_number, found = self.sheet.by_number, {}
        for number in self.body & by_number.keys():
            style = self.sheet.style_at(by_number[number], self.neighbour)
            if style is not None:
                found[number] = style
        return found

    def _base(self, number: int) -> int:
        """The format to clone: that of the table's last cell, or the most frequent one."""
        style = self.beside.get(number, -1)
        return style if style in self.bases else self.bases[0]

    def _header_style(self, row: Row | None) -> int:
        style = self.sheet.style_at(row, self.neighbour) if row else None
        return self.styles.clone(style or 0, alignment={"wrapText": "1"}, aligned_as_base=True)

    def _style(
        self, base: int, column: AddedColumn, *, underlined: bool = False, quoted: bool = False
    ) -> int:
        return self.styles.clone(
            base,
            number_format=column.number_format if column.kind == "number" else None,
            alignment=_ALIGNMENT[column.kind],
            underlined=underlined,
            text=quoted,
        )


def cell_edits(sheet: SheetPart, styles: Styles, group: Sequence[Placed]) -> list[Edit]:
    """The edits that put the columns' cells into the rows of a sheet."""
    writers = [_Writer(sheet, styles, placed) for placed in group]
    wanted = {placed.added.table.header_row for placed in group}.union(*(writer.body for writer in writers))
    edits: list[Edit] = []
    for row in sheet.rows:
        if row.number in wanted:
            wanted.discard(row.number)
            cells = _cells(writers, row, row.number)
            edits += _row_edits(sheet, row, cells)
    return edits + _new_rows(sheet, writers, sorted(wanted))


def _cells(writers: Sequence[_Writer], row: Row | None, number: int) -> list[tuple[int, bytes]]:
    """Column and bytes of every cell of ours in a row."""
    found: list[tuple[int, bytes]] = []
    for writer in writers:
        if writer.table.header_row <= number <= writer.table.last_row:
            found += enumerate(writer.cells(row, number), writer.placed.first)
    return sorted(found) if len(writers) > 1 else found


def _row_edits(sheet: SheetPart, row: Row, cells: list[tuple[int, bytes]]) -> list[Edit]:
    if not cells:
        return []
    opening = sheet.data[row.start : row.inner]
    edits: list[Edit] = []
    if (spans := _SPANS.search(opening)) and int(spans[2]) < cells[-1][0]:
        edits.append((row.start + spans.start(2), row.start + spans.end(2), b"%d" % cells[-1][0]))
    content = b"".join([cell for _, cell in cells])
    if row.inner == row.end:  # <row …/>
        tag = b"row" if not sheet.prefix else sheet.prefix + b"row"
        return [*edits, (row.inner - 2, row.end, b">" + content + b"</" + tag + b">")]
    if sheet.extent(row)[1] < cells[0][0]:
        return [*edits, (row.close, row.close, content)]
    return edits + _interleaved(sheet, row, cells)


def _interleaved(sheet: SheetPart, row: Row, cells: list[tuple[int, bytes]]) -> list[Edit]:
    """Our cells among cells that are styled only, or that stand to the right of ours."""
    there, edits = sheet.cells(row), []
    for column, content in cells:
        same = next((cell for cell in there if cell.column == column), None)
        if same is not None:
            edits.append((same.start, same.end, content))
            continue
        at = next((cell.start for cell in there if cell.column > column), row.close)
        edits.append((at, at, content))
    return edits


def _new_rows(sheet: SheetPart, writers: Sequence[_Writer], numbers: Sequence[int]) -> list[Edit]:
    """Rows that the sheet does not have yet."""
    edits = []
    for number in numbers:
        cells = b"".join([cell for _, cell in _cells(writers, None, number)])
        tag = sheet.prefix + b"row"
        content = b'<%b r="%d">%b</%b>' % (tag, number, cells, tag)
        at = next((row.start for row in sheet.rows if row.number > number), sheet.rows[-1].end)
        edits.append((at, at, content))
    return edits

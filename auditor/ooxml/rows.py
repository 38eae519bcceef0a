"""The rows of a sheet as byte ranges.

`<` cannot stand in well-formed text or attribute values (XML 1.0, productions 10 and 14). So where
the sheet data holds no comment, CDATA section or processing instruction, `</row>` always ends a row
and bytes searches are exact. Any other sheet is read by expat, slower, to the same answer.
"""

import re
from collections.abc import Iterator
from functools import cache, cached_property
from xml.parsers import expat

from auditor.errors import UnusableFileError
from auditor.ooxml.refs import LAST_ROW, column_number, letters
from auditor.ooxml.refusals import damaged_part
from auditor.ooxml.rowscan import Cell, Row, Scan, scan
from auditor.ooxml.xmltree import Node, Tree, as_utf8, parse

_ATTRIBUTES = rb'((?:\s+[\w:.-]+\s*=\s*"[^"<>]*")*)\s*(/?)>'
_NUMBER = re.compile(rb'\sr="(\d+)"')
_CELL_PLACE = re.compile(rb'\sr="([A-Za-z]{1,3})(\d+)"')
_STYLE = re.compile(rb'\ss="(\d+)"')
_HEIGHT = re.compile(rb"""\sht=["'](\d+\.?\d*)["']""")
_SET_HEIGHT = re.compile(rb"""\scustomHeight=["']\w+["']""")
_OWN_HEIGHT = re.compile(rb"""\scustomHeight=["'](?:1|true)["']""")
_column = cache(lambda letters: column_number(letters.decode()))


def _no_worksheet(part: str) -> UnusableFileError:
    return UnusableFileError(
        f"the part {part!r} is no worksheet; open the workbook, check it and save it again"
    )


class _NotPlain(Exception):  # noqa: N818 - a signal between the two readers, never seen outside
    """A form that the byte searches do not cover."""


class SheetPart:
    """A worksheet part: the tree of all but its rows, and the rows.

    `last_row` can be set before the rows are first asked for: rows below are not looked at.
    """

    def __init__(self, raw: bytes, part: str, last_row: int = LAST_ROW) -> None:
        self.part = part
        self.data = data = as_utf8(raw, part)
        self.last_row = last_row
        plain = data.find(b"<!") < 0 and data.find(b"<?", 1 + data.find(b"<?xml")) < 0
        opening = re.search(rb"<((?:[\w.-]+:)?)sheetData" + _ATTRIBUTES, data) if plain else None
        self._scan: Scan | None = None  # of a sheet that byte searches do not cover
        if opening and not opening[3]:
            closing = data.rfind(b"</" + opening[1] + b"sheetData")
            self.tree = self._skeleton(opening.end(), closing)
        else:
            self._scan = self._scanned()
            self.tree = self._skeleton(self._scan.inner, self._scan.close)
        node = self.tree.root.first("sheetData")
        if self.tree.root.name != "worksheet" or node is None:
            raise _no_worksheet(part)
        self.sheet_data: Node = node
        self.prefix = node.tag[: node.tag.find(":") + 1].encode()
        self._row_tag = re.compile(rb"\s*(<)" + self.prefix + rb'row(?: r="(\d+)")?' + _ATTRIBUTES)
        # the usual form of a row's last cell: one look tells its column and that it holds something
        cell, value = self.prefix + b"c", self.prefix + b"v"
        self._last_cell = re.compile(
            rb'<%b r="([A-Z]{1,3})\d+"(?: s="(\d+)")?(?: t="\w+")?><%b>[^<]+</%b></%b>'
            % (cell, value, value, cell)
        )
        self._place_and_style = re.compile(rb' r="[A-Z]+\d+"(?: s="(\d+)")?(?: t="\w+")?/?>')
        self._styles = re.compile(rb"<" + cell + rb'(?: r="([A-Z]+)\d+"(?: s="(\d+)")?)?(?=[ />])')
        self._cell_tag = re.compile(rb"<" + self.prefix + rb"c" + _ATTRIBUTES)

    def _scanned(self) -> Scan:
        try:
            found = scan(self.data)
        except (expat.ExpatError, ValueError):
            raise damaged_part(self.part) from None
        if found.inner < 0:
            raise _no_worksheet(self.part)
        return found

    def _skeleton(self, inner: int, close: int) -> Tree:
        """The tree of the part without its rows; offsets are those of the whole part."""
        if self.data[inner - 2] == 0x2F:  # <sheetData/>
            return parse(self.data, self.part)
        tree = parse(self.data[:inner] + self.data[close:], self.part)
        tree.root.shift(close - inner, inner)
        node = tree.root.first("sheetData")
        if node is not None:
            node.close = close
        return Tree(self.data, tree.root, tree.prefix)

    @cached_property
    def rows(self) -> list[Row]:
        """The rows as they stand, up to the last one asked for."""
        if self._scan is None:
            try:
                return list(self._plain_rows())
            except _NotPlain:
                self._scan = self._scanned()
        return [row for row in self._scan.rows if row.number <= self.last_row]

    @cached_property
    def by_number(self) -> dict[int, Row]:
        return {row.number: row for row in self.rows}

    @cached_property
    def line_height(self) -> float:
        """The height of a line of text [pt], as the sheet states it for a row."""
        node = self.tree.root.first("sheetFormatPr")
        return node.figure("defaultRowHeight", 15.0) if node else 15.0

    def height(self, row: Row) -> float | None:
        """The height [pt] that is written for a row, set by somebody or fitted by a program."""
        height = _HEIGHT.search(self.data, row.start, row.inner)
        return float(height[1]) if height else None

    def own_height(self, row: Row) -> float | None:
        """The height [pt] that somebody has set for a row; None where a program fits it."""
        return self.height(row) if _OWN_HEIGHT.search(self.data, row.start, row.inner) else None

    def unset_height(self, row: Row) -> list[tuple[int, int, bytes]]:
        """The edits that leave a row's height to the program that shows it."""
        found = (pattern.search(self.data, row.start, row.inner) for pattern in (_HEIGHT, _SET_HEIGHT))
        return [(match.start(), match.end(), b"") for match in found if match]

    def cells(self, row: Row) -> list[Cell]:
        """The cells of a row, in the order in which they stand."""
        if self._scan is not None:
            return self._scan.cells[row.start]
        try:
            return self._plain_cells(row)
        except _NotPlain:
            self._scan = self._scanned()
            return self._scan.cells[row.start]

    def extent(self, row: Row) -> tuple[int, int]:
        """The columns of the last cell that holds something and of the last cell; 0 for none."""
        if row.extent is None:
            cells = self.cells(row)
            valued = max((cell.column for cell in cells if cell.valued), default=0)
            last = max(cells, key=lambda cell: cell.column, default=None)
            row.extent = (valued, last.column) if last else (0, 0)
            row.last_style = last.style if last else 0
        return row.extent

    def style_at(self, row: Row, column: int) -> int | None:
        """The style of a cell; None where no cell stands."""
        last = (row.extent or self.extent(row))[1]
        if column >= last:
            return row.last_style if column == last else None
        if self._scan is None:
            place = b' r="%b%d"' % (letters(column).encode(), row.number)
            at = self.data.find(place, row.inner, row.close)
            match = self._place_and_style.match(self.data, at) if at >= 0 else None
            if match:
                return int(match[1] or 0)
        return next((cell.style for cell in self.cells(row) if cell.column == column), None)

    def styles(self, row: Row) -> list[tuple[int, int]]:
        """Column and style of the cells of a row."""
        if self._scan is None:
            found = self._styles.findall(self.data, row.inner, row.close)
            if found and b"" not in (letters for letters, _ in found):
                return [(_column(letters), int(style or 0)) for letters, style in found]
        return [(cell.column, cell.style) for cell in self.cells(row)]

    def _holds(self, start: int, end: int) -> bool:
        """Whether a cell's content holds a value, a formula or inline text."""
        content = self.data[start:end]
        opened = b"<" + self.prefix
        if opened + b"f" in content or opened + b"is" in content:
            return True
        at = content.find(opened + b"v>")
        return at >= 0 and not content.startswith(b"</", at + len(opened) + 2)

    def _plain_rows(self) -> Iterator[Row]:
        data, number, position = self.data, 0, self.sheet_data.inner
        opened, closing = b"<" + self.prefix + b"row", b"</" + self.prefix + b"row>"
        match_row, size, stop = self._row_tag.match, len(closing), self.sheet_data.close
        cell, last_cell = b"<" + self.prefix + b"c ", self._last_cell.match
        while position < stop and number < self.last_row:
            match = match_row(data, position, stop)
            if match is None:
                if data[position:stop].strip():
                    raise _NotPlain
                return
            if match[2]:
                number = int(match[2])
            else:
                written = _NUMBER.search(match[3])
                number = int(written[1]) if written else number + 1
            start, inner = match.start(1), match.end()
            if match[4]:
                position = inner
                yield Row(number, start, inner, inner, inner)
                continue
            close = data.find(closing, inner, stop)
            if close < 0 or data.find(opened, inner, close) >= 0:  # e.g. </row >
                raise _NotPlain
            position = close + size
            row = Row(number, start, inner, close, position)
            at = data.rfind(cell, inner, close)
            if at >= 0 and (last := last_cell(data, at)) and last.end() == close:
                column = _column(last[1])
                row.extent, row.last_style = (column, column), int(last[2] or 0)
            yield row

    def _plain_cells(self, row: Row) -> list[Cell]:
        data, found, position = self.data, [], row.inner
        opened, closing = b"<" + self.prefix + b"c", b"</" + self.prefix + b"c>"
        column = 0
        while (position := data.find(opened, position, row.close)) >= 0:
            match = self._cell_tag.match(data, position, row.close)
            if match is None:
                raise _NotPlain
            place, style = _CELL_PLACE.search(match[1]), _STYLE.search(match[1])
            column = column_number(place[1].decode()) if place else column + 1
            end, valued = match.end(), False
            if not match[2]:
                close = data.find(closing, end, row.close)
                if close < 0 or self._cell_tag.search(data, end, close):  # e.g. </c >
                    raise _NotPlain
                valued = self._holds(end, close)
                end = close + len(closing)
            found.append(Cell(column, position, end, int(style[1]) if style else 0, valued))
            position = end
        return found

"""The rows of a sheet as byte ranges.

`<` cannot stand in well-formed text or attribute values (XML 1.0, productions 10 and 14). So where
the sheet data holds no comment, CDATA section or processing instruction, `</row>` always ends a row
and bytes searches are exact. Any other sheet is read by expat, slower, to the same answer.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from auditor.errors import UnusableFileError
from auditor.writeback.refs import LAST_ROW, column_number
from auditor.writeback.xmltree import Node, Tree, as_utf8, parse

_ATTRIBUTES = rb'((?:\s+[\w:.-]+\s*=\s*"[^"<>]*")*)\s*(/?)>'
_NUMBER = re.compile(rb'\sr="(\d+)"')
_CELL_PLACE = re.compile(rb'\sr="([A-Za-z]{1,3})(\d+)"')
_STYLE = re.compile(rb'\ss="(\d+)"')


@dataclass(slots=True, eq=False)
class Row:
    """`<row` at start, cells from inner to close, first byte after the row at end."""

    number: int
    start: int
    inner: int
    close: int
    end: int
    extent: tuple[int, int] | None = None  # see SheetPart.extent


@dataclass(slots=True, eq=False)
class Cell:
    column: int
    start: int
    end: int
    style: int
    valued: bool


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
        self._tree_of_all: Tree | None = None
        plain = data.find(b"<!") < 0 and data.find(b"<?", 1 + data.find(b"<?xml")) < 0
        opening = re.search(rb"<((?:[\w.-]+:)?)sheetData" + _ATTRIBUTES, data) if plain else None
        if opening and not opening[3] and b"<!DOCTYPE" not in data:
            closing = data.rfind(b"</" + opening[1] + b"sheetData")
            self.tree = self._skeleton(opening.end(), closing)
        else:
            self.tree = self._tree_of_all = parse(data, part)
        node = self.tree.root.first("sheetData")
        if self.tree.root.name != "worksheet" or node is None:
            raise UnusableFileError(f"the part {part} is no worksheet; save the workbook again")
        self.sheet_data: Node = node
        self.prefix = node.tag[: node.tag.find(":") + 1].encode()
        self._row_tag = re.compile(rb"\s*<" + self.prefix + rb"row" + _ATTRIBUTES)
        self._cell_tag = re.compile(rb"<" + self.prefix + rb"c" + _ATTRIBUTES)
        self._slow_cells: dict[int, list[Cell]] = {}

    def _skeleton(self, inner: int, close: int) -> Tree:
        tree = parse(self.data[:inner] + self.data[close:], self.part)
        tree.root.shift(close - inner, inner)
        node = tree.root.first("sheetData")
        if node is not None:
            node.close = close
        return Tree(self.data, tree.root, tree.prefix)

    @cached_property
    def rows(self) -> list[Row]:
        """The rows as they stand, up to the last one asked for."""
        if self._tree_of_all is None:
            try:
                return list(self._plain_rows())
            except _NotPlain:
                self._tree_of_all = parse(self.data, self.part)
        return list(self._parsed_rows(self._tree_of_all))

    @cached_property
    def by_number(self) -> dict[int, Row]:
        return {row.number: row for row in self.rows}

    def cells(self, row: Row) -> list[Cell]:
        """The cells of a row, in the order in which they stand."""
        if self._tree_of_all is not None:
            return self._slow_cells.get(row.number, [])
        try:
            return self._plain_cells(row)
        except _NotPlain:
            raise UnusableFileError(f"row {row.number} of the part {self.part} could not be read") from None

    def extent(self, row: Row) -> tuple[int, int]:
        """The columns of the last cell that holds something and of the last cell; 0 for none."""
        if row.extent is None:
            row.extent = self._extent(row)
        return row.extent

    def _extent(self, row: Row) -> tuple[int, int]:
        if self._tree_of_all is None and (match := self._last_tag(row)):
            place = _CELL_PLACE.search(match[1])
            if place and not match[2] and self._holds(match.end(), row.close):
                column = column_number(place[1].decode())
                return column, column
        cells = self.cells(row)
        valued = max((cell.column for cell in cells if cell.valued), default=0)
        return valued, max((cell.column for cell in cells), default=0)

    def style_at(self, row: Row, column_letters: bytes) -> int | None:
        """The style of a cell; None where no cell stands."""
        if self._tree_of_all is None:
            place = b'r="' + column_letters + b'%d"' % row.number
            at = self.data.find(place, row.inner, row.close)
            if at >= 0:
                start = self.data.rfind(b"<", row.inner, at)
                match = self._cell_tag.match(self.data, start)
                style = _STYLE.search(match[1]) if match else None
                return int(style[1]) if style else 0
        column = column_number(column_letters.decode())
        return next((cell.style for cell in self.cells(row) if cell.column == column), None)

    def _last_tag(self, row: Row) -> re.Match[bytes] | None:
        """The start tag of the row's last cell, when that can be told at a glance."""
        at = self.data.rfind(b"<" + self.prefix + b"c ", row.inner, row.close)
        match = self._cell_tag.match(self.data, at) if at >= 0 else None
        if match is None or match[2]:
            return match if match and match.end() == row.close else None
        closing = b"</" + self.prefix + b"c>"
        close = self.data.find(closing, match.end(), row.close)
        return match if close + len(closing) == row.close else None

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
        closing = b"</" + self.prefix + b"row>"
        match_row, size, stop = self._row_tag.match, len(closing), self.sheet_data.close
        while position < stop and number < self.last_row:
            match = match_row(data, position, stop)
            if match is None:
                if data[position:stop].strip():
                    raise _NotPlain
                return
            written = _NUMBER.search(match[1])
            number = int(written[1]) if written else number + 1
            start, inner = data.index(b"<", position), match.end()
            if match[2]:
                position = inner
                yield Row(number, start, inner, inner, inner)
                continue
            close = data.find(closing, inner, stop)
            if close < 0:
                raise _NotPlain
            position = close + size
            yield Row(number, start, inner, close, position)

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
                valued = self._holds(end, close)
                end = close + len(closing)
            found.append(Cell(column, position, end, int(style[1]) if style else 0, valued))
            position = end
        return found

    def _parsed_rows(self, tree: Tree) -> Iterator[Row]:
        node = tree.root.first("sheetData")
        number = 0
        for element in node.all("row") if node else ():
            number = int(element.attributes.get("r", number + 1))
            if number > self.last_row:
                return
            self._slow_cells[number] = list(self._parsed_cells(tree, element))
            yield Row(number, element.start, element.inner, element.close, element.end)

    def _parsed_cells(self, tree: Tree, element: Node) -> Iterator[Cell]:
        column = 0
        for node in element.all("c"):
            place = re.match("[A-Za-z]+", node.attributes.get("r", ""))
            column = column_number(place[0]) if place else column + 1
            value = node.first("v")
            valued = bool(node.first("f") or node.first("is") or (value and value.inner < value.close))
            yield Cell(column, node.start, node.end, int(node.attributes.get("s", 0)), valued)

"""The rows of a sheet read by expat: slower than byte searches, right for every well-formed part."""

import re
from dataclasses import dataclass, field
from xml.parsers import expat

from auditor.ooxml.refs import column_number
from auditor.ooxml.xmltree import after_tag


@dataclass(slots=True, eq=False)
class Row:
    """`<row` at start, cells from inner to close, first byte after the row at end."""

    number: int
    start: int
    inner: int
    close: int
    end: int
    extent: tuple[int, int] | None = None  # see SheetPart.extent
    last_style: int = 0  # of the row's last cell, once the extent is known


@dataclass(slots=True, eq=False)
class Cell:
    column: int
    start: int
    end: int
    style: int
    valued: bool


@dataclass(slots=True)
class Scan:
    """Where the sheet data lies, its rows, and the cells of each row (by its start)."""

    inner: int = -1
    close: int = -1
    rows: list[Row] = field(default_factory=list)
    cells: dict[int, list[Cell]] = field(default_factory=dict)


class _Scanner:
    """Follows `worksheet / sheetData / row / c / v`, by depth."""

    def __init__(self, data: bytes) -> None:
        self.data, self.scan = data, Scan()
        self.path: list[str] = []
        self.parser = parser = expat.ParserCreate()
        parser.StartElementHandler = self.opened
        parser.EndElementHandler = self.closed
        parser.CharacterDataHandler = self.text
        parser.StartDoctypeDeclHandler = self.refuse
        parser.Parse(data, True)

    def opened(self, tag: str, attributes: dict[str, str]) -> None:
        path = self.path
        path.append(tag.rpartition(":")[2])
        depth, at = len(path), self.parser.CurrentByteIndex
        if depth < 2 or path[1] != "sheetData":
            return
        if depth == 2:
            self.scan.inner = after_tag(self.data, at)
        elif depth == 3 and path[2] == "row":
            rows = self.scan.rows
            number = int(attributes.get("r", rows[-1].number + 1 if rows else 1))
            rows.append(Row(number, at, after_tag(self.data, at), -1, -1))
            self.scan.cells[at] = []
        elif depth == 4 and path[2:] == ["row", "c"]:
            cells = self.scan.cells[self.scan.rows[-1].start]
            letters = re.match("[A-Za-z]+", attributes.get("r", ""))
            column = column_number(letters[0]) if letters else (cells[-1].column + 1 if cells else 1)
            cells.append(Cell(column, at, -1, int(attributes.get("s", 0)), False))
        elif depth == 5 and path[2:4] == ["row", "c"] and path[4] in ("f", "is"):
            self.scan.cells[self.scan.rows[-1].start][-1].valued = True

    def text(self, _text: str) -> None:
        if self.path[1:] == ["sheetData", "row", "c", "v"]:
            self.scan.cells[self.scan.rows[-1].start][-1].valued = True

    def closed(self, _tag: str) -> None:
        path, at = self.path, self.parser.CurrentByteIndex
        if path[1:2] == ["sheetData"] and len(path) < 5:
            if len(path) == 2:
                self.scan.close = at
            elif path[2:] == ["row"]:
                row = self.scan.rows[-1]
                row.close, row.end = self._closed(row.start, at)
            elif path[2:] == ["row", "c"]:
                cell = self.scan.cells[self.scan.rows[-1].start][-1]
                cell.end = self._closed(cell.start, at)[1]
        path.pop()

    def refuse(self, *_: object) -> None:
        raise ValueError("a document type declaration")

    def _closed(self, start: int, at: int) -> tuple[int, int]:
        """Where an element's content and the element itself end."""
        inner = after_tag(self.data, start)
        if self.data[inner - 2] == 0x2F:  # "/": an empty-element tag
            return inner, inner
        return at, self.data.index(b">", at) + 1


def scan(data: bytes) -> Scan:
    """Read a worksheet part.

    Raises
    ------
    expat.ExpatError, ValueError : not well-formed, or not what a worksheet holds
    """
    return _Scanner(data).scan

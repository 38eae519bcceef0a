"""The text that a cell shows, however the program that saved the workbook wrote it down."""

import re
from functools import cached_property
from html import unescape
from xml.parsers import expat

from auditor.errors import UnusableFileError
from auditor.ooxml.refusals import SAVE_AGAIN
from auditor.ooxml.rows import SheetPart
from auditor.ooxml.rowscan import Cell, Row
from auditor.ooxml.workbook_part import WorkbookPart
from auditor.ooxml.xmltree import as_utf8

_FORMULA = re.compile(rb"<(?:[\w.-]+:)?f(?:\s[^>]*)?(?:/>|>([^<]*)<)")
_KIND = re.compile(rb"""[^>]*\st=["'](\w+)["']""")
_STRING = re.compile(rb"""[^>]*\st=["'](?:s|inlineStr)["']""")


class Texts:
    """Reads texts from the cells of a workbook's sheets."""

    def __init__(self, book: WorkbookPart) -> None:
        self._book = book

    def at(self, sheet: SheetPart, row: int, column: int) -> str:
        """The text of a cell; empty where there is none."""
        there = sheet.by_number.get(row)
        cells = sheet.cells(there) if there else []
        return next((self.of(sheet, cell) for cell in cells if cell.column == column), "")

    def row(self, sheet: SheetPart, row: Row) -> dict[int, str]:
        """Column -> text, of the cells of a row that hold something."""
        return {cell.column: self.of(sheet, cell) for cell in sheet.cells(row) if cell.valued}

    @staticmethod
    def is_text(sheet: SheetPart, cell: Cell) -> bool:
        """Whether a cell holds text that was written into it, no figure and no formula."""
        raw = sheet.data[cell.start : cell.end]
        return _STRING.match(raw) is not None and b"<" + sheet.prefix + b"f" not in raw

    @staticmethod
    def formula(sheet: SheetPart, cell: Cell) -> str:
        """The formula of a cell; empty: it holds none; `?`: one that is written down elsewhere."""
        found = _FORMULA.search(sheet.data, cell.start, cell.end)
        return unescape((found[1] or b"?").decode("utf-8", "replace")) if found else ""

    def value(self, sheet: SheetPart, cell: Cell) -> str | float:
        """What somebody wrote into a cell: a text, a figure, or a formula as text."""
        if formula := self.formula(sheet, cell):
            return f"={formula}"
        text = self.of(sheet, cell)
        kind = _KIND.match(sheet.data, cell.start, cell.end)
        if kind is not None and kind[1] == b"b":
            return "TRUE" if text == "1" else "FALSE"
        if kind is not None and kind[1] != b"n":
            return text
        try:
            return float(text)
        except ValueError:
            return text

    def of(self, sheet: SheetPart, cell: Cell) -> str:
        attributes, texts = _read(sheet.data[cell.start : cell.end], outer="c", wanted=("v", "t"))
        text = "".join(texts)
        if attributes.get("t") != "s":
            return text
        return self._shared[int(text)] if text.isdecimal() and int(text) < len(self._shared) else ""

    @cached_property
    def _shared(self) -> list[str]:
        part = self._book.related("sharedStrings")
        if part is None:
            return []
        return _read(as_utf8(self._book.package.read(part), part), outer="si", wanted=("t",))[1]


def _read(data: bytes, *, outer: str, wanted: tuple[str, ...]) -> tuple[dict[str, str], list[str]]:
    """The attributes of the first `outer` element, and the text of the `wanted` elements in each of
    them, without phonetic hints (ISO/IEC 29500-1, 18.4.6)."""
    found: list[str] = []
    first: dict[str, str] = {}
    path: list[str] = []

    def opened(tag: str, attributes: dict[str, str]) -> None:
        path.append(tag.rpartition(":")[2])
        if path[-1] == outer:
            found.append("")
            first.update(attributes if len(found) == 1 else {})

    def text(characters: str) -> None:
        if found and path[-1] in wanted and "rPh" not in path:
            found[-1] += characters

    parser = expat.ParserCreate()
    parser.StartElementHandler = opened
    parser.EndElementHandler = lambda _tag: path.pop()
    parser.CharacterDataHandler = text
    try:
        parser.Parse(data, True)
    except expat.ExpatError:
        raise UnusableFileError(
            f"the workbook is damaged: a text in it cannot be read; {SAVE_AGAIN}"
        ) from None
    return first, found

"""A workbook of which XlsxWriter writes all but the rows: these are many, and ours are plain.

Some of the library's private names are used: the packager, the writer of the rows, the number of a format.
`tests/report/test_library_names.py` lists them and says what to do when a new version lacks one. Its public
writers of cells take four times as long for 2,000 rows of 10 columns, packing the parts and unpacking them
again a quarter more for the sheets of one job.
"""

import io
import re
import zipfile
from collections import defaultdict
from collections.abc import Iterable, Mapping
from copy import deepcopy
from functools import cache, lru_cache
from math import isfinite
from typing import Any

from xlsxwriter.color import Color
from xlsxwriter.format import Format
from xlsxwriter.packager import Packager
from xlsxwriter.workbook import Workbook
from xlsxwriter.worksheet import Worksheet

from auditor.report.page.look import NEW_WORKBOOK, WRITTEN, Cell, Lines, Link, Live, clean, finite, letter

# `_x0041_` in a cell's text stands for a character (ISO/IEC 29500-1, 22.9.2.19); ours mean themselves.
_SPECIAL = re.compile('[&<>"]|_(?=x[0-9A-Fa-f]{4}_)')
_ENTITY = {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "_": "_x005F_"}
_REPEATED = 160  # characters: names, words and limits come again in every job, long sentences do not
_ROW_POINTS = 15  # of a row that states no height
_EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest date a zip can hold: nothing here carries a clock


class RowSheet(Worksheet):  # type: ignore[misc]
    """A sheet whose cells are handed over with `put` and `put_row`, rows and columns from 0."""

    def __init__(self) -> None:
        super().__init__()
        self._cells: dict[int, list[tuple[int, str]]] = defaultdict(list)  # row -> (first column, cells)
        self._last_column = 0
        self._heights: dict[int, float] = {}
        self._folded: set[int] = set()

    def put(self, row: int, column: int, value: Cell, style: Any) -> None:
        """One value as what it is: text stays text, nothing is guessed."""
        place = f'<c r="{letter(column + 1)}{row + 1}" s="{self.style_number(style)}"'
        self.put_row(row, column, column, place + self.content(row, column, value))

    def put_row(self, row: int, first: int, last: int, cells: str) -> None:
        """Cells that stand side by side, from the first to the last column."""
        self._last_column = max(self._last_column, last)
        self._cells[row].append((first, cells))

    def put_merged(self, row: int, first: int, last: int, text: str, style: Any) -> None:
        """Text over several cells."""
        self.merge_range(row, first, row, last, "", style)
        self.put(row, first, text, style)
        for column in range(first + 1, last + 1):
            self.put(row, column, None, style)

    def put_block(self, top: int, left: int, bottom: int, right: int, text: str, style: Any) -> None:
        """Text over cells of several rows, in a format that shows in the first cell alone."""
        if (top, left) != (bottom, right):
            self.merge.append([top, left, bottom, right])
        self.put(top, left, text, style)

    def put_height(self, row: int, points: float) -> None:
        self._heights[row] = points
        self._cells.setdefault(row, [])

    def points(self, below: int) -> float:
        """The height of the rows above this one [points], of those without a height as programs draw them."""
        return sum(self._heights.get(row, _ROW_POINTS) for row in range(below))

    def fold(self, rows: Iterable[int]) -> None:
        """Have rows folded under the row above them; its sign opens and closes them."""
        self._folded.update(rows)
        if self._folded:
            self.outline_settings(True, False)
            self.outline_row_level = 1

    def content(self, row: int, column: int, value: Cell) -> str:
        """What follows a cell's place and style; a link is noted for the sheet's list of links."""
        if value is None:
            return "/>"
        if isinstance(value, str):
            return _text_xml(value) if value else "/>"
        if isinstance(value, Link):
            self.write_url(row, column, value.target, None, clean(value.text))
            return _text_xml(value.text)
        if isinstance(value, Lines):
            return _lines_xml(value)
        if isinstance(value, Live):
            return _formula_xml(value)
        return f"><v>{value!r}</v></c>" if isfinite(value) else "/>"

    @staticmethod
    def style_number(style: Any) -> int:
        """The number of a format, for a cell to refer to."""
        number: int | None = style.xf_index
        return style._get_xf_index() if number is None else number

    def _write_string(self, *_: Any) -> int:
        """The library's own cells, for the text of a link: ours stand in their place."""
        return 0

    def _write_dimension(self) -> None:
        rows = [row for row, cells in self._cells.items() if cells]
        if rows:
            self._check_dimensions(min(rows), 0)
            self._check_dimensions(max(rows), self._last_column)
        super()._write_dimension()

    def _write_sheet_data(self) -> None:
        self.fh.write("<sheetData>")
        for row in sorted(self._cells):
            pieces = self._cells.pop(row)  # what is written is let go: a sheet can be large
            height = self._heights.get(row)
            written = "" if height is None else f' ht="{height:g}" customHeight="1"'
            if row in self._folded:
                written += ' hidden="1" outlineLevel="1"'
            elif row + 1 in self._folded:
                written += ' collapsed="1"'
            cells = "".join(cells for _, cells in sorted(pieces)) if len(pieces) != 1 else pieces[0][1]
            self.fh.write(f'<row r="{row + 1}"{written}>{cells}</row>')
        self.fh.write("</sheetData>")


class RowBook(Workbook):  # type: ignore[misc]
    """An empty workbook in memory, in the house font, whose sheets are `RowSheet`s."""

    worksheet_class = RowSheet

    def __init__(self) -> None:
        super().__init__(io.BytesIO(), deepcopy(NEW_WORKBOOK))  # the library writes into it
        self.set_properties({"created": WRITTEN})
        self._parts: dict[str, bytes] = {}

    def add_format(self, properties: Mapping[str, Any] | None = None) -> Any:
        given = {**self.default_format_properties, **(properties or {})}
        style = _Style.like(_style(tuple(given.items())))
        style.xf_format_indices, style.dxf_format_indices = self.xf_format_indices, self.dxf_format_indices
        self.formats.append(style)
        return style

    def parts(self) -> dict[str, bytes]:
        """The finished workbook's parts by name. The same cells give the same bytes."""
        self.close()
        return self._parts

    def content(self) -> bytes:
        """The finished workbook as a file."""
        return packed(self.parts())

    def _get_packager(self) -> Packager:
        return _PartKeeper(self._parts)


class _Style(Format):  # type: ignore[misc]
    """A format that is different from the others, as those of a `Look` are: no two are compared."""

    @classmethod
    def like(cls, other: "_Style") -> "_Style":
        """A copy: making one anew takes ten times as long."""
        style = cls.__new__(cls)
        style.__dict__.update(other.__dict__)
        return style

    def _get_format_key(self) -> object:
        return self


@cache
def _style(properties: tuple[tuple[str, Any], ...]) -> _Style:
    """A format as it is before any workbook has it; they are the same in every job."""
    return _Style({name: Color(value) if name.endswith("color") else value for name, value in properties})


class _PartKeeper(Packager):  # type: ignore[misc]
    """Keeps the parts, so that they are not packed only to be unpacked."""

    def __init__(self, parts: dict[str, bytes]) -> None:
        super().__init__()
        self.parts = parts

    def _create_package(self) -> list[Any]:
        for held, name, is_binary in super()._create_package():
            content = held.getvalue()
            held.close()
            self.parts[name] = content if is_binary else content.encode()
        return []


def packed(parts: Mapping[str, bytes]) -> bytes:
    """Parts as an .xlsx file."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as package:
        for name, content in parts.items():
            package.writestr(zipfile.ZipInfo(name, _EPOCH), content, zipfile.ZIP_DEFLATED)
    return held.getvalue()


def _text_xml(text: str) -> str:
    return _repeated_xml(text) if len(text) <= _REPEATED else _inline_xml(text)


def _inline_xml(text: str) -> str:
    cleaned = clean(text)
    space = ' xml:space="preserve"' if cleaned != cleaned.strip() else ""
    return f' t="inlineStr"><is><t{space}>{_SPECIAL.sub(_entity_of, cleaned)}</t></is></c>'


_repeated_xml = lru_cache(maxsize=4096)(_inline_xml)


def _lines_xml(lines: Lines) -> str:
    text = "\n".join(_SPECIAL.sub(_entity_of, clean(each)) for each in lines.texts)
    return f' t="inlineStr"><is><t xml:space="preserve">{text}</t></is></c>'


def _formula_xml(live: Live) -> str:
    formula = _SPECIAL.sub(_entity_of, live.formula.removeprefix("="))
    if isinstance(live.value, str):
        return f' t="str"><f>{formula}</f><v>{_SPECIAL.sub(_entity_of, clean(live.value))}</v></c>'
    value = finite(live.value)
    return f"><f>{formula}</f></c>" if value is None else f"><f>{formula}</f><v>{value!r}</v></c>"


def _entity_of(match: re.Match[str]) -> str:
    return _ENTITY[match[0]]

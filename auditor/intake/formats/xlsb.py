"""What a fast reader does not show of an .xlsb: error cells, hidden and struck-through rows, hidden
columns, and how far the cells reach.

Source: [MS-XLSB], sections 2.1.4 (records), 2.4.734 (BrtRowHdr), 2.4.312 (BrtCellError), 2.4.660
(BrtFmlaError), 2.5.97.2 (error codes), BrtColInfo, BrtFont, BrtXF and FontFlags; from memory, not read
again for this code. A test lets another program read the struck-through cells.
"""

import struct
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field

from auditor.errors import UnusableFileError
from auditor.intake.formats.calamine import calamine_sheets
from auditor.intake.formats.cells import Fault, Sheet
from auditor.ooxml.package import Package
from auditor.ooxml.refusals import damaged
from auditor.ooxml.relationships import main_part, relationships

MAX_AREA = 8_000_000  # cells; project convention

_ROW, _CELLS, _ERRORS, _LAST_CELL = 0, range(1, 12), (3, 11), 11
_ERROR_TEXTS = {
    0x00: "#NULL!",
    0x07: "#DIV/0!",
    0x0F: "#VALUE!",
    0x17: "#REF!",
    0x1D: "#NAME?",
    0x24: "#NUM!",
    0x2A: "#N/A",
}
_BUNDLE_SHEET = 156
_COLUMNS, _FONT, _FORMAT, _FORMATS, _FORMATS_END = 60, 43, 47, 617, 618
_ROW_HIDDEN, _COLUMN_HIDDEN, _STRUCK = 0x10, 0x01, 0x08  # flags


@dataclass(slots=True)
class Marks:
    """What one sheet's part shows beyond its values; rows and columns from 1."""

    faults: dict[tuple[int, int], Fault] = field(default_factory=dict)
    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: set[int] = field(default_factory=set)
    struck: dict[int, set[int]] = field(default_factory=lambda: defaultdict(set))


def read_xlsb(package: Package, data: bytes) -> list[Sheet]:
    """All worksheets of a binary workbook.

    Raises
    ------
    UnusableFileError : damaged, or a cell so far out that no reader can hold the sheet
    """
    try:
        parts = _sheet_parts(package)
        styles = package.find("xl/styles.bin")
        struck = _struck_formats(package.read(styles)) if styles else frozenset()
    except (struct.error, KeyError) as cause:
        raise damaged() from cause
    marks = {title: _scan(package.read(part), struck, title) for title, part in parts.items()}
    sheets = calamine_sheets(data)
    for sheet in sheets:
        found = marks.get(sheet.name) or Marks()
        sheet.hidden_rows = frozenset(found.hidden_rows)
        sheet.hidden_columns = frozenset(found.hidden_columns)
        sheet.struck = {row: frozenset(columns) for row, columns in found.struck.items()}
        for (row, column), fault in found.faults.items():
            sheet.put(row, column, fault)
    return sheets


def _struck_formats(styles: bytes) -> frozenset[int]:
    """Indices of the cell formats whose font is struck through."""
    fonts: list[bool] = []
    formats: list[int] = []
    of_cells = False
    for kind, content in records(styles):
        if kind == _FONT:
            fonts.append(bool(struct.unpack_from("<H", content, 2)[0] & _STRUCK))
        elif kind in (_FORMATS, _FORMATS_END):
            of_cells = kind == _FORMATS
        elif kind == _FORMAT and of_cells:
            formats.append(struct.unpack_from("<H", content, 4)[0])
    return frozenset(i for i, font in enumerate(formats) if font < len(fonts) and fonts[font])


def records(data: bytes) -> Iterator[tuple[int, bytes]]:
    """The (number, content) of each record of a part."""
    at, end = 0, len(data)
    while at < end:
        kind, at = _varint(data, at, 2)
        size, at = _varint(data, at, 4)
        yield kind, data[at : at + size]
        at += size


def _varint(data: bytes, at: int, most: int) -> tuple[int, int]:
    value = shift = 0
    for _ in range(most):
        byte = data[at] if at < len(data) else 0
        at += 1
        value |= (byte & 0x7F) << shift
        shift += 7
        if not byte & 0x80:
            break
    return value, at


def _scan(data: bytes, struck_formats: frozenset[int], title: str) -> Marks:
    marks = Marks()
    row = last_row = last_column = cells = 0
    for kind, content in records(data):
        if kind == _ROW and len(content) >= 12:
            row = struct.unpack_from("<I", content)[0] + 1
            if content[11] & _ROW_HIDDEN:
                marks.hidden_rows.add(row)
        elif kind in _CELLS and len(content) >= 8:
            column = struct.unpack_from("<I", content)[0] + 1
            if kind != 1:
                cells, last_row, last_column = cells + 1, max(last_row, row), max(last_column, column)
            if kind in _ERRORS and len(content) >= 9:
                text = _ERROR_TEXTS.get(content[8], "an error")
                marks.faults[row, column] = Fault(text, f"the cell shows {text}; mend its formula")
            if struck_formats and int.from_bytes(content[4:7], "little") in struck_formats:
                marks.struck[row].add(column)
        elif kind == _COLUMNS and len(content) >= 18 and content[16] & _COLUMN_HIDDEN:
            first, last = struct.unpack_from("<II", content)
            marks.hidden_columns.update(range(first + 1, min(last, 16_383) + 2))
    if last_row * last_column > max(MAX_AREA, 4 * cells):
        raise UnusableFileError(
            f"a cell on {title!r} stands in row {last_row:,}, column {last_column:,}, far away from all "
            "others; delete it and save the file again, or save it as .xlsx"
        )
    return marks


def _sheet_parts(package: Package) -> dict[str, str]:
    """Title -> part, of the sheets that the workbook lists."""
    workbook = main_part(package)
    if workbook is None:
        raise damaged()
    targets = {each.id: each.target for each in relationships(package, workbook)}
    parts = {}
    for kind, content in records(package.read(workbook)):
        if kind == _BUNDLE_SHEET and len(content) > 16:
            relation, at = _text(content, 8)
            title, _ = _text(content, at)
            if targets[relation] not in package.members:
                raise damaged()
            parts[title] = targets[relation]
    return parts


def _text(content: bytes, at: int) -> tuple[str, int]:
    size = struct.unpack_from("<I", content, at)[0]
    if size == 0xFFFFFFFF:
        return "", at + 4
    end = at + 4 + 2 * size
    return content[at + 4 : end].decode("utf-16-le", "replace"), end

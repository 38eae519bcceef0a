"""OpenDocument sheets, read from content.xml; repeated cells and rows are not written out at the end."""

import io
import math
import re
from collections.abc import Iterator, Mapping
from datetime import date, datetime, time
from typing import Any

from lxml import etree

from auditor.errors import UnusableFileError
from auditor.intake.formats.cells import Fault, Sheet
from auditor.intake.formats.struck import Place, leave_out_struck
from auditor.ooxml.package import Package
from auditor.ooxml.plain import SAFE
from auditor.ooxml.refs import LAST_COLUMN, LAST_ROW
from auditor.ooxml.refusals import SAVE_AGAIN, damaged, needs_password
from auditor.ooxml.shared_strings import Run

MAX_CELLS = 8_000_000  # project convention

_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_STYLE = "{urn:oasis:names:tc:opendocument:xmlns:style:1.0}"
_TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
_CALCEXT = "{urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0}"


def read_ods(package: Package) -> list[Sheet]:
    """All tables of an OpenDocument spreadsheet.

    Raises
    ------
    UnusableFileError : damaged, protected by a password, or more cells than are read
    """
    if _encrypted(package):
        raise needs_password()
    part = package.find("content.xml")
    if part is None:
        raise UnusableFileError(f"the file is damaged: its content is missing; {SAVE_AGAIN}")
    try:
        root, styles = _root(package.xml(part)), _styles(package)
        struck, hidden = _struck_styles(*styles, root), _hidden_tables(root)
        return [
            _sheet(table, struck, hidden)
            for table in root.iter(f"{_TABLE}table")
            if not any(above.tag == f"{_TABLE}table" for above in table.iterancestors())
        ]
    except (etree.XMLSyntaxError, ValueError, OverflowError) as cause:  # of XML, of its numbers
        raise damaged() from cause


def _root(xml: bytes) -> Any:
    return etree.parse(io.BytesIO(xml), etree.XMLParser(**SAFE, huge_tree=True)).getroot()


def _styles(package: Package) -> list[Any]:
    """The root of the named styles, where one of them may be struck through."""
    part = package.find("styles.xml")
    xml = package.xml(part) if part else b""
    return [_root(xml)] if b"line-through" in xml else []


def _encrypted(package: Package) -> bool:
    manifest = package.find("META-INF/manifest.xml")
    return manifest is not None and b"encryption-data" in package.xml(manifest)


def _struck_styles(*roots: Any) -> dict[str, bool]:
    """Style -> whether what it is used for is struck through, of the styles that say so or stem from one."""
    said: dict[str, bool] = {}
    stems_from: dict[str, str] = {}
    for style in (style for root in roots for style in root.iter(f"{_STYLE}style")):
        name = style.get(f"{_STYLE}name", "")
        stems_from[name] = style.get(f"{_STYLE}parent-style-name", "")
        for part in style.iter(f"{_STYLE}text-properties"):
            line = part.get(f"{_STYLE}text-line-through-style")
            if line is not None:
                said[name] = line != "none"
    for name in stems_from if said else ():
        above, seen = name, set[str]()
        while above in stems_from and above not in said and above not in seen:
            seen.add(above)
            above = stems_from[above]
        if above in said:
            said[name] = said[above]
    return said


def _hidden_tables(root: Any) -> frozenset[str]:
    return frozenset(
        style.get(f"{_STYLE}name")
        for style in root.iter(f"{_STYLE}style")
        if any(p.get(f"{_TABLE}display") == "false" for p in style.iter(f"{_STYLE}table-properties"))
    )


def _sheet(table: Any, struck_styles: Mapping[str, bool], hidden_tables: frozenset[str]) -> Sheet:
    rows: list[list[Any]] = []
    hidden_rows: set[int] = set()
    struck: dict[int, frozenset[int]] = {}
    merges: list[tuple[int, int, int, int]] = []
    rich: dict[Place, list[Run]] = {}
    cells_read = at = 0
    for row in table.iter(f"{_TABLE}table-row"):
        repeat = min(int(row.get(f"{_TABLE}number-rows-repeated", "1")), LAST_ROW)
        values, lined = _row(row, struck_styles, at + 1, merges)
        rich |= {
            (at + 1 + offset, column): runs
            for column, runs in (_rich_cells(row, struck_styles) if values and struck_styles else ())
            for offset in range(repeat)
        }
        cells_read += len(values) * repeat
        if cells_read > MAX_CELLS or (values and at + repeat > LAST_ROW):
            raise UnusableFileError(
                f"a sheet holds more than {MAX_CELLS:,} cells; delete what is empty and save the file again"
            )
        if values:
            rows.extend([] for _ in range(at - len(rows)))
            rows.extend(list(values) for _ in range(repeat))
            if row.get(f"{_TABLE}visibility") in ("collapse", "filter"):
                hidden_rows.update(range(at + 1, at + repeat + 1))
            if lined:
                struck |= dict.fromkeys(range(at + 1, at + repeat + 1), lined)
        at += repeat
    sheet = Sheet(
        name=table.get(f"{_TABLE}name", ""),
        rows=rows,
        hidden=table.get(f"{_TABLE}style-name") in hidden_tables,
        hidden_rows=frozenset(hidden_rows),
        hidden_columns=frozenset(_hidden_columns(table)),
        struck=struck,
        merges=tuple(merges),
    )
    leave_out_struck(sheet, rich)
    return sheet


def _row(
    row: Any, struck_styles: Mapping[str, bool], number: int, merges: list[tuple[int, int, int, int]]
) -> tuple[list[Any], frozenset[int]]:
    values: list[Any] = []
    struck: set[int] = set()
    at = 0
    for cell in row:
        if cell.tag not in (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell"):
            continue
        repeat = min(int(cell.get(f"{_TABLE}number-columns-repeated", "1")), LAST_COLUMN)
        value = _value(cell) if cell.tag == f"{_TABLE}table-cell" else ""
        wide = int(cell.get(f"{_TABLE}number-columns-spanned", "1"))
        tall = int(cell.get(f"{_TABLE}number-rows-spanned", "1"))
        if wide > 1 or tall > 1:
            merges.append((number, at + 1, number + tall - 1, at + wide))
        if value != "":
            values.extend([""] * (at - len(values)))
            values.extend([value] * repeat)
            if struck_styles.get(cell.get(f"{_TABLE}style-name")):
                struck.update(range(at + 1, at + repeat + 1))
        at += repeat
    return values, frozenset(struck)


def _rich_cells(row: Any, struck_styles: Mapping[str, bool]) -> Iterator[tuple[int, list[Run]]]:
    """The runs of the row's texts that are in more than one style, each with its column."""
    at = 0
    for cell in row.iterchildren(f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell"):
        repeat = min(int(cell.get(f"{_TABLE}number-columns-repeated", "1")), LAST_COLUMN)
        if next(cell.iter(f"{_TEXT}span"), None) is not None and isinstance(_value(cell), str):
            runs: list[Run] = []
            for number, part in enumerate(cell.iterchildren(f"{_TEXT}p")):
                runs += [("\n", None)] * (number > 0)
                runs += _runs(part, struck_styles, None)
            yield from ((column, runs) for column in range(at + 1, at + repeat + 1))
        at += repeat


def _hidden_columns(table: Any) -> list[int]:
    hidden: list[int] = []
    at = 0
    for column in table.iter(f"{_TABLE}table-column"):
        repeat = min(int(column.get(f"{_TABLE}number-columns-repeated", "1")), LAST_COLUMN)
        if column.get(f"{_TABLE}visibility") == "collapse":
            hidden += range(at + 1, at + repeat + 1)
        at += repeat
    return hidden


def _value(cell: Any) -> Any:
    text = "\n".join(_paragraph(part) for part in cell if part.tag == f"{_TEXT}p")
    kind = cell.get(f"{_OFFICE}value-type")
    if cell.get(f"{_CALCEXT}value-type") == "error" or re.fullmatch(r"#[A-Z/0!?]+|Err:\d+", text):
        return Fault(text, f"the cell shows {text}; mend its formula")
    if kind in ("float", "percentage", "currency"):
        number = float(cell.get(f"{_OFFICE}value", "nan"))
        return (
            number if math.isfinite(number) else Fault(text, "no number is saved in the cell; type it again")
        )
    if kind == "boolean":
        return cell.get(f"{_OFFICE}boolean-value") == "true"
    if kind in ("date", "time"):
        return _date(cell.get(f"{_OFFICE}date-value"), text)
    return text


def _paragraph(element: Any) -> str:
    """A paragraph's text, with runs of blanks as they were; comments are no part of it."""
    return "".join(text for text, _ in _runs(element, {}, None))


def _runs(element: Any, struck_styles: Mapping[str, bool], struck: bool | None) -> Iterator[Run]:
    yield element.text or "", struck
    for part in element:
        if part.tag == f"{_TEXT}s":
            yield " " * min(int(part.get(f"{_TEXT}c", "1")), 100), struck
        elif part.tag == f"{_TEXT}line-break":
            yield "\n", struck
        elif isinstance(part.tag, str) and part.tag.startswith(_TEXT):
            own = struck_styles.get(part.get(f"{_TEXT}style-name"), struck)
            yield from _runs(part, struck_styles, own)
        yield part.tail or "", struck


def _date(stated: str | None, text: str) -> date | time | str:
    try:
        return datetime.fromisoformat(stated) if stated else time()
    except ValueError:
        return text

"""What a fast reader does not show of an .xlsx: hidden and struck-through rows, formulas that were
never calculated, error cells, and how far the cells reach.

The sheets' XML is searched as bytes: `<` cannot stand inside a text or an attribute, so an element's
start is found without parsing. Where something is found, only that element is looked at.
"""

import posixpath
import re
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from auditor.errors import UnusableFileError
from auditor.intake.formats.calamine import calamine_sheets
from auditor.intake.formats.cells import NOT_CALCULATED, Fault, Sheet, WithUnit
from auditor.intake.formats.guard import damaged, read_part
from auditor.intake.formats.number_formats import UNITS_SHOWN, unit_styles
from auditor.intake.formats.rich_text import cells_with_runs, shared_runs
from auditor.intake.formats.struck import Place, Run, leave_out_struck

MAX_AREA = 8_000_000  # cells of the rectangle that a fast reader would allocate; project convention

_NO_VALUE = re.compile(
    rb"(?:</(?:\w+:)?f>|<(?:\w+:)?f(?:\s[^>]*)?/>)\s*"
    rb"(?P<empty><(?:\w+:)?v>\s*</(?:\w+:)?v>|<(?:\w+:)?v\s*/>)?\s*</(?:\w+:)?c>"
)
_ERROR = re.compile(rb"<(?:\w+:)?c\s(?=[^>]*\bt=[\"']e[\"'])[^>]*>(.*?)</(?:\w+:)?c>", re.DOTALL)
_ERROR_TEXT = re.compile(rb"<(?:\w+:)?v>([^<]*)<")
_CELL = re.compile(rb"<(?:\w+:)?c\s[^>]*>")
_ADDRESS = re.compile(rb"\br=[\"']([A-Z]{1,3})(\d{1,7})[\"']")
_STYLE = re.compile(rb"\bs=[\"'](\d+)[\"']")
_HIDDEN_ROW = re.compile(rb"<(?:\w+:)?row\s(?=[^>]*\bhidden=[\"'](?:1|true)[\"'])[^>]*?\br=[\"'](\d+)[\"']")
_HIDDEN_COLUMN = re.compile(rb"<(?:\w+:)?col\s(?=[^>]*\bhidden=[\"'](?:1|true)[\"'])[^>]*>")
_BOUND = re.compile(rb"\b(min|max)=[\"'](\d+)[\"']")
_COLUMN = re.compile(rb"\br=[\"']([A-Z]{1,3})[1-9]")
_LAST_ROW = re.compile(rb"<(?:\w+:)?row\s[^>]*?\br=[\"'](\d+)[\"']")
# Searched as patterns, which is faster than `in` here.
_ERROR_MARK, _HIDDEN_MARK, _FORMULA_END = (re.compile(mark) for mark in (rb't="e"', rb"hidden=", rb"</f>"))
_WITH_VALUE, _BARE_FORMULA = re.compile(rb"</f><v>[^<\s]"), re.compile(rb"<f(?: [^>]*)?/>")
_NO_XML = [bytes([code]) for code in range(32) if code not in (9, 10, 13)]  # XML 1.0, section 2.2
_NO_XML_NOTE = (
    "texts hold control characters, with which the file is no well-formed workbook; they are kept as they are, and a "
    "spreadsheet program may offer to repair the copy as well as the original: save the repaired original and audit that"
)
_FAR = re.compile(rb' r="[A-Z](?:[A-Z]|[3-9]\d{5}|\d{7})')  # past column Z or row 300,000
_HEAD = 4000  # bytes in which a part's first tag stands
_COUNT = re.compile(rb"\buniqueCount=[\"'](\d{1,20})[\"']")
_RELATION = re.compile(rb"<(?:\w+:)?Relationship\s[^>]*>")
_SHEET = re.compile(rb"<(?:\w+:)?sheet\s[^>]*>")


@dataclass(slots=True)
class Marks:
    """What one sheet's XML shows beyond its values; rows and columns from 1."""

    faults: dict[tuple[int, int], Fault] = field(default_factory=dict)
    hidden_rows: frozenset[int] = frozenset()
    hidden_columns: frozenset[int] = frozenset()
    struck: dict[int, frozenset[int]] = field(default_factory=dict)
    units: dict[tuple[int, int], str] = field(default_factory=dict)  # that number formats show
    runs: dict[Place, tuple[Run, ...]] = field(default_factory=dict)  # of texts struck through in part
    control_characters: bool = False
    too_far: bool = False  # the rectangle around its cells is too large for a fast reader


def read_xlsx(package: zipfile.ZipFile, data: bytes, name: str) -> list[Sheet]:
    """All worksheets with their values and marks.

    Raises
    ------
    UnusableFileError : damaged
    """
    parts = sheet_parts(package, name)
    styles_part = _part(package, "styles.xml")
    styles = read_part(package, styles_part, name) if styles_part else b""
    strings_part = _part(package, "sharedStrings.xml")
    strings = read_part(package, strings_part, name) if strings_part else b""
    _refuse_false_count(strings, name)
    in_strings = _holds_controls(strings)
    struck_styles, units = _struck_styles(styles), unit_styles(styles)
    runs = shared_runs(strings, any_mixture=bool(struck_styles))
    marks, far = {}, {}
    for title, part in parts.items():
        xml = read_part(package, part, name)
        _require_strings(xml, strings_part, title, name)
        marks[title] = _scan(xml, struck_styles)
        marks[title].runs = cells_with_runs(xml, runs, any_mixture=bool(struck_styles))
        if units:
            marks[title].units = _cells_with_units(xml, units)
        if marks[title].too_far:
            far[title] = _read_far(xml, package, strings_part, styles, part, name)
    sheets = calamine_sheets(data, name, skip=far)
    for sheet in sheets:
        if sheet.name in far:
            from auditor.intake.formats.sparse import far_notes

            sheet.notes = far_notes(sheet.name, sheet.rows)
        _apply(sheet, marks.get(sheet.name) or Marks())
    if in_strings and sheets:
        sheets[0].notes += (_NO_XML_NOTE,)
    return sheets


def _part(package: zipfile.ZipFile, file: str) -> str | None:
    wanted = file.casefold()  # some exporters write `SharedStrings.xml`, or all names in small letters
    return next((part for part in package.namelist() if _folded(part).rpartition("/")[2] == wanted), None)


def _folded(part: str) -> str:
    """A part's name without case and backslashes, as names of parts are compared."""
    return part.replace("\\", "/").lstrip("/").casefold()


def _refuse_false_count(strings: bytes, name: str) -> None:
    """A fast reader makes room for as many texts as are stated, and ends the program where it cannot."""
    stated = _COUNT.search(strings, 0, _HEAD)
    if stated and int(stated[1]) > len(strings):
        raise UnusableFileError(damaged(name))


def _require_strings(xml: bytes, strings_part: str | None, title: str, name: str) -> None:
    match = re.search(rb"<(?:\w+:)?c\s(?=[^>]*\bt=[\"']s[\"'])[^>]*>", xml) if strings_part is None else None
    if match is not None:
        place = _ADDRESS.search(match[0])
        cell = f"{place[1].decode()}{place[2].decode()}" if place else "a cell"
        raise UnusableFileError(
            f"{name}: the file is damaged: {cell} on {title!r} names a text that the file does not hold; "
            "open it in a spreadsheet program, check it and save it again"
        )


def _read_far(
    xml: bytes, package: zipfile.ZipFile, strings_part: str | None, styles: bytes, part: str, name: str
) -> list[list[Any]]:
    from auditor.intake.formats.sparse import date_styles, read_sparse, shared_strings

    shared = shared_strings(package, strings_part, name) if strings_part else []
    return read_sparse(xml, shared, date_styles(styles) if styles else frozenset(), part, name)


def sheet_parts(package: zipfile.ZipFile, name: str) -> dict[str, str]:
    """Sheet title -> part, as workbook.xml and its relationships say."""
    members = {_folded(member): member for member in package.namelist()}
    workbook, relations = members.get("xl/workbook.xml"), members.get("xl/_rels/workbook.xml.rels")
    if workbook is None or relations is None:
        raise UnusableFileError(f"{name}: the file is damaged: its list of sheets is missing")
    targets = relation_targets(read_part(package, relations, name))
    parts = {}
    for tag in _SHEET.findall(read_part(package, workbook, name)):
        attributes = _attributes(tag)
        target = next((targets[v] for k, v in attributes.items() if k.endswith(":id") and v in targets), None)
        if target is not None:
            whole = target.lstrip("/") if target.startswith("/") else f"xl/{target}"
            path = _folded(posixpath.normpath(whole))
            if path in members:
                parts[attributes.get("name", "")] = members[path]
    return parts


def relation_targets(relations: bytes) -> dict[str, str]:
    """Relationship id -> target, as a relationships part lists them."""
    found = [_attributes(tag) for tag in _RELATION.findall(relations)]
    return {attributes.get("Id", ""): attributes.get("Target", "") for attributes in found}


def _attributes(tag: bytes) -> dict[str, str]:
    from html import unescape

    text = tag.decode("utf-8", "replace")
    found = re.findall(r"([\w:]+)\s*=\s*(?:\"([^\"]*)\"|'([^']*)')", text)
    return {key: unescape(double or single) for key, double, single in found}


def _struck_styles(styles: bytes) -> frozenset[int]:
    """Indices of the cell formats whose font is struck through."""
    if b"strike" not in styles:
        return frozenset()
    fonts_part = re.search(rb"<(?:\w+:)?fonts\b.*?</(?:\w+:)?fonts>", styles, re.DOTALL)
    formats_part = re.search(rb"<(?:\w+:)?cellXfs\b.*?</(?:\w+:)?cellXfs>", styles, re.DOTALL)
    if fonts_part is None or formats_part is None:
        return frozenset()
    fonts = re.findall(rb"<(?:\w+:)?font(?:\s[^>]*)?(?:/>|>.*?</(?:\w+:)?font>)", fonts_part[0], re.DOTALL)
    on = re.compile(rb"<(?:\w+:)?strike\s*(?:/>|>|\s+val=[\"'](?:1|true|on)[\"'])")
    struck = {index for index, font in enumerate(fonts) if on.search(font)}
    formats = re.findall(rb"<(?:\w+:)?xf\s[^>]*>", formats_part[0])
    ids = [re.search(rb"\bfontId=[\"'](\d+)", tag) for tag in formats]
    return frozenset(index for index, match in enumerate(ids) if match and int(match[1]) in struck)


def _scan(xml: bytes, struck_styles: frozenset[int]) -> Marks:
    if xml[:2] in (b"\xff\xfe", b"\xfe\xff"):
        xml = xml.decode("utf-16").encode()
    marks = Marks()
    head = xml[:4000]  # one program wrote it all: its quotes and its prefix show here
    if _ERROR_MARK.search(xml) or (b"='" in head and b"t='e'" in xml):
        _find_errors(xml, marks)
    if b":worksheet" in head or not _all_calculated(xml):
        _find_uncalculated(xml, marks)
    if _HIDDEN_MARK.search(xml):
        marks.hidden_rows = frozenset(int(row) for row in _HIDDEN_ROW.findall(xml))
        marks.hidden_columns = frozenset(_hidden_columns(xml))
    if struck_styles:
        _find_struck(xml, struck_styles, marks)
    marks.control_characters = _holds_controls(xml)
    marks.too_far = _area(xml) > MAX_AREA
    return marks


def _holds_controls(xml: bytes) -> bool:
    """Whether there are characters that XML does not allow; the reader takes them all the same."""
    return any(code in xml for code in _NO_XML) and xml[:2] not in (b"\xff\xfe", b"\xfe\xff")


def _all_calculated(xml: bytes) -> bool:
    """Whether each formula is followed by a value that is not blank, as programs write them."""
    if _BARE_FORMULA.search(xml):
        return False
    return _FORMULA_END.search(xml) is None or xml.count(b"</f>") == len(_WITH_VALUE.findall(xml))


def _find_errors(xml: bytes, marks: Marks) -> None:
    for match in _ERROR.finditer(xml):
        place, text = _place(match[0]), _ERROR_TEXT.search(match[1])
        if place is not None:
            shown = text[1].decode("utf-8", "replace") if text else "an error"
            marks.faults[place] = Fault(shown, f"the cell shows {shown}; mend its formula")


def _find_uncalculated(xml: bytes, marks: Marks) -> None:
    for match in _NO_VALUE.finditer(xml):
        start = max(xml.rfind(b"<c ", 0, match.start()), xml.rfind(b":c ", 0, match.start()))
        tag = xml[start : xml.index(b">", start) + 1]
        is_text = b't="str"' in tag or b"t='str'" in tag
        place = _place(tag)
        if place is not None and not (is_text and match["empty"]):
            formula = re.search(rb"<(?:\w+:)?f(?:\s[^>]*)?>([^<]*)<", xml[start : match.end()])
            text = "=" + formula[1].decode("utf-8", "replace") if formula else "a formula"
            marks.faults[place] = Fault(text, NOT_CALCULATED)


def _find_struck(xml: bytes, struck_styles: frozenset[int], marks: Marks) -> None:
    choice = b"|".join(str(style).encode() for style in sorted(struck_styles))
    struck: dict[int, set[int]] = {}
    for match in re.finditer(rb"<(?:\w+:)?c\s(?=[^>]*\bs=[\"'](?:" + choice + rb")[\"'])[^>]*>", xml):
        place = _place(match[0])
        if place is not None:
            struck.setdefault(place[0], set()).add(place[1])
    marks.struck = {row: frozenset(columns) for row, columns in struck.items()}


def _hidden_columns(xml: bytes) -> Iterator[int]:
    for match in _HIDDEN_COLUMN.finditer(xml):
        bounds = dict(_BOUND.findall(match[0]))
        first, last = int(bounds.get(b"min", 1)), int(bounds.get(b"max", 0))
        yield from range(first, min(last, 16_384) + 1)


def _area(xml: bytes) -> int:
    """An upper bound of the cells of the rectangle that a fast reader allocates; 0: small for sure."""
    if b"='" not in xml[:4000] and not _FAR.search(xml):
        return 0
    rows = max(map(int, _LAST_ROW.findall(xml)), default=0)
    return rows * max((column_number(letters) for letters in set(_COLUMN.findall(xml))), default=1)


def _cells_with_units(xml: bytes, units: Mapping[int, str]) -> dict[tuple[int, int], str]:
    """(row, column) -> the unit that the cell shows by its number format."""
    found = {}
    for tag in _CELL.findall(xml):
        style, place = _STYLE.search(tag), _place(tag)
        unit = units.get(int(style[1])) if style else None
        if unit and place:
            found[place] = unit
    return found


def _place(tag: bytes) -> tuple[int, int] | None:
    match = _ADDRESS.search(tag)
    return (int(match[2]), column_number(match[1])) if match else None


def column_number(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number


def _apply(sheet: Sheet, marks: Marks) -> None:
    sheet.hidden_rows = marks.hidden_rows
    sheet.hidden_columns = marks.hidden_columns
    sheet.struck = marks.struck
    leave_out_struck(sheet, marks.runs)
    for (row, column), fault in marks.faults.items():
        sheet.put(row, column, fault)
    shown = False
    for (row, column), unit in marks.units.items():
        value = sheet.value(row, column)
        if type(value) is float:
            sheet.put(row, column, WithUnit(value, unit))
            shown = True
    sheet.notes += UNITS_SHOWN if shown else ()
    sheet.notes += (_NO_XML_NOTE,) if marks.control_characters else ()

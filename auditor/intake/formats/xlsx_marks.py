"""What a fast reader does not show of a worksheet: hidden and struck-through rows, formulas that were never
calculated, error cells, units, and how far the cells reach.

The XML, in plain spelling (see `ooxml/plain.py`), is searched as bytes: `<` cannot stand inside a text or an
attribute, so an element's start is found without parsing. Where something is found, only that element is
looked at.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from auditor.intake.formats.by_cells import can_be_struck
from auditor.intake.formats.cells import NOT_CALCULATED, Fault
from auditor.intake.formats.struck import Place
from auditor.ooxml.refs import area, column_number
from auditor.ooxml.shared_strings import Run, runs

MAX_AREA = 8_000_000  # cells of the rectangle that a fast reader would allocate; project convention

_NO_VALUE = re.compile(
    rb"(?:</(?:[\w.-]+:)?f>|<(?:[\w.-]+:)?f(?:\s[^>]*)?/>)\s*"
    rb"(?P<empty><(?:[\w.-]+:)?v>\s*</(?:[\w.-]+:)?v>|<(?:[\w.-]+:)?v\s*/>)?\s*</(?:[\w.-]+:)?c>"
)
_ERROR = re.compile(rb"<(?:[\w.-]+:)?c\s(?=[^>]*\bt=[\"']e[\"'])[^>]*>(.*?)</(?:[\w.-]+:)?c>", re.DOTALL)
_ERROR_TEXT = re.compile(rb"<(?:[\w.-]+:)?v>([^<]*)<")
_CELL = re.compile(rb"<(?:[\w.-]+:)?c\s[^>]*>")
_ADDRESS = re.compile(rb"\br=[\"']([A-Z]{1,3})(\d{1,7})[\"']")
_STYLE = re.compile(rb"\bs=[\"'](\d+)[\"']")
_HIDDEN_ROW = re.compile(
    rb"<(?:[\w.-]+:)?row\s(?=[^>]*\bhidden=[\"'](?:1|true)[\"'])[^>]*?\br=[\"'](\d+)[\"']"
)
_HIDDEN_COLUMN = re.compile(rb"<(?:[\w.-]+:)?col\s(?=[^>]*\bhidden=[\"'](?:1|true)[\"'])[^>]*>")
_BOUND = re.compile(rb"\b(min|max)=[\"'](\d+)[\"']")
_COLUMN = re.compile(rb"\br=[\"']([A-Z]{1,3})[1-9]")
_LAST_ROW = re.compile(rb"<(?:[\w.-]+:)?row\s[^>]*?\br=[\"'](\d+)[\"']")
_SHARED = re.compile(
    rb"<(?:[\w.-]+:)?c\s(?=[^>]*\bt=[\"']s[\"'])[^>]*\br=[\"']([A-Z]{1,3})(\d{1,7})[\"'][^>]*>"
    rb"\s*<(?:[\w.-]+:)?v>(\d+)<"
)
_INLINE = re.compile(
    rb"<(?:[\w.-]+:)?c\s(?=[^>]*\bt=[\"']inlineStr[\"'])[^>]*\br=[\"']([A-Z]{1,3})(\d{1,7})[\"'][^>]*>"
    rb"\s*<(?:[\w.-]+:)?is(?:\s[^>]*)?>(.*?)</(?:[\w.-]+:)?is\s*>",
    re.DOTALL,
)
_NAMES_A_TEXT = re.compile(rb"<(?:[\w.-]+:)?c\s(?=[^>]*\bt=[\"']s[\"'])[^>]*>")
_MERGE = re.compile(rb"<(?:[\w.-]+:)?mergeCell\s[^>]*\bref=[\"']([A-Z0-9:]+)[\"']")
# Searched as patterns, which is faster than `in` here.
_ERROR_MARK, _HIDDEN_MARK, _FORMULA = (re.compile(mark) for mark in (rb't="e"', rb"hidden=", rb"<f[ />]"))
_WITH_VALUE, _BARE_FORMULA = re.compile(rb"</f><v>[^<\s]"), re.compile(rb"<f(?: [^>]*)?/>")
_NO_XML = [bytes([code]) for code in range(32) if code not in (9, 10, 13)]  # XML 1.0, section 2.2
_NOT_NEAR = re.compile(rb'<c(?! r="[A-Z]\d{1,5}")[\s/>]')  # written in another way, or far away
_FAR = re.compile(rb' r="[A-Z](?:[A-Z]|[3-9]\d{5}|\d{7})')  # past column Z or row 300,000


# Searched for in lower case: that is twenty times as fast as one pattern of them all.
_OF_COLOURS = (b"color", b"colour", b"farb", b"couleur", b"kleur", b"shaded", b"shading", b"highlight", b"legend",
               b"l\xc3\xa9gende", b"leyenda")  # fmt: skip
_KEY = re.compile(rb">\s*key\b")


@dataclass(frozen=True, slots=True)
class Shown:
    """What cells show by the formats and the texts that they name."""

    struck: frozenset[int]  # formats whose font is struck through
    units: Mapping[int, str]  # format -> the unit behind its numbers
    runs: Mapping[int, tuple[Run, ...]]  # index of a shared text -> its runs, some perhaps struck through
    fills: Mapping[int, str] = field(default_factory=dict)  # format -> the colour of its fill
    keyed: bool = False  # whether a shared text may say what colours mean


@dataclass(slots=True)
class Marks:
    """What one sheet's XML shows beyond its values; rows and columns from 1."""

    faults: dict[tuple[int, int], Fault] = field(default_factory=dict)
    hidden_rows: frozenset[int] = frozenset()
    hidden_columns: frozenset[int] = frozenset()
    struck: dict[int, frozenset[int]] = field(default_factory=dict)
    units: dict[tuple[int, int], str] = field(default_factory=dict)  # that number formats show
    runs: dict[Place, tuple[Run, ...]] = field(default_factory=dict)  # of texts struck through in part
    fills: dict[Place, str] = field(default_factory=dict)  # the colours of cells
    control_characters: bool = False
    too_far: bool = False  # the rectangle around its cells is too large for a fast reader


def scan(xml: bytes, shown: Shown) -> Marks:
    marks = Marks()
    head = xml[:4000]  # one program wrote it all: its quotes and its prefix show here
    if _ERROR_MARK.search(xml) or (b"='" in head and b"t='e'" in xml):
        _find_errors(xml, marks)
    if b":worksheet" in head or not _all_calculated(xml):
        _find_uncalculated(xml, marks)
    if _HIDDEN_MARK.search(xml):
        marks.hidden_rows = frozenset(int(row) for row in _HIDDEN_ROW.findall(xml))
        marks.hidden_columns = frozenset(_hidden_columns(xml))
    if shown.struck:
        _find_struck(xml, shown.struck, marks)
    marks.runs = _cells_with_runs(xml, shown)
    if shown.units:
        marks.units = _cells_by_style(xml, shown.units)
    if shown.fills and (shown.keyed or explains_colours(xml)):
        marks.fills = _cells_by_style(xml, shown.fills)
    marks.control_characters = holds_controls(xml)
    marks.too_far = _area(xml) > MAX_AREA
    return marks


def explains_colours(xml: bytes) -> bool:
    """Whether a text may say what colours mean."""
    lowered = xml.lower()
    return any(word in lowered for word in _OF_COLOURS) or (
        b"key" in lowered and _KEY.search(lowered) is not None
    )


def names_a_text(xml: bytes) -> str | None:
    """The place of the first cell that names a shared text."""
    match = _NAMES_A_TEXT.search(xml)
    place = _ADDRESS.search(match[0]) if match else None
    return None if match is None else "".join(part.decode() for part in place.groups()) if place else "a cell"


def merges(xml: bytes) -> tuple[tuple[int, int, int, int], ...]:
    """First row, first column, last row, last column of each merged area."""
    found = (area(ref.decode()) for ref in _MERGE.findall(xml))
    return tuple((each.top, each.left, each.bottom, each.right) for each in found if each)


def holds_controls(xml: bytes) -> bool:
    """Whether there are characters that XML does not allow; the fast reader takes them all the same."""
    return any(code in xml for code in _NO_XML)


def _all_calculated(xml: bytes) -> bool:
    """Whether each formula is followed by a value that is not blank, as programs write them."""
    if _FORMULA.search(xml) is None:
        return True
    return not _BARE_FORMULA.search(xml) and xml.count(b"</f>") == len(_WITH_VALUE.findall(xml))


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
            formula = re.search(rb"<(?:[\w.-]+:)?f(?:\s[^>]*)?>([^<]*)<", xml[start : match.end()])
            text = "=" + formula[1].decode("utf-8", "replace") if formula else "a formula"
            marks.faults[place] = Fault(text, NOT_CALCULATED)


def _find_struck(xml: bytes, struck_styles: frozenset[int], marks: Marks) -> None:
    choice = b"|".join(str(style).encode() for style in sorted(struck_styles))
    struck: dict[int, set[int]] = {}
    for match in re.finditer(rb"<(?:[\w.-]+:)?c\s(?=[^>]*\bs=[\"'](?:" + choice + rb")[\"'])[^>]*>", xml):
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
    head = xml[:4000]
    if b"<sheetData" in head and _NOT_NEAR.search(xml) is None:
        return 0
    if b"='" not in head and not _FAR.search(xml):
        return 0
    rows = max(map(int, _LAST_ROW.findall(xml)), default=0)
    return rows * max((column_number(letters.decode()) for letters in set(_COLUMN.findall(xml))), default=1)


def _cells_by_style(xml: bytes, shown: Mapping[int, str]) -> dict[Place, str]:
    """(row, column) -> what the cell shows by its format: the unit behind a number, or the colour of its fill."""
    found = {}
    for tag in _CELL.findall(xml):
        style, place = _STYLE.search(tag), _place(tag)
        text = shown.get(int(style[1])) if style else None
        if text and place:
            found[place] = text
    return found


def _place(tag: bytes) -> tuple[int, int] | None:
    match = _ADDRESS.search(tag)
    return (int(match[2]), column_number(match[1].decode())) if match else None


def _cells_with_runs(xml: bytes, shown: Shown) -> dict[Place, tuple[Run, ...]]:
    """The cells that show such a shared text, or hold one of their own."""
    cells: dict[Place, tuple[Run, ...]] = {}
    for letters, row, index in _SHARED.findall(xml) if shown.runs else ():
        if found := shown.runs.get(int(index)):
            cells[int(row), column_number(letters.decode())] = found
    mixture = bool(shown.struck)
    inline = b"inlineStr" in xml and (b"strike" in xml or (mixture and b"rPr" in xml))
    for letters, row, content in _INLINE.findall(xml) if inline else ():
        if can_be_struck(found := runs(content), any_mixture=mixture):
            cells[int(row), column_number(letters.decode())] = found
    return cells

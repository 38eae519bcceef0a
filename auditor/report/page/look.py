"""The look of every sheet that is written here; verdicts are told apart in black-and-white print too.

Text is written as text whatever it begins with: it comes from other people's workbooks.
"""

import io
import math
import re
from copy import deepcopy
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import Any, Literal

from auditor.job.model import CellRef
from auditor.units import LENGTH_M

FONT = "Arial"
_FORMULA_SIGNS = ("=", "+", "-", "@")
LONGEST_CELL = 32_767  # ISO/IEC 29500 states no limit; the applications keep to this one
LAST_ROW = 1_048_576
WRITTEN = datetime(2000, 1, 1)  # fixed: the same audit gives the same bytes
INK, MUTED, LINK = "#1F1F1F", "#595959", "#1F4E79"
LINE, HEAD, SUM, BAR, TO_FILL = "#C9C7C1", "#E9E7E1", "#F4F3EF", "#9DB2C6", "#FFF8E1"

# Light, medium and dark fill, and another face for each: told apart without colour.
VERDICT_LOOKS: dict[str, dict[str, Any]] = {
    "pass": {"bg_color": "#E6F0E8", "font_color": "#1F1F1F"},
    "review": {"bg_color": "#F2C46B", "font_color": "#1F1F1F", "bold": True, "italic": True},
    "fail": {"bg_color": "#8E1B1B", "font_color": "#FFFFFF", "bold": True},
    "unreadable": {"bg_color": "#3A3A3A", "font_color": "#FFFFFF", "bold": True, "italic": True},
}
WORD_LOOKS = VERDICT_LOOKS | {
    "note": {"font_color": MUTED},
    "over": VERDICT_LOOKS["fail"],
    "too far": VERDICT_LOOKS["fail"],
    "within": VERDICT_LOOKS["pass"],
}

# The words of a column; a conditional format each, so no more than it can hold.
WORDS: dict[str, tuple[str, ...]] = {
    "verdict": ("pass", "review", "fail"),
    "job": ("pass", "review", "fail", "unreadable"),
    "level": ("fail", "review", "note"),
    "state": ("within", "review", "over", "too far"),
}

Kind = Literal[
    "text",
    "wrap",
    "verdict",
    "job",
    "level",
    "state",
    "length",
    "count",
    "one",
    "two",
    "figure",
    "share",
    "money",
    "box",
    "answer",
]
WRAPPED: frozenset[Kind] = frozenset({"wrap", "answer"})
_NUMBER_FORMATS = {"count": "#,##0", "one": "#,##0.0", "two": "#,##0.00", "share": "0%", "money": "#,##0.00"}

_UNWRITABLE = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]"
)


@dataclass(frozen=True, slots=True)
class Link:
    """Text that leads to a place: `internal:'Sheet'!A1` or `external:path`."""

    text: str
    target: str


@dataclass(frozen=True, slots=True)
class Live:
    """A formula of ours with the value it has now, so that it shows without a recalculation."""

    formula: str
    value: float | str


@dataclass(frozen=True, slots=True)
class Lines:
    """Text of several lines in one cell."""

    texts: tuple[str, ...]


Cell = str | float | Link | Live | Lines | None


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table. `length` takes metres and shows the look's own unit."""

    header: str
    kind: Kind = "text"


@dataclass(frozen=True, slots=True)
class Block:
    """Where a table came to stand: zero-based rows, heading apart."""

    head: int
    first: int
    last: int  # first - 1 where the table has no rows

    @property
    def below(self) -> int:
        return self.last + 1


def clean(text: object) -> str:
    """Text as a cell can hold it: no control or direction-turning characters, not too long."""
    if isinstance(text, str) and text.isprintable() and len(text) <= LONGEST_CELL // 2:
        return str(text)  # none of these characters is printable
    cleaned = _UNWRITABLE.sub("", re.sub(r"[\r\n\t\u2028\u2029]+", " ", str(text)))
    return (
        cleaned
        if len(cleaned.encode("utf-16-le")) // 2 <= LONGEST_CELL
        else cleaned[: LONGEST_CELL // 2] + "…"
    )


def looks_like_formula(value: object) -> bool:
    """Whether text would turn into a formula if somebody edited its cell."""
    return isinstance(value, str) and value.lstrip().startswith(_FORMULA_SIGNS)


def quoted(sheet: str) -> str:
    """A sheet's name as a formula or a link writes it."""
    return "'" + sheet.replace("'", "''") + "'"


@cache
def letter(column: int) -> str:
    """A column, counted from 1, as a spreadsheet names it."""
    return CellRef("", 1, column).a1.removesuffix("1")


def link_to(where: CellRef) -> Link:
    """A link that shows the cell it leads to, e.g. `Devices!H7`."""
    return Link(f"{where.sheet}!{where.a1}", f"internal:{quoted(where.sheet)}!{where.a1}")


def finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None


class Look:
    """The formats of one workbook, made when first asked for.

    `identity` is printed at the foot of each of its sheets.
    """

    def __init__(self, workbook: Any, unit: str, identity: str = "") -> None:
        self.identity = identity
        self.workbook = workbook
        self.unit = unit
        self._unit_m = LENGTH_M[unit]
        self._formats: dict[tuple[tuple[str, Any], ...], Any] = {}
        self._word_formats: dict[str, Any] = {}
        self._found: dict[tuple[Any, ...], Any] = {}  # what was asked for -> format

    def format(self, **properties: Any) -> Any:
        asked = tuple(properties.items())
        found = self._found.get(asked)
        if found is None:
            wanted = {"font_name": FONT, "font_size": 10, "font_color": INK, "valign": "vcenter"} | properties
            key = tuple(sorted(wanted.items()))
            if key not in self._formats:
                self._formats[key] = self.workbook.add_format(wanted)
            found = self._found[asked] = self._formats[key]
        return found

    def body(
        self,
        kind: Kind,
        number_format: str | None = None,
        strong: bool = False,
        indented: bool = False,
        linked: bool = False,
        guarded: bool = False,
        tall: bool = False,
    ) -> Any:
        """The format of a table's cell: `strong` is a sum or a heading among the rows, `guarded`
        text that looks like a formula."""
        asked = (kind, number_format, strong, indented, linked, guarded, tall)
        found = self._found.get(asked)
        if found is None:
            found = self._found[asked] = self.format(**_body_properties(*asked))
        return found

    @property
    def title(self) -> Any:
        return self.format(bold=True, font_size=15)

    @property
    def section(self) -> Any:
        return self.format(bold=True, font_size=11.5)

    @property
    def plain(self) -> Any:
        return self.format()

    @property
    def muted(self) -> Any:
        return self.format(font_color=MUTED)

    @property
    def link(self) -> Any:
        return self.format(font_color=LINK, underline=1)

    @property
    def group(self) -> Any:
        """A heading over several columns."""
        return self.format(bold=True, bg_color=HEAD, align="center", left=1, right=1, border_color="#FFFFFF")

    def head(self, *, number: bool = False, middle: bool = False, indented: bool = False) -> Any:
        """The format of a table's heading."""
        asked = (number, middle, indented)
        found = self._found.get(asked)
        if found is None:
            found = self._found[asked] = self.format(**_heading_properties(*asked))
        return found

    def length(self, length_m: float) -> float:
        """Metres in the look's unit, to a thousandth, so that a cell holds no 1049.9999999."""
        return round(length_m / self._unit_m, 3)

    @property
    def word_formats(self) -> dict[str, Any]:
        """Word -> format, for conditional formats: these hold only what they change."""
        if not self._word_formats:
            self._word_formats = {word: self.workbook.add_format(look) for word, look in WORD_LOOKS.items()}
        return self._word_formats


def _heading_properties(number: bool, middle: bool, indented: bool) -> dict[str, Any]:
    align = "right" if number else "center" if middle else "left"
    below = {"bottom": 2, "bottom_color": MUTED}
    indent = {"indent": 1} if indented and not middle else {}
    return (
        {"bold": True, "bg_color": HEAD, "text_wrap": True, "valign": "bottom", "align": align}
        | below
        | indent
    )


def _body_properties(
    kind: Kind,
    number_format: str | None,
    strong: bool,
    indented: bool,
    linked: bool,
    guarded: bool,
    tall: bool,
) -> dict[str, Any]:
    properties: dict[str, Any] = {"bottom": 1, "bottom_color": LINE}
    if number_format or kind in _NUMBER_FORMATS:
        properties["num_format"] = number_format or _NUMBER_FORMATS[kind]
    properties |= {"text_wrap": True} if kind in WRAPPED else {}
    properties |= {"align": "center"} if kind in WORDS else {}
    properties |= {"valign": "top"} if tall else {}
    properties |= {"quote_prefix": True} if guarded else {}
    properties |= {"indent": 1, "align": "left"} if indented and kind not in WORDS else {}
    properties |= {"border": 1, "border_color": INK} if kind in ("box", "answer") and not strong else {}
    properties |= {"bg_color": TO_FILL} if kind == "answer" else {}
    properties |= {"font_color": LINK, "underline": 1} if linked else {}
    properties |= {"bold": True, "bg_color": SUM} if strong else {}
    return properties


NEW_WORKBOOK = {  # in memory; takes no text for a formula, a link or a number
    "in_memory": True,
    "default_format_properties": {"font_name": FONT, "font_size": 10},
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
}


def new_workbook() -> tuple[Any, io.BytesIO]:
    """An empty workbook, and where its bytes are once it is closed."""
    import xlsxwriter

    held = io.BytesIO()
    workbook = xlsxwriter.Workbook(held, deepcopy(NEW_WORKBOOK))  # the library writes into it
    workbook.set_properties({"created": WRITTEN})
    return workbook, held

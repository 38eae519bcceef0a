"""Pulls that a drawing of cells shows: what every finder of such drawings gives."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from auditor.intake.blocks.grid import is_quantity
from auditor.intake.formats.cells import Sheet, Value
from auditor.intake.grammar.numbers import plain
from auditor.intake.grammar.units import NOTHING
from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.ports import by_stem, port_alone, spelled
from auditor.intake.names.spelling import spelling
from auditor.intake.words import fold, heading, matcher, says, word_list
from auditor.units import LENGTH_M

LONGEST_NAME = 40  # characters of a cell that may name an end
MOST_WORDS = 5  # of such a cell
_LEAD = re.compile(r"(?P<lead>[^\W\d]+(?:\s+[^\W\d]+)?)\s+(?P<name>\S.*?)\s*:?")
_IN_BRACKETS = re.compile(r"\(([^()]+)\)")


@dataclass(frozen=True, slots=True)
class Hop:
    """One pull: the cells of its two ends and of its length."""

    row: int  # of the far end
    near: str
    near_column: int
    far: str
    column: int
    length: Value
    length_column: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """The pulls that a stretch of a sheet shows; rows and columns from 1."""

    hops: tuple[Hop, ...]
    heading: str  # of the lengths
    header_rows: tuple[int, ...]
    first_row: int
    last_row: int
    first_column: int
    last_column: int
    boxes: frozenset[str] = frozenset()  # ends that a heading calls boxes


def cell(sheet: Sheet, row: int, column: int) -> Value:
    """A cell's value, a mark for nothing as a blank."""
    value = sheet.value(row, column)
    return "" if isinstance(value, str) and _is_nothing(value) else value


def filled(sheet: Sheet, row: int) -> dict[int, Value]:
    """column -> what stands in a row, marks for nothing apart."""
    cells = sheet.rows[row - 1] if 0 < row <= len(sheet.rows) else ()
    return {
        column: value
        for column, value in enumerate(cells, 1)
        if not (isinstance(value, str) and _is_nothing(value))
    }


@lru_cache(maxsize=4096)
def _is_nothing(text: str) -> bool:
    return is_blank(text) or plain(text).casefold() in NOTHING


def is_name(value: Value) -> bool:
    """Whether a cell may name an end: a short text that is no quantity and no sentence."""
    if not isinstance(value, str) or not 0 < len(value.strip()) <= LONGEST_NAME or is_quantity(value):
        return False
    return len(value.split()) <= MOST_WORDS and not value.rstrip().endswith((".", "!"))


def says_total(value: Value) -> bool:
    return isinstance(value, str) and matcher("total").match(fold(value)) is not None


def says_length(heading_of: Value) -> bool:
    """Whether a heading names a length, or its unit; a length itself is none."""
    text = words(heading_of) if isinstance(heading_of, str) and not is_quantity(heading_of) else ""
    return bool(text) and (heading(text).unit in LENGTH_M or says(text, "length_m"))


def says_box(heading: Value) -> bool:
    """Whether a heading names boxes, also as the end of a compound: `Steigdose`, `Riser box`."""
    words_of = fold(words(heading)).split() if isinstance(heading, str) else []
    return any(word.endswith(box) for word in words_of for box in word_list("splice") if len(box) > 2)


def start_of(value: Value, names: Iterable[str]) -> str | None:
    """The end at which a strand begins: a port, or a name in the drawing, also behind a word for «from».

    Parameters
    ----------
    names : the other ends in the drawing, without their spelling
    """
    if not is_name(value):
        return None
    text = words(value)
    inner = _IN_BRACKETS.search(text)
    for option in (text, _behind_from(text), inner[1] if inner else ""):
        if option and (spelling(option) in names or spelled(option) or by_stem(option) or _is_port(option)):
            return option
    return None


def _behind_from(text: str) -> str:
    """`from K7:` as `K7`."""
    match = _LEAD.fullmatch(text)
    return match["name"] if match is not None and says(match["lead"], "near") else ""


def _is_port(text: str) -> bool:
    alone = port_alone(text)
    return alone is not None and alone.worded


def is_struck(sheet: Sheet, rows: Iterable[int]) -> bool:
    """Whether a cell in one of the rows is struck through, so that its strand is in doubt."""
    return any(sheet.struck.get(row) for row in rows)

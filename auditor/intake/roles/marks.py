"""Two columns of marks on a drum: where one cable ends the next begins."""

import re
from collections.abc import Mapping
from itertools import islice, pairwise

from auditor.intake.formats.cells import Value
from auditor.intake.grammar.numbers import plain
from auditor.intake.roles.profiles import ColumnProfile
from auditor.units import LENGTH_M

OF_REVISION = re.compile(  # a length as one issue has it: `Length Rev A`, `Länge Index b`; folded
    r"\b(?:rev|revision|issue|ausgabe|indice|index|ind|stand)\s?(\d+|[a-h])\b"
)
FOLLOWS = 0.6  # share of the rows that begin where the row above ends, as a drum may end; project convention
LEAST_ROWS = 4
FIRST_ROWS = 20  # of which at least one follows the row above
WASTE = 2.0  # of a unit of length that is cut off between two cables of a drum; project convention
LEAST_WITH_WASTE = 8  # rows that tell marks with waste between from lengths that are alike
ROUNDING = 0.51  # of the column's unit: a length may be rounded to whole units
AGREE = 0.9  # share of the rows in which a length is what lies between two marks; project convention


def marks_of(columns: Mapping[int, ColumnProfile]) -> tuple[int, int] | None:
    """(the column of the first marks, that of the second); None: no two neighbours are marks."""
    for column, profile in columns.items():
        beside = columns.get(column + 1)
        if beside is None or min(profile.quantities, beside.quantities) <= 0.8:
            continue
        if _follow(profile, beside) or _follow(beside, profile) or _lie_about(profile, beside, columns):
            return column, column + 1
    return None


def _lie_about(one: ColumnProfile, other: ColumnProfile, columns: Mapping[int, ColumnProfile]) -> bool:
    """Whether a third column holds what lies between two numbers, of which now one and now the other is greater:
    sums of two parts never do so."""
    if min(one.distinct, other.distinct) < AGREE:
        return False
    for column, length in columns.items():
        if column in (one.column, other.column) or length.quantities <= 0.8:
            continue
        rows = [
            (a, b, c)
            for a, b, c in zip(one.values, other.values, length.values, strict=True)
            if isinstance(a, float) and isinstance(b, float) and isinstance(c, float)
        ]
        between = [a - b for a, b, c in rows if c > 0 and abs(abs(a - b) - c) < ROUNDING]
        if len(between) >= max(LEAST_ROWS, AGREE * len(rows)) and min(between) < 0 < max(between):
            return True
    return False


def _follow(one: ColumnProfile, other: ColumnProfile) -> bool:
    """Whether mostly the one column's value is the other's of the row above, and no row has one value twice."""
    marks = (
        (_number(a), _number(b)) for a, b in zip(one.values, other.values, strict=True) if a != "" and b != ""
    )
    rows = list(islice(marks, FIRST_ROWS))
    in_length = {one.heading_unit, other.heading_unit} <= LENGTH_M.keys()
    waste = WASTE if in_length and len(one.filled) >= LEAST_WITH_WASTE else 0.0
    if not any(_begins_at(below[0], above[1], waste) for above, below in pairwise(rows)):
        return False
    rows += marks
    if len(rows) < LEAST_ROWS or any(a is None or a == b for a, b in rows):
        return False
    if waste and sum(_begins_at(a, b, waste) for a, b in rows) * 2 > len(rows):
        return False  # 8 and 9 in each row: lengths with a slack, no longer than what is cut off
    follows = sum(_begins_at(below[0], above[1], waste) for above, below in pairwise(rows))
    return follows >= FOLLOWS * (len(rows) - 1)


def _begins_at(start: str | None, end: str | None, waste: float) -> bool:
    """Whether a cable begins where the one before ended, or as much behind it as is cut off."""
    if start == end or not waste or start is None or end is None:
        return start == end
    return _is_number(start) and _is_number(end) and abs(float(start) - float(end)) <= waste


def _is_number(text: str) -> bool:
    return text.replace(".", "", 1).isdigit()


def _number(value: Value) -> str | None:
    """A mark as it stands, without the unit behind it."""
    if isinstance(value, float):
        return f"{value:g}"
    text = plain(str(value)).strip().rstrip("abcdefghijklmnopqrstuvwxyz.'ABCDEFGHIJKLMNOPQRSTUVWXYZ ").strip()
    return text or None

"""Two columns of marks on a drum: where one cable ends the next begins."""

from collections.abc import Mapping
from itertools import islice, pairwise

from auditor.intake.formats.cells import Value
from auditor.intake.grammar.numbers import plain
from auditor.intake.roles.profiles import ColumnProfile

FOLLOWS = 0.6  # share of the rows that begin where the row above ends, as a drum may end; project convention
LEAST_ROWS = 4
FIRST_ROWS = 20  # of which at least one follows the row above
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
    if not any(below[0] == above[1] for above, below in pairwise(rows)):
        return False
    rows += marks
    if len(rows) < LEAST_ROWS or any(a is None or a == b for a, b in rows):
        return False
    follows = sum(below[0] == above[1] for above, below in pairwise(rows))
    return follows >= FOLLOWS * (len(rows) - 1)


def _number(value: Value) -> str | None:
    """A mark as it stands, without the unit behind it."""
    if isinstance(value, float):
        return f"{value:g}"
    text = plain(str(value)).strip().rstrip("abcdefghijklmnopqrstuvwxyz.'ABCDEFGHIJKLMNOPQRSTUVWXYZ ").strip()
    return text or None

"""Lists of cores: two rows for each cable."""

from tests.offices.book import Column, Row
from tests.offices.draft import Draft
from tests.offices.shapes import Shape
from tests.offices.shapes.pull_lists import pull_table

_MARKS = (("+", "-"), ("red", "black"), ("1", "2"), ("rd", "bk"), ("A", "B"))


def _cores(draft: Draft, how: str) -> None:
    table = pull_table(draft)
    one, other = draft.rng("cores").choice(_MARKS)
    place = 1
    table.insert(place, Column(role="core"), [one] * len(table.rows))
    rows = []
    for row in table.rows:
        rows += _two(row, other, how)
    table.rows = rows
    table.context["cores"] = how
    draft.add(table)


def _two(row: Row, other: str, how: str) -> list[Row]:
    number, core, near, far, cable, length = row.values
    if how == "by the number":
        first, second = (
            [f"{number}+", core, near, far, cable, length],
            [f"{number}-", other, near, far, cable, length],
        )
    elif how == "by a blank":
        first, second = row.values, [None, other, near, far, None, None]
    else:
        first, second = row.values, [number, other, near, far, cable, length]
    return [Row(values=list(first)), Row(values=list(second), kind="core")]


def _by_cable(draft: Draft) -> None:
    _cores(draft, "by the cable")


def _by_number(draft: Draft) -> None:
    _cores(draft, "by the number")


def _by_blank(draft: Draft) -> None:
    _cores(draft, "by a blank")


_FAULTS = Shape(name="", write=_by_cable).faults - {"a length missing", "device-count"}

SHAPES = [
    Shape(name="cores, the cable's number twice", write=_by_cable, weight=1, faults=_FAULTS),
    Shape(name="cores, + and - in the number", write=_by_number, weight=1, faults=_FAULTS),
    Shape(name="cores, a blank second row", write=_by_blank, weight=1, faults=_FAULTS),
]

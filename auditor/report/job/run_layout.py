"""Where the rows of a run drawing stand: plain numbers, no sheet.

A drawing has a row for each end and a grid of narrow columns. The line of a pull leaves the end that feeds
it downward and turns right at the row of the end that it feeds, whose label begins where the line ends. All
that stands below an end stands right of it, so that no line crosses a label.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

ORIGIN = 1  # column of the source; the cell left of it carries the line that goes down from there
STUB = 3  # columns of a line that has no length to show
STEP = 1  # columns between an end and what feeds it, at least
_LEAST_COLUMNS = 20  # of the ruler
_TICK_COLUMNS = 9  # between two figures of the ruler, at least

Pattern = Literal["solid", "dashed", "dotted", "double"]
Look = Literal["plain", "strong", "muted", "source"]


@dataclass(frozen=True, slots=True)
class Stroke:
    """How a line is drawn: 0 thin, 1 medium, 2 thick."""

    weight: int = 0
    pattern: Pattern = "solid"


@dataclass(frozen=True, slots=True)
class Row:
    """One row to be laid out.

    above : place of the row that feeds it; None: a source
    distance_m : from the source; None: a stub, as no length is known or meant
    stroke : None: no line leads to it, it goes on with what the row above it says
    """

    above: int | None
    distance_m: float | None
    text: str
    stroke: Stroke | None = Stroke()
    look: Look = "plain"


@dataclass(frozen=True, slots=True)
class Ruler:
    """The scale of a drawing."""

    columns: int
    m_per_column: float

    def column(self, distance_m: float) -> int:
        return ORIGIN + round(distance_m / self.m_per_column)

    @property
    def last(self) -> int:
        return ORIGIN + self.columns


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line over the grid: columns, and heights in half rows from the drawing's upper edge."""

    x: int
    y: int
    to_x: int
    to_y: int
    stroke: Stroke


@dataclass(frozen=True, slots=True)
class Label:
    """Text in a row from a column to the one before another."""

    row: int
    x: int
    to_x: int
    text: str
    look: Look = "plain"


@dataclass(frozen=True, slots=True)
class Drawing:
    rows: int
    labels: tuple[Label, ...]
    lines: tuple[Line, ...]


def ruler_for(drawings: Iterable[Sequence[Row]], room: int) -> Ruler:
    """The ruler with which the labels of all drawings fit.

    Parameters
    ----------
    room : columns of the grid
    """
    placed = [(row, *base) for rows in drawings for row, base in zip(rows, _bases(rows), strict=True)]
    farthest_m = max((known_m for _, known_m, _ in placed), default=0.0) or 1.0
    columns = room - ORIGIN - STUB
    for row, known_m, stubs in placed:
        if known_m:
            free = room - ORIGIN - width(row.text, row.look) - STUB * stubs
            columns = min(columns, int(free * farthest_m / known_m))
    columns = max(columns, _LEAST_COLUMNS)
    return Ruler(columns, farthest_m / columns)


def _bases(rows: Sequence[Row]) -> list[tuple[float, int]]:
    """Of each row the last known distance on its way [m], and the stubs behind it."""
    found: list[tuple[float, int]] = []
    for row in rows:
        known_m, stubs = (0.0, 0) if row.above is None else found[row.above]
        found.append((known_m, stubs + 1) if row.distance_m is None else (row.distance_m, 0))
    return found


def laid_out(rows: Sequence[Row], ruler: Ruler, room: int) -> Drawing:
    """The labels and the lines of one drawing.

    Parameters
    ----------
    rows : each behind the row that feeds it, and all that hangs on that one before the next of its own
    room : columns of the grid
    """
    xs: list[int] = []
    below: dict[int, list[int]] = defaultdict(list)
    for place, (row, most) in enumerate(zip(rows, _last_columns(rows, room), strict=True)):
        xs.append(_column(row, xs, ruler, most))
        if row.above is not None and row.stroke:
            below[row.above].append(place)
    labels = [_label(place, row, x, room) for place, (row, x) in enumerate(zip(rows, xs, strict=True))]
    lines = [line for above, places in sorted(below.items()) for line in _lines(above, places, rows, xs)]
    return Drawing(len(rows), tuple(labels), tuple(lines))


def ticks(
    ruler: Ruler, unit_m: float, unit: str, start: int, limit_m: float | None = None
) -> tuple[list[Label], list[Line]]:
    """The figures of a ruler from a column on, in row 0, each right of its mark; the limit where it is
    reached, before other figures."""
    longest = ruler.m_per_column * ruler.columns / unit_m
    step = next(
        size * 10**power
        for power in range(-1, 9)
        for size in (1, 2, 5)
        if size * 10**power / longest * ruler.columns >= _TICK_COLUMNS
    )
    labels = []
    if limit_m is not None and start <= ruler.column(limit_m) <= ruler.last:
        labels.append(_tick(ruler.column(limit_m), f"limit {limit_m / unit_m:,.0f} {unit}", "source"))
    for count in range(1, int(longest / step) + 1):
        label = _tick(ruler.column(count * step * unit_m), f"{count * step:,g} {unit}", "muted")
        if label.x >= start and all(label.to_x <= each.x or each.to_x <= label.x for each in labels):
            labels.append(label)
    return labels, [Line(label.x, 1, label.x, 2, Stroke()) for label in labels]


def _tick(x: int, text: str, look: Look) -> Label:
    return Label(0, x, x + width(text, look), text, look)


@lru_cache(maxsize=4096)  # each label is measured for the ruler, for its place and when it is written
def width(text: str, look: Look = "plain") -> int:
    """Columns that a label takes at most."""
    points = sum(map(_LETTER_POINTS.__getitem__, text)) * (1.08 if look in ("strong", "source") else 1.0)
    return int(points / COLUMN_POINTS) + 2


class _LetterPoints(dict[str, float]):
    """About the greatest width of a letter in Arial, by classes: Adobe's metrics of Helvetica, which it shares."""

    def __missing__(self, letter: str) -> float:
        em = 0.4 if letter in _NARROW else 1.02 if letter in _WIDE else 0.75 if letter.isupper() else 0.57
        self[letter] = LABEL_POINTS * (1.0 if ord(letter) > 0x2FFF else em)
        return self[letter]


LABEL_POINTS = 9.0  # size of the labels' letters
COLUMN_POINTS = 4.5  # of 6 pixels
_NARROW, _WIDE = frozenset(" .,;:'|!()[]-/ijlftrI"), frozenset("mwMWOQG@%●○■×…&")
_LETTER_POINTS = _LetterPoints()


def _column(row: Row, xs: Sequence[int], ruler: Ruler, most: int) -> int:
    if row.above is None:
        return ORIGIN
    near = xs[row.above]
    if row.distance_m is None:
        return max(near, min(most, near + STUB if row.stroke else near))
    return max(near, min(most, max(near + STEP, ruler.column(row.distance_m))))


def _last_columns(rows: Sequence[Row], room: int) -> list[int]:
    """Of each row the last column with which its label and all below it fit."""
    last = [room - width(row.text, row.look) for row in rows]
    for place in range(len(rows) - 1, -1, -1):
        above = rows[place].above
        if above is not None:
            last[above] = min(last[above], last[place])
    return last


def _label(place: int, row: Row, x: int, room: int) -> Label:
    most = room - x
    text = row.text if len(row.text) <= 2 * most else row.text[: 2 * most] + "…"
    while len(text) > 1 and width(text, row.look) > most:
        text = text.removesuffix("…")[:-1] + "…"
    return Label(place, x, min(room, x + width(text, row.look)), text, row.look)


def _lines(above: int, places: Sequence[int], rows: Sequence[Row], xs: Sequence[int]) -> Iterable[Line]:
    """From one end down to the ends that it feeds, and to each of them."""
    x, y = xs[above], 2 * above + 1
    strokes = [rows[place].stroke or Stroke() for place in places]
    for index, place in enumerate(places):
        yield Line(x, y, x, 2 * place + 1, _together(strokes[index:]))
        if xs[place] > x:
            yield Line(x, 2 * place + 1, xs[place], 2 * place + 1, strokes[index])
        y = 2 * place + 1


def _together(strokes: Sequence[Stroke]) -> Stroke:
    """Several pulls side by side: the thickest of them, solid where one is."""
    order: tuple[Pattern, ...] = ("solid", "dashed", "dotted", "double")
    pattern = min((stroke.pattern for stroke in strokes), key=order.index)
    return Stroke(max(stroke.weight for stroke in strokes), pattern)

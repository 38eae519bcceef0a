"""Strands to the right: in each row where it begins, and then pairs of a device and the length that leads to it."""

import re
from dataclasses import dataclass

from auditor.intake.blocks.grid import is_quantity
from auditor.intake.blocks.hops import (
    Drawing,
    Hop,
    cell,
    filled,
    is_name,
    is_struck,
    says_box,
    says_length,
    says_total,
    start_of,
)
from auditor.intake.formats.cells import Sheet, Value
from auditor.intake.grammar.values import words
from auditor.intake.names.spelling import spelling
from auditor.intake.words import fold, says

LEAST_PAIRS = 2
LEAST_ROWS = 2
LEAST_WITHOUT_HEADING = 3  # pairs, where no heading says that they come again
_NUMBERS = re.compile(r"[\d.#°º]+")


@dataclass(frozen=True, slots=True)
class Pairs:
    """The columns of devices and of the lengths that lead to them, in the order of the strand."""

    devices: tuple[int, ...]
    lengths: tuple[int, ...]
    feed: tuple[int, int] | None = None  # what feeds the start of the strand, and how far it is

    @property
    def first(self) -> int:
        return min(*self.devices, *self.lengths, *(self.feed or ()))


def strands(sheet: Sheet, row: int) -> Drawing | None:
    """The strands of which this row is the first, or None."""
    lengths = _alternating(sheet, row)
    if len(lengths) < LEAST_PAIRS:
        return None
    rows, lengths = _rows_alike(sheet, row, lengths)
    above = filled(sheet, row - 1) if row > 1 else {}
    pairs = _pairs(sheet, rows, lengths, above)
    if pairs is None or len(rows) < LEAST_ROWS or is_struck(sheet, rows):
        return None
    hops = _hops(sheet, rows, pairs, above)
    if hops is None:
        return None
    top = _heading_rows(sheet, row, pairs, above)
    return Drawing(
        hops=hops,
        heading=words(above.get(pairs.lengths[0], "")) if top else "",
        header_rows=top,
        first_row=row,
        last_row=rows[-1],
        first_column=min(filled(sheet, row)),
        last_column=max(*pairs.devices, *pairs.lengths),
        boxes=_boxes(sheet, rows, pairs, hops),
    )


def _alternating(sheet: Sheet, row: int) -> list[int]:
    """The columns of the quantities of a row where names stand between them and to the end."""
    own = filled(sheet, row)
    found: list[int] = []
    for column in sorted(own):
        if not is_quantity(own[column]):
            continue
        if found and column != found[-1] + 2:
            found = []
        if is_name(own.get(column - 1, "")):
            found.append(column)
    after = [column for column in own if found and column > found[0]]
    fit = all(is_quantity(own[c]) if (c - found[0]) % 2 == 0 else is_name(own[c]) for c in after)
    return found if fit else []


def _rows_alike(sheet: Sheet, first: int, lengths: list[int]) -> tuple[list[int], list[int]]:
    """The rows from here on with quantities in the same columns and names between them; all those columns."""
    rows: list[int] = []
    widest = list(lengths)
    for row in range(first, len(sheet.rows) + 1):
        own = filled(sheet, row)
        inside = {c: v for c, v in own.items() if c >= lengths[0] - 1}
        numbers = [c for c, v in inside.items() if is_quantity(v)]
        fit = all((c - lengths[0]) % 2 == (0 if c in numbers else 1) for c in inside)
        if not numbers or not fit or any(map(says_total, own.values())):
            break
        rows.append(row)
        widest = list(range(lengths[0], max(*widest, *numbers) + 1, 2))
    return rows, widest


def _pairs(sheet: Sheet, rows: list[int], lengths: list[int], above: dict[int, Value]) -> Pairs | None:
    """Whether the length stands before its device or behind it, as each row ends."""
    last = [max(filled(sheet, row)) for row in rows]
    if all(column not in lengths for column in last):
        devices = [column + 1 for column in lengths]
        pairs = Pairs(tuple(devices), tuple(lengths))
    elif all(column in lengths for column in last):
        devices = [column - 1 for column in lengths]
        heads = [above.get(column, "") for column in devices]
        other = _stem(heads[0]) not in map(_stem, heads[1:])
        feed = (devices[0], lengths[0]) if other and _says_near(heads[0]) else None
        skip = 1 if feed else 0
        pairs = Pairs(tuple(devices[skip:]), tuple(lengths[skip:]), feed)
    else:
        return None
    return pairs if len(pairs.devices) >= LEAST_PAIRS and _comes_again(sheet, rows, pairs, above) else None


def _says_near(value: Value) -> bool:
    return isinstance(value, str) and says(words(value), "near")


def _comes_again(sheet: Sheet, rows: list[int], pairs: Pairs, above: dict[int, Value]) -> bool:
    """Whether one heading stands over all devices and one over all lengths, their numbers apart; without
    headings each device must stand once."""
    if any(column in above for column in (*pairs.devices, *pairs.lengths)):
        of_devices = {_stem(above.get(column, "")) for column in pairs.devices}
        of_lengths = {_stem(above.get(column, "")) for column in pairs.lengths}
        return len(of_devices) == 1 and len(of_lengths) == 1 and all(map(says_length, of_lengths))
    names = [cell(sheet, row, c) for row in rows for c in pairs.devices if cell(sheet, row, c) != ""]
    return len(pairs.devices) >= LEAST_WITHOUT_HEADING and len(set(map(str, names))) == len(names)


def _stem(value: Value) -> str:
    return fold(_NUMBERS.sub(" ", words(value)))


def _hops(sheet: Sheet, rows: list[int], pairs: Pairs, above: dict[int, Value]) -> tuple[Hop, ...] | None:
    """The pulls of all rows; None: a strand does not say where it begins, or a length leads nowhere."""
    devices = {spelling(words(cell(sheet, row, c))) for row in rows for c in pairs.devices}
    own = _start_column(sheet, rows, pairs, devices, above)
    if own is None:
        return None
    boxes = {spelling(words(cell(sheet, row, own))) for row in rows} if pairs.feed else set()
    found: list[Hop] = []
    for row in rows:
        start = start_of(cell(sheet, row, own), devices | boxes)
        hops = _of_row(sheet, row, own, start, pairs, devices | boxes) if start else None
        if hops is None:
            return None
        found += hops
    return tuple(found)


def _start_column(
    sheet: Sheet, rows: list[int], pairs: Pairs, devices: set[str], above: dict[int, Value]
) -> int | None:
    """The column before the pairs that says where each strand begins."""
    boxes = pairs.feed is not None
    before = [
        column
        for column in range(pairs.first - 1, 0, -1)
        if all(is_name(cell(sheet, row, column)) for row in rows)
    ]
    if boxes:
        return before[0] if before else None
    fit = [c for c in before if all(start_of(cell(sheet, row, c), devices) for row in rows)]
    named = [c for c in fit if _says_near(above.get(c, ""))]
    return next(iter([*named, *fit]), None)


def _of_row(sheet: Sheet, row: int, own: int, start: str, pairs: Pairs, names: set[str]) -> list[Hop] | None:
    found: list[Hop] = []
    if pairs.feed is not None and (feeds := cell(sheet, row, pairs.feed[0])) != "":
        above = start_of(feeds, names)
        if above is None:
            return None
        length = cell(sheet, row, pairs.feed[1])
        found.append(Hop(row, above, pairs.feed[0], start, own, length, pairs.feed[1]))
    before, at = start, own
    for column, length_column in zip(pairs.devices, pairs.lengths, strict=True):
        value, length = cell(sheet, row, column), cell(sheet, row, length_column)
        if value == "" and length != "":
            return None
        if value == "":
            continue
        found.append(Hop(row, before, at, words(value), column, length, length_column))
        before, at = words(value), column
    return found


def _boxes(sheet: Sheet, rows: list[int], pairs: Pairs, hops: tuple[Hop, ...]) -> frozenset[str]:
    """The starts of the strands that hang on a riser, where their heading calls them boxes."""
    at = next((hop.column for hop in hops if pairs.feed and hop.near_column == pairs.feed[0]), None)
    over = [sheet.value(row, at) for row in range(max(1, rows[0] - 2), rows[0])] if at else []
    return (
        frozenset(words(cell(sheet, row, at)) for row in rows)
        if at and any(map(says_box, over))
        else frozenset()
    )


def _heading_rows(sheet: Sheet, row: int, pairs: Pairs, above: dict[int, Value]) -> tuple[int, ...]:
    """The row of the headings, and one above it that gathers its columns."""
    if not any(column in above for column in pairs.lengths):
        return ()
    over = filled(sheet, row - 2) if row > 2 else {}
    gathers = len(over) > 1 and all(isinstance(v, str) for v in over.values())
    return (row - 2, row - 1) if gathers else (row - 1,)

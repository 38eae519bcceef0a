"""Crossing matrices: near ends down the first column, far ends along the top, the length where they cross."""

import re

from auditor.intake.blocks.grid import is_quantity
from auditor.intake.blocks.hops import Drawing, Hop, cell, filled, is_name, says_total
from auditor.intake.formats.cells import Sheet, Value
from auditor.intake.grammar.values import words
from auditor.intake.names.spelling import spelling
from auditor.intake.words import says

LEAST_NAMES = 3  # far ends along the top
LEAST_PULLS = 3
BOTH_AXES = 0.5  # share of the row names that stand along the top too, where the corner says nothing
MOST_OF_TREE = 1.25  # pulls for each name; with more it is a chart of distances; project convention
_IN_BRACKETS = re.compile(r"[(\[][^)\]]*[)\]]")
_AXES = re.compile(r"\s*(?:[\\/|↓→↘]+|\n)\s*")


def crossings(sheet: Sheet, row: int) -> Drawing | None:
    """The matrix whose top is this row, or None."""
    top = filled(sheet, row)
    if len(top) < LEAST_NAMES:
        return None
    first = min(top)
    corners = [first, first - 1] if first > 1 else [first]
    return next((found for at in corners if (found := _matrix(sheet, row, at)) is not None), None)


def _matrix(sheet: Sheet, top: int, corner: int) -> Drawing | None:
    names = _names_along(sheet, top, corner)
    if len(names) < LEAST_NAMES:
        return None
    rows = _rows_below(sheet, top, corner, names)
    said = cell(sheet, top, corner)
    text = words(said) if isinstance(said, str) else ""
    swapped = _axes(text) == ("far", "near")
    hops = _hops(sheet, rows, corner, names, swapped=swapped)
    if not _is_tree(hops) or not (_axes(text) or _share_names(sheet, rows, corner, names)):
        return None
    return Drawing(
        hops=hops,
        heading=text,
        header_rows=(top,),
        first_row=top + 1,
        last_row=rows[-1],
        first_column=corner,
        last_column=max(filled(sheet, top)),
    )


def _names_along(sheet: Sheet, top: int, corner: int) -> dict[int, str]:
    """column -> far end; none where something else stands among them."""
    found: dict[int, str] = {}
    for column, value in filled(sheet, top).items():
        if column <= corner or says_total(value):
            continue
        if not is_name(value) or words(value) in found.values():
            return {}
        found[column] = words(value)
    return found


def _rows_below(sheet: Sheet, top: int, corner: int, names: dict[int, str]) -> list[int]:
    """The rows of the matrix: a name, then lengths or nothing."""
    rows = []
    keys = set(map(spelling, names.values()))
    for row in range(top + 1, len(sheet.rows) + 1):
        own = filled(sheet, row)
        name = own.pop(corner, "")
        lengths = [
            value for column, value in own.items() if column in names and not _is_self(names[column], name)
        ]
        if not is_name(name) or not all(map(is_quantity, lengths)) or min(own, default=corner) < corner:
            break
        if not lengths and spelling(words(name)) not in keys:
            break
        rows.append(row)
    return rows


def _is_self(one: str, other: Value) -> bool:
    return isinstance(other, str) and spelling(one) == spelling(words(other))


def _hops(
    sheet: Sheet, rows: list[int], corner: int, names: dict[int, str], *, swapped: bool
) -> tuple[Hop, ...]:
    found: dict[tuple[str, str], Hop] = {}
    for row in rows:
        name = words(cell(sheet, row, corner))
        for column, other in names.items():
            length = cell(sheet, row, column)
            if length == "" or says_total(name) or _is_self(other, name):
                continue
            if column in sheet.struck.get(row, ()):
                continue
            ends = (other, name) if swapped else (name, other)
            hop = Hop(row, ends[0], corner, ends[1], column, length, column)
            mirrored = found.get((spelling(ends[1]), spelling(ends[0])))
            if mirrored is None or mirrored.length != length:  # both halves of the matrix show one pull
                found[spelling(ends[0]), spelling(ends[1])] = hop
    return tuple(found.values())


def _is_tree(hops: tuple[Hop, ...]) -> bool:
    """Whether there are about as many lengths as ends, as where each is fed once."""
    ends = {spelling(end) for hop in hops for end in (hop.near, hop.far)}
    return LEAST_PULLS <= len(hops) <= MOST_OF_TREE * len(ends)


def _axes(corner: str) -> tuple[str, str] | None:
    """What the corner says of the rows and of the columns: `from \\ to`."""
    parts = [part for part in _AXES.split(_IN_BRACKETS.sub("", corner).strip()) if part]
    if len(parts) < 2:
        return None
    for one, other in (("near", "far"), ("far", "near")):
        if says(parts[0], one) and says(parts[1], other):
            return one, other
    return None


def _share_names(sheet: Sheet, rows: list[int], corner: int, names: dict[int, str]) -> bool:
    own = {spelling(words(cell(sheet, row, corner))) for row in rows}
    return len(own & set(map(spelling, names.values()))) >= max(2.0, BOTH_AXES * len(own))

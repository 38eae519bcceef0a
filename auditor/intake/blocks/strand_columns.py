"""Strands downwards: a pair of columns for each, above it where it begins, `beginnt an C1.1` or `from K7`."""

from auditor.intake.blocks.grid import is_quantity
from auditor.intake.blocks.hops import (
    Drawing,
    Hop,
    cell,
    filled,
    is_name,
    is_struck,
    says_length,
    says_total,
    start_of,
)
from auditor.intake.formats.cells import Sheet, Value
from auditor.intake.grammar.values import words
from auditor.intake.names.ports import spelled
from auditor.intake.names.spelling import spelling

LEAST_STRANDS = 2
LEAST_ROWS = 2
MOST_ABOVE = 3  # rows between the devices and the row that says where the strands begin


def strands_down(sheet: Sheet, row: int) -> Drawing | None:
    """The strands whose first devices stand in this row, or None."""
    devices = _device_columns(sheet, row)
    lengths = [sheet.value(row - 1, column + 1) for column in devices]
    if len(devices) < LEAST_STRANDS or not all(map(says_length, lengths)):
        return None
    rows = _rows(sheet, row, devices)
    if any(_is_pair(filled(sheet, r), c) for r in rows for c in range(1, devices[0])):
        return None  # another strand, the first lengths of which are missing
    names = {spelling(words(cell(sheet, r, c))) for r in rows for c in devices}
    starts = _starts(sheet, row, devices, names)
    if starts is None or len(rows) < LEAST_ROWS or is_struck(sheet, rows):
        return None
    at, texts = starts
    total = filled(sheet, rows[-1] + 1)
    last = rows[-1] + (1 if any(map(says_total, total.values())) else 0)
    return Drawing(
        hops=tuple(_hops(sheet, rows, devices, at, texts)),
        heading=words(lengths[0]),
        header_rows=tuple(range(at, row)),
        first_row=row,
        last_row=last,
        first_column=min(filled(sheet, row)),
        last_column=devices[-1] + 1,
    )


def _device_columns(sheet: Sheet, row: int) -> list[int]:
    """The columns of names with a quantity right beside each, pair by pair to the end of the row; one that is missing
    stands in the row below."""
    own = filled(sheet, row)
    if not any(map(is_quantity, own.values())):
        return []
    below = filled(sheet, row + 1)
    missing = {c + 1 for c in own if c + 1 not in own and c in below and is_quantity(below.get(c + 1, ""))}
    found = [c for c, v in own.items() if _is_pair(own, c) or (is_name(v) and c + 1 in missing)]
    if not found:
        return []
    whole = set(range(found[0], found[-1] + 2)) == {c for c in (*own, *missing) if c >= found[0]}
    return found if whole and found == list(range(found[0], found[-1] + 1, 2)) else []


def _is_pair(own: dict[int, Value], column: int) -> bool:
    return is_name(own.get(column, "")) and is_quantity(own.get(column + 1, ""))


def _rows(sheet: Sheet, first: int, devices: list[int]) -> list[int]:
    """The rows from here on whose pairs are full or blank."""
    rows = []
    for row in range(first, len(sheet.rows) + 1):
        own = filled(sheet, row)
        pairs = [(own.get(c, ""), own.get(c + 1, "")) for c in devices]
        full = [pair for pair in pairs if pair != ("", "")]
        fit = all(is_name(name) and (length == "" or is_quantity(length)) for name, length in full)
        if not full or not fit or any(map(says_total, own.values())):
            break
        rows.append(row)
    return rows


def _starts(sheet: Sheet, first: int, devices: list[int], names: set[str]) -> tuple[int, list[str]] | None:
    """The row above that says for each strand where it begins, and what it says."""
    for row in range(first - 1, max(0, first - 1 - MOST_ABOVE), -1):
        own = filled(sheet, row)
        found = [start_of(own.get(column, ""), names) for column in devices]
        texts = [text for text in found if text is not None]
        if len(texts) < len(devices):
            continue
        beside = [column for column in own if column > devices[0] and column not in devices]
        if beside and row != first - 1:
            return None
        if row == first - 1 and all(map(spelled, texts)):
            return None  # each heading names a port
        between = (value for r in range(row + 1, first) for value in filled(sheet, r).values())
        other = any(start_of(value, names) for column, value in own.items() if column < devices[0])
        return None if other or any(map(is_quantity, between)) else (row, texts)
    return None


def _hops(sheet: Sheet, rows: list[int], devices: list[int], start_row: int, starts: list[str]) -> list[Hop]:
    found = []
    for column, start in zip(devices, starts, strict=True):
        before: str = start
        for row in rows:
            value: Value = cell(sheet, row, column)
            if value != "":
                found.append(
                    Hop(row, before, column, words(value), column, cell(sheet, row, column + 1), column + 1)
                )
                before = words(value)
    return found

"""Strands in two rows each: the names in the order of the cable, below them the lengths between."""

import itertools

from auditor.intake.blocks.grid import is_quantity
from auditor.intake.blocks.hops import Drawing, Hop, filled, is_name, is_struck, says_length
from auditor.intake.formats.cells import Sheet, Value
from auditor.intake.grammar.values import words

LEAST_NAMES = 3


def strand_of_two_rows(sheet: Sheet, row: int) -> Drawing | None:
    """The strand whose names stand in this row and whose lengths stand in the next, or None."""
    names, lengths = filled(sheet, row), filled(sheet, row + 1)
    if len(names) <= LEAST_NAMES or len(lengths) < LEAST_NAMES or min(names) != min(lengths):
        return None
    first = min(names)
    label: Value = lengths.pop(first)
    names.pop(first)
    own = sorted(names)
    if own != list(range(first + 1, first + 1 + len(own))) or not all(map(is_name, names.values())):
        return None
    if (
        not says_length(label)
        or not all(map(is_quantity, lengths.values()))
        or is_struck(sheet, (row, row + 1))
    ):
        return None
    if sorted(lengths) != own[1:]:
        return None
    hops = [
        Hop(row, words(names[a]), a, words(names[b]), b, lengths[b], b) for a, b in itertools.pairwise(own)
    ]
    return Drawing(
        hops=tuple(hops),
        heading=words(label),
        header_rows=(),
        first_row=row,
        last_row=row + 1,
        first_column=first,
        last_column=own[-1],
    )

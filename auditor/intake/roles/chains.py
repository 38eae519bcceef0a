"""Chains in one column and their lengths in another: as many names as lengths in each row."""

from collections.abc import Mapping

from auditor.intake.blocks.grid import is_quantity
from auditor.intake.formats.cells import Value
from auditor.intake.grammar.values import is_blank
from auditor.intake.names.chains import split_lengths
from auditor.intake.names.ports import spelled
from auditor.intake.roles.profiles import ColumnProfile

AGREE = 0.8  # share of the rows in which names and lengths are as many; project convention


def chain_beside_lengths(columns: Mapping[int, ColumnProfile]) -> tuple[int, int] | None:
    """(the column of the chains, that of their lengths); None: no two columns agree so."""
    for number, chained in columns.items():
        names = chained.chains
        if names is None:
            continue
        for other, column in columns.items():
            if other != number and _agree(names, column.values):
                return number, other
    return None


def _agree(names: list[list[str]], values: list[Value]) -> bool:
    """Whether a column holds as many lengths as there are names, or one less, in nearly all rows."""
    rows = [(len(own), value) for own, value in zip(names, values, strict=True) if own]
    for less in (0, 1):
        agree = sum(_lengths(value, count - less) for count, value in rows)
        several = any(count - less > 1 and _lengths(value, count - less) for count, value in rows)
        if several and agree >= AGREE * len(rows):
            return True
    return False


def _lengths(value: Value, count: int) -> bool:
    if is_blank(value) or not isinstance(value, str):
        return count == 1 and is_quantity(value)
    parts = split_lengths(value, count)
    return len(parts) == count and all(is_quantity(part.strip()) for part in parts)


def port_of_chains(columns: Mapping[int, ColumnProfile], chain: int, lengths: int) -> int | None:
    """The one column that names another port in each row."""
    found = [
        number
        for number, column in columns.items()
        if number not in (chain, lengths)
        and column.distinct == 1.0
        and column.share_filled == 1.0
        and all(spelled(text) for text in column.texts)
    ]
    return found[0] if len(found) == 1 else None

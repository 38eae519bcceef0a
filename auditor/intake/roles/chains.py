"""Chains in one column and their lengths in another: as many names as lengths in each row."""

from collections.abc import Mapping

from auditor.intake.blocks.grid import is_quantity
from auditor.intake.formats.cells import Value
from auditor.intake.grammar.values import is_blank
from auditor.intake.names.chains import names_in_chain, split_lengths
from auditor.intake.names.ports import spelled
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.profiles import ColumnProfile

LEAST_IN_ALL = 3  # names of a table's chains
AGREE = 0.8  # share of the rows in which names and lengths are as many; project convention
ONCE = 0.9  # share of the names that stand once


def chain_beside_lengths(columns: Mapping[int, ColumnProfile]) -> tuple[int, int] | None:
    """(the column of the chains, that of their lengths); None: no two columns agree so."""
    lists = {number: _names(column) for number, column in columns.items()}
    for number, names in lists.items():
        if names is None:
            continue
        for other, column in columns.items():
            if other != number and _agree(names, column.values):
                return number, other
    return None


def _names(column: ColumnProfile) -> list[list[str]] | None:
    """The names of each row's chain; None: the column holds no chains."""
    if column.quantities > 0.2 or not any(len(text) > 3 for text in column.texts):
        return None
    found = [names_in_chain(value) if isinstance(value, str) else [] for value in column.values]
    names = [spelling(name) for own in found for name in own]
    several = sum(len(own) > 1 for own in found)
    if len(names) < LEAST_IN_ALL or several * 2 < sum(map(bool, found)) or not several:
        return None
    apart = len(set(names)) >= ONCE * len(names) and not any(map(is_quantity, names))
    return found if apart else None


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

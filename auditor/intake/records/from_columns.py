"""Records out of whole columns, faster than one by one: a frozen record of 16 fields takes 3 µs to
make, as many as all the rest of its row."""

from collections import deque
from collections.abc import Iterable
from dataclasses import MISSING, Field, fields
from itertools import repeat
from typing import Any, TypeVar

R = TypeVar("R")


def from_columns(kind: type[R], count: int, **columns: Iterable[Any]) -> list[R]:
    """`count` records of a slotted dataclass, each field from its column; the others as by default.

    Parameters
    ----------
    columns : field -> its values, one for each record

    Raises
    ------
    TypeError : a field without a default has no column, or a column is no field
    """
    made: list[R] = [object.__new__(kind) for _ in range(count)]
    known = {entry.name: entry for entry in fields(kind)}  # type: ignore[arg-type]
    if not columns.keys() <= known.keys():
        raise TypeError(f"no field of {kind.__name__}: {', '.join(sorted(columns.keys() - known.keys()))}")
    for name, entry in known.items():
        values = columns.get(name)
        if values is None:
            values = repeat(_default(kind, entry))
        deque(map(getattr(kind, name).__set__, made, values), maxlen=0)  # as the record's own __init__ does
    return made


def _default(kind: type, entry: Field[Any]) -> Any:
    if entry.default is not MISSING:
        return entry.default
    if entry.default_factory is not MISSING:
        return entry.default_factory()
    raise TypeError(f"{kind.__name__} needs a column for {entry.name}")

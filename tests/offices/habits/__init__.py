"""Habits that lie over a shape: rows, columns and sheets. Each module lists its own in `HABITS`."""

from collections.abc import Callable
from dataclasses import dataclass

from tests.offices.draft import Draft


@dataclass(frozen=True, slots=True, kw_only=True)
class Habit:
    name: str
    apply: Callable[[Draft], bool]  # whether there was a place for it
    share: float  # of the offices that try it


def habits() -> list[Habit]:
    from tests.offices.habits import columns, context, lengths, rows, sheets, values, void

    modules = (lengths, void, context, rows, columns, values, sheets)
    return [habit for module in modules for habit in module.HABITS]

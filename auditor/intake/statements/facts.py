"""Facts with a scope, and the store that is asked for the nearest one."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from auditor.job.model import CellRef

LENGTH_UNIT = "length unit"  # value: unit of bare lengths
POWER_UNIT = "power unit"  # value: unit of bare powers, or of bare currents
CURRENT_VOLTS = "current volts"  # value: V at which those currents flow
PANEL = "panel"  # value: the controller that local ports are on
VOID = "void"  # value: the words that void the rows
CUMULATIVE = "cumulative"  # value: True; lengths count from the port
CABLE = "cable"  # value: a Cable with what the sentence says of it
SUPPLY_VOLTAGE = "supply voltage"  # value: V


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """Something that a cell says of the rows of its scope."""

    kind: str
    value: Any
    where: CellRef
    first_row: int = 1  # of its scope on its sheet
    last_row: int | None = None  # None: to the sheet's end
    wide: bool = False  # holds for the other sheets too, where they say nothing of their own

    def holds(self, sheet: str, row: int) -> bool:
        on_sheet = self.where.sheet == sheet
        return on_sheet and self.first_row <= row and (self.last_row is None or row <= self.last_row)

    @property
    def rows(self) -> int:
        return (self.last_row or 10**9) - self.first_row


@dataclass(slots=True)
class Facts:
    """All facts of a workbook; the nearest scope wins."""

    found: list[Fact] = field(default_factory=list)

    def add(self, facts: Iterable[Fact]) -> None:
        self.found += facts

    def of(self, kind: str) -> Iterator[Fact]:
        return (fact for fact in self.found if fact.kind == kind)

    def nearest(self, kind: str, sheet: str, row: int) -> list[Fact]:
        """The facts of the smallest scope that hold for a row; else those that hold everywhere."""
        near = [fact for fact in self.of(kind) if fact.holds(sheet, row)]
        least = min((fact.rows for fact in near), default=0)
        return [fact for fact in near if fact.rows == least] or [fact for fact in self.of(kind) if fact.wide]

    def at(self, kind: str, sheet: str, row: int) -> Fact | None:
        """The first fact of the smallest scope that holds for a row; else one that holds everywhere."""
        near = self.nearest(kind, sheet, row)
        on_sheet = any(fact.holds(sheet, row) for fact in near)
        return near[0] if on_sheet else self.agreed(kind, sheet, row)

    def agreed(self, kind: str, sheet: str, row: int) -> Fact | None:
        """What the nearest facts say of a row; None: nothing, or they contradict each other."""
        near = self.nearest(kind, sheet, row)
        return near[0] if len({str(fact.value) for fact in near}) == 1 else None

    def over(self, kind: str, sheet: str, rows: Sequence[int]) -> list[Any]:
        """The value for each row; None where nothing is said."""
        own = [fact for fact in self.of(kind) if fact.where.sheet == sheet]
        if not own or all(fact.first_row <= min(rows, default=1) and fact.last_row is None for fact in own):
            fact = self.at(kind, sheet, rows[0]) if rows else None
            return [fact.value if fact else None] * len(rows)
        return [fact.value if (fact := self.at(kind, sheet, row)) else None for row in rows]

"""One table with its rows sorted, and what its records hold that does not simply stand in their columns."""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from auditor.intake.formats.cells import Value
from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.ranges import each_tag
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.found import FoundTable
from auditor.intake.rows.given import Given
from auditor.intake.rows.sort import LeftOut
from auditor.intake.said import NO_ANSWERS, Answers
from auditor.job.model import Remark, TableKind


@dataclass(slots=True, eq=False)
class Part:
    """One table's records: `rows` has the row of each, as often as it holds records."""

    table: FoundTable
    rows: list[int]
    other: LeftOut
    given: dict[str, Given] = field(default_factory=dict)
    joined: list[int] = field(
        default_factory=list
    )  # rows that belong to the record above: a cable's other cores
    remarks: list[Remark] = field(default_factory=list)
    answers: Answers = field(default_factory=lambda: NO_ANSWERS)
    homes: list[str | None] | None = None
    _values: dict[str, list[Value]] = field(default_factory=dict)

    def has(self, name: str) -> bool:
        return name in self.table.understood.columns or name in self.given

    def values(self, name: str) -> list[Value]:
        """The values of a field, one a record; blanks where there is no such field."""
        if name in self.given:
            return self.given[name].values
        if name not in self._values:
            self._values[name] = self._read(name)
        return self._values[name]

    def _read(self, name: str) -> list[Value]:
        use = self.table.understood.columns.get(name)
        if use is None:
            return [""] * len(self.rows)
        at = use.column - 1
        cells = (self.table.sheet.rows[row - 1] for row in self.rows)
        return [own[at] if len(own) > at else "" for own in cells]

    def give(self, name: str, values: list[Value], units: list[str | None] | None = None) -> None:
        """Give a field other values than its column holds."""
        before = self.given.get(name)
        columns = before.columns if before else None
        units = units or (before.units if before else None)
        self.given[name] = Given(values, columns, units, before.asked if before else False)

    def take(self, indices: Sequence[int]) -> None:
        """Keep these records only, in this order; an index may come more than once."""
        self.rows = [self.rows[i] for i in indices]
        self._values.clear()
        self.homes = [self.homes[i] for i in indices] if self.homes is not None else None
        for name, given in self.given.items():
            self.given[name] = Given(
                [given.values[i] for i in indices],
                [given.columns[i] for i in indices] if given.columns else None,
                [given.units[i] for i in indices] if given.units else None,
                given.asked,
            )

    def column_of(self, name: str) -> int:
        use = self.table.understood.columns.get(name)
        return use.column if use else self.table.first_column


def filled_down(values: Sequence[Value]) -> list[Value]:
    """Each blank as the value above it."""
    last: Value = ""
    result = []
    for value in values:
        last = last if is_blank(value) else value
        result.append(last)
    return result


def last_before(rows: Iterable[int], marks: Sequence[int]) -> list[int | None]:
    """Of each row the last mark above it; None: none stands above.

    Parameters
    ----------
    marks : rows in rising order
    """
    places = (bisect_left(marks, row) for row in rows)
    return [marks[place - 1] if place else None for place in places]


def tags_listed(parts: Iterable[Part]) -> set[str]:
    """The tags of the device lists among these tables, without their spelling."""
    lists = [part for part in parts if part.table.kind is TableKind.DEVICES and part.has("tag")]
    values = (value for part in lists for value in part.values("tag"))
    return {spelling(tag) for value in values for tag in each_tag(words(value))}

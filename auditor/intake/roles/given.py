"""What an answer says of a table: what it lists and in which columns. It stands above all evidence."""

from collections.abc import Mapping
from dataclasses import dataclass

from auditor.intake.roles.ends import EndsPair
from auditor.intake.roles.kinds import BY_ANSWER, ColumnUse, Understood
from auditor.intake.roles.profiles import ColumnProfile
from auditor.intake.words import UNITS_OF_FIELD
from auditor.job.model import TableKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """A table's kind, PULLS for any schedule, and role -> column; a pull's far end is also the tag of its row."""

    kind: TableKind
    columns: Mapping[str, int]

    @property
    def pair(self) -> EndsPair | None:
        """The columns of the ends; None: chains or levels, or a table that lists no pulls."""
        near, far = self.columns.get("near"), self.columns.get("far")
        if self.kind is not TableKind.PULLS or far is None:
            return None
        if near is not None:
            return EndsPair(near, far, 1.0, 1.0)
        port, sequence = self.columns.get("port"), self.columns.get("sequence")
        if port is None or sequence is None:
            return None
        return EndsPair(port, far, 1.0, 1.0, sequence=sequence, controller=self.columns.get("controller"))

    def roles_in(self, kind: TableKind) -> Mapping[str, int]:
        """role -> column in a table of one kind."""
        own = {"far": "tag"} if kind is TableKind.COMBINED else {}
        return {own.get(name, name): column for name, column in self.columns.items()}


def plainly(given: Given, columns: Mapping[int, ColumnProfile]) -> Understood:
    """The table with the columns of the answer and no others."""
    uses = {}
    for name, column in given.columns.items():
        unit = columns[column].heading_unit
        known = unit if unit in UNITS_OF_FIELD.get(name, ()) else None
        uses[name] = ColumnUse(name, column, columns[column].header, known, None, BY_ANSWER)
    return Understood(given.kind, uses, ())

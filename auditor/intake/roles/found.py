"""A table with what it was understood as."""

from dataclasses import dataclass, field, replace

from auditor.intake.blocks.hops import Drawing
from auditor.intake.blocks.tables import TableBlock
from auditor.intake.formats.cells import Sheet
from auditor.intake.roles.kinds import Understood
from auditor.job.model import TableKind


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundTable:
    """A table on a sheet; rows and columns from 1, `last_row` the last row that may be its data."""

    sheet: Sheet
    understood: Understood
    header_rows: tuple[int, ...]
    headers: dict[int, str]  # column -> its whole heading
    first_row: int
    last_row: int
    first_column: int
    last_column: int
    groups: dict[int, str] = field(default_factory=dict)
    drawing: Drawing | None = None

    @property
    def kind(self) -> TableKind:
        return self.understood.kind

    @property
    def columns(self) -> dict[str, int]:
        return {name: use.column for name, use in self.understood.columns.items()}

    @property
    def heading_row(self) -> int:
        """The lowest row of the heading; of a table without one its first row."""
        return self.header_rows[-1] if self.header_rows else self.first_row


def found_table(block: TableBlock, understood: Understood) -> FoundTable:
    return FoundTable(
        sheet=block.sheet,
        understood=replace(understood, columns=dict(understood.columns)),
        header_rows=block.header_rows,
        headers=block.headers,
        first_row=block.first_row,
        last_row=block.last_row,
        first_column=block.first_column,
        last_column=block.last_column,
        groups=block.groups,
        drawing=block.drawing,
    )


def overlap(one: FoundTable, other: FoundTable) -> bool:
    """Whether two tables share a column."""
    return one.first_column <= other.last_column and other.first_column <= one.last_column

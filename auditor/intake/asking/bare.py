"""A sheet on which no table is seen, taken as one table without headings, so that it can be asked about."""

from collections.abc import Sequence
from dataclasses import replace

from auditor.intake.blocks.grid import filled_cells
from auditor.intake.blocks.tables import SheetBlocks, TableBlock
from auditor.intake.formats.cells import Sheet, Value

LEAST_ROWS, LEAST_CELLS = 3, 2  # rows of a table, and filled cells of each
MOST_ROWS = 2_000  # of a sheet that is looked at


def bare_table(sheet: Sheet) -> TableBlock | None:
    """The rows from the first to the last one of several cells as a table; None: there are hardly any."""
    rows = [
        (row, filled)
        for row, cells in enumerate(sheet.rows[:MOST_ROWS], 1)
        if len(filled := filled_cells(cells)) >= LEAST_CELLS
    ]
    wide = max((len(filled) for _, filled in rows), default=0)
    first = next((row for row, filled in rows if 2 * len(filled) > wide), 0)
    top = next((row for row, _ in reversed(rows) if row < first and not _follows(rows, row)), 0)
    rows = [(row, filled) for row, filled in rows if row > top]
    if len(rows) < LEAST_ROWS or wide <= LEAST_CELLS:
        return None
    columns = [column for _, filled in rows for column in filled]
    return TableBlock(
        sheet=sheet,
        header_rows=(),
        headers={},
        first_row=rows[0][0],
        last_row=rows[-1][0],
        first_column=min(columns),
        last_column=max(columns),
    )


def _follows(rows: Sequence[tuple[int, dict[int, Value]]], row: int) -> bool:
    """Whether the row below one is of several cells too."""
    return any(other == row + 1 for other, _ in rows)


def with_table(blocks: SheetBlocks, table: TableBlock) -> SheetBlocks:
    """A sheet's blocks with a table in place of the lines that its rows were."""
    lines = [line for line in blocks.lines if not table.first_row <= line.row <= table.last_row]
    return replace(blocks, tables=[*blocks.tables, table], lines=lines)

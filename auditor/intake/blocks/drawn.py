"""A sheet's tables where some show pulls as a drawing of cells: a matrix, strands to the right or downwards."""

from dataclasses import replace

from auditor.intake.blocks.crossings import crossings
from auditor.intake.blocks.grid import is_quantity
from auditor.intake.blocks.hops import Drawing, filled
from auditor.intake.blocks.strand_columns import strands_down
from auditor.intake.blocks.strand_rows import strand_of_two_rows
from auditor.intake.blocks.strands import strands
from auditor.intake.blocks.tables import SheetBlocks, TableBlock, blocks_of
from auditor.intake.formats.cells import Sheet, Value

MOST_ROWS = 600  # a sheet with more is no drawing; project convention
LEAST_CELLS = 2  # of the first row of a drawing
_FINDERS = (crossings, strands_down, strands, strand_of_two_rows)


def drawn_blocks_of(sheet: Sheet) -> SheetBlocks:
    """All tables and lines of a sheet in reading order, those that are drawings among them."""
    drawings = _drawings(sheet) if len(sheet.rows) <= MOST_ROWS else []
    if not drawings:
        return blocks_of(sheet)
    rest = blocks_of(_without(sheet, drawings))
    tables = [*rest.tables, *(_table(sheet, drawing) for drawing in drawings)]
    return SheetBlocks(sorted(tables, key=lambda table: (table.first_row, table.first_column)), rest.lines)


def _drawings(sheet: Sheet) -> list[Drawing]:
    """The drawings of a sheet from above; none begins at a row of quantities below one of the same form."""
    found: list[Drawing] = []
    before: tuple[int, ...] = ()
    for row in range(1, len(sheet.rows) + 1):
        if found and row <= found[-1].last_row:
            continue
        form = _form(sheet, row)
        goes_on, before = form == before and min(form, default=0) < 0, form
        if len(form) < LEAST_CELLS or goes_on:
            continue
        drawing = next((d for find in _FINDERS if (d := find(sheet, row)) is not None), None)
        if drawing is not None:
            found.append(drawing)
    return found


def _form(sheet: Sheet, row: int) -> tuple[int, ...]:
    """The columns of a row in which something stands, below zero where it is a quantity."""
    return tuple(-c if is_quantity(value) else c for c, value in filled(sheet, row).items())


def _without(sheet: Sheet, drawings: list[Drawing]) -> Sheet:
    """The sheet with the rows of its drawings blank."""
    drawn = {
        row
        for drawing in drawings
        for row in range(min((*drawing.header_rows, drawing.first_row)), drawing.last_row + 1)
    }
    rows: list[list[Value]] = [[] if at in drawn else cells for at, cells in enumerate(sheet.rows, 1)]
    return replace(sheet, rows=rows)


def _table(sheet: Sheet, drawing: Drawing) -> TableBlock:
    return TableBlock(
        sheet=sheet,
        header_rows=drawing.header_rows,
        headers={},
        first_row=drawing.first_row,
        last_row=drawing.last_row,
        first_column=drawing.first_column,
        last_column=drawing.last_column,
        drawing=drawing,
    )

"""The totals that a schedule states, compared with what was read: a check of the reading itself."""

from collections.abc import Callable, Mapping, Sequence

from auditor.intake.cells import Value
from auditor.intake.columns import Columns
from auditor.intake.tables import FoundTable
from auditor.intake.values import Context
from auditor.model import CellRef, Remark
from auditor.units import number_text

ROUNDING = 0.51  # of the total's unit: a total may be rounded to whole units; project convention


def check_totals(
    table: FoundTable,
    total_rows: Sequence[int],
    amounts: Mapping[int, float | None],
    name: str,
    read: Callable[[Value, Context], float],
    unit: str,
    factor: float,
) -> list[Remark]:
    """One remark for each stated total: that it agrees, or that it does not.

    Parameters
    ----------
    amounts : row -> what the row adds, in the project's own unit; None: could not be read
    name : the field whose column is totalled
    unit, factor : the unit of the remark, and what it is in the project's own unit
    """
    if name not in table.columns or not total_rows:
        return []
    columns = Columns(table, total_rows, None)
    stated = columns.numbers(name, read, unit)
    remarks, start = [], table.first_row
    for row, total in zip(total_rows, stated, strict=True):
        if total is not None:
            where = CellRef(table.sheet.name, row, table.columns[name])
            block = {r: a for r, a in amounts.items() if start <= r < row}
            level, message = _compared(
                total, block, {r: a for r, a in amounts.items() if r < row}, unit, factor
            )
            remarks.append(
                Remark(
                    rule="reading", level=level, subject=f"total in row {row}", message=message, where=where
                )
            )
        start = row + 1
    return remarks


def _compared(
    total: float,
    block: Mapping[int, float | None],
    all_above: Mapping[int, float | None],
    unit: str,
    factor: float,
) -> tuple[str, str]:
    says = f"the sheet's own total is {number_text(total / factor)} {unit}"
    if None in all_above.values():
        return "note", f"{says}; it cannot be compared, a row above it could not be read"
    sums = [sum(a for a in amounts.values() if a is not None) for amounts in (block, all_above)]
    if any(abs(total - amount) <= max(ROUNDING * factor, 1e-4 * total) for amount in sums):
        return "note", f"{says} and agrees with the rows read"
    return "review", (
        f"{says}, the rows read add up to {number_text(sums[0] / factor)} {unit}; "
        "look for rows that are missing, hidden or counted twice"
    )

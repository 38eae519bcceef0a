"""The totals that a schedule states, compared with what was read: a check of the reading itself."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import accumulate

from auditor.intake.formats.cells import Value
from auditor.intake.grammar.values import Context
from auditor.intake.records.columns import Columns
from auditor.intake.roles.found import FoundTable
from auditor.job.model import CellRef, Remark
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
    for group in _groups(zip(total_rows, stated, strict=True), amounts):
        first = group[0][0]
        block = [amount for row, amount in amounts.items() if start <= row < first]
        above = [amount for row, amount in amounts.items() if row < first]
        said = _compared([total for _, total in group], block, above, unit, factor)
        for (row, _), (level, message) in zip(group, said, strict=True):
            where = CellRef(table.sheet.name, row, table.columns[name])
            remarks.append(
                Remark(
                    rule="reading", level=level, subject=f"total in row {row}", message=message, where=where
                )
            )
        start = group[-1][0] + 1
    return remarks


def _groups(
    totals: Iterable[tuple[int, float | None]], amounts: Mapping[int, float | None]
) -> list[list[tuple[int, float]]]:
    """The stated totals by their rows, those together that no row of the table stands between."""
    groups: list[list[tuple[int, float]]] = []
    for row, total in totals:
        if total is None:
            continue
        if not groups or any(groups[-1][-1][0] < other < row for other in amounts):
            groups.append([])
        groups[-1].append((row, total))
    return groups


def _compared(
    totals: Sequence[float],
    block: Sequence[float | None],
    above: Sequence[float | None],
    unit: str,
    factor: float,
) -> Iterator[tuple[str, str]]:
    """What is said of each of the totals below a block: one of them may be of a part (`Total 16/2`), or
    add a share, as long as another one, or the first ones together, agree with the rows."""
    sums = [sum(amount for amount in amounts if amount is not None) for amounts in (block, above)]

    def agrees(total: float) -> bool:
        return any(abs(total - amount) <= max(ROUNDING * factor, 1e-4 * total) for amount in sums)

    confirmed = any(map(agrees, (*totals, *accumulate(totals))))
    for number, total in enumerate(totals):
        says = f"the sheet's own total is {number_text(total / factor)} {unit}"
        if None in above:
            yield "note", f"{says}; it cannot be compared, a row above it could not be read"
        elif agrees(total):
            yield "note", f"{says} and agrees with the rows read"
        elif confirmed or number:
            yield "note", f"{says}; it is not compared, another total of these rows stands beside it"
        else:
            added = number_text(sums[0] / factor)
            yield (
                "review",
                f"{says}, the rows read add up to {added} {unit}; look for rows that are missing, hidden or counted twice",
            )

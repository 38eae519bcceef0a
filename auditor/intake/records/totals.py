"""The totals that a schedule states, compared with what was read: a check of the reading itself."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import accumulate

from auditor.intake.formats.cells import Value
from auditor.intake.grammar.values import Context
from auditor.intake.records.columns import Columns
from auditor.intake.records.parts import watts as watts_of
from auditor.intake.roles.found import FoundTable
from auditor.intake.rows.asked_columns import column_question
from auditor.intake.said import NO_ANSWERS, Answers, chosen, to_decide
from auditor.job.model import CellRef, Remark
from auditor.units import number_text

ROUNDING = 0.51  # of the total's unit: a whole total may be rounded to whole units; project convention
FINER = 0.051  # the same of a total with decimals
MOST_OF_ONE = 999  # devices in one row


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
        return any(_agree(total, amount, factor) for amount in sums)

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


def _agree(total: float, amount: float, factor: float) -> bool:
    """Whether a stated total is a sum, as far as it may be rounded."""
    whole = abs(total / factor - round(total / factor)) < 1e-9
    return abs(total - amount) <= max((ROUNDING if whole else FINER) * factor, 1e-4 * total)


def counts_by_total(
    table: FoundTable, total_rows: Sequence[int], watts: Mapping[int, float], answers: Answers = NO_ANSWERS
) -> Iterator[Remark]:
    """A question where the rows add up to the stated total only if a column counts the devices of each.

    Parameters
    ----------
    watts : row -> what one device of the row draws [W]
    """
    if "quantity" in table.columns or "power_w" not in table.columns:
        return
    stated = Columns(table, total_rows, None).numbers("power_w", watts_of, "W")
    totals = [total for total in stated if total is not None]
    if not totals or any(_agree(total, sum(watts.values()), 1.0) for total in totals):
        return
    for column in range(table.first_column, table.last_column + 1):
        counts = {row: table.sheet.value(row, column) for row in watts}
        whole = [
            n for n in counts.values() if isinstance(n, float) and n.is_integer() and 0 < n <= MOST_OF_ONE
        ]
        if column == table.columns["power_w"] or len(whole) < len(counts) or set(whole) == {1.0}:
            continue
        added = sum(watts[row] * float(str(count)) for row, count in counts.items())
        if any(_agree(total, added, 1.0) for total in totals):
            header = table.headers.get(column, "")
            sentence = (
                f"the sheet's own total of {number_text(totals[0])} W comes out only if the numbers under {header!r} are the "
                "quantities: are they?"
            )
            one = column_question(table, column, sentence, ("quantity",))
            remark = to_decide(one, header or table.sheet.name, answers)
            yield replace(remark, closes=chosen(one, answers) is None)
            return

"""Records whose number is the sum of those above them: totals, whatever they are called."""

from collections.abc import Iterator, Sequence
from statistics import median

from auditor.intake.blocks.grid import filled_cells
from auditor.intake.formats.cells import Value
from auditor.intake.roles.found import FoundTable

LEAST_SUMMED = 3  # rows; project convention
ROUNDING = 0.001  # of a sum
MOSTLY = 0.9  # share of the names with digits that makes one without them stand out; project convention
_SUMMED = ("power_w", "total_power_w", "length_m")


def sums_among(table: FoundTable, records: Sequence[int]) -> set[int]:
    """The rows that sum up the rows above them and look unlike them: half as many cells, or a name without digits."""
    columns = [table.columns[name] for name in _SUMMED if name in table.columns]
    candidates = {row for column in columns for row in _sums(table, records, column)}
    return {
        row for row in candidates if _stands_out(table, row, [other for other in records if other != row])
    }


def _sums(table: FoundTable, records: Sequence[int], column: int) -> Iterator[int]:
    """The rows whose number in a column is what the rows since the last sum add up to, each once or its quantity
    of times."""
    times = table.columns.get("quantity")
    once = counted = 0.0
    rows = 0
    for row in records:
        value = table.sheet.value(row, column)
        if not isinstance(value, float):
            continue
        if rows >= LEAST_SUMMED and value > 0 and (_is(value, once) or _is(value, counted)):
            yield row
            once = counted = 0.0
            rows = 0
            continue
        quantity = table.sheet.value(row, times) if times is not None else 1.0
        once += value
        counted += value * (quantity if isinstance(quantity, float) else 1.0)
        rows += 1


def _is(value: float, total: float) -> bool:
    return abs(value - total) <= ROUNDING * total


def _stands_out(table: FoundTable, row: int, others: Sequence[int]) -> bool:
    if len(_filled(table, row)) * 2 <= median(len(_filled(table, other)) for other in others):
        return True
    digits = [_has_digits(table, other) for other in others]
    return not _has_digits(table, row) and sum(digits) >= MOSTLY * len(digits)


def _filled(table: FoundTable, row: int) -> dict[int, Value]:
    return filled_cells(table.sheet.rows[row - 1], table.first_column, table.last_column)


def _has_digits(table: FoundTable, row: int) -> bool:
    """Whether a text in the row's key has a digit."""
    texts = [value for value in _filled(table, row).values() if isinstance(value, str)]
    return any(map(str.isdigit, texts[0])) if texts else False

"""What a read table states of itself: where it stands, its plain powers, and its totals against ours."""

from collections.abc import Container, Iterable, Sequence

from auditor.intake.grammar import values as grammar
from auditor.intake.grammar.lengths import length_m
from auditor.intake.records import parts as part_rows
from auditor.intake.records.totals import check_totals, counts_by_total
from auditor.intake.roles.found import FoundTable
from auditor.intake.rows.part import Part
from auditor.job.model import Device, Pull, Remark, Table, TableKind
from auditor.units import CURRENT_A, LENGTH_M


def totals(part: Part, devices: Sequence[Device], pulls: Sequence[Pull], unit: str) -> list[Remark]:
    """The stated totals of a table against what was read from its rows."""
    table = part.table
    if not part.other.totals or part.other.trades or part.other.void:
        return []  # a sum that the sheet prints has them in it
    rows = set(part.rows)
    if table.kind in (TableKind.PULLS, TableKind.COMBINED):
        lengths = _by_row((p.where.row, p.length_m) for p in pulls if _is_in(table, rows, p))
        use = table.understood.columns.get("length_m")
        stated = use.unit if use and use.unit else unit
        return check_totals(table, part.other.totals, lengths, "length_m", length_m, stated, LENGTH_M[stated])
    if table.kind is TableKind.DEVICES and _watts(table) is not None:
        powers = _by_row(
            (d.where.row, None if d.power_w is None else d.power_w * d.quantity)
            for d in devices
            if _is_in(table, rows, d)
        )
        said = check_totals(table, part.other.totals, powers, "power_w", part_rows.watts, "W", 1.0)
        known = {row: watts for row, watts in powers.items() if watts is not None}
        return said + (
            list(counts_by_total(table, part.other.totals, known, part.answers))
            if len(known) == len(powers)
            else []
        )
    return []


def _by_row(amounts: Iterable[tuple[int, float | None]]) -> dict[int, float | None]:
    """row -> what all its records add together; None: one of them is not known."""
    found: dict[int, float | None] = {}
    for row, amount in amounts:
        before = found.get(row, 0.0)
        found[row] = None if before is None or amount is None else before + amount
    return found


def _is_in(table: FoundTable, rows: Container[int], record: Pull | Device) -> bool:
    """Whether a record stands in a row and in a column of a table; another table can stand beside it."""
    where = record.where
    columns = range(table.first_column, table.last_column + 1)
    return where.sheet == table.sheet.name and where.row in rows and where.column in columns


def stated_table(part: Part) -> Table:
    table, rows = part.table, part.rows
    factor = _watts(table)
    return Table(
        kind=table.kind,
        sheet=table.sheet.name,
        header_row=table.heading_row,
        first_row=table.first_row,
        last_row=max([*rows, *part.joined, table.heading_row]),
        first_column=table.first_column,
        last_column=table.last_column,
        columns=dict(sorted(table.columns.items(), key=lambda item: item[1])),
        rows=tuple(dict.fromkeys(rows)),
        joined_rows=tuple(part.joined),
        plain_power_rows=frozenset(_plain_power_rows(part)) if factor is not None else frozenset(),
        power_w_per_unit=factor or 1.0,
    )


def _watts(table: FoundTable) -> float | None:
    """What a plain number in the power column is in watts; None: its heading does not say."""
    use = table.understood.columns.get("power_w")
    if use is None or use.unit is None or table.kind not in (TableKind.DEVICES, TableKind.COMBINED):
        return None
    if use.unit in grammar.POWER_UNITS:
        return grammar.POWER_UNITS[use.unit]
    return CURRENT_A[use.unit] * use.volts if use.volts else None


def _plain_power_rows(part: Part) -> Iterable[int]:
    columns = part.table.columns
    power, quantity = columns["power_w"] - 1, columns.get("quantity", 0) - 1
    for row in part.rows:
        cells = part.table.sheet.rows[row - 1]
        if len(cells) > power and type(cells[power]) is float:
            count = cells[quantity] if 0 <= quantity < len(cells) else ""
            if count == "" or (type(count) is float and count >= 1):
                yield row

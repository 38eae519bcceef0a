"""Lengths and cables that stand in a table of their own, by the pulls' numbers."""

from collections.abc import Sequence

from auditor.intake.formats.cells import Value
from auditor.intake.grammar.values import words
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.kinds import ColumnUse
from auditor.intake.rows.part import Part
from auditor.intake.said import reading
from auditor.job.model import CellRef, TableKind

_GIVEN = ("length_m", "cable", "unit", "status", "note")


def join_lengths(parts: Sequence[Part]) -> None:
    """Give the pulls of a table without lengths those that another table gives by their numbers."""
    lists = [part for part in parts if part.table.kind is TableKind.LENGTHS]
    for part in parts:
        if part.table.kind is not TableKind.PULLS or part.has("length_m") or not lists:
            continue
        for own in lists:
            _join(part, own)


def _join(part: Part, lengths: Part) -> None:
    row_of = {spelling(words(value)): index for index, value in enumerate(lengths.values("id"))}
    named = next((name for name in ("place", "id") if part.has(name)), None)
    ids = part.values(named) if named else _id_values(part, row_of)
    rows = [row_of.get(spelling(words(value))) for value in ids]
    if sum(row is not None for row in rows) * 2 < len(rows):
        return
    columns = part.table.understood.columns
    for name in _GIVEN:
        use = lengths.table.understood.columns.get(name)
        if use is None or part.has(name):
            continue
        values = lengths.values(name)
        columns[name] = ColumnUse(name, part.column_of("near"), use.header, use.unit, use.volts, use.reason)  # type: ignore[index]
        part.give(name, [values[row] if row is not None else "" for row in rows])
    where = CellRef(part.table.sheet.name, part.table.heading_row, part.table.first_column)
    message = f"the lengths of these pulls stand on {lengths.table.sheet.name!r}, by their numbers"
    part.remarks.append(reading("lengths", message, where))


def _id_values(part: Part, known: dict[str, int]) -> list[Value]:
    """The column whose values are the numbers, where no heading says so."""
    table = part.table
    best: list[Value] = [""] * len(part.rows)
    most = 0
    for column in range(table.first_column, table.last_column + 1):
        cells = (table.sheet.rows[row - 1] for row in part.rows)
        values = [own[column - 1] if len(own) >= column else "" for own in cells]
        met = sum(spelling(words(value)) in known for value in values)
        if met > most:
            best, most = values, met
    return best

"""Units of length that nothing states, or that two places state differently: asked once a column."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from auditor.intake.formats.cells import Value
from auditor.intake.roles.found import FoundTable
from auditor.intake.roles.kinds import ColumnUse
from auditor.intake.rows.part import Part
from auditor.intake.said import Answers, asked, choices, chosen, to_decide
from auditor.intake.statements.facts import LENGTH_UNIT, Fact
from auditor.intake.statements.labels import Labelled, cell_text
from auditor.job.model import CellRef, Question, TableKind

UNITS, SMALL_UNITS = ("ft", "m"), ("cm", "mm")
LONG = 500.0  # half of the numbers are greater: they may count small units; project convention
LEAST, MOST_STATED = 2, 0.5  # bare numbers of a column, and their share, for which a unit is asked
_SCHEDULES = (TableKind.PULLS, TableKind.COMBINED)


def _unit_question(part: Part, use: ColumnUse) -> Question:
    numbers = sorted(float(str(value)) for value in part.values("length_m") if _is_bare(value))
    long = bool(numbers) and numbers[len(numbers) // 2] > LONG
    units = (*UNITS, *SMALL_UNITS) if long else UNITS
    return asked(
        "unit",
        ("length", use.header),
        f"nothing says in which unit the lengths under {use.header!r} are: {', '.join(units[:-1])} or {units[-1]}?",
        choices(*((unit, f"lengths under {use.header!r} are in {unit}") for unit in units)),
        CellRef(part.table.sheet.name, part.table.heading_row, use.column),
    )


def answered_units(parts: Sequence[Part], answers: Answers) -> Iterator[Fact]:
    """The units of bare lengths as answers state them, for the sheets whose lengths they are."""
    for part in parts:
        use = part.table.understood.columns.get("length_m")
        if part.table.kind not in _SCHEDULES or use is None or use.unit:
            continue
        one = _unit_question(part, use)
        unit = chosen(one, answers)
        if one.where is not None and unit is not None:
            part.remarks.append(to_decide(one, use.header, answers))
            yield Fact(kind=LENGTH_UNIT, value=unit, where=one.where)


def ask_for_units(parts: Sequence[Part], labels: Labelled) -> None:
    """Ask once for the unit of a column of bare numbers; until then no length of it is read."""
    for part in parts:
        use = part.table.understood.columns.get("length_m")
        if part.table.kind not in _SCHEDULES or use is None or use.unit or labels.length_unit:
            continue
        values = part.values("length_m")
        given = part.given.get("length_m")
        units = given.units if given and given.units else [None] * len(values)
        bare = [unit is None and _is_bare(value) for value, unit in zip(values, units, strict=True)]
        filled = sum(value != "" for value in values)
        if sum(bare) < LEAST or sum(bare) <= MOST_STATED * filled:
            continue
        part.remarks.append(to_decide(_unit_question(part, use), use.header, part.answers, _THEN))
        part.give("length_m", ["" if one else value for value, one in zip(values, bare, strict=True)])
        part.given["length_m"].asked = True


_THEN = "Write the unit in the heading or in a cell «length unit»"


_NUMBER = re.compile(r" *[0-9]+(?:\.[0-9]+)? *")


def _is_bare(value: Value) -> bool:
    return type(value) is float or (type(value) is str and _NUMBER.fullmatch(value) is not None)


def contradiction(tables: Sequence[FoundTable], labels: Labelled) -> tuple[ColumnUse, str, Question] | None:
    """Where a cell states one unit for all lengths and every heading another one: a column, what is said of it,
    and the question which of the two holds."""
    stated, at = labels.length_unit, labels.length_unit_at
    pairs = [(table, use) for table in tables if (use := table.understood.columns.get("length_m"))]
    if stated is None or at is None or not pairs or any(use.unit in (None, stated) for _, use in pairs):
        return None
    table, use = pairs[0]
    said = f"{cell_text(at)} says that lengths are in {stated}, the heading {use.header!r} says {use.unit}"
    one = asked(
        "unit-stated",
        ("length", use.header, stated),
        f"{said}: which holds?",
        choices(
            ("the heading", f"lengths under {use.header!r} are in {use.unit}"),
            ("the cell", f"lengths under {use.header!r} are in {stated}"),
        ),
        CellRef(table.sheet.name, table.heading_row, use.column),
    )
    return use, said, one


def with_stated_unit(tables: list[FoundTable], labels: Labelled, answers: Answers) -> list[FoundTable]:
    """The tables with the unit that the cell states, where that is the answer."""
    found = contradiction(tables, labels)
    if found is None or chosen(found[2], answers) != "the cell":
        return tables
    return [_in_unit(table, labels.length_unit) for table in tables]


def _in_unit(table: FoundTable, unit: str | None) -> FoundTable:
    use = table.understood.columns.get("length_m")
    if use is None:
        return table
    columns = {**table.understood.columns, "length_m": replace(use, unit=unit)}
    return replace(table, understood=replace(table.understood, columns=columns))

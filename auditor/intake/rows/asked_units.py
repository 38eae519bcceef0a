"""Units that nothing states: asked once a column."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from auditor.intake.formats.cells import Value
from auditor.intake.roles.kinds import ColumnUse
from auditor.intake.rows.part import Part
from auditor.intake.said import Answers, asked, choices, chosen, to_decide
from auditor.intake.statements.facts import LENGTH_UNIT, POWER_UNIT, Fact, Facts
from auditor.job.model import CellRef, Question, TableKind

LONG = 500.0  # half of the numbers are greater: they may count small units; project convention
LEAST, MOST_STATED = 2, 0.5  # bare numbers of a column, and their share, for which a unit is asked


@dataclass(frozen=True, slots=True)
class _Quantity:
    """A quantity whose bare numbers need a unit."""

    field: str
    what: str  # in questions
    kinds: frozenset[TableKind]
    fact: str
    units: tuple[str, ...]
    small: tuple[str, ...] = ()  # offered too where the numbers are long
    then: str = "Write the unit in the heading"


_QUANTITIES = (
    _Quantity(
        "length_m",
        "the lengths",
        frozenset((TableKind.PULLS, TableKind.COMBINED)),
        LENGTH_UNIT,
        ("ft", "m"),
        ("cm", "mm"),
        "Write the unit in the heading or in a cell «length unit»",
    ),
    _Quantity(
        "power_w",
        "the powers",
        frozenset((TableKind.DEVICES, TableKind.COMBINED)),
        POWER_UNIT,
        ("W", "mW", "mA"),
    ),
)


def answered_units(parts: Sequence[Part], answers: Answers) -> Iterator[Fact]:
    """The units of bare numbers as answers state them, for the sheets on which they stand."""
    for part, quantity, use in _without_unit(parts):
        one = _unit_question(part, quantity, use)
        unit = chosen(one, answers)
        if one.where is not None and unit is not None:
            part.remarks.append(to_decide(one, use.header, answers))
            yield Fact(kind=quantity.fact, value=unit, where=one.where)


def ask_for_units(parts: Sequence[Part], facts: Facts) -> None:
    """Ask once for the unit of a column of bare numbers; until then none of them is read."""
    for part, quantity, use in _without_unit(parts):
        if facts.nearest(quantity.fact, part.table.sheet.name, part.table.first_row):
            continue
        values = part.values(quantity.field)
        given = part.given.get(quantity.field)
        units = given.units if given and given.units else [None] * len(values)
        bare = [unit is None and _is_bare(value) for value, unit in zip(values, units, strict=True)]
        if sum(bare) < LEAST or sum(bare) <= MOST_STATED * sum(value != "" for value in values):
            continue
        part.remarks.append(
            to_decide(_unit_question(part, quantity, use), use.header, part.answers, quantity.then)
        )
        part.give(quantity.field, ["" if one else value for value, one in zip(values, bare, strict=True)])
        part.given[quantity.field].asked = True


def _without_unit(parts: Sequence[Part]) -> Iterator[tuple[Part, _Quantity, ColumnUse]]:
    for part in parts:
        for quantity in _QUANTITIES:
            use = part.table.understood.columns.get(quantity.field)
            if part.table.kind in quantity.kinds and use is not None and not use.unit:
                yield part, quantity, use


def _unit_question(part: Part, quantity: _Quantity, use: ColumnUse) -> Question:
    numbers = sorted(float(str(value)) for value in part.values(quantity.field) if _is_bare(value))
    long = bool(numbers) and numbers[len(numbers) // 2] > LONG
    units = (*quantity.units, *quantity.small) if long else quantity.units
    what = f"{quantity.what} under {use.header!r}"
    return asked(
        "unit",
        (quantity.field, use.header),
        f"nothing says in which unit {what} are: {', '.join(units[:-1])} or {units[-1]}?",
        choices(*((unit, f"{what} are in {unit}") for unit in units)),
        CellRef(part.table.sheet.name, part.table.heading_row, use.column),
    )


_NUMBER = re.compile(r" *[0-9]+(?:\.[0-9]+)? *")


def _is_bare(value: Value) -> bool:
    return type(value) is float or (type(value) is str and _NUMBER.fullmatch(value) is not None)

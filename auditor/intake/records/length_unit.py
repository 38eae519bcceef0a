"""The unit that a cell states for lengths without one: what it sets, and what contradicts it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from auditor.intake.roles.found import FoundTable
from auditor.intake.roles.kinds import ColumnUse
from auditor.intake.said import NO_ANSWERS, Answers, asked, choices, chosen, reading, to_decide
from auditor.intake.statements.facts import LENGTH_UNIT, Fact, Facts
from auditor.job.model import CellRef, Question, Remark

LENGTH_FIELDS = ("length_m", "mains_parallel_m")
HEADING, CELL = "the heading", "the cell"  # answers


def cell_text(where: CellRef) -> str:
    return f"cell {where.a1} on {where.sheet!r}"


def stated_unit(table: FoundTable, facts: Facts) -> Fact | None:
    """What says the unit of bare lengths of a table; None: nothing, or cells that contradict each other."""
    return facts.agreed(LENGTH_UNIT, table.sheet.name, table.first_row)


def of_length_unit(tables: Sequence[FoundTable], facts: Facts, answers: Answers = NO_ANSWERS) -> list[Remark]:
    """How bare lengths are read, and the cells that contradict each other or the headings."""
    said = [one.remark(answers) for one in _between_cells(tables, facts)]
    for fact, own in _by_fact(tables, facts).items():
        uses = [use for table in own for _, use in _length_columns(table)]
        if left_open := dict.fromkeys(repr(use.header) for use in uses if use.unit is None):
            message = (
                f"lengths without a unit under {' and '.join(left_open)} are read in {fact.value}: "
                f"{cell_text(fact.where)} says so"
            )
            said.append(reading("length unit", message, fact.where))
        said += [one.remark(answers) for one in _against_headings(fact, own)]
    return said


def settle_units(
    tables: Sequence[FoundTable], facts: Facts, answers: Answers
) -> tuple[Mapping[int, str], list[Remark]]:
    """Obey the answers to contradictions: facts that do not hold are taken out.

    Returns
    -------
    the unit of each table, by its index, whose heading does not hold; and a note of each answer
    """
    said = []
    for one in list(_between_cells(tables, facts)):
        unit = chosen(one.question, answers)
        if unit is not None:
            facts.found = [fact for fact in facts.found if fact not in one.facts or fact.value == unit]
            said.append(one.remark(answers))
    units: dict[int, str] = {}
    for fact, own in _by_fact(tables, facts).items():
        for one in _against_headings(fact, own):
            if chosen(one.question, answers) == CELL:
                units |= {
                    i: fact.value for i, table in enumerate(tables) if any(table is each for each in own)
                }
                said.append(one.remark(answers))
    return units, said


def in_unit(table: FoundTable, unit: str) -> FoundTable:
    """The table with its lengths in this unit."""
    use = table.understood.columns.get("length_m")
    if use is None:
        return table
    columns = {**table.understood.columns, "length_m": replace(use, unit=unit)}
    return replace(table, understood=replace(table.understood, columns=columns))


@dataclass(frozen=True, slots=True)
class _Contradiction:
    """Two places that state different units: the question, and what its finding says."""

    question: Question
    subject: str
    message: str
    facts: Sequence[Fact]

    def remark(self, answers: Answers) -> Remark:
        return to_decide(self.question, self.subject, answers, message=self.message)


def _by_fact(tables: Sequence[FoundTable], facts: Facts) -> dict[Fact, list[FoundTable]]:
    found: dict[Fact, list[FoundTable]] = {}
    for table in tables:
        if (fact := stated_unit(table, facts)) is not None:
            found.setdefault(fact, []).append(table)
    return found


def _length_columns(table: FoundTable) -> Iterator[tuple[str, ColumnUse]]:
    for name in LENGTH_FIELDS:
        if (use := table.understood.columns.get(name)) is not None:
            yield name, use


def _between_cells(tables: Sequence[FoundTable], facts: Facts) -> list[_Contradiction]:
    """Cells of one scope that state different units, where a length needs one."""
    found: dict[str, _Contradiction] = {}
    for table in tables:
        near = facts.nearest(LENGTH_UNIT, table.sheet.name, table.first_row)
        places: dict[str, CellRef] = {}  # unit -> the first cell that states it
        for fact in near:
            places.setdefault(fact.value, fact.where)
        if len(places) > 1 and any(use.unit is None for _, use in _length_columns(table)):
            one = _which_cell(places, near)
            found.setdefault(one.question.id, one)
    return list(found.values())


def _which_cell(places: Mapping[str, CellRef], facts: Sequence[Fact]) -> _Contradiction:
    listed = ", ".join(f"{cell_text(at)} says that lengths are in {unit}" for unit, at in places.items())
    one = asked(
        "length-unit",
        (*sorted({at.sheet for at in places.values()}), *sorted(places)),
        f"{listed}: which holds?",
        choices(*((unit, f"bare lengths are in {unit}") for unit in places)),
        list(places.values())[1],
    )
    message = f"{listed}; correct one of them or write the unit in each table's heading"
    return _Contradiction(one, "length unit", message, facts)


def _against_headings(fact: Fact, tables: Sequence[FoundTable]) -> Iterator[_Contradiction]:
    """A stated unit that the headings of all tables contradict."""
    pairs = [(table, use) for table in tables for name, use in _length_columns(table) if name == "length_m"]
    if not pairs or any(use.unit in (None, fact.value) for _, use in pairs):
        return
    table, use = pairs[0]
    said = f"{cell_text(fact.where)} says that lengths are in {fact.value}, the heading {use.header!r} says {use.unit}"
    one = asked(
        "unit-stated",
        ("length", use.header, fact.value),
        f"{said}: which holds?",
        choices(
            (HEADING, f"lengths under {use.header!r} are in {use.unit}"),
            (CELL, f"lengths under {use.header!r} are in {fact.value}"),
        ),
        CellRef(table.sheet.name, table.heading_row, use.column),
    )
    yield _Contradiction(one, use.header, f"{said}, which is read; correct one of them", (fact,))

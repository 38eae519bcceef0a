"""The unit that a cell states for lengths without one: what it sets, and what contradicts it."""

from collections.abc import Iterator, Sequence

from auditor.intake.roles.found import FoundTable
from auditor.intake.roles.kinds import ColumnUse
from auditor.intake.said import question, reading
from auditor.intake.statements.facts import LENGTH_UNIT, Fact, Facts
from auditor.job.model import CellRef, Remark

LENGTH_FIELDS = ("length_m", "mains_parallel_m")


def cell_text(where: CellRef) -> str:
    return f"cell {where.a1} on {where.sheet!r}"


def stated_unit(table: FoundTable, facts: Facts) -> Fact | None:
    """What says the unit of bare lengths of a table; None: nothing, or cells that contradict each other."""
    return facts.agreed(LENGTH_UNIT, table.sheet.name, table.first_row)


def of_length_unit(tables: Sequence[FoundTable], facts: Facts) -> list[Remark]:
    """How bare lengths are read, and the cells that contradict each other or the headings."""
    said = _contradictions(tables, facts)
    by_fact: dict[Fact, list[FoundTable]] = {}
    for table in tables:
        if (fact := stated_unit(table, facts)) is not None:
            by_fact.setdefault(fact, []).append(table)
    for fact, own in by_fact.items():
        uses = [use for table in own for _, use in _length_columns(table)]
        if left_open := dict.fromkeys(repr(use.header) for use in uses if use.unit is None):
            message = (
                f"lengths without a unit under {' and '.join(left_open)} are read in {fact.value}: "
                f"{cell_text(fact.where)} says so"
            )
            said.append(reading("length unit", message, fact.where))
        said += _against_headings(fact, own)
    return said


def _length_columns(table: FoundTable) -> Iterator[tuple[str, ColumnUse]]:
    for name in LENGTH_FIELDS:
        if (use := table.understood.columns.get(name)) is not None:
            yield name, use


def _contradictions(tables: Sequence[FoundTable], facts: Facts) -> list[Remark]:
    """Cells of one scope that state different units, where a length needs one."""
    said = []
    for table in tables:
        near = facts.nearest(LENGTH_UNIT, table.sheet.name, table.first_row)
        places: dict[str, CellRef] = {}  # unit -> the first cell that states it
        for fact in near:
            places.setdefault(fact.value, fact.where)
        if len(places) > 1 and any(use.unit is None for _, use in _length_columns(table)):
            listed = ", ".join(
                f"{cell_text(at)} says that lengths are in {unit}" for unit, at in places.items()
            )
            message = f"{listed}; correct one of them or write the unit in each table's heading"
            said.append(question("length unit", message, list(places.values())[1]))
    return list(dict.fromkeys(said))


def _against_headings(fact: Fact, tables: Sequence[FoundTable]) -> Iterator[Remark]:
    """A stated unit that the headings of all tables contradict."""
    pairs = [(table, use) for table in tables for name, use in _length_columns(table) if name == "length_m"]
    if pairs and not any(use.unit in (None, fact.value) for _, use in pairs):
        table, use = pairs[0]
        message = (
            f"{cell_text(fact.where)} says that lengths are in {fact.value}, the heading {use.header!r} says {use.unit}, "
            "which is read; correct one of them"
        )
        yield question(use.header, message, CellRef(table.sheet.name, table.heading_row, use.column))

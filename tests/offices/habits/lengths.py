"""What stands beside a length: its parts, a sum from the port, a plan, a conduit."""

from tests.offices.book import Cell, Column, Table
from tests.offices.draft import Draft, length_column
from tests.offices.habits import Habit
from tests.offices.shapes.combined import distance

_LISTS = frozenset(("pulls", "combined"))
_AS_TEXT = frozenset(("cell", "prime", "feet and inches", "number format"))


def _list(draft: Draft) -> Table | None:
    """The one list whose length has nothing beside it yet; None where a length is missing."""
    tables = [table for table in draft.tables("length") if table.kind in _LISTS]
    if len(tables) != 1 or tables[0].context.keys() & {"lengths", "beside length", "cores"}:
        return None
    return None if None in tables[0].values("length") else tables[0]


def _lengths(table: Table) -> list[float]:
    return [float(str(value)) for value in table.values("length")]


def _step(draft: Draft) -> float:
    return 1.0 if draft.design.unit == "ft" else 0.5


def _length_and_slack(draft: Draft) -> bool:
    """«Length» is a part, «Total» is the length."""
    table = _list(draft)
    if table is None:
        return False
    rng, place = draft.rng("parts"), table.at("length")
    slack = [_step(draft) * rng.choice((2, 3, 5)) for _ in table.data()]
    nets = [total - spare for total, spare in zip(_lengths(table), slack, strict=True)]
    table.columns[place].role = "total_length"
    table.insert(place, length_column("slack"), list(slack))
    table.insert(place, length_column(), list(nets))
    table.context["beside length"] = "parts"
    return True


def _three_parts(draft: Draft) -> bool:
    """Along the plan, down the wall, spare, and their sum."""
    table = _list(draft)
    if table is None:
        return False
    rng, place = draft.rng("parts"), table.at("length")
    spare, drops = (
        [2 * _step(draft)] * len(table.data()),
        [_step(draft) * rng.randint(0, 4) for _ in table.data()],
    )
    plan = [total - s - d for total, s, d in zip(_lengths(table), spare, drops, strict=True)]
    table.columns[place].role = "total_length"
    for role, values in (("slack", spare), ("drop", drops), ("horizontal", plan)):
        table.insert(place, length_column(role), list(values))
    table.context["beside length"] = "parts"
    return True


def _cumulative(draft: Draft) -> bool:
    """The distance from the port stands beside the length of each pull."""
    table = _list(draft)
    if (
        table is None
        or draft.design.fault in ("unfed", "typo", "look-alike", "loop")
        or len(table.data()) != len(draft.design.pulls)
    ):
        return False
    if table.kind == "combined":
        values = [distance(draft, device.tag) for device in draft.design.devices]
    else:
        values = [distance(draft, str(pull.far)) for pull in draft.design.pulls]
    rows = [row.values[table.at("length")] for row in table.data()]
    if len(values) != len(rows) or any(
        total < float(str(hop)) for total, hop in zip(values, rows, strict=True)
    ):
        return False
    table.insert(
        table.at("length") + draft.rng("cumulative").choice((0, 1)), length_column("cumulative"), list(values)
    )
    table.context["beside length"] = "cumulative"
    return True


def _planned(draft: Draft) -> bool:
    """Planned lengths beside the built ones; what is not yet pulled has its plan only."""
    table = _list(draft)
    if table is None:
        return False
    rng, place = draft.rng("planned"), table.at("length")
    table.columns[place].role = "built"
    table.insert(place, length_column("planned"), list(_lengths_of(table, place, draft)))
    if rng.random() < 0.5:
        for row in rng.sample(table.data(), len(table.data()) // 3):
            row.values[place], row.values[place + 1] = row.values[place + 1], None
    table.context["beside length"] = "planned"
    draft.asks.append("planned and built lengths")
    return True


def _lengths_of(table: Table, place: int, draft: Draft) -> list[float]:
    """Plans that differ a little from what is built."""
    rng = draft.rng("plans")
    built = [float(str(row.values[place])) for row in table.data()]
    return [value + _step(draft) * rng.randint(1, 3) * rng.choice((-1, 1)) for value in built]


def _conduit(draft: Draft) -> bool:
    """Conduit and its length, then wire and its length, told apart by the words above."""
    table = _list(draft)
    grouped = table is None or any(column.group for column in table.columns)
    if table is None or grouped or not draft.headings.speak or draft.length_style.where == "word":
        return False
    rng, place, lengths = draft.rng("conduit"), table.at("length"), _lengths(table)
    conduit, wire = (draft.words.HEADINGS[role].split("|")[0].upper() for role in ("conduit", "cable"))
    size = rng.choice(('3/4"', '1/2"') if draft.design.unit == "ft" else ("20 mm", "25 mm"))
    word = rng.choice(draft.headings.words["length"].split("|"))
    table.columns[place].group, table.columns[place].word = wire, word
    shorter = [value - 2 * _step(draft) for value in lengths]
    table.insert(place, length_column("conduit_length", group=conduit, word=word), list(shorter))
    table.insert(place, Column(role="conduit", group=conduit), [size] * len(lengths))
    table.context["beside length"] = "conduit"
    return True


def _formulas(draft: Draft) -> bool:
    """Lengths typed as sums: `=30+10`."""
    table, style = _list(draft), draft.length_style
    if table is None or style.where in _AS_TEXT or style.comma or style.unit != draft.design.unit:
        return False
    place = table.at("length")
    for row in table.data():
        value = row.values[place]
        if isinstance(value, float) and value > 20:
            row.values[place] = Cell(value, formula=f"={value - 10:g}+10")
    table.context["beside length"] = "formulas"
    return True


def _struck_part(draft: Draft) -> bool:
    """An older length stands struck out before the new one in one cell."""
    table = _list(draft)
    if table is None or draft.length_style.where == "number format":
        return False
    rng, place = draft.rng("struck part"), table.at("length")
    for row in rng.sample(table.data(), min(2, len(table.data()))):
        row.values[place] = Cell(row.values[place], struck=rng.choice(("6", "15 ", "8 ")))
    table.context["beside length"] = "struck"
    return True


HABITS = [
    Habit(name="length, slack and total", apply=_length_and_slack, share=0.05),
    Habit(name="plan, drop, slack and total", apply=_three_parts, share=0.05),
    Habit(name="distance from the port beside the length", apply=_cumulative, share=0.05),
    Habit(name="planned and built lengths", apply=_planned, share=0.02),
    Habit(name="conduit's length beside the wire's", apply=_conduit, share=0.04),
    Habit(name="lengths as formulas", apply=_formulas, share=0.04),
    Habit(name="part of a length struck out", apply=_struck_part, share=0.04),
]

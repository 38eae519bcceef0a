"""Cells written in another way than their column: another unit, a number as text, a word for nothing."""

from tests.offices.book import Cell, Column, Table
from tests.offices.design import FOOT_M
from tests.offices.draft import Draft
from tests.offices.habits import Habit
from tests.offices.measures import feet_and_inches

LISTS = ("pulls", "combined", "order")
ROLES = ("length", "total_length", "hop")


def _list(draft: Draft) -> tuple[Table, int] | None:
    """A list that has a length for each pull, and its column; lengths that count from the port left out."""
    for table in draft.tables():
        role = next((role for role in ROLES if table.has(role)), None)
        if table.kind in LISTS and role is not None and not table.context.keys() & {"lengths", "cores"}:
            return table, table.at("total_length" if table.has("total_length") else role)
    return None


def _another_unit(draft: Draft) -> bool:
    """One length says a unit of its own: `480"` or `16'-6"` among feet, `1250 cm` among metres."""
    found = _list(draft)
    if found is None or draft.length_style.where in ("nowhere", "unit column", "number format"):
        return False
    table, place = found
    rng = draft.rng("another unit")
    row = rng.choice(table.data())
    value = row.values[place]
    if not isinstance(value, int | float):
        return False
    if draft.design.unit == "ft":
        row.values[place] = rng.choice(
            (f'{round(value * 12)}"', feet_and_inches(value), f"{value * 12:g} in")
        )
    else:
        row.values[place] = rng.choice((f"{round(value * 100)} cm", f"{round(value * 1000)} mm"))
    return True


def _as_text(draft: Draft) -> bool:
    """Some numbers of a column are text, with a blank behind."""
    found = _list(draft)
    if found is None or draft.length_style.where in ("cell", "prime", "feet and inches", "number format"):
        return False
    if draft.length_style.comma or draft.length_style.unit != draft.design.unit:
        return False
    table, place = found
    rng = draft.rng("as text")
    for row in rng.sample(table.data(), len(table.data()) // 3):
        value = row.values[place]
        if isinstance(value, int | float):
            row.values[place] = f"{value:g} " if value == int(value) else value
    return True


def _missing_in_words(draft: Draft) -> bool:
    """A word stands where a length or a power is not known."""
    roles = {"a length missing": ROLES, "a power missing": ("power",)}.get(draft.design.fault, ())
    word = draft.rng("tbc").choice(draft.says("tbc"))
    done = False
    for table in draft.tables():
        for place, column in enumerate(table.columns):
            blank = [row for row in table.data() if row.values[place] is None]
            if column.role in roles and len(blank) == 1 and table.kind in (*LISTS, "devices"):
                blank[0].values[place], done = word, True
    return done


def _pieces_in_words(draft: Draft) -> bool:
    """A quantity as text: `4 ea`, `x4`."""
    pattern = draft.rng("pieces").choice(draft.says("piece")[:2])
    tables = draft.tables("quantity")
    for table in tables:
        place = table.at("quantity")
        for row in table.data():
            row.values[place] = pattern.format(n=row.values[place])
    return bool(tables)


def _both_units(draft: Draft) -> bool:
    """The lengths again in the other unit."""
    found = _list(draft)
    style = draft.length_style
    if (
        found is None
        or style.where != "heading"
        or not draft.headings.speak
        or "beside length" in found[0].context
    ):
        return False
    table, place = found
    if style.unit != draft.design.unit or table.columns[place].group:
        return False
    other, factor = ("m", FOOT_M) if style.unit == "ft" else ("ft", 1 / FOOT_M)
    values = [_converted(row.values[place], factor) for row in table.data()]
    column = Column(
        role=table.columns[place].role, unit=other, shown_unit=other, about="the same in another unit"
    )
    table.insert(place + 1, column, list(values))
    return True


def _converted(value: object, factor: float) -> object:
    bare = value.value if isinstance(value, Cell) else value
    return round(bare * factor, 2) if isinstance(bare, int | float) else None


HABITS = [
    Habit(name="lengths in both units", apply=_both_units, share=0.06),
    Habit(name="a length in another unit", apply=_another_unit, share=0.04),
    Habit(name="some lengths as text", apply=_as_text, share=0.05),
    Habit(name="a word for what is missing", apply=_missing_in_words, share=0.5),
    Habit(name="quantities as text", apply=_pieces_in_words, share=0.15),
]

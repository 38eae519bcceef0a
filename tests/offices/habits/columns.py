"""Columns beside those that matter, and their order."""

from tests.offices.book import Column, Table
from tests.offices.draft import Draft
from tests.offices.habits import Habit

LISTS = ("pulls", "devices", "combined", "order")
NEUTRAL = ("remarks", "drawing", "revision", "finish", "date", "drawn_by")


def _lists(draft: Draft) -> list[Table]:
    return [table for table in draft.tables() if table.kind in LISTS]


def _values(draft: Draft, role: str, rows: int) -> list[object]:
    rng = draft.rng(f"neutral {role}")
    of = {
        "remarks": (None, None, None, "see detail 4", "check on site", "in stud wall"),
        "drawing": ("E-201", "E-202", "E-203"),
        "revision": ("A", "B", "C"),
        "finish": ("white", "black", None),
        "date": ("2024-03-04", "2024-03-05", None),
        "drawn_by": ("RM", "HK", None),
        "height": (44, 48, 60, 15),
    }[role]
    return [rng.choice(of) for _ in range(rows)]


def _neutral(draft: Draft) -> bool:
    for table in _lists(draft):
        rng = draft.rng(f"neutral {table.kind}")
        for role in rng.sample(NEUTRAL, rng.randint(1, 3)):
            if not table.has(role):
                table.insert(len(table.columns), Column(role=role), _values(draft, role, len(table.data())))
    return True


def _height(draft: Draft) -> bool:
    """Numbers that are no lengths of cable: mounting heights."""
    tables = [table for table in _lists(draft) if table.has("tag")]
    for table in tables:
        table.insert(len(table.columns), Column(role="height"), _values(draft, "height", len(table.data())))
    return bool(tables)


def _counter(draft: Draft) -> bool:
    tables = _lists(draft)
    for table in tables:
        table.insert(0, Column(role="counter"), list(range(1, len(table.data()) + 1)))
    return bool(tables)


def _gap(draft: Draft) -> bool:
    """A narrow blank column in the middle, for looks."""
    for table in _lists(draft):
        if not any(column.group for column in table.columns):
            place = draft.rng("gap").randint(1, len(table.columns) - 1)
            table.insert(place, Column(role="blank", bare=True), [None] * len(table.data()))
    return True


def _each_and_total(draft: Draft) -> bool:
    """The power of one piece and of all pieces."""
    done = False
    for table in draft.tables("power", "quantity"):
        each, count = table.values("power"), table.values("quantity")
        if None in each:
            continue
        totals = [round(float(str(a)) * int(str(b)), 4) for a, b in zip(each, count, strict=True)]
        table.insert(table.at("power") + 1, Column(role="total_power", unit="power"), list(totals))
        done = True
    return done


def _shuffled(draft: Draft) -> bool:
    """The columns in any order; groups keep together."""
    rng = draft.rng("shuffled")
    tables = [table for table in _lists(draft) if "kept" not in table.context]
    for table in tables:
        blocks = _blocks(table)
        rng.shuffle(blocks)
        order = [place for block in blocks for place in block]
        table.columns = [table.columns[place] for place in order]
        for row in table.rows:
            row.values = [row.values[place] for place in order]
        table.merged = [(first, last, order.index(column)) for first, last, column in table.merged]
    return bool(tables)


def _blocks(table: Table) -> list[list[int]]:
    """Places of columns that stay beside each other."""
    blocks: list[list[int]] = []
    for place, column in enumerate(table.columns):
        before = table.columns[place - 1] if place else None
        together = before is not None and ((column.group and column.group == before.group) or _leans(column))
        if together:
            blocks[-1].append(place)
        else:
            blocks.append([place])
    return blocks


def _leans(column: Column) -> bool:
    """Whether a column says nothing without the one before it: a terminal, a place's device."""
    terminal = column.role in ("near_terminal", "far_terminal") and not column.group
    twice = column.role in ("near", "far") and bool(column.heading)
    return terminal or twice


HABITS = [
    Habit(name="neutral columns", apply=_neutral, share=0.3),
    Habit(name="mounting heights", apply=_height, share=0.06),
    Habit(name="each and total power", apply=_each_and_total, share=0.4),
    Habit(name="columns shuffled", apply=_shuffled, share=0.2),
    Habit(name="a counter first", apply=_counter, share=0.12),
    Habit(name="a blank column between", apply=_gap, share=0.05),
]

"""Rows that are no data, or data that looks like none: totals, sections, marks for «the same»."""

from collections.abc import Iterable

from tests.offices.book import Cell, Row, Table
from tests.offices.draft import Draft
from tests.offices.habits import Habit

MEASURES = ("length", "power")
SAME_ABOVE = ("floor", "room", "controller", "port", "drum", "location", "near_place", "far_place")
LISTS = ("pulls", "devices", "combined")
NO_SUM = ("start_mark", "end_mark", "cumulative")


def _bare(value: object) -> float | None:
    value = value.value if isinstance(value, Cell) else value
    return float(value) if isinstance(value, int | float) else None


def _sum_row(draft: Draft, table: Table, rows: Iterable[Row], word: str) -> Row:
    """Sums below the columns of lengths and powers; the word stands in the first column."""
    rows = list(rows)
    values: list[object] = [None] * len(table.columns)
    for place, column in enumerate(table.columns):
        if column.unit in MEASURES and column.role not in NO_SUM and "lengths" not in table.context:
            numbers = [_bare(row.values[place]) for row in rows]
            counts = (
                [_bare(row.values[table.at("quantity")]) or 1 for row in rows]
                if table.has("quantity")
                else [1.0] * len(rows)
            )
            if column.unit == "length":
                counts = [1.0] * len(rows)
            values[place] = round(
                sum(n * c for n, c in zip(numbers, counts, strict=True) if n is not None), 4
            )
    if table.columns[0].unit not in MEASURES and word:
        values[0] = word
    return Row(values=values, kind="total")


def _tables(draft: Draft, *kinds: str) -> list[Table]:
    tables = [t for t in draft.tables() if t.kind in (kinds or LISTS) and "cores" not in t.context]
    return [t for t in tables if t.has("length") or t.has("power") or t.has("total_length") or t.has("built")]


def _total(draft: Draft, named: bool) -> bool:
    tables = _tables(draft)
    for table in tables:
        if not any(row.kind == "total" for row in table.rows):
            table.rows.append(_sum_row(draft, table, table.data(), draft.say("total") if named else ""))
    return bool(tables)


def _totals(draft: Draft) -> bool:
    return _total(draft, named=True)


def _bare_totals(draft: Draft) -> bool:
    """A sum below the column and no word beside it."""
    return _total(draft, named=False)


def _grouped(draft: Draft, sections: bool, sums: bool) -> bool:
    """Rows in groups by floor, with a line above each group, or its sums below it, or both."""
    done = False
    for table in _tables(draft, "pulls", "devices", "combined"):
        if any(row.kind != "data" for row in table.rows) or not all(row.group for row in table.rows):
            continue
        groups = list(dict.fromkeys(row.group for row in table.rows))
        if len(groups) < 2:
            continue
        rows: list[Row] = []
        for group in groups:
            mine = [row for row in table.rows if row.group == group]
            if sections:
                rows.append(Row(values=[group, *[None] * (len(table.columns) - 1)], kind="section"))
            rows += mine
            if sums:
                rows.append(_sum_row(draft, table, mine, draft.say("subtotal")))
        table.rows, done = rows, True
    return done


def _sections(draft: Draft) -> bool:
    return _grouped(draft, sections=True, sums=False)


def _subtotals(draft: Draft) -> bool:
    return _grouped(draft, sections=draft.seed % 2 == 0, sums=True)


def _separators(draft: Draft) -> bool:
    """A blank row, or a row of dashes, after every fifth."""
    mark = draft.rng("separators").choice((None, None, "--", "-----"))
    tables = [table for table in _tables(draft) if not table.merged]
    for table in tables:
        rows: list[Row] = []
        for place, row in enumerate(table.rows, 1):
            rows.append(row)
            if place % 5 == 0 and row.kind == "data" and place < len(table.rows):
                rows.append(Row(values=[mark] * len(table.columns), kind="blank"))
        table.rows = rows
    return bool(tables)


def _pages(draft: Draft) -> bool:
    """The headings again every so many rows, as on printed pages."""
    if draft.headings.removed:
        return False
    every, done = draft.rng("pages").choice((12, 15, 20)), False
    for table in (table for table in _tables(draft) if not table.merged):
        rows: list[Row] = []
        for place, row in enumerate(table.rows):
            if place and place % every == 0:
                rows.append(Row(values=[None] * len(table.columns), kind="heading"))
                done = True
            rows.append(row)
        table.rows = rows
    return done


def _repeated(draft: Draft, roles: tuple[str, ...], mark: str | None) -> bool:
    """A mark, or nothing, for a value that is the one above."""
    done = False
    for table in draft.tables():
        places = [place for place, column in enumerate(table.columns) if column.role in roles]
        if table.kind not in (*LISTS, "order") or (mark is None and table.has("near_tag")):
            continue
        for place in places:
            above: object = None
            for row in table.rows:
                value = row.values[place]
                if row.kind == "data" and value is not None and value == above:
                    row.values[place], done = mark, True
                else:
                    above = value if row.kind == "data" else None
    return done


def _dittos(draft: Draft) -> bool:
    mark = draft.rng("ditto").choice(draft.says("ditto"))
    with_near = draft.rng("ditto near").random() < 0.5
    return _repeated(
        draft, (*SAME_ABOVE, "cable", "description", *(("near", "home_run") if with_near else ())), mark
    )


def _blanks(draft: Draft) -> bool:
    """Only where a column groups the rows: a floor, a room, a panel."""
    return _repeated(draft, (*SAME_ABOVE, "home_run"), None)


def _merged(draft: Draft) -> bool:
    """Cells of the same floor or room are one merged cell."""
    done = False
    for table in draft.tables():
        if table.kind not in LISTS or table.has("near_tag") or any(row.kind != "data" for row in table.rows):
            continue
        for place in (p for p, column in enumerate(table.columns) if column.role in SAME_ABOVE):
            for first, last in _stretches([row.values[place] for row in table.rows]):
                table.merged.append((first, last, place))
                for row in table.rows[first + 1 : last + 1]:
                    row.values[place] = None
                done = True
    return done


def _stretches(values: list[object]) -> list[tuple[int, int]]:
    """(first, last) of equal neighbours."""
    found, first = [], 0
    for place in range(1, len(values) + 1):
        if place == len(values) or values[place] != values[first]:
            if place - first > 1 and values[first] is not None:
                found.append((first, place - 1))
            first = place
    return found


HABITS = [
    Habit(name="section rows by floor", apply=_sections, share=0.08),
    Habit(name="subtotals", apply=_subtotals, share=0.06),
    Habit(name="totals", apply=_totals, share=0.25),
    Habit(name="totals without a word", apply=_bare_totals, share=0.06),
    Habit(name="merged cells", apply=_merged, share=0.05),
    Habit(name="ditto marks", apply=_dittos, share=0.07),
    Habit(name="blanks under a value", apply=_blanks, share=0.07),
    Habit(name="separating rows", apply=_separators, share=0.06),
    Habit(name="headings again on each page", apply=_pages, share=0.06),
]

"""Sheets that do not count, sheets that are no job, and where the lists stand."""

from copy import deepcopy

from tests.offices.book import Sheet, Table
from tests.offices.draft import Draft
from tests.offices.habits import Habit
from tests.offices.strangers import stranger

LENGTHS = ("length", "total_length", "hop", "built")


def _pull_sheet(draft: Draft) -> Sheet | None:
    """The one sheet that has the lengths, alone on it."""
    sheets = [
        sheet for sheet in draft.sheets if sheet.of_job and any(_has_lengths(table) for table in sheet.tables)
    ]
    alone = len(sheets) == 1 and len(sheets[0].tables) == 1 and "cores" not in sheets[0].tables[0].context
    return sheets[0] if alone else None


def _has_lengths(table: Table) -> bool:
    return not table.void and any(table.has(role) for role in LENGTHS)


def _copy(draft: Draft, sheet: Sheet, name: str, older: bool) -> Sheet:
    """A copy of a sheet; an older one has other lengths."""
    copy = deepcopy(sheet)
    copy.name = draft.free_name(name)
    for table in copy.tables:
        table.void = True
        if older:
            _age(draft, table)
    return copy


def _age(draft: Draft, table: Table) -> None:
    rng, step = draft.rng("older"), 10.0 if draft.design.unit == "ft" else 3.0
    for place in (p for p, column in enumerate(table.columns) if column.unit == "length"):
        for row in table.data():
            value = row.values[place]
            if isinstance(value, int | float) and rng.random() < 0.6:
                row.values[place] = value + step * rng.randint(1, 5)


def _insert(draft: Draft, sheet: Sheet, copy: Sheet) -> None:
    place = draft.sheets.index(sheet) + draft.rng("copy stands").choice((0, 1))
    draft.sheets.insert(place, copy)


def _superseded(draft: Draft, by: str) -> bool:
    sheet = _pull_sheet(draft)
    if sheet is None or any(table.void for each in draft.sheets for table in each.tables):
        return False
    if by == "name":
        copy = _copy(draft, sheet, draft.say("void_sheet", sheet=sheet.name), older=True)
    elif by == "banner":
        copy = _copy(draft, sheet, f"{sheet.name[:24]} REV A", older=True)
        copy.lines = [[draft.say("void_banner")], *copy.lines]
    else:
        copy = _copy(draft, sheet, draft.say("copy", sheet=sheet.name), older=by != "equal")
        copy.hidden = by == "hidden"
    if by in ("differing", "hidden"):
        draft.asks.append("two lists that differ")
    _insert(draft, sheet, copy)
    return True


def _by_name(draft: Draft) -> bool:
    return _superseded(draft, "name")


def _by_banner(draft: Draft) -> bool:
    return _superseded(draft, "banner")


def _hidden(draft: Draft) -> bool:
    return _superseded(draft, "hidden")


def _equal(draft: Draft) -> bool:
    return _superseded(draft, "equal")


def _differing(draft: Draft) -> bool:
    return _superseded(draft, "differing")


def _devices_again(draft: Draft) -> bool:
    """An equal copy of the device list."""
    sheets = [sheet for sheet in draft.sheets if [table.kind for table in sheet.tables] == ["devices"]]
    if len(sheets) != 1 or any(table.void for each in draft.sheets for table in each.tables):
        return False
    copy = _copy(draft, sheets[0], draft.say("copy", sheet=sheets[0].name), older=False)
    _insert(draft, sheets[0], copy)
    return True


def _hidden_rows(draft: Draft) -> bool:
    """Some rows are hidden by a filter; they count, and whoever does not look will not see them."""
    tables = [table for table in draft.tables("length") if table.kind in ("pulls", "combined")]
    for table in tables:
        for row in draft.rng("hidden rows").sample(table.data(), max(1, len(table.data()) // 5)):
            row.hidden = True
    if tables:
        draft.asks.append("hidden rows")
    return bool(tables)


def _stranger(draft: Draft) -> bool:
    draft.habits.append(f"no job: {stranger(draft)}")
    return True


def _one_sheet(draft: Draft, beside: bool) -> bool:
    """The device list and the list of pulls on one sheet."""
    of = {
        kind: [s for s in draft.sheets if s.of_job and [t.kind for t in s.tables] == [kind]]
        for kind in ("devices", "pulls")
    }
    if any(len(sheets) != 1 for sheets in of.values()) or any(t.void for s in draft.sheets for t in s.tables):
        return False
    first, second = of["devices"][0], of["pulls"][0]
    table = second.tables[0]
    named_by_sheet = bool(table.context.get("controller")) and not table.above
    if named_by_sheet or (beside and table.above):
        return False
    table.beside = beside
    first.tables.append(table)
    first.name = draft.free_name(draft.sheet_name("combined"))
    draft.sheets.remove(second)
    return True


def _below(draft: Draft) -> bool:
    return _one_sheet(draft, beside=False)


def _beside(draft: Draft) -> bool:
    return _one_sheet(draft, beside=True)


HABITS = [
    Habit(name="a superseded sheet, by its name", apply=_by_name, share=0.04),
    Habit(name="a superseded sheet, by a line", apply=_by_banner, share=0.04),
    Habit(name="a hidden older copy", apply=_hidden, share=0.03),
    Habit(name="an equal copy", apply=_equal, share=0.03),
    Habit(name="an equal copy of the device list", apply=_devices_again, share=0.03),
    Habit(name="hidden rows", apply=_hidden_rows, share=0.02),
    Habit(name="a differing copy", apply=_differing, share=0.015),
    Habit(name="both lists on one sheet", apply=_below, share=0.06),
    Habit(name="both lists side by side", apply=_beside, share=0.03),
    Habit(name="a sheet that is no job", apply=_stranger, share=0.15),
]

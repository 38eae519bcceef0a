"""What stands around a table and speaks of its rows, or of nothing."""

from tests.offices.book import Column, Table
from tests.offices.design import Port
from tests.offices.draft import Draft
from tests.offices.habits import Habit

LISTS = ("pulls", "combined", "order", "cable list")


def _cable_lists(draft: Draft) -> list[Table]:
    return [table for table in draft.tables("cable") if table.kind in LISTS and "cores" not in table.context]


def _without_cable(draft: Draft) -> bool:
    """The column of cables goes, in all lists; not where a word for another trade stands in it."""
    tables = _cable_lists(draft)
    kinds = {pull.cable for pull in draft.design.pulls}
    mixed = any(row.kind == "trade" for table in tables for row in table.rows)
    if len(kinds) > 1 or mixed or not tables:
        return False
    for table in tables:
        place = table.at("cable")
        del table.columns[place]
        for row in table.rows:
            del row.values[place]
    return True


def _cable_once(draft: Draft) -> bool:
    """One line says the cable of all pulls."""
    tables = _cable_lists(draft)
    if not _without_cable(draft):
        return False
    tables[0].above.insert(0, [draft.say("cable_once", cable=draft.design.cables[0].name)])
    return True


def _no_cable(draft: Draft) -> bool:
    """Nothing says the cable, neither a column nor a sheet."""
    return not draft.design.cables_stated and _without_cable(draft)


def _notes(draft: Draft) -> bool:
    """Sentences below a list that concern no row of it."""
    tables = [table for table in draft.tables() if table.kind in (*LISTS, "devices")]
    for table in tables[:2]:
        sentence = draft.rng("note").choice(draft.says("note"))
        table.below += [[], [sentence.format(n=1)], *([[sentence.format(n=2)]] if draft.seed % 2 else [])]
    return bool(tables)


def _groups(draft: Draft) -> bool:
    """A line of words above the headings: where, and what it draws."""
    if not draft.headings.speak:
        return False
    done = False
    for table in draft.tables():
        if table.kind not in ("devices", "combined") or any(column.group for column in table.columns):
            continue
        for column in table.columns:
            if column.role in ("floor", "room", "location"):
                column.group, done = draft.say("place"), True
            elif column.role in ("power", "total_power"):
                column.group, done = draft.say("load"), True
    return done


def _near_left_blank(draft: Draft) -> bool:
    """«From» stands at the port only; below it is blank, and the device above may be meant, or the port."""
    tables = [table for table in draft.tables("near", "far") if table.kind == "pulls"]
    simple = draft.design.form == "chain" and not draft.design.fault and len(tables) == 1
    if not simple or len(tables[0].data()) != len(draft.design.pulls):
        return False
    place = tables[0].at("near")
    for row, pull in zip(tables[0].data(), draft.design.pulls, strict=True):
        if not isinstance(pull.near, Port):
            row.values[place] = None
    draft.asks.append("a near end left blank")
    return True


def _port_in_device_list(draft: Draft) -> bool:
    """The device list says the port of each device too."""
    tables = [table for table in draft.tables("tag") if table.kind == "devices" and len(table.data()) > 0]
    faulty = draft.design.fault in ("unfed", "typo", "look-alike") or draft.ports.alone
    ranges = any(not draft.design.device(str(tag)) for table in tables for tag in table.values("tag"))
    if not tables or faulty or ranges or draft.tables("slot"):
        return False
    for table in tables:
        ports = [draft.ports.full(draft.design.port_of(str(tag))) for tag in table.values("tag")]
        table.insert(len(table.columns), Column(role="port"), list(ports))
    return True


HABITS = [
    Habit(name="the cable said once in a line", apply=_cable_once, share=0.04),
    Habit(name="no cable column", apply=_no_cable, share=0.2),
    Habit(name="a near end left blank", apply=_near_left_blank, share=0.05),
    Habit(name="the port in the device list", apply=_port_in_device_list, share=0.08),
    Habit(name="words above the headings", apply=_groups, share=0.06),
    Habit(name="notes below", apply=_notes, share=0.12),
]

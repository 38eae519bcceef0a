"""Rows that do not count: deleted ones, and those of other trades."""

from tests.offices import names
from tests.offices.book import Column, Row, Table
from tests.offices.design import Port
from tests.offices.draft import Draft
from tests.offices.habits import Habit

ROLES = ("near", "far", "cable", "length")


def _list(draft: Draft) -> Table | None:
    """The last list of pulls with both ends in a column each."""
    tables = [
        table for table in draft.tables(*ROLES) if table.kind == "pulls" and "cores" not in table.context
    ]
    return tables[-1] if tables else None


def _gone(draft: Draft, table: Table) -> list[Row]:
    """Rows of pulls that are no more, to things that no list has or that another pull feeds."""
    rng = draft.rng("gone")
    near = draft.tag(rng.choice(draft.design.devices).tag)
    cable = draft.design.cables[0].name
    number = len(draft.design.pulls) + 1
    rows = []
    for place in range(rng.randint(1, 2)):
        pull = draft.design.pulls[-1]
        far = f"{draft.words.KINDS['sensor'][1]}-{990 + place}"
        step = 1.0 if draft.design.unit == "ft" else 0.5
        values = {
            "pull": _number(draft, pull.number, number + place),
            "near": near,
            "far": far,
            "cable": cable,
        }
        rows.append(table.plain_row("void", {**values, "length": step * rng.randint(40, 200)}))
        near = far
    return rows


def _number(draft: Draft, last: int, number: int) -> object:
    return names.PULLS[draft.pull_style](max(last, number))


def _by_status(draft: Draft) -> bool:
    table = _list(draft)
    if table is None:
        return False
    live = draft.rng("status").choice(draft.says("live_status"))
    word = draft.rng("status").choice(draft.says("void_status"))
    table.rows += _gone(draft, table)
    table.insert(len(table.columns), Column(role="status"), [live] * len(table.data()))
    for row in table.rows:
        if row.kind == "void":
            row.values[-1] = word
    return True


def _struck(draft: Draft) -> bool:
    table = _list(draft)
    if table is None:
        return False
    rows = _gone(draft, table)
    for row in rows:
        row.struck = True
    place = draft.rng("struck rows").randint(1, len(table.rows))
    table.rows[place:place] = rows
    return True


def _section(draft: Draft) -> bool:
    table = _list(draft)
    if table is None or any(row.kind == "total" for row in table.rows):
        return False
    line = [draft.say("void_section"), *[None] * (len(table.columns) - 1)]
    table.rows += [
        Row(values=[None] * len(table.columns), kind="blank"),
        Row(values=line, kind="section"),
        *_gone(draft, table),
    ]
    return True


def _trade_rows(draft: Draft, table: Table) -> list[Row]:
    rng = draft.rng("trade")
    kind = rng.choice(
        (("IDF-1", "WAP-{}", "CAT6"), ("AMP-1", "SPK-{}", "16/4 SPK"), ("NVR", "CAM-{}", "CAT6A"))
    )
    step = 1.0 if draft.design.unit == "ft" else 0.5
    number = len(draft.design.pulls) + 11
    rows = []
    for place in range(rng.randint(2, 4)):
        values = {
            "pull": _number(draft, 0, number + place),
            "near": kind[0],
            "far": kind[1].format(place + 1),
            "cable": kind[2],
        }
        rows.append(table.plain_row("trade", {**values, "length": step * rng.randint(40, 200)}))
    return rows


def _trade(draft: Draft, named: bool) -> bool:
    table = _list(draft)
    if table is None:
        return False
    rows = _trade_rows(draft, table)
    place = next((place for place, row in enumerate(table.rows) if row.kind == "total"), len(table.rows))
    table.rows[place:place] = rows
    if named:
        table.insert(1, Column(role="system"), [draft.say("bus")] * len(table.data()))
        for row in rows:
            row.values[1] = draft.say("data")
    return True


def _trade_named(draft: Draft) -> bool:
    return _trade(draft, named=True)


def _trade_by_cable(draft: Draft) -> bool:
    return _trade(draft, named=False)


def _mains(draft: Draft) -> bool:
    """The feed of a controller's own supply."""
    table = _list(draft)
    if table is None or draft.ports.alone:
        return False
    head = draft.ports.controller(Port(1, 1))
    step = 1.0 if draft.design.unit == "ft" else 0.5
    values = {
        "pull": _number(draft, 0, len(draft.design.pulls) + 31),
        "near": "DB-1 cct 7",
        "far": f"{head} L/N",
        "cable": "3x1.5 mains",
    }
    row = table.plain_row("trade", {**values, "length": 12 * step, "remarks": draft.say("mains")})
    table.rows.insert(0, row)
    return True


def _spare(draft: Draft) -> bool:
    """A cable laid back to the port and left unlanded."""
    table = _list(draft)
    if table is None or draft.design.fault == "loop" or table.context or draft.ports.alone:
        return False
    last, port = draft.design.devices[-1].tag, draft.design.ports[-1]
    values = {
        "pull": _number(draft, 0, len(draft.design.pulls) + 21),
        "near": draft.tag(last),
        "far": draft.ports.full(port),
        "cable": draft.design.cables[0].name,
        "length": 60.0 if draft.design.unit == "ft" else 18.0,
    }
    table.rows.append(table.plain_row("spare", values))
    table.insert(len(table.columns), Column(role="remarks"), [None] * len(table.data()))
    table.rows[-1].values[-1] = draft.say("spare")
    return True


def _devices_by_status(draft: Draft) -> bool:
    """Devices that are no more: the list says so, and no pull goes there."""
    tables = [table for table in draft.tables("tag") if table.kind == "devices"]
    if not tables:
        return False
    table, rng = tables[-1], draft.rng("devices gone")
    kind = rng.choice(list(draft.words.KINDS))
    word, prefix = draft.words.KINDS[kind]
    power = draft.code(kind) if draft.power_style.where == "legend" else 0.36
    values = {
        "tag": f"{prefix}-99{rng.randint(0, 9)}",
        "description": word,
        "quantity": 1,
        "power": 0.36,
        "type": power,
    }
    table.rows.append(table.plain_row("void", {**values, "room": draft.room(draft.design.devices[-1])}))
    live = draft.rng("status").choice(draft.says("live_status"))
    for each in tables:
        each.insert(len(each.columns), Column(role="status"), [live] * len(each.data()))
    table.rows[-1].values[-1] = draft.rng("status").choice(draft.says("void_status"))
    return True


def _loudspeakers(draft: Draft) -> bool:
    """Another trade's things in both lists, told apart by a column."""
    pulls, devices = _list(draft), [table for table in draft.tables("tag") if table.kind == "devices"]
    if pulls is None or len(devices) != 1 or pulls.context:
        return False
    step, audio = (1.0 if draft.design.unit == "ft" else 0.5), draft.say("audio")
    rooms = [draft.room(device) for device in draft.design.devices[:2]]
    rows = [("AMP-1", "LS-1", 80 * step), ("LS-1", "LS-2", 30 * step)]
    for number, (near, far, length) in enumerate(rows):
        values = {"pull": _number(draft, 0, len(draft.design.pulls) + 41 + number), "near": near, "far": far}
        pulls.rows.append(pulls.plain_row("trade", {**values, "cable": "16/4 SPK", "length": length}))
        about = {"tag": far, "description": draft.say("loudspeaker"), "room": rooms[number % len(rooms)]}
        devices[0].rows.append(devices[0].plain_row("trade", about))
    for table in (pulls, devices[0]):
        table.insert(len(table.columns), Column(role="system"), [draft.say("bus")] * len(table.data()))
        for row in table.rows:
            if row.kind == "trade":
                row.values[-1] = audio
    return True


HABITS = [
    Habit(name="pulls void by status", apply=_by_status, share=0.07),
    Habit(name="pulls struck out", apply=_struck, share=0.05),
    Habit(name="a section of void pulls", apply=_section, share=0.04),
    Habit(name="another trade, by a system column", apply=_trade_named, share=0.05),
    Habit(name="another trade, by its cable", apply=_trade_by_cable, share=0.05),
    Habit(name="mains feed of a controller", apply=_mains, share=0.03),
    Habit(name="a spare return, by its remark", apply=_spare, share=0.04),
    Habit(name="devices void by status", apply=_devices_by_status, share=0.05),
    Habit(name="another trade's devices and pulls", apply=_loudspeakers, share=0.04),
]

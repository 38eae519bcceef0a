"""Lists of pulls: two ends, a cable, a length."""

from tests.offices.book import Column, Row, Table
from tests.offices.design import Pull
from tests.offices.draft import Draft, length_column
from tests.offices.shapes import IN_ORDER, Shape


def pull_table(draft: Draft) -> Table:
    """The usual list, all lengths raw."""
    columns = [
        Column(role="pull"),
        Column(role="near"),
        Column(role="far"),
        Column(role="cable"),
        length_column(),
    ]
    table = Table(kind="pulls", columns=columns)
    for pull in draft.design.pulls:
        table.rows.append(Row(values=usual(draft, pull), group=group_of(draft, pull)))
    return table


def usual(draft: Draft, pull: Pull) -> list[object]:
    return [draft.pull_id(pull), draft.end(pull.near), draft.end(pull.far), pull.cable, pull.length]


def group_of(draft: Draft, pull: Pull) -> str:
    """The floor of the far device: what section rows and sheets go by."""
    device = draft.design.device(pull.far) or draft.design.device(pull.near) or draft.design.devices[0]
    return draft.say("floor", n=device.floor)


def _plain(draft: Draft) -> None:
    draft.add(pull_table(draft))


def _without_ids(draft: Draft) -> None:
    table = pull_table(draft)
    del table.columns[0]
    for row in table.rows:
        del row.values[0]
    draft.add(table)


def _far_end(draft: Draft) -> None:
    """Description, room and power of the far device stand in the pull's row."""
    table = pull_table(draft)
    far = [draft.design.device(pull.far) for pull in draft.design.pulls]
    splice = draft.say("splice_kind")
    place = table.at("far") + 1
    table.insert(place, Column(role="description"), [draft.kind(d) if d else splice for d in far])
    table.insert(place + 1, Column(role="room"), [draft.room(d) if d else None for d in far])
    table.insert(
        len(table.columns), Column(role="power", unit="power"), [d.power_w if d else None for d in far]
    )
    draft.add(table)


def _both_ends(draft: Draft) -> None:
    """Both ends in one cell: `C2.1 - KP14`."""
    table = pull_table(draft)
    between = draft.rng("between").choice((" - ", " > ", " → ", " to ", " / "))
    joined = [
        f"{near}{between}{far}" for near, far in zip(table.values("near"), table.values("far"), strict=True)
    ]
    place = table.at("near")
    for row in table.rows:
        del row.values[place : place + 2]
    del table.columns[place : place + 2]
    table.insert(place, Column(role="both_ends"), list(joined))
    draft.add(table)


def _by_floor(draft: Draft) -> None:
    """A sheet for each floor."""
    table = pull_table(draft)
    for group in dict.fromkeys(row.group for row in table.rows):
        part = Table(kind="pulls", columns=[Column(role=c.role, unit=c.unit) for c in table.columns])
        part.rows = [row for row in table.rows if row.group == group]
        draft.add(part, f"{draft.sheet_name('pulls')} {group}")


def _connections(draft: Draft) -> None:
    """Three sheets joined by ids: things (the device list), cables, and connections."""
    ends = Table(kind="connections", columns=[Column(role="pull"), Column(role="near"), Column(role="far")])
    cables = Table(kind="cable list", columns=[Column(role="pull"), Column(role="cable"), length_column()])
    for pull in draft.design.pulls:
        name = draft.pull_id(pull)
        ends.rows.append(Row(values=[name, draft.end(pull.near), draft.end(pull.far)]))
        cables.rows.append(Row(values=[name, pull.cable, pull.length]))
    name = draft.sheet_name("pulls")
    draft.add(cables, name)
    draft.add(ends, draft.words.HEADINGS["both_ends"].split("|")[0])


SHAPES = [
    Shape(name="pull list", write=_plain, needs_ports=False, weight=9),
    Shape(name="pull list without numbers", write=_without_ids, needs_ports=False),
    Shape(name="pull lists by floor", write=_by_floor, needs_ports=False, weight=2),
    Shape(
        name="far end in the pull's row",
        write=_far_end,
        faults=IN_ORDER,
        lists_devices=True,
        needs_ports=False,
        weight=3,
    ),
    Shape(name="both ends in one cell", write=_both_ends, weight=1, faults=IN_ORDER | {"unfed"}),
    Shape(name="cables and connections joined by ids", write=_connections, weight=1),
]

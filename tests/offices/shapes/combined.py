"""One list in which each device says what feeds it."""

from tests.offices.book import Column, Row, Table
from tests.offices.design import Device, Port, Pull
from tests.offices.draft import Draft, length_column
from tests.offices.shapes import IN_ORDER, Shape


def _rows(draft: Draft) -> list[tuple[Device, Pull]]:
    pairs = []
    for device in draft.design.devices:
        pull = draft.design.fed_by(device.tag)
        if pull is None:
            raise ValueError(f"{device.tag} is not fed")
        pairs.append((device, pull))
    return pairs


def about(draft: Draft, device: Device) -> list[object]:
    return [draft.kind(device), draft.room(device), device.power_w]


def about_columns() -> list[Column]:
    return [Column(role="description"), Column(role="room"), Column(role="power", unit="power")]


def _fed_from(draft: Draft) -> None:
    columns = [
        Column(role="tag"),
        *about_columns(),
        Column(role="fed_from"),
        length_column(),
        Column(role="cable"),
    ]
    table = Table(kind="combined", columns=columns)
    for device, pull in _rows(draft):
        values = [device.tag, *about(draft, device), draft.end(pull.near), pull.length, pull.cable]
        table.rows.append(Row(values=values, group=draft.say("floor", n=device.floor)))
    draft.add(table)


def _fed_from_port(draft: Draft) -> None:
    """Controller and port of every device in columns, and the device before it."""
    columns = [Column(role="controller"), Column(role="port"), Column(role="tag"), *about_columns()]
    columns += [Column(role="fed_from"), length_column(), Column(role="cable")]
    table = Table(kind="combined", columns=columns)
    for device, pull in _rows(draft):
        root = draft.design.port_of(device.tag)
        at = [draft.ports.controller(root), draft.ports.sign(root)]
        before = draft.ports.controller(root) if isinstance(pull.near, Port) else draft.end(pull.near)
        table.rows.append(
            Row(values=[*at, device.tag, *about(draft, device), before, pull.length, pull.cable])
        )
    draft.add(table)


def _home_runs(draft: Draft) -> None:
    """A wire list: where, what, and the port that its home run goes to."""
    columns = [
        Column(role="location"),
        Column(role="device"),
        Column(role="description"),
        Column(role="power", unit="power"),
    ]
    columns += [Column(role="home_run"), Column(role="cable"), length_column()]
    table = Table(kind="combined", columns=columns)
    for device, pull in _rows(draft):
        what = [draft.room(device), device.tag, draft.kind(device), device.power_w]
        table.rows.append(Row(values=[*what, draft.end(pull.near), pull.cable, pull.length]))
    draft.add(table)


def _from_port(draft: Draft, said: str) -> None:
    """Lengths count along the cable from the port, not from the device before."""
    roles = "cumulative" if said == "heading" else "length"
    columns = [
        Column(role="tag"),
        *about_columns(),
        Column(role="fed_from"),
        length_column(roles),
        Column(role="cable"),
    ]
    table = Table(kind="combined", columns=columns, context={"lengths": "from the port"})
    for device, pull in _rows(draft):
        values = [
            device.tag,
            *about(draft, device),
            draft.end(pull.near),
            distance(draft, device.tag),
            pull.cable,
        ]
        table.rows.append(Row(values=values))
    if said == "line":
        table.above = [[draft.say("cumulative")]]
    draft.add(table)


def distance(draft: Draft, tag: str) -> float:
    """Along the cable from the port, in the design's unit."""
    total, end = 0.0, tag
    while True:
        pull = draft.design.fed_by(end)
        if pull is None or pull.length is None:
            raise ValueError(f"{end} is not measured")
        total += pull.length
        if isinstance(pull.near, Port):
            return total
        end = pull.near


def _said_by_heading(draft: Draft) -> None:
    _from_port(draft, "heading")


def _said_by_line(draft: Draft) -> None:
    _from_port(draft, "line")


IN_ONE = IN_ORDER - {"a length missing"}
_LISTED = {"lists_devices": True, "splices": False}

SHAPES = [
    Shape(
        name="combined, fed from", write=_fed_from, faults=IN_ORDER, needs_ports=False, weight=5, **_LISTED
    ),
    Shape(
        name="combined, panel and port in columns", write=_fed_from_port, faults=IN_ORDER, weight=2, **_LISTED
    ),
    Shape(name="home runs", write=_home_runs, faults=IN_ORDER, forms=("star",), weight=2, **_LISTED),
    Shape(
        name="lengths from the port, by heading",
        write=_said_by_heading,
        faults=IN_ONE,
        needs_headings=True,
        forms=("tree", "chain"),
        **_LISTED,
    ),
    Shape(
        name="lengths from the port, by a line",
        write=_said_by_line,
        faults=IN_ONE,
        forms=("tree", "chain"),
        weight=1,
        **_LISTED,
    ),
]

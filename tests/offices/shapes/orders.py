"""Devices in the order in which a port's cable passes them."""

from tests.offices.book import Column, Row, Table
from tests.offices.design import Port, Pull
from tests.offices.draft import Draft, length_column
from tests.offices.measures import length_text
from tests.offices.shapes import IN_ORDER, Shape


def chain(draft: Draft, port: Port) -> list[Pull]:
    """The pulls of a run without branches, in order."""
    pulls, end = [], port
    while True:
        following = [pull for pull in draft.design.pulls if pull.near == end]
        if len(following) > 1:
            raise ValueError(f"{end} branches")
        if not following:
            return pulls
        pulls += following
        end = following[0].far


def _sequence(draft: Draft) -> None:
    """Controller, port, sequence, device, length from the device before."""
    columns = [
        Column(role="controller"),
        Column(role="port"),
        Column(role="seq"),
        Column(role="device"),
        length_column("hop"),
    ]
    table = Table(kind="order", columns=[*columns, Column(role="cable")])
    for port in draft.design.ports:
        sign: object = draft.ports.sign(port)
        for number, pull in enumerate(chain(draft, port), 1):
            values = [draft.ports.controller(port), int(sign) if str(sign).isdigit() else sign, number]
            table.rows.append(Row(values=[*values, draft.end(pull.far), pull.length, pull.cable]))
    draft.add(table, draft.sheet_name("pulls"))


def _one_column(draft: Draft) -> None:
    """The same with controller and port in one column."""
    columns = [
        Column(role="port"),
        Column(role="seq"),
        Column(role="device"),
        length_column("hop"),
        Column(role="cable"),
    ]
    table = Table(kind="order", columns=columns)
    for port in draft.design.ports:
        for number, pull in enumerate(chain(draft, port), 1):
            table.rows.append(
                Row(values=[draft.ports.full(port), number, draft.end(pull.far), pull.length, pull.cable])
            )
    draft.add(table, draft.sheet_name("pulls"))


def _port_columns(draft: Draft) -> None:
    """A pair of columns for each port, devices below in the order of the chain."""
    ports, columns = draft.design.ports, []
    runs = [chain(draft, port) for port in ports]
    known = draft.headings.speak and draft.language == draft.headings.kind
    device = draft.rng("port columns").choice(draft.words.HEADINGS["device"].split("|")) if known else ""
    for port in ports:
        full = draft.ports.full(port)
        columns.append(Column(role="device", heading=device, group=full, about=full))
        columns.append(length_column("hop", group=full, about=full))
    table = Table(kind="ports as columns", columns=columns, above=_cable_line(draft))
    for place in range(max(map(len, runs))):
        values: list[object] = []
        for run in runs:
            values += [draft.end(run[place].far), run[place].length] if place < len(run) else [None, None]
        table.rows.append(Row(values=values))
    draft.add(table, draft.sheet_name("pulls"))


def _cable_line(draft: Draft) -> list[list[object]]:
    """A line that says the cable of all pulls, where the workbook describes it and no column names it."""
    name = draft.design.cables[0].name
    return [[draft.say("cable_once", cable=name)]] if draft.design.cables_stated else []


def _one_cell(draft: Draft) -> None:
    """A row for each port: its devices in one cell, its lengths in another."""
    rng = draft.rng("chains")
    between, mark = rng.choice((" - ", " > ", " → ", ", ", " / ")), rng.choice((" / ", ", ", " + ", "; "))
    if draft.length_style.comma and mark == ", ":
        mark = "; "
    columns = [
        Column(role="port"),
        Column(role="chain"),
        length_column("hops"),
        Column(role="cable"),
    ]
    table = Table(kind="chains", columns=columns)
    for port in draft.design.ports:
        pulls = chain(draft, port)
        devices = between.join(draft.end(pull.far) for pull in pulls)
        hops = mark.join(length_text(draft, pull.length or 0) for pull in pulls)
        table.rows.append(Row(values=[draft.ports.full(port), devices, hops, pulls[0].cable]))
    draft.add(table, draft.sheet_name("pulls"))


def _grids(draft: Draft) -> None:
    """Two grids of one shape, a row for each port: its devices in order, and the lengths up to them."""
    runs = [(draft.ports.full(port), chain(draft, port)) for port in draft.design.ports]
    most = max(len(pulls) for _, pulls in runs)
    for role, kind in (("device", "grid of devices"), ("hop", "grid of lengths")):
        unit = "length" if role == "hop" else ""
        places = [Column(role=role, word=str(place), unit=unit) for place in range(1, most + 1)]
        above = _cable_line(draft) if role == "hop" else []
        table = Table(kind=kind, columns=[Column(role="port"), *places], above=above)
        for name, pulls in runs:
            values = [draft.end(pull.far) if role == "device" else pull.length for pull in pulls]
            table.rows.append(Row(values=[name, *values, *[None] * (most - len(values))]))
        word = draft.rng(f"grid {role}").choice(
            draft.words.HEADINGS["chain" if role == "device" else "hops"].split("|")
        )
        draft.add(table, word)


_CHAINS = {"forms": ("chain",), "splices": False}
ONE_CABLE = IN_ORDER - {"off-specification cable", "a length missing"}

SHAPES = [
    Shape(name="order on a port", write=_sequence, faults=IN_ORDER, weight=3, **_CHAINS),
    Shape(name="order on a port, one column", write=_one_column, faults=IN_ORDER, weight=1, **_CHAINS),
    Shape(
        name="ports as columns", write=_port_columns, faults=IN_ORDER - {"off-specification cable"}, **_CHAINS
    ),
    Shape(name="two grids, devices and lengths", write=_grids, faults=ONE_CABLE, weight=1, **_CHAINS),
    Shape(name="chains in one cell", write=_one_cell, faults=ONE_CABLE, weight=1, **_CHAINS),
]

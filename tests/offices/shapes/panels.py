"""The controller of a pull stands around its table or in columns beside; the near end says only the port."""

from tests.offices.book import Column, Row, Table
from tests.offices.design import Port, Pull
from tests.offices.draft import Draft, length_column
from tests.offices.shapes import IN_ORDER, Shape
from tests.offices.shapes.pull_lists import pull_table, usual


def _pulls_of(draft: Draft, controller: int) -> list[Pull]:
    return [pull for pull in draft.design.pulls if _controller(draft, pull) == controller]


def _controller(draft: Draft, pull: Pull) -> int:
    """The controller that feeds a pull; the last one where a slip or a gap leaves it open."""
    try:
        return draft.design.port_of(pull.near).controller
    except ValueError:
        return draft.design.controllers[-1]


def _local(draft: Draft, pull: Pull) -> list[object]:
    values = usual(draft, pull)
    if isinstance(pull.near, Port):
        values[1] = draft.ports.local(pull.near)
    return values


def _name(draft: Draft, controller: int) -> str:
    return draft.ports.controller(Port(controller, 1))


def _tables(draft: Draft) -> list[tuple[str, Table]]:
    """(controller's name, its table with local ports)."""
    pattern, tables = pull_table(draft).columns, []
    for controller in draft.design.controllers:
        name = _name(draft, controller)
        table = Table(
            kind="pulls",
            columns=[Column(role=c.role, unit=c.unit) for c in pattern],
            context={"controller": name},
        )
        table.rows = [Row(values=_local(draft, pull)) for pull in _pulls_of(draft, controller)]
        tables.append((name, table))
    return tables


def _line_above(draft: Draft) -> None:
    """A sheet for each controller, a line `PANEL: LCP-1` above its table."""
    for number, (name, table) in enumerate(_tables(draft), 1):
        table.above = [[draft.say("panel", panel=name)], *([[]] if draft.seed % 2 else [])]
        draft.add(table, f"{draft.sheet_name('pulls')} {number}", title=False)


def _sheet_name(draft: Draft) -> None:
    """A sheet for each controller, named after it and nowhere else."""
    for name, table in _tables(draft):
        draft.add(table, name, title=False)


def _section_rows(draft: Draft) -> None:
    """One table, a row `PANEL: LCP-1` above the pulls of each controller."""
    whole = Table(kind="pulls", columns=pull_table(draft).columns)
    for name, table in _tables(draft):
        section: list[object] = [draft.say("panel", panel=name), *[None] * (len(whole.columns) - 1)]
        whole.rows += [Row(values=section, kind="section"), *table.rows]
    draft.add(whole)


def _columns(draft: Draft) -> None:
    """Controller and port in columns; the device before stands in «from» except at the port."""
    rng = draft.rng("panel columns")
    slot = rng.random() < 0.3
    columns = [Column(role="pull"), Column(role="controller"), *([Column(role="slot")] if slot else [])]
    columns += [
        Column(role="port"),
        Column(role="near_tag"),
        Column(role="far_tag"),
        Column(role="cable"),
        length_column(),
    ]
    table = Table(kind="pulls", columns=columns)
    for pull in draft.design.pulls:
        near = pull.near
        at: list[object] = [None] * (3 if slot else 2)
        if isinstance(near, Port):
            sign: object = (
                int(draft.ports.sign(near)) if draft.ports.sign(near).isdigit() else draft.ports.sign(near)
            )
            at = [draft.ports.controller(near), *([sign] if slot else []), 1 if slot else sign]
        before = None if isinstance(near, Port) else draft.end(near)
        table.rows.append(
            Row(values=[draft.pull_id(pull), *at, before, draft.end(pull.far), pull.cable, pull.length])
        )
    draft.add(table)


def _all_columns(draft: Draft) -> None:
    """Controller and port in columns of every row; «from» names the controller at the port."""
    columns = [Column(role="controller"), Column(role="port"), Column(role="pull"), Column(role="near")]
    columns += [Column(role="far"), Column(role="cable"), length_column()]
    table = Table(kind="pulls", columns=columns)
    for pull in draft.design.pulls:
        root = draft.design.port_of(pull.near)
        head = draft.ports.controller(root)
        near = head if isinstance(pull.near, Port) else draft.end(pull.near)
        at = [head, draft.ports.sign(root)]
        table.rows.append(
            Row(values=[*at, draft.pull_id(pull), near, draft.end(pull.far), pull.cable, pull.length])
        )
    draft.add(table)


SHAPES = [
    Shape(name="a sheet a panel, its line above", write=_line_above),
    Shape(name="a sheet a panel, by its name", write=_sheet_name, weight=1),
    Shape(name="panels as section rows", write=_section_rows, weight=2),
    Shape(name="panel and port in columns", write=_columns, weight=2),
    Shape(name="panel and port in every row", write=_all_columns, faults=IN_ORDER, weight=2),
]

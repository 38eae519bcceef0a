"""Trees: level numbers, or indentation."""

from collections.abc import Iterator

from tests.offices.book import Column, Row, Table
from tests.offices.design import End, Port, Pull
from tests.offices.draft import Draft, length_column
from tests.offices.shapes import IN_ORDER, Shape

Item = tuple[tuple[int, ...], End, Pull | None]  # level, what, its pull


def _items(draft: Draft) -> Iterator[Item]:
    """Ports and what hangs on them, each behind what feeds it."""
    for number, port in enumerate(draft.design.ports, 1):
        yield (number,), port, None
        yield from _below(draft, port, (number,))


def _below(draft: Draft, end: End, level: tuple[int, ...]) -> Iterator[Item]:
    following = [pull for pull in draft.design.pulls if pull.near == end]
    for number, pull in enumerate(following, 1):
        yield (*level, number), pull.far, pull
        yield from _below(draft, pull.far, (*level, number))


def _about(draft: Draft, end: End) -> list[object]:
    """(description, room, power)."""
    device = draft.design.device(end)
    if device is None:
        return [
            draft.words.HEADINGS["port"].split("|")[0] if isinstance(end, Port) else draft.say("splice_kind"),
            None,
            None,
        ]
    return [draft.kind(device), draft.room(device), device.power_w]


def _columns() -> list[Column]:
    return [
        Column(role="description"),
        Column(role="room"),
        Column(role="cable"),
        length_column(),
        Column(role="power", unit="power"),
    ]


def _values(draft: Draft, end: End, pull: Pull | None) -> list[object]:
    what, room, power = _about(draft, end)
    return [what, room, pull.cable if pull else None, pull.length if pull else None, power]


def _levels(draft: Draft) -> None:
    """1, 1.1, 1.1.1: each fed from the level above."""
    table = Table(kind="levels", columns=[Column(role="level"), Column(role="item"), *_columns()])
    for level, end, pull in _items(draft):
        number = ".".join(map(str, level))
        table.rows.append(Row(values=[number, draft.end(end), *_values(draft, end, pull)]))
    draft.add(table, draft.sheet_name("combined"))


def _indented(draft: Draft) -> None:
    """Blanks before a tag say how deep it stands."""
    table = Table(kind="indented", columns=[Column(role="item"), *_columns()])
    blank = draft.rng("indent").choice(("  ", "   ", "    ", "- "))
    for level, end, pull in _items(draft):
        table.rows.append(Row(values=[blank * (len(level) - 1) + draft.end(end), *_values(draft, end, pull)]))
    draft.add(table, draft.sheet_name("combined"))


def _steps(draft: Draft) -> None:
    """A column for each depth."""
    items = list(_items(draft))
    depth = max(len(level) for level, _, _ in items)
    columns = [Column(role="item", heading=f"L{place}", about=str(place)) for place in range(depth)]
    table = Table(kind="steps", columns=[*columns, *_columns()])
    for level, end, pull in items:
        places: list[object] = [None] * depth
        places[len(level) - 1] = draft.end(end)
        table.rows.append(Row(values=[*places, *_values(draft, end, pull)]))
    draft.add(table, draft.sheet_name("combined"))


_TREE = {"faults": IN_ORDER, "lists_devices": True}

SHAPES = [
    Shape(name="level numbers", write=_levels, weight=2, **_TREE),
    Shape(name="indented", write=_indented, weight=1, **_TREE, tags=frozenset(("-KP101",))),
    Shape(name="a column for each depth", write=_steps, weight=1, forms=("star", "tree"), **_TREE),
]

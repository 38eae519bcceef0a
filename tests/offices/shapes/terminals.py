"""Device and terminal in two columns for each end."""

from tests.offices.book import Column, Row, Table
from tests.offices.design import End, Port
from tests.offices.draft import Draft, length_column
from tests.offices.shapes import Shape


def _two(draft: Draft, end: End, side: str) -> list[object]:
    """(device, terminal) of an end."""
    if isinstance(end, Port):
        rng = draft.rng("terminal")
        bare = draft.ports.sign(end)
        return [
            draft.ports.controller(end),
            draft.ports.local(end) if rng.random() < 0.6 else int(bare) if bare.isdigit() else bare,
        ]
    words = draft.rng("terminals").choice(
        (("BUS OUT", "BUS IN"), ("OUT", "IN"), ("X2", "X1"), ("B", "A"), ("BUS", "BUS"), ("", ""))
    )
    return [draft.tag(end), words[0 if side == "near" else 1]]


def _table(draft: Draft, columns: list[Column], box: str | None = None) -> Table:
    """Rows of pull, near device, near terminal, far device, far terminal, cable, length."""
    table = Table(kind="pulls", columns=columns)
    for pull in draft.design.pulls:
        near, far = _two(draft, pull.near, "near"), _two(draft, pull.far, "far")
        table.rows.append(Row(values=[draft.pull_id(pull), *near, *far, pull.cable, pull.length]))
    return table


def _named(draft: Draft) -> None:
    roles = ("pull", "near_tag", "near_terminal", "far_tag", "far_terminal", "cable")
    draft.add(_table(draft, [*(Column(role=role) for role in roles), length_column()]))


def _groups(draft: Draft) -> None:
    """`FROM` over device and terminal, `TO` over the same."""
    known = draft.headings.speak and draft.language == draft.headings.kind
    rng = draft.rng("groups")
    words = [rng.choice(draft.words.HEADINGS[role].split("|")[:3]).upper() for role in ("near", "far")]
    tag, terminal = (
        rng.choice(draft.words.HEADINGS[role].split("|")) for role in ("end_tag", "end_terminal")
    )
    columns = [Column(role="pull")]
    for side, group in (("near", words[0]), ("far", words[1])):
        columns.append(Column(role=f"{side}_tag", heading=tag if known else "", group=group))
        columns.append(Column(role=f"{side}_terminal", heading=terminal if known else "", group=group))
    draft.add(_table(draft, [*columns, Column(role="cable"), length_column()]))


def _blank(draft: Draft) -> None:
    """The terminals' columns have no heading."""
    columns = [Column(role="pull"), Column(role="near"), Column(role="near_terminal", bare=True)]
    columns += [
        Column(role="far"),
        Column(role="far_terminal", bare=True),
        Column(role="cable"),
        length_column(),
    ]
    draft.add(_table(draft, columns))


def _places(draft: Draft) -> None:
    """Building and place twice, and neither «from» nor «to»."""
    rng = draft.rng("places")
    words = draft.words.HEADINGS
    building, place = words["room"].split("|")[-1], rng.choice(words["end_tag"].split("|"))
    site = rng.choice(("Main", "A", "North", "B1"))
    columns = [Column(role="near_place", heading=building), Column(role="near", heading=place)]
    columns += [Column(role="far_place", heading=building), Column(role="far", heading=place)]
    table = Table(kind="pulls", columns=[*columns, Column(role="cable"), length_column()])
    for pull in draft.design.pulls:
        table.rows.append(
            Row(values=[site, draft.end(pull.near), site, draft.end(pull.far), pull.cable, pull.length])
        )
    draft.add(table)


SHAPES = [
    Shape(name="device and terminal", write=_named, weight=4),
    Shape(name="device and terminal under groups", write=_groups, weight=2),
    Shape(name="terminals without headings", write=_blank, weight=1),
    Shape(name="place and device twice", write=_places, weight=1),
]

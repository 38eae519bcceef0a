"""Which two columns of a table are the ends of its pulls."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from auditor.intake.names.ports import port_alone, spelled
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.evidence import TOKEN, by_values, share
from auditor.intake.roles.profiles import ColumnProfile
from auditor.intake.words import candidates, said, says, says_previous

FEEDS_SEVERAL = 0.9  # share of the cells of a column of feeds that are the first of their name, at most
BY_RELATION = 0.55  # least tie of two columns that no word names; project convention
LEAST_COMMON = 0.4  # share of the names of one column that the other has too
LEAST_BESIDE = 0.2  # tie that headings need where other columns hang together by their values
LEAST_FILLED, FEW_WORDS = 4, 3  # cells and texts of a column that may say one thing; project conventions
GROUPED = 0.85  # of a heading that says only under which end's text it stands: `From` over `Code`
PLACE = 0.6  # of a heading that may as well name where an end is: `From location`
_PAIR = ("near", "far")
_OTHER_MEANINGS = frozenset(
    {
        "room", "description", "type", "cable", "note", "floor", "system", "status", "near_place", "far_place", "scope",
        "drum", "revision", "core", "symbol", "power_w", "length_m", "quantity", "id",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class EndsPair:
    """Two columns that are the ends, and why."""

    near: int
    far: int
    words: float  # of both headings together, 0 to 1
    tie: float  # how far the values hang together, 0 to 1
    sequence: int | None = None  # column of the places on the port; then `near` holds the ports
    controller: int | None = None  # column of the ports' controllers

    @property
    def ends(self) -> tuple[int, ...]:
        """The columns that name ends; a port beside its controller is a part of one."""
        return (self.far,) if self.controller is not None else (self.near, self.far)

    @property
    def roles(self) -> dict[str, int]:
        """Role -> column of a list of pulls."""
        if self.sequence is None:
            return {"near": self.near, "far": self.far}
        placed = {"port": self.near, "sequence": self.sequence, "far": self.far}
        return placed if self.controller is None else {**placed, "controller": self.controller}

    @property
    def strength(self) -> float:
        return self.words + 0.8 * self.tie


def ends_pair(columns: Mapping[int, ColumnProfile], others: frozenset[str]) -> EndsPair | None:
    """The best pair of columns; None: no two columns are ends.

    Parameters
    ----------
    others : names that stand once each in a column of another table: what may be tags
    """
    near = {c: _words("near", p) for c, p in columns.items() if by_values("near", p) is not None}
    far = {c: _words("far", p) for c, p in columns.items() if by_values("far", p) is not None}
    pairs = [
        EndsPair(a, b, (near[a] + far[b]) / 2 if near[a] and far[b] else 0.0, tie_of(columns[a], columns[b], others))
        for a in near
        for b in far
        if a != b and columns[a].keys and columns[b].keys
    ]  # fmt: skip
    pairs = [
        pair
        for pair in pairs
        if not _says_one_thing(columns[pair.near], columns[pair.far])
        and not _mostly_alike(columns[pair.near], columns[pair.far])
    ]
    only_ports = {c for c in near if _only_ports(columns[c])}
    if any(near[c] for c in near.keys() - only_ports):
        pairs = [
            pair for pair in pairs if pair.near not in only_ports
        ]  # `Port 1` beside the device completes it
    if pair := _fed_from_above(columns, near):
        return pair
    tied = [pair for pair in pairs if pair.tie >= BY_RELATION]
    found = [pair for pair in pairs if pair.words or (pair in tied and _may_be_ends(columns, pair))]
    found = found or [pair for pair in tied if _mirrored(columns, pair, others)]
    if not found:
        return None
    if max(pair.tie for pair in found) >= BY_RELATION:
        found = [pair for pair in found if pair.tie >= LEAST_BESIDE]
    best = max(
        found,
        key=lambda p: (
            p.strength + _said(columns, p),
            -abs(p.far - p.near),
            not columns[p.far].counts_up,
            -p.near,
        ),
    )
    if _is_one_of_several(columns, best):
        return None
    return best if best.words or _said(columns, best) > 0.4 else _directed(columns, best, others)


def _is_one_of_several(columns: Mapping[int, ColumnProfile], pair: EndsPair) -> bool:
    """Whether each row holds several pulls, each with its `From` and `To` below a heading of its own."""
    near, far = columns[pair.near], columns[pair.far]
    if not (near.group and far.group) or near.lower == far.lower:
        return False
    return all(
        any(c.lower == end.lower and c.group != end.group for c in columns.values()) for end in (near, far)
    )


def _fed_from_above(columns: Mapping[int, ColumnProfile], near: Mapping[int, float]) -> EndsPair | None:
    """The ends of a table whose near ends say mostly «the previous one», and whose rows have a name each."""
    for column in near:
        values = columns[column].filled
        if values and sum(map(says_previous, values)) * 3 > len(values):
            own = [
                c
                for c, p in columns.items()
                if p.distinct > 0.95 and p.with_digits > 0.9 and not p.quantities > 0.5
            ]
            if own and own[0] != column:
                return EndsPair(column, own[0], 1.0, 1.0)
    return None


def _says_one_thing(near: ColumnProfile, far: ColumnProfile) -> bool:
    """Whether a far column holds a few words that come again and name no end: `Finish` over `black`, `white`."""
    several = len(far.filled) >= LEAST_FILLED or far.share_filled < 0.9
    few = several and len(far.texts) <= FEW_WORDS and far.with_digits == 0.0
    return few and near.distinct < 1.0 and not far.keys & near.keys


def _mostly_alike(near: ColumnProfile, far: ColumnProfile) -> bool:
    """Whether most rows have one name in both columns: the room of either end, not the ends."""
    return rows_alike(near, far) * 2 > len(far.filled)


def rows_alike(one: ColumnProfile, other: ColumnProfile) -> int:
    """In how many rows two columns hold the same."""
    return sum(a == b != "" for a, b in zip(one.values, other.values, strict=True))


def _only_ports(column: ColumnProfile) -> bool:
    """Whether a column names ports and nothing whose ports they are."""
    return bool(column.texts) and all(
        (found := port_alone(text)) is not None and found.worded for text in column.texts
    )


def _alone(near: ColumnProfile, far: ColumnProfile, columns: Mapping[int, ColumnProfile]) -> bool:
    """Whether no other column names ports, alone or with their controllers, or the devices that feed others: the
    cable `BUS-16` is none of `C1/P1`, and no port beside `P1`, `KP-1`, `KP-2`."""
    others = [column for column in columns.values() if column is not near and column is not far]
    return not any(_only_ports(column) or _names_ports(column) or column.keys & far.keys for column in others)


def _any_long(columns: Mapping[int, ColumnProfile]) -> bool:
    """Whether a column holds lengths in feet or metres, no heights of devices in smaller units."""
    return any(column.unit in ("ft", "m") and column.quantities > 0.9 for column in columns.values())


def _names_ports(column: ColumnProfile) -> bool:
    """Whether each of a column's values is a port by a word in it: `LCP-5:P1`."""
    return bool(column.texts) and all(any(option.worded for option in spelled(text)) for text in column.texts)


def _words(name: str, column: ColumnProfile) -> float:
    """How strongly a heading says that its column is one of the ends."""
    if not column.header:
        return 0.0
    exact = {field for field, _ in candidates("pulls", column.header)}
    if name in exact:
        return PLACE if f"{name}_place" in exact else 1.0
    if column.group and name in {field for field, _ in candidates("pulls", column.group)}:
        below = {field for field, _ in candidates("pulls", column.lower)}
        return GROUPED if below <= set(_PAIR) else 0.0
    strength = said(column.header)
    mine, other = strength.get(name, 0.0), strength.get(_PAIR[_PAIR[0] == name], 0.0)
    return (
        TOKEN * mine if mine > other and not {f"{name}_terminal", f"{name}_place"} & strength.keys() else 0.0
    )


def _said(columns: Mapping[int, ColumnProfile], pair: EndsPair) -> float:
    """What the headings say for a pair of one named end: what feeds, and the tag that is fed."""
    far = said(columns[pair.far].header) if columns[pair.far].header else {}
    return 0.5 * _says_near(columns[pair.near]) + 0.3 * (max(far.get("tag", 0.0), far.get("far", 0.0)) >= 0.6)


def _says_near(column: ColumnProfile) -> bool:
    return _words("near", column) >= 0.5 or says(column.header, "near")


def tie_of(one: ColumnProfile, other: ColumnProfile, others: frozenset[str]) -> float:
    """How well two columns hang together as ends: names in common, and names that stand elsewhere."""
    smaller = min(len(one.keys), len(other.keys))
    shared = len(one.keys & other.keys) / smaller if smaller else 0.0
    listed, back = share(other.keys, others), share(one.keys, others)
    return min(1.0, max(shared * 0.8 + 0.2 * listed, 0.6 * listed + 0.4 * max(shared, back)))


def _may_be_ends(columns: Mapping[int, ColumnProfile], pair: EndsPair) -> bool:
    """Names with digits, many in common, not one column twice, and mostly other names in the same row."""
    near, far = columns[pair.near], columns[pair.far]
    if near.with_digits < 0.5 or far.with_digits < 0.5 or near.is_counter or far.is_counter:
        return False
    if near.quantities > 0.5 or far.quantities > 0.5 or not _name_ends(near, far):
        return False
    one, other = ({text.casefold() for text in column.texts} for column in (near, far))
    common = len(one & other) / min(len(one), len(other))  # `TH-1` of a legend is not `TH01` of a device
    from_few = len(near.keys) <= 8 and near.with_digits > 0.9 and pair.tie >= 0.6 and far.distinct > 0.9
    ports = _names_ports(near) or (_only_ports(near) and _any_long(columns) and _alone(near, far, columns))
    if common < LEAST_COMMON and not (from_few and (_says_near(near) or ports)):
        return False
    both = sum(a != "" and b != "" for a, b in zip(near.values, far.values, strict=True))
    if both < 2 or rows_alike(near, far) * 4 > both:
        return False
    return bool(far.keys - near.keys) or bool(near.keys - far.keys)


def _name_ends(near: ColumnProfile, far: ColumnProfile) -> bool:
    """Whether no heading speaks against a pair."""
    return _may_name_ends(near, ("near", "far", "controller")) and _may_name_ends(far, ("far", "near", "tag"))


def _may_name_ends(column: ColumnProfile, own: tuple[str, ...]) -> bool:
    strengths = dict(said(column.header)) if column.header else {}
    if column.distinct > 0.95 and column.with_digits > 0.9 and len(column.filled) > 6:
        strengths.pop("type", None)  # `Code` over names that stand once each
    mine = max((strengths.get(name, 0.0) for name in own), default=0.0)
    other = max((x for name, x in strengths.items() if name in _OTHER_MEANINGS), default=0.0)
    return other < 0.6 or mine >= other


def _mirrored(columns: Mapping[int, ColumnProfile], pair: EndsPair, others: frozenset[str]) -> bool:
    """Two columns of one heading, with numbered or listed names in common, where no third has it."""
    near, far = columns[pair.near], columns[pair.far]
    same = sum(column.header == near.header for column in columns.values())
    named = min(near.with_digits, far.with_digits) > 0.5 or share(far.keys, others) > 0.9
    return bool(near.header) and near.header == far.header and same == 2 and named and pair.near < pair.far


def _directed(columns: Mapping[int, ColumnProfile], pair: EndsPair, others: frozenset[str]) -> EndsPair:
    """The pair with the ends that only feed in its first column; what stands once in each row is fed."""
    near, far = columns[pair.near], columns[pair.far]
    once = [column.distinct == 1.0 and column.share_filled == 1.0 for column in (near, far)]
    if once == [True, False] and far.distinct < FEEDS_SEVERAL:
        return EndsPair(pair.far, pair.near, pair.words, pair.tie)
    only_near, only_far = near.texts - far.texts, far.texts - near.texts
    ports_near, ports_far = (_mostly_ports(texts, others) for texts in (only_near, only_far))
    turned = (len(only_far) < len(only_near)) if ports_near == ports_far else ports_far
    return EndsPair(pair.far, pair.near, pair.words, pair.tie) if turned else pair


def _mostly_ports(texts: Collection[str], others: frozenset[str]) -> bool:
    """Whether most of these names may be ports: one slip among the devices that feed nothing is none."""
    ports = [text for text in texts if spelled(text) and spelling(text) not in others]
    return len(ports) * 2 > len(texts)

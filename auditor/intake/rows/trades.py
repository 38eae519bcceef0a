"""Rows of other trades: another system, the mains, cable whose ends nothing of this bus shares."""

import re
from collections import Counter, defaultdict
from collections.abc import Container, Iterable, Sequence

from auditor.intake.formats.cells import Value
from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.described import describes_controller
from auditor.intake.names.ends import is_controller
from auditor.intake.names.ports import port_alone, spelled
from auditor.intake.names.spelling import spelling
from auditor.intake.rows.part import Part, last_before, tags_listed
from auditor.intake.words import fold, matcher, word_list
from auditor.job.model import Remark, TableKind

_SCHEDULES = (TableKind.PULLS, TableKind.COMBINED)
_BY_SOMEONE = re.compile(  # not `existing` or `future`, which may be of this bus
    r"\b(?:by|others?|contract|scope|bauseits|andere[nr]?|gewerk|autres|tiers|altri|terzi|otros|terceros|derden|anderen)\b"
)
NEARLY, LEAST_TOUCHED = (
    0.9,
    5,
)  # share of the devices of one state, and how many, that pulls touch; project convention
_OF_A_FEED = ("near", "port", "controller", "length_m", "distance_m", "cable", "power_w", "total_power_w")
_SAYS = ("system", "cable", "note", "description", "type")  # fields that name a trade


def leave_out_trades(parts: Sequence[Part], kinds_out: frozenset[str] = frozenset()) -> None:
    """Leave out what never touches this bus.

    Parameters
    ----------
    kinds_out : device kinds that a legend gives to another system, without their spelling
    """
    by_kinds = {id(part) for part in parts if _give_systems(part)}
    for part in parts:
        _leave_out_bare_classes(part)
    rows = [
        (part, index) for part in parts if part.table.kind in _SCHEDULES for index in range(len(part.rows))
    ]
    if not rows:
        return
    tags = tags_listed(parts)
    heads = _controllers_listed(parts)
    texts = {id(part): _texts(part, tags) for part in parts}
    usual = _usual(text for part in parts if part.table.kind in _SCHEDULES for text in texts[id(part)])
    texts = {key: [_without(text, usual) for text in own] for key, own in texts.items()}
    groups = _joined(rows)
    systems = _systems(rows, tags)
    out: dict[int, set[int]] = defaultdict(set)
    kept_ends: set[str] = set()
    out_ends: set[str] = set()
    for members in groups:
        foreign = [
            _is_foreign(part, index, texts[id(part)][index], systems, kinds_out) for part, index in members
        ]
        whole = all(foreign)
        cables = {_cable(*row) for row, alone in zip(members, foreign, strict=True) if not alone}
        for (part, index), alone in zip(members, foreign, strict=True):
            ends = set(_ends(part, index))
            supplies = alone and not (ends & tags) - heads and _cable(part, index) not in {"", *cables}
            stated = id(part) not in by_kinds and _by_system(part, index, systems)
            if whole or supplies or (alone and stated):
                out[id(part)].add(index)
                out_ends |= ends
            else:
                kept_ends |= ends
    if not kept_ends:
        return
    for part in parts:
        if part.table.kind is TableKind.DEVICES:
            out[id(part)] |= set(
                _foreign_devices(part, texts[id(part)], systems, out_ends - kept_ends, kept_ends)
            )
        indices = out[id(part)]
        if indices:
            rows_out = {part.rows[i] for i in indices}
            part.other.trades += sorted(rows_out)
            part.remarks = [r for r in part.remarks if not _is_of_rows(r, part, rows_out)]
            part.take([i for i in range(len(part.rows)) if i not in indices])


def _is_of_rows(remark: Remark, part: Part, rows: Container[int]) -> bool:
    """Whether a remark is of one of these rows; a question of a whole column stands in the first row where the table
    has no heading."""
    if remark.where is None or remark.where.row not in rows:
        return False
    return remark.question is None or remark.where.row != part.table.heading_row


def _controllers_listed(parts: Sequence[Part]) -> set[str]:
    """The rows of the lists of devices that say of themselves that they are controllers with ports."""
    return {
        spelling(words(tag))
        for part in parts
        if part.table.kind is TableKind.DEVICES
        for index, tag in enumerate(part.values("tag"))
        if any(describes_controller(words(own[index])) for own in _descriptions(part))
    }


def _descriptions(part: Part) -> list[list[Value]]:
    return [part.values(name) for name in ("type", "description", "note") if part.has(name)]


def _cable(part: Part, index: int) -> str:
    """The row's cable, folded; empty where it names none."""
    return fold(words(part.values("cable")[index])) if part.has("cable") else ""


def _texts(part: Part, tags: Container[str]) -> list[str]:
    """What each row says in the fields that name a trade, folded; the name of a listed device or of a
    port says nothing."""
    columns = [part.values(name) for name in _SAYS if part.has(name)]
    if part.table.kind in _SCHEDULES:
        columns += [
            [
                "" if spelling(words(value)) in tags or spelled(words(value)) else value
                for value in part.values(name)
            ]
            for name in ("near", "far")
            if part.has(name)
        ]
    columns += [_mains_sections(part), _unread_mains(part)]
    return [
        " | ".join(fold(words(value)) for value in values if value != "")
        for values in zip(*columns, strict=True)
    ]


_MAINS_VOLTS = re.compile(r"\b(?:1[12]\d|2[0-4]\d|400)\s*V", re.IGNORECASE)


def _unread_mains(part: Part) -> list[Value]:
    """What each row says of the mains in a column that is not read: `3x1.5 mains`."""
    table = part.table
    used = {use.column for use in table.understood.columns.values()}
    free = [c for c in range(table.first_column, table.last_column + 1) if c not in used]
    says: dict[Value, bool] = {}  # the same texts come again and again
    found: list[Value] = []
    for row in part.rows:
        texts = [value for c in free if isinstance(value := table.sheet.value(row, c), str) and value]
        for text in texts:
            if text not in says:
                says[text] = matcher("mains").search(fold(text)) is not None
        found.append(next((text for text in texts if says[text]), ""))
    return found


def _mains_sections(part: Part) -> list[Value]:
    """The voltage of the mains that the section above each row names, `1 - ALIMENTATIONS 230 V`."""
    sections = sorted({*part.other.headings, *part.other.notes})
    volts = {section: _mains_volts(part.table.sheet.rows[section - 1]) for section in sections}
    return [volts[above] if above is not None else "" for above in last_before(part.rows, sections)]


def _mains_volts(cells: Sequence[Value]) -> str:
    """The voltage of the mains in a row that is one text; empty: it names none."""
    texts = [value for value in cells if isinstance(value, str) and not is_blank(value)]
    match = _MAINS_VOLTS.search(texts[0]) if len(texts) == 1 else None
    return match[0] if match else ""


def _usual(texts: Iterable[str]) -> frozenset[str]:
    """Words for other trades and the mains that stand in most rows: there they mean something else."""
    listed = list(texts)
    found = Counter(
        phrase
        for text in listed
        for phrase in {m[0] for name in ("other_trade", "mains") for m in matcher(name).finditer(text)}
    )
    return frozenset(phrase for phrase, count in found.items() if count * 2 > len(listed) or len(phrase) < 3)


def _without(text: str, usual: frozenset[str]) -> str:
    for phrase in usual:
        text = re.sub(rf"(?<!\w){re.escape(phrase)}(?!\w)", "", text)
    return text


def _ends(part: Part, index: int) -> Iterable[str]:
    for name in ("near", "far", "tag"):
        if part.has(name) and (text := words(part.values(name)[index])):
            yield spelling(text)


def _joined(rows: Sequence[tuple[Part, int]]) -> list[list[tuple[Part, int]]]:
    """The rows that share ends, directly or over others; a head end without a port joins nothing."""
    parent: dict[str, str] = {}

    def root(name: str) -> str:
        parent.setdefault(name, name)
        while parent[name] != name:
            parent[name] = parent[parent[name]]
            name = parent[name]
        return name

    cached = {id(part): None for part, _ in rows}
    ends_of: list[list[str]] = []
    columns = {}
    for part, _ in rows:
        if id(part) in cached and id(part) not in columns:
            columns[id(part)] = [
                [spelling(words(v)) for v in part.values(name)]
                for name in ("near", "far", "tag")
                if part.has(name)
            ]
    for part, index in rows:
        own = [column[index] for column in columns[id(part)] if column[index]]
        ends_of.append(own)
        for other in own[1:]:
            parent[root(other)] = root(own[0])
    groups: dict[str, list[tuple[Part, int]]] = defaultdict(list)
    for number, (row, own) in enumerate(zip(rows, ends_of, strict=True)):
        groups[root(own[0]) if own else f"\0{number}"].append(row)
    return list(groups.values())


def _systems(rows: Sequence[tuple[Part, int]], tags: set[str]) -> dict[str, bool]:
    """Each value of a system column: whether it is this bus. Without words for it: whether its pulls end at
    listed devices, or where none is listed, whether its roots are ports."""
    near: dict[str, list[str]] = defaultdict(list)
    touch: dict[str, int] = defaultdict(int)
    ours: dict[str, bool] = {}  # whether a row of it is not marked as somebody else's
    for part, index in rows:
        if part.has("system"):
            value = fold(words(part.values("system")[index]))
            near[value].append(words(part.values("near")[index]) if part.has("near") else "")
            touch[value] += any(end in tags for end in _ends(part, index))
            ours[value] = ours.get(value, False) or not _by_someone(part, index)
    found: dict[str, bool] = {}
    named = [value for value in near if matcher("bus").search(value)]
    named = [
        value for value in named if "bus" in value
    ] or named  # beside `Bus device` the `Lighting` is the mains'
    for value, starts in near.items():
        if matcher("other_trade").search(value) or matcher("mains").search(value) or not ours[value]:
            found[value] = False
        elif value in named:
            found[value] = bool(value)
        elif any(touch.values()) and not all(touch[each] for each in near):
            found[value] = touch[value] > 0
        else:
            ports = [list(spelled(start)) for start in starts if start]
            if named:
                ports = [[one for one in own if one.worded or is_controller(one.controller)] for own in ports]
            found[value] = any(ports) or any(port_alone(start) for start in starts if start)
    if not any(found.values()) and not all(ours.values()) and any(ours.values()):
        return ours
    return found if any(found.values()) else dict.fromkeys(found, True)


def _by_someone(part: Part, index: int, name: str = "status") -> bool:
    """Whether a row's status, or its note, says that it is somebody else's."""
    said = fold(words(part.values(name)[index])) if part.has(name) else ""
    return said in word_list("others") and _BY_SOMEONE.search(said) is not None


def _by_system(part: Part, index: int, systems: dict[str, bool]) -> bool:
    return part.has("system") and not systems.get(fold(words(part.values("system")[index])), True)


def _leave_out_bare_classes(part: Part) -> None:
    """Leave out assets of a class of which no row has a feed, a cable or a load, where most of the others have."""
    name = next((name for name in ("system", "type") if part.has(name)), None)
    if part.table.kind is not TableKind.COMBINED or name is None or not part.has("near"):
        return
    stated = [part.values(field) for field in _OF_A_FEED if part.has(field)]
    bare = [all(is_blank(own[index]) for own in stated) for index in range(len(part.rows))]
    of_class: dict[str, list[bool]] = defaultdict(list)
    for value, own in zip(part.values(name), bare, strict=True):
        of_class[fold(words(value))].append(own)
    out = {value for value, own in of_class.items() if value and all(own)}
    if not out or sum(bare) * 2 > len(bare):
        return
    keep = [index for index, value in enumerate(part.values(name)) if fold(words(value)) not in out]
    part.other.trades += sorted({*part.rows} - {part.rows[index] for index in keep})
    part.take(keep)


def _give_systems(part: Part) -> bool:
    """Read the kinds of device as the systems where one of them is the bus itself, `BUS`, `HVAC`, `LIFT`, or where
    most rows are of the bus by a word, `BUS DEVICE`, `BUS PORT`, `CONVEYOR`.

    Whether it was by a word only: a push button is of the bus by its word, and what hangs on it is too.
    """
    kinds = part.values("type") if part.has("type") and not part.has("system") else []
    named = {kind: fold(words(kind)) for kind in set(kinds)}
    whole = any(matcher("bus").fullmatch(text) for text in named.values())
    by_word = sum(matcher("bus").search(named[kind]) is not None for kind in kinds)
    mostly = by_word * 2 > len(kinds) > 0
    if whole or mostly:
        part.give("system", list(kinds))
    return mostly and not whole


def _is_foreign(
    part: Part, index: int, text: str, systems: dict[str, bool], kinds_out: frozenset[str]
) -> bool:
    if _by_system(part, index, systems) or _by_someone(part, index, "note"):
        return True
    for name in ("type", "description") if kinds_out else ():
        if part.has(name) and spelling(words(part.values(name)[index])) in kinds_out:
            return True
    return bool(matcher("other_trade").search(text) or matcher("mains").search(text))


def _foreign_devices(
    part: Part, texts: Sequence[str], systems: dict[str, bool], out_ends: set[str], kept: set[str]
) -> Iterable[int]:
    untouched, stored = _untouched_systems(part, systems, kept), _untouched_states(part, kept)
    for index in range(len(part.rows)):
        tags = set(_ends(part, index))
        if tags & kept:
            continue
        if (
            tags & out_ends
            or (untouched and fold(words(part.values("system")[index])) in untouched)
            or (stored and fold(words(part.values("status")[index])) in stored)
            or _by_system(part, index, systems)
            or (
                part.has("system")
                and matcher("other_trade").search(fold(words(part.values("system")[index])))
            )
        ):
            yield index


def _untouched_systems(part: Part, systems: dict[str, bool], kept: set[str]) -> set[str]:
    """The systems of a list of devices of which no pull touches any device, where pulls touch most of the others and
    their system is the bus by a word: `Control bus`, `Sound`, `Fire`."""
    touched = _touched_by(part, "system", kept)
    of_bus = [name for name, own in touched.items() if name and sum(own) * 2 > len(own)]
    if not any(matcher("bus").search(name) for name in of_bus):
        return set()
    return {name for name, own in touched.items() if name and not any(own) and not systems.get(name)}


def _untouched_states(part: Part, kept: set[str]) -> set[str]:
    """The states of a list of devices of which no pull touches any device, where nearly all devices of another state
    are touched: `IN SERVICE`, `IN STORES`."""
    touched = _touched_by(part, "status", kept)
    if not any(
        name and len(own) >= LEAST_TOUCHED and sum(own) >= NEARLY * len(own) for name, own in touched.items()
    ):
        return set()
    return {
        name
        for name, own in touched.items()
        if name and not any(own) and name not in word_list("landed") and len(own) < LEAST_TOUCHED
    }


def _touched_by(part: Part, name: str, kept: set[str]) -> dict[str, list[bool]]:
    """Of each value of a column whether pulls touch its devices, one after the other."""
    found: dict[str, list[bool]] = defaultdict(list)
    for index, value in enumerate(part.values(name) if part.has(name) else ()):
        found[fold(words(value))].append(not kept.isdisjoint(_ends(part, index)))
    return found

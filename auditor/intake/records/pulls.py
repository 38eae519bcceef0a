"""Rows to pulls."""

import re
from collections import defaultdict
from collections.abc import Container, Sequence
from functools import partial

from auditor.intake.formats.cells import Value
from auditor.intake.grammar import values as grammar
from auditor.intake.grammar.lengths import length_m
from auditor.intake.grammar.values import Context
from auditor.intake.names.ends import Ends, device_port, is_controller, is_splice
from auditor.intake.names.ports import port_alone
from auditor.intake.records.columns import Columns
from auditor.intake.records.from_columns import from_columns
from auditor.intake.records.landed import landed
from auditor.intake.said import question
from auditor.job.model import Pull

_TENTHS = frozenset({"1", "2", "3"})
_LETTERED = re.compile(r"[A-Za-z]\d")  # a terminal that may be a port: `S1`, `X2`


def _distance_m(value: Value, context: Context) -> float:
    return length_m(value, context, "distance", zero=True)


_PULL_FIELDS = (
    "id", "near", "far", "length_m", "cable", "status", "mains_parallel_m", "mains_crossing_deg", "loudspeaker_parallel", "pinned",
    "note",
)  # fmt: skip


def pulls(columns: Columns, ends: Ends, length_unit: str | None) -> list[Pull]:
    """The pulls of a pull schedule, or the feeds of a combined sheet (then `far` is the device)."""
    combined = "far" not in columns
    far_name = "tag" if combined else "far"
    near, far = _names(columns, "near", ends), _names(columns, far_name, ends)
    near = _at_terminals(columns, ends, "near", near)
    starts = ends.ports.keys() | ends.head_end_names()
    begun = any(end in starts for end in near)  # then a far end is a port by its controller's name only
    far = far if combined else _at_terminals(columns, ends, "far", far, named=begun)
    if "port" in columns and (not combined or "near" in columns.given):
        named = zip(near, port_ends(columns, ends, near), strict=True)
        heads = ends.head_end_names()
        near = [port or name if not name or name in heads else name for name, port in named]
    ids = _ids(columns, near, far, combined)
    length = columns.numbers("length_m", length_m, length_unit)
    cable, note = columns.texts("cable"), columns.texts("note")
    to_room, room = columns.texts("far_place"), columns.texts("room")
    mains = columns.numbers("mains_parallel_m", _distance_m, length_unit)
    crossing = columns.numbers("mains_crossing_deg", grammar.angle_deg)
    loudspeaker = columns.numbers("loudspeaker_parallel", lambda value, _: grammar.yes_no(value))
    pins = columns.numbers("pinned", lambda value, _: grammar.yes_no(value))
    pinned = [
        pin if pin is not None else _is_unread(columns, index, "pinned") for index, pin in enumerate(pins)
    ]
    asked = frozenset(name for name, given in columns.given.items() if given.asked)
    cells = columns.cells((*_PULL_FIELDS, "tag") if combined else _PULL_FIELDS)
    keys = ("id", far_name, "near") if combined else ("id", "near", far_name)
    read = columns.table.understood.columns
    key = next((name for name in keys if name in read), next(iter(read)))
    return from_columns(
        Pull,
        len(ids),
        id=ids,
        near=near,
        far=far,
        length_m=length,
        cable=cable,
        landed=landed(columns, ids),
        mains_parallel_m=mains,
        mains_crossing_deg=crossing,
        loudspeaker_parallel=loudspeaker,
        pinned=pinned,
        asked=[asked] * len(ids),
        room=[far_room or own for far_room, own in zip(to_room, room, strict=True)],
        route=columns.beside("routes"),
        note=note,
        where=columns.places(key),
        cells=cells,
        unread=columns.unread_rows(),
    )


def _is_unread(columns: Columns, index: int, name: str) -> bool:
    """Whether a row's cell holds something that could not be read."""
    return any(unread.field == name for unread in columns.unread.get(index, ()))


def homes_of(columns: Columns, ends: Ends) -> list[str | None]:
    """The controller that each record's context names: a line, a section, else its sheet's name."""
    sheet = ends.home(columns.sheet)
    return (
        [home or sheet for home in columns.homes]
        if columns.homes is not None
        else [sheet] * len(columns.rows)
    )


def _names(columns: Columns, name: str, ends: Ends) -> list[str]:
    """The ends that a column names; what most cells hold is known as it stands."""
    if name not in columns:
        return [""] * len(columns.rows)
    homes = homes_of(columns, ends)
    if len(set(homes)) <= 1:
        known = ends.known(homes[0] if homes else None)
        result = [known.get(value) if type(value) is str else None for value in columns.raw(name)]
    else:
        result = [None] * len(columns.rows)
    if None in result:
        texts = columns.texts(name)
        for index, found in enumerate(result):
            if found is None:
                text, home = texts[index] or "", homes[index]
                known = ends.known(home)
                result[index] = (
                    known[text]
                    if text in known
                    else ends.name(text, partial(columns.where, index, name), home)
                )
        _ask_of_numbers(columns, name, result, ends)
    return [found or "" for found in result]


def _ask_of_numbers(columns: Columns, name: str, read: Sequence[str | None], ends: Ends) -> None:
    """Port 10 of controller 1, typed as the number 1.10, is kept as 1.1 and looks like port 1."""
    for index, value in enumerate(columns.raw(name)):
        port = ends.ports.get(read[index] or "") if type(value) is float and value % 1 else None
        most = ends.controllers.get(port.controller) if port else None
        if port and port.port in _TENTHS and (most is None or most >= 10 * int(port.port)):
            message = (
                f"{port.name} under {columns.use(name).header!r} is a number, in which ports {port.port} and "
                f"{port.port}0 are alike; format the column as text and type the ports again"
            )
            where = columns.where(index, name)
            columns.remarks.append(question(port.name, message, where))
            return  # once a column


def port_ends(columns: Columns, ends: Ends, near: Sequence[str] | None = None) -> list[str]:
    """Where a pull starts, from columns of its own for the controller, its slot and the port.

    Parameters
    ----------
    near : the ends that the rows name: a controller there is the port's
    """
    heads = ends.head_end_names()
    named = [
        end if end and (end in heads or ends.home(end)) else None for end in near or [""] * len(columns.rows)
    ]
    rows = zip(
        columns.texts("controller"), columns.texts("slot"), named, columns.texts("port"), homes_of(columns, ends),
        strict=True,
    )  # fmt: skip
    own: list[tuple[str | None, str | None]] = []
    two_ports = panels_of_two(columns)
    for controller, slot, end, port, home in rows:
        if port and controller in two_ports:
            own.append((controller, f"{slot}-{port}"))
        else:
            whole = with_slot(controller or _nearest(end, home), slot)
            own.append(device_port(whole, port, ends) if port else (None, None))
    return [ends.port(controller, port) if controller and port else "" for controller, port in own]


def panels_of_two(columns: Columns) -> frozenset[str]:
    """Panels whose slots are the two ports of one controller: each slot has one port, and there are two."""
    found: dict[str, set[tuple[str, str]]] = defaultdict(set)
    texts = (columns.texts(name) for name in ("controller", "slot", "port"))
    for controller, slot, port in zip(*texts, strict=True):
        if controller and slot and port:
            found[controller].add((slot, port))
    return frozenset(
        controller
        for controller, ports in found.items()
        if len(ports) == 2 == len({slot for slot, _ in ports})
    )


def _nearest(end: str | None, home: str | None) -> str | None:
    """The controller that an end names; `Panel` alone is the one that the sheet names."""
    return home if home and (end is None or end.isalpha()) else end


def with_slot(controller: str | None, slot: str | None) -> str | None:
    """The controller in a slot of a panel."""
    if not controller or not slot:
        return controller
    return f"{controller} slot {slot}" if slot[:1].isdigit() else f"{controller} {slot}"


def _at_terminals(
    columns: Columns, ends: Ends, name: str, names: list[str], *, named: bool = False
) -> list[str]:
    """Ends that a column of terminals completes: `LCP-1` and `PORT 1`; a device's own terminals say nothing.

    Parameters
    ----------
    named : an unlisted end must be named as a controller: a slip of a device's tag is no port
    """
    terminal = f"{name}_terminal"
    if terminal not in columns:
        return names
    heads = ends.head_end_names()
    other = "far" if name == "near" else "near"
    fed = {end for end in columns.texts(other if other in columns else "tag") if end}
    result = []
    rows = list(zip(names, columns.texts(terminal), strict=True))
    of_devices = {text for end, text in rows if end in fed or ends.is_device(end)}
    for end, text in rows:
        known = end in heads or end in ends.controllers or _is_head(end, text or "", fed, ends)
        slip = named and (not is_controller(end) or ends.like_a_tag(end, end))
        other_end = end in fed or is_splice(end) or ends.is_device(end) or slip
        if end and text and (known or not other_end):
            controller, port = device_port(end, text, ends)
            if controller is None and text not in of_devices and _LETTERED.fullmatch(text):
                controller = end  # a source that nothing feeds, at a terminal that no device has
            result.append(ends.port(controller, port, f"{end} {text}") if controller and port else end)
        else:
            result.append(end)
    return result


def _is_head(end: str, terminal: str, fed: Container[str], ends: Ends) -> bool:
    """Whether what is listed without power is the head end: nothing feeds it, and its terminal is a port by a word."""
    port = port_alone(terminal)
    return port is not None and port.worded and end not in fed and ends.is_box(end)


def _ids(columns: Columns, near: Sequence[str], far: Sequence[str], combined: bool) -> list[str]:
    """Typed ids as typed; where there is none, a name of ours that no other pull has."""
    typed = columns.texts("id")
    if all(typed):
        return [text for text in typed if text]
    taken = {text for text in typed if text}
    return [
        text or _free(f"{end} feed" if combined else f"{start or '?'} to {end or '?'}", taken)
        for text, start, end in zip(typed, near, far, strict=True)
    ]


def _free(base: str, taken: set[str]) -> str:
    name, number = base, 2
    while name in taken:
        name, number = f"{base} ({number})", number + 1
    taken.add(name)
    return name

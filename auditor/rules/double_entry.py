"""double-entry: no device and no pull is listed twice.

What it checks
    Device rows with the same tag; pull rows with the same id; pulls that join the same ends with the same
    length. The finding stands on each of them. A pull row that states the same id and ends again is counted
    once, with the longer of two lengths; two devices under one tag are both counted, the cautious way. One
    tag on two controllers makes one net of both.

Why
    A row that was copied and not changed counts devices and cable twice, or hides one that is missing.

Source
    Common practice, no published source.

Fails
    `K4` listed on C1 and again on C2; two rows with the tag `K4`, both of them, with what they contradict
    each other in: room 3 and 9, 0.6 and 1.2 W. Review: pulls 6 and 8, each
    33 ft from `K4` to `K5`.

Passes
    `K4` and `K5`; one row `K4` with the quantity 2.

To fix
    Delete the row that is too many, or give it the tag or id that it should have; lift a pull that was
    meant as a spare.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence, Set

from auditor.bus.measure import Bus
from auditor.job.model import Device, Pull
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Level, Scope
from auditor.units import length_text, number_text

NAME = "double-entry"
SCOPE = Scope.ROW | Scope.CONTROLLER | Scope.CABLE
_NAMED = 5  # rows that a sentence names


def check(bus: Bus, _: Plans) -> Iterator[Finding]:
    devices: dict[str, list[Device]] = defaultdict(list)
    for device in bus.job.devices:
        devices[device.tag].append(device)
    pulls: dict[str, list[Pull]] = defaultdict(list)
    for pull in bus.job.pulls:
        pulls[pull.id].append(pull)
    repeated = {id(pull) for pull in bus.topology.repeated_pulls}
    for tag, rows in devices.items():
        yield from _two_devices(tag, rows) or _repeated(
            tag, rows, repeated, Level.FAIL, differ=_differences(rows)
        )
    for name, same in pulls.items():
        yield from _repeated(name, same if name else (), repeated, differ=_lengths(bus, same, repeated))
    yield from _side_by_side(bus, repeated)


def _two_devices(tag: str, rows: Sequence[Device]) -> list[Finding]:
    """Failures on all rows of a tag that the device list has on two controllers."""
    first: dict[str, Device] = {}
    for row in rows:
        if row.controller is not None:
            first.setdefault(row.controller, row)
    if len(first) < 2:
        return []
    found = []
    for row in rows:
        listed = " and ".join(f"on {name} in {_row_text(each, row)}" for name, each in first.items())
        message = (
            f"{tag} is listed {listed}: two devices need two tags, and until they have them their pulls are "
            "joined; rename one, in the pulls as well"
        )
        found.append(Finding(rule=NAME, level=Level.FAIL, subject=tag, message=message, where=row.where))
    return found


def _side_by_side(bus: Bus, repeated: Set[int]) -> Iterator[Finding]:
    """Pulls of different ids that could be one pull scheduled twice."""
    alike: dict[tuple[frozenset[str], float], list[Pull]] = defaultdict(list)
    for pull in bus.job.pulls:
        if pull.landed and pull.near and pull.far and pull.length_m and id(pull) not in repeated:
            alike[frozenset((pull.near, pull.far)), pull.length_m].append(pull)
    for (_, length_m), pulls in alike.items():
        for pull in pulls if len({each.id for each in pulls}) > 1 else ():
            others = " and ".join(each.id for each in pulls if each is not pull)
            length = length_text(length_m, bus.job.length_unit)
            message = (
                f"Pull {pull.id} joins {pull.near} and {pull.far} with {length}, and so does {others}; "
                "delete the row that is too many, or mark one as a spare return"
            )
            yield Finding(rule=NAME, level=Level.REVIEW, subject=pull.id, message=message, where=pull.where)


def _differences(rows: Sequence[Device]) -> str:
    """In what the rows of one tag differ: empty, or ` with room 3 and 9, 0.6 and 1.2 W`."""
    rooms = [row.room or "none" for row in rows]
    room = "" if any("room" in each.casefold() for each in rooms) else "room "
    powers = ["none" if row.power_w is None else number_text(row.power_w) for row in rows]
    quantities = [str(row.quantity) for row in rows]
    named = [
        f"{before}{' and '.join(dict.fromkeys(texts))}{after}"
        for before, texts, after in ((room, rooms, ""), ("", powers, " W"), ("quantity ", quantities, ""))
        if len(set(texts)) > 1
    ]
    return f" with {', '.join(named)}" if named else ""


def _lengths(bus: Bus, pulls: Sequence[Pull], repeated: Set[int]) -> str:
    """The lengths of one pull's rows, where they are not one: empty, or ` with 60 ft and 33 ft`."""
    if not any(id(pull) in repeated for pull in pulls):
        return ""
    lengths_m = dict.fromkeys(pull.length_m for pull in pulls)
    if len(lengths_m) < 2:
        return ""
    unit = bus.job.length_unit
    return f" with {' and '.join('no length' if m is None else length_text(m, unit) for m in lengths_m)}"


def _repeated(
    name: str,
    rows: Sequence[Device | Pull],
    repeated: Set[int],
    level: Level = Level.REVIEW,
    *,
    differ: str = "",
) -> Iterator[Finding]:
    """One on each row, as any of them may be the one to mend.

    Parameters
    ----------
    differ : what its rows differ in, in words
    """
    once = any(id(row) in repeated for row in rows)
    for number, row in enumerate(rows if len(rows) > 1 else ()):
        if number == 0:
            where = f"here and again in {_rows_text(rows[1:], row)}"
        else:
            where = f"in {_row_text(rows[0], row)} and again here"
        counted = f"{'both' if len(rows) == 2 else 'all'} are counted"
        if once:
            counted = f"this row is {'not ' if id(row) in repeated else ''}counted"
        same = once or isinstance(row, Device)
        to_do = "Delete one row or rename it" if same else "They join other ends: give one of them another id"
        message = f"{name} is listed {where}{differ}; {counted}. {to_do}"
        yield Finding(rule=NAME, level=level, subject=name, message=message, where=row.where)


def _rows_text(rows: Sequence[Device | Pull], seen_from: Device | Pull) -> str:
    named = [_row_text(row, seen_from) for row in rows[:_NAMED]]
    named += [f"{len(rows) - _NAMED} more"] if len(rows) > _NAMED else []
    return " and ".join(filter(None, (", ".join(named[:-1]), named[-1])))


def _row_text(row: Device | Pull, seen_from: Device | Pull) -> str:
    sheet = "" if row.where.sheet == seen_from.where.sheet else f" of {row.where.sheet}"
    return f"row {row.where.row}{sheet}"

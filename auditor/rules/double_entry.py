"""double-entry: no device and no pull is listed twice.

What it checks
    Device rows with the same tag; pull rows with the same id. The finding stands on each of them. A pull row
    that states the same id and ends again is counted once; two devices under one tag are both counted, the
    cautious way.

Why
    A row that was copied and not changed counts devices and cable twice, or hides one that is missing.

Source
    Common practice, no published source.

Fails
    Nothing by itself. Review: two rows with the tag `K4`, both of them.

Passes
    `K4` and `K5`; one row `K4` with the quantity 2.

To fix
    Delete the row that is too many, or give it the tag or id that it should have.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence, Set

from auditor.bus import Bus
from auditor.findings import Finding, Level
from auditor.model import Device, Pull

NAME = "double-entry"
_NAMED = 5  # rows that a sentence names


def check(bus: Bus) -> Iterator[Finding]:
    devices: dict[str, list[Device]] = defaultdict(list)
    for device in bus.job.devices:
        devices[device.tag].append(device)
    pulls: dict[str, list[Pull]] = defaultdict(list)
    for pull in bus.job.pulls:
        pulls[pull.id].append(pull)
    repeated = {id(pull) for pull in bus.topology.repeated_pulls}
    for tag, rows in devices.items():
        yield from _findings(tag, rows, repeated)
    for name, same in pulls.items():
        yield from _findings(name, same if name else (), repeated)


def _findings(name: str, rows: Sequence[Device | Pull], repeated: Set[int]) -> Iterator[Finding]:
    """One on each row, as any of them may be the one to mend."""
    once = any(id(row) in repeated for row in rows)
    for number, row in enumerate(rows if len(rows) > 1 else ()):
        if number == 0:
            where = f"here and again in {_places(rows[1:], row)}"
        else:
            where = f"in {_place(rows[0], row)} and again here"
        counted = f"{'both' if len(rows) == 2 else 'all'} are counted"
        if once:
            counted = f"this row is {'not ' if id(row) in repeated else ''}counted"
        message = f"{name} is listed {where}; {counted}. Delete one row or rename it"
        yield Finding(rule=NAME, level=Level.REVIEW, subject=name, message=message, where=row.where)


def _places(rows: Sequence[Device | Pull], seen_from: Device | Pull) -> str:
    named = [_place(row, seen_from) for row in rows[:_NAMED]]
    named += [f"{len(rows) - _NAMED} more"] if len(rows) > _NAMED else []
    return " and ".join(filter(None, (", ".join(named[:-1]), named[-1])))


def _place(row: Device | Pull, seen_from: Device | Pull) -> str:
    sheet = "" if row.where.sheet == seen_from.where.sheet else f" of {row.where.sheet}"
    return f"row {row.where.row}{sheet}"

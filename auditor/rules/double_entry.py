"""double-entry: no device and no pull is listed twice.

What it checks
    Device rows with the same tag; pull rows with the same id. A pull row that states the same id and
    ends again is counted once; two devices under one tag are both counted, the cautious way.

Why
    A row that was copied and not changed counts devices and cable twice, or hides one that is missing.

Source
    Common practice, no published source.

Fails
    Nothing by itself. Review: two rows with the tag `K4`.

Passes
    `K4` and `K5`; one row `K4` with the quantity 2.

To fix
    Delete the second row or give it the tag or id that it should have.
"""

from collections import defaultdict
from collections.abc import Iterator

from auditor.bus import Bus
from auditor.findings import Finding, Level
from auditor.model import Device, Pull

NAME = "double-entry"


def check(bus: Bus) -> Iterator[Finding]:
    devices: dict[str, list[Device]] = defaultdict(list)
    for device in bus.job.devices:
        devices[device.tag].append(device)
    pulls: dict[str, list[Pull]] = defaultdict(list)
    for pull in bus.job.pulls:
        pulls[pull.id].append(pull)
    repeated = {id(pull) for pull in bus.topology.repeated_pulls}
    for tag, rows in devices.items():
        for row in rows[1:]:
            yield _finding(tag, row, rows[0], "both are counted")
    for name, same in pulls.items():
        for again in same[1:] if name else ():
            counted = "this row is not counted" if id(again) in repeated else "both are counted"
            yield _finding(name, again, same[0], counted)


def _finding(name: str, row: Device | Pull, first: Device | Pull, counted: str) -> Finding:
    place = f"row {first.where.row}" + (
        "" if first.where.sheet == row.where.sheet else f" of {first.where.sheet}"
    )
    message = f"{name} is listed in {place} and again here; {counted}. Delete one row or rename it"
    return Finding(rule=NAME, level=Level.REVIEW, subject=name, message=message, where=row.where)

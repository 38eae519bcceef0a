"""unknown-end: every pull ends at something that the job knows.

What it checks
    The ends of each pull against the device list, the ports, the head ends and the splices.

Why
    A slip in a tag detaches everything beyond it from the audit.

Source
    Common practice, no published source.

Fails
    Review: a pull to `KP-07A` while the device list has `KP-07`.

Passes
    A pull to `KP-07`, to `C1.2`, or to a splice.

To fix
    Correct the end's name, add the device to the device list, or word a splice as one (`SP3`).
"""

from collections.abc import Iterator

from auditor.bus import Bus
from auditor.findings import Finding, Level

NAME = "unknown-end"
ALIKE = 60.0  # project convention: similarity in per cent from which a tag is suggested


def check(bus: Bus) -> Iterator[Finding]:
    job = bus.job
    known = [device.tag for device in job.devices] + sorted(job.ports.keys() | job.head_ends | job.splices)
    for pull, end in bus.topology.unknown_ends:
        field = "near" if end == pull.near else "far"
        message = (
            f"Pull {pull.id} ends at {end}, which is no device, port, head end or splice of this job; "
            f"{_to_do(end, known)}"
        )
        where = pull.cells.get(field, pull.where)
        yield Finding(rule=NAME, level=Level.REVIEW, subject=pull.id, message=message, where=where)


def _to_do(end: str, known: list[str]) -> str:
    from rapidfuzz import fuzz, process

    nearest = process.extractOne(end, known, scorer=fuzz.ratio, processor=str.casefold, score_cutoff=ALIKE)
    correct = f"write {nearest[0]} if that is meant" if nearest else "correct it"
    return f"{correct}, or add {end} to the device list"

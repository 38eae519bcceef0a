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
    Correct the end's name, add the device to the device list, word a splice as one (`SP3`), or write a port
    like `C1.1` or `C1-P2`; a controller of any other name is listed in a table of controllers.
"""

import re
from collections.abc import Iterator

from auditor.bus.measure import Bus
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Level, Scope

NAME = "unknown-end"
SCOPE = Scope.ROW
ALIKE = 60.0  # project convention: similarity in per cent from which a tag is suggested

_LIKE_A_PORT = re.compile(  # `A.1`, `Box 2/3`, `Port 3`, `west out 2`
    r"\w[\w #-]{0,30}\s*[./:]\s*(?:p|port|out)?\s*\d{1,2}"
    r"|(?:.{0,30}\W)?(?:port|output|out|terminals?)[\s.#-]*(?:\d{1,2}|[a-d])",
    re.IGNORECASE,
)


def check(bus: Bus, _: Plans) -> Iterator[Finding]:
    job = bus.job
    known = [device.tag for device in job.devices] + sorted(job.ports.keys() | job.head_ends | job.splices)
    tags_alike = any(_LIKE_A_PORT.fullmatch(device.tag) for device in job.devices)
    for pull, end in bus.topology.unknown_ends:
        field = "near" if end == pull.near else "far"
        may_be_port = not tags_alike and _LIKE_A_PORT.fullmatch(end) is not None
        message = (
            f"Pull {pull.id} ends at {end}, which is no device, port, head end or splice of this job; "
            f"{_to_do(end, known, may_be_port=may_be_port)}"
        )
        where = pull.cells.get(field, pull.where)
        yield Finding(rule=NAME, level=Level.REVIEW, subject=pull.id, message=message, where=where)


def _to_do(end: str, known: list[str], *, may_be_port: bool) -> str:
    from rapidfuzz import fuzz, process

    nearest = process.extractOne(end, known, scorer=fuzz.ratio, processor=str.casefold, score_cutoff=ALIKE)
    correct = f"write {nearest[0]} if that is meant" if nearest else ""
    if may_be_port:
        port = "if it is a port, write it like C1.1 or C1-P2 or list its controller in a table of controllers"
        return f"{correct + '; ' if correct else ''}{port}; if it is a device, add {end} to the device list"
    return f"{correct or 'correct it'}, or add {end} to the device list"

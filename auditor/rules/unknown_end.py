"""unknown-end: every pull ends at something that the job knows.

What it checks
    The ends of each pull against the device list, the ports, the head ends and the splices.

Why
    A slip in a tag detaches everything beyond it from the audit.

Source
    Common practice, no published source.

Fails
    A pull to `KP-07A` while the device list has `KP-07`. A name is suggested only where it closes no loop.
    Review: the same where an open question may feed it, or of a spare return, which joins nothing; once,
    where the job lists no device at all.

Passes
    A pull to `KP-07`, to `C1.2`, or to a splice.

To fix
    Correct the end's name, add the device to the device list, word a splice as one (`SP3`), or write a port
    like `C1.1` or `C1-P2`; a controller of any other name is listed in a table of controllers.
"""

import re
from collections.abc import Iterator

from auditor.bus.measure import Bus
from auditor.bus.other_ends import OtherEnds
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Level, Scope

NAME = "unknown-end"
SCOPE = Scope.ROW
MOST_NAMED = 4  # ends that one question lists

_LIKE_A_PORT = re.compile(  # `A.1`, `Box 2/3`, `Port 3`, `west out 2`
    r"\w[\w #-]{0,30}\s*[./:]\s*(?:p|port|out)?\s*\d{1,2}"
    r"|(?:.{0,30}\W)?(?:port|output|out|terminals?)[\s.#-]*(?:\d{1,2}|[a-d])",
    re.IGNORECASE,
)


def check(bus: Bus, _: Plans) -> Iterator[Finding]:
    job = bus.job
    if not job.devices:
        yield from _without_devices(bus)
    elif bus.topology.unknown_ends:
        yield from _of_ends(bus)


def _of_ends(bus: Bus) -> Iterator[Finding]:
    job = bus.job
    others = OtherEnds(bus)
    dark = {id(pull) for pull in bus.topology.unfed_pulls if pull.landed}
    tags_alike = any(_LIKE_A_PORT.fullmatch(device.tag) for device in job.devices)
    for pull, end in bus.topology.unknown_ends:
        field, ends = ("near", "starts") if end == pull.near else ("far", "ends")
        may_be_port = not tags_alike and _LIKE_A_PORT.fullmatch(end) is not None
        meant = others.nearest(pull, end)
        nothing = ", which nothing feeds," if meant in others.unfed else ""
        correct = f"write {others.shown(meant)}{nothing} if that is meant" if meant else ""
        to_do = _to_do(end, correct, may_be_port=may_be_port, dark=id(pull) in dark)
        message = f"Pull {pull.id} {ends} at {end}, which is no device, port, head end or splice of this job; {to_do}"
        where = pull.cells.get(field, pull.where)
        level = Level.REVIEW if end in job.open_ends or not pull.landed else Level.FAIL
        yield Finding(rule=NAME, level=level, subject=pull.id, message=message, where=where)


def _without_devices(bus: Bus) -> Iterator[Finding]:
    """One question: without a list of devices no end can be called unknown."""
    for pull, end in bus.topology.unknown_ends[:1]:
        ends = list(dict.fromkeys(end for _, end in bus.topology.unknown_ends))
        more = f" and {len(ends) - MOST_NAMED} more" if len(ends) > MOST_NAMED else ""
        message = (
            f"No list of devices is found that names the ends of the pulls ({', '.join(ends[:MOST_NAMED])}{more}); add one "
            "with each device and what it draws"
        )
        where = pull.cells.get("near" if end == pull.near else "far", pull.where)
        yield Finding(rule=NAME, level=Level.REVIEW, subject=pull.id, message=message, where=where)


def _to_do(end: str, correct: str, *, may_be_port: bool, dark: bool) -> str:
    """What to do about an end.

    Parameters
    ----------
    correct : which name to write; empty: none is near
    dark : nothing feeds the pull, so that a device of this name would not be fed either
    """
    add = f"add {end} to the device list{', and the pull that feeds it' if dark else ''}"
    if may_be_port:
        port = "if it is a port, write it like C1.1 or C1-P2 or list its controller in a table of controllers"
        return f"{correct + '; ' if correct else ''}{port}; if it is a device, {add}"
    return f"{correct or 'correct it'}, or {add}"

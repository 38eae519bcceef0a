"""unknown-end: every pull ends at something that the job knows.

What it checks
    The ends of each pull against the device list, the ports, the head ends and the splices; and that
    no controller is used with more ports than it has; and the port that the device list states for a
    device against the port that its pulls lead to.

Why
    A slip in a tag detaches everything beyond it from the audit.

Source
    Common practice, no published source.

Fails
    Pulls from `C1.1`, `C1.2` and `C1.3` where C1 has 2 ports. Review: a pull to `KP-07A` while the
    device list has `KP-07`.

Passes
    A pull to `KP-07`, to `C1.2`, or to a splice.

To fix
    Correct the end's name, add the device to the device list, or word a splice as one (`SP3`).
"""

from collections.abc import Iterator

from auditor.bus import Bus
from auditor.findings import Finding, Level
from auditor.model import natural_key

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
    yield from _too_many_ports(bus)
    yield from _other_port(bus)


def _other_port(bus: Bus) -> Iterator[Finding]:
    for state in bus.runs:
        fed_from = {(port.controller, port.port) for port in state.run.ports}
        controllers = {controller for controller, _ in fed_from}
        for device in state.run.devices:
            stated = (device.controller, device.port)
            if device.controller is None or not fed_from or stated in fed_from:
                continue
            if device.port is None and device.controller in controllers:
                continue
            where = device.cells.get("port") or device.cells.get("controller") or device.where
            message = (
                f"The device list has {device.tag} on {'.'.join(part for part in stated if part)}, its pulls lead to "
                f"{state.run.name}; correct one of the two"
            )
            yield Finding(rule=NAME, level=Level.REVIEW, subject=device.tag, message=message, where=where)


def _too_many_ports(bus: Bus) -> Iterator[Finding]:
    for controller in bus.controllers:
        used = [port.name for port in bus.job.ports.values() if port.controller == controller.name]
        if len(used) > controller.ports:
            message = (
                f"The schedule uses {len(used)} ports of {controller.name} ({', '.join(sorted(used, key=natural_key))}), "
                f"which has {controller.ports}; correct the ends or add a controller"
            )
            yield Finding(
                rule=NAME,
                level=Level.FAIL,
                subject=controller.name,
                message=message,
                where=controller.where,
                measured=len(used),
                limit=controller.ports,
                unit="ports",
            )


def _to_do(end: str, known: list[str]) -> str:
    from rapidfuzz import fuzz, process

    nearest = process.extractOne(end, known, scorer=fuzz.ratio, processor=str.casefold, score_cutoff=ALIKE)
    correct = f"write {nearest[0]} if that is meant" if nearest else "correct it"
    return f"{correct}, or add {end} to the device list"

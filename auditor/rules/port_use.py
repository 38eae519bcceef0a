"""port-use: every port that the schedule uses is there, and is the one that the device list states.

What it checks
    How many ports of each controller the schedule uses against how many it has; port numbers and letters
    that a controller of so many ports does not have; and the port that the device list states for a device
    against the port that its pulls lead to.

Why
    A third run on a controller of two ports has nowhere to land; and of two papers that name different
    ports for a device, the crew will follow one and the label the other.

Source
    Common practice, no published source.

Fails
    Pulls from `C1.1`, `C1.2` and `C1.3` where C1 has 2 ports, the rows on `C1.3`; pulls from `C1.1` and
    `C1.7`, or from `C1.0`. Review: pulls from `C1.7` alone, which may be counted otherwise; the device
    list has K1 on `C1.2` while its pulls lead to `C1.1`.

Passes
    Pulls from `C1.1` and `C1.2` where C1 has 2 ports; K1 listed on `C1.1` or on C1 alone, and its pulls
    lead to `C1.1`.

To fix
    Correct the end or the device list, or add a controller.
"""

from collections.abc import Iterator, Sequence
from itertools import compress

from auditor.bus.measure import Bus, ControllerState
from auditor.bus.ports import beyond, counted, places
from auditor.job.model import natural_key
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Level, Scope

NAME = "port-use"
SCOPE = Scope.ROW | Scope.RUN | Scope.CONTROLLER
MOST_NAMED = 2  # free ports that a sentence names


def check(bus: Bus, _: Plans) -> Iterator[Finding]:
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
                f"The device list has {device.tag} on {'.'.join(part for part in stated if part)}, its "
                f"pulls lead to {state.run.shown}; correct one of the two"
            )
            yield Finding(rule=NAME, level=Level.REVIEW, subject=device.tag, message=message, where=where)


def _too_many_ports(bus: Bus) -> Iterator[Finding]:
    for controller in bus.controllers:
        own = [port for port in bus.job.ports.values() if port.controller == controller.name]
        used = sorted((port.name for port in own), key=natural_key)
        numbers = [port.port for port in own]
        names = (port.name for port in own)
        extra = sorted(compress(names, beyond(numbers, controller.ports)), key=natural_key)
        if len(used) > controller.ports:
            message = (
                f"The schedule uses {len(used)} ports of {controller.name} ({', '.join(used)}), which has "
                f"{controller.ports}; correct the ends or add a controller"
            )
            for name in extra or [controller.name]:
                yield _finding(bus, controller, name, Level.FAIL, message, len(used))
            continue
        stated = bus.job.controllers[controller.name].ports is not None
        level = Level.FAIL if len(extra) < len(used) or -1 in places(numbers) else Level.REVIEW
        free = _free_text(controller, numbers)
        for name in extra:
            message = (
                f"{name} is no port of {controller.name}, which has {controller.ports}, counted from 1 or A; correct "
                f"the end{free}{'' if stated else ', or say how many ports there are'}"
            )
            yield _finding(bus, controller, name, level, message, len(used))


def _free_text(controller: ControllerState, used: Sequence[str]) -> str:
    """The ports that the schedule leaves free, counted as it counts."""
    taken = {port.upper() for port in used}
    free = [f"{controller.name}.{port}" for port in counted(used, controller.ports) if port not in taken]
    if not free:
        return ""
    return f" ({' and '.join(free[:MOST_NAMED])} {'is' if len(free) == 1 else 'are'} free)"


def _finding(
    bus: Bus, controller: ControllerState, subject: str, level: Level, message: str, used: int
) -> Finding:
    run = next((state for state in bus.runs if subject in {port.name for port in state.run.ports}), None)
    return Finding(
        rule=NAME,
        level=level,
        subject=subject,
        message=message,
        where=run.where if run is not None else controller.where,
        measured=used,
        limit=controller.ports,
        unit="ports",
    )

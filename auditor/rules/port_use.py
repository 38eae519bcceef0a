"""port-use: every port that the schedule uses is there, and is the one that the device list states.

What it checks
    How many ports of each controller the schedule uses against how many it has; and the port that the
    device list states for a device against the port that its pulls lead to.

Why
    A third run on a controller of two ports has nowhere to land; and of two papers that name different
    ports for a device, the crew will follow one and the label the other.

Source
    Common practice, no published source.

Fails
    Pulls from `C1.1`, `C1.2` and `C1.3` where C1 has 2 ports. Review: the device list has K1 on `C1.2`
    while its pulls lead to `C1.1`.

Passes
    Pulls from `C1.1` and `C1.2` where C1 has 2 ports; K1 listed on `C1.1` or on C1 alone, and its pulls
    lead to `C1.1`.

To fix
    Correct the end or the device list, or add a controller.
"""

from collections.abc import Iterator

from auditor.bus.measure import Bus
from auditor.job.model import natural_key
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Level, Scope

NAME = "port-use"
SCOPE = Scope.ROW | Scope.CONTROLLER


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
        used = [port.name for port in bus.job.ports.values() if port.controller == controller.name]
        if len(used) > controller.ports:
            message = (
                f"The schedule uses {len(used)} ports of {controller.name} "
                f"({', '.join(sorted(used, key=natural_key))}), which has {controller.ports}; correct the "
                "ends or add a controller"
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

"""device-count: no port and no controller serves more devices than the bus allows.

What it checks
    The devices of each run, and of each controller over its ports; a quantity column multiplies.
    Off-specification cable derates the limit of the run, not that of the controller. Branches
    without a port are judged on the port plan instead.

Why
    Every device loads the pair even when it idles, and the controller has only so many addresses.

Source
    The profile's limits `run.devices` and `controller.devices` and their sources.

Fails
    51 devices on a port, limit 50.

Passes
    45 devices on a port; 46 to 50 pass and are said as a review, little is left.

To fix
    Move a branch to another port or controller.
"""

from collections.abc import Iterator

from auditor.bus.measure import Bus, ControllerState
from auditor.results.findings import Finding
from auditor.rules.judging import judge, judge_plain, run_finding, to_do

NAME = "device-count"
FIX = "move a branch to another port or controller"


def check(bus: Bus) -> Iterator[Finding]:
    for state in bus.runs:
        count = state.run.device_count
        judged = judge(bus, state, "devices", count, "devices") if state.run.assigned else None
        if judged is not None:
            message = f"{state.run.name} feeds {count} devices, {judged.words}{to_do(judged, FIX)}"
            yield from run_finding(bus, state, NAME, judged, count, "devices", message)
    for controller in bus.controllers:
        yield from _controller(bus, controller)


def _controller(bus: Bus, controller: ControllerState) -> Iterator[Finding]:
    judged = judge_plain(bus, controller.devices, controller.devices_limit, "devices")
    if judged is not None:
        yield Finding(
            rule=NAME,
            level=judged.level,
            subject=controller.name,
            message=f"{controller.name} serves {controller.devices} devices, "
            f"{judged.words}{to_do(judged, FIX)}",
            where=controller.where,
            measured=controller.devices,
            limit=judged.limit,
            unit="devices",
        )

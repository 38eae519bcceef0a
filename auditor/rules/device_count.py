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
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Scope
from auditor.rules.comparison import compare, compare_in_run, run_finding, to_do

NAME = "device-count"
SCOPE = Scope.RUN | Scope.CONTROLLER | Scope.PORT_PLAN
FIX = "move a branch to another port or controller"


def check(bus: Bus, _: Plans) -> Iterator[Finding]:
    for state in bus.runs:
        count = state.run.device_count
        compared = compare_in_run(bus, state, "devices", count, "devices") if state.run.assigned else None
        if compared is not None:
            message = f"{state.run.shown} feeds {count} devices, {compared.words}{to_do(compared, FIX)}"
            yield from run_finding(bus, state, NAME, compared, count, "devices", message)
    for controller in bus.controllers:
        yield from _controller_findings(bus, controller)


def _controller_findings(bus: Bus, controller: ControllerState) -> Iterator[Finding]:
    compared = compare(bus, controller.devices, controller.devices_limit, "devices")
    if compared is not None:
        yield Finding(
            rule=NAME,
            level=compared.level,
            subject=controller.name,
            message=f"{controller.name} serves {controller.devices} devices, "
            f"{compared.words}{to_do(compared, FIX)}",
            where=controller.where,
            measured=controller.devices,
            limit=compared.limit,
            unit="devices",
        )

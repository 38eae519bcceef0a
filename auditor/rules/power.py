"""power: no port and no supply has to give more than it can.

What it checks
    The sum of the devices' active power on each port, where the profile limits it, and on each
    controller against its supply; a quantity column multiplies. Where the supply is rated by its
    current, the current that all runs draw together. A controller sheet's own supply rating stands
    above the profile's. Devices without a power are reported by `missing-value`.

Why
    An overloaded supply folds back: all devices on it brown out together when everything is on.

Source
    The profile's limits `run.power`, `controller.supply_power` and `controller.supply_current`.

Fails
    36 W on a controller with a 35 W supply.

Passes
    31 W on a controller with a 35 W supply; 32 to 35 W pass and are said as a review.

To fix
    Move devices to another controller or choose a larger supply that the maker of the bus allows.
"""

from collections.abc import Iterator

from auditor.bus import Bus, ControllerState
from auditor.findings import Finding
from auditor.rules.judging import Judged, judge, judge_plain, run_finding, to_do
from auditor.units import quantity_text

NAME = "power"
FIX = "move devices to another controller or choose a larger supply that the maker of the bus allows"


def check(bus: Bus) -> Iterator[Finding]:
    for state in bus.runs:
        judged = judge(bus, state, "power_w", state.power_w, "W") if state.run.assigned else None
        if judged is not None:
            message = (
                f"The devices on {state.run.name} draw {_text(state.power_w, 'W')}, "
                f"{judged.words}{to_do(judged, 'move devices to another port')}"
            )
            yield from run_finding(bus, state, NAME, judged, state.power_w, "W", message)
    for controller in bus.controllers:
        yield from _controller(bus, controller)


def _controller(bus: Bus, controller: ControllerState) -> Iterator[Finding]:
    judged = judge_plain(bus, controller.power_w, controller.supply_power_w, "W")
    if judged is not None:
        yield _finding(controller, controller.power_w, "W", judged)
    currents_a = [state.electrical.current_a for state in controller.runs]
    total_a = sum(current_a or 0.0 for current_a in currents_a)
    judged = judge_plain(bus, total_a, controller.supply_current_a, "A")
    if judged is not None:
        yield _finding(controller, total_a, "A", judged)


def _finding(controller: ControllerState, measured: float, unit: str, judged: Judged) -> Finding:
    return Finding(
        rule=NAME,
        level=judged.level,
        subject=controller.name,
        message=f"The devices on {controller.name} draw {_text(measured, unit)}, {judged.words}{to_do(judged, FIX)}",
        where=controller.where,
        measured=measured,
        limit=judged.limit,
        unit=unit,
    )


def _text(value: float, unit: str) -> str:
    return quantity_text(value, unit, "m")

"""power: no port and no supply has to give more than it can.

What it checks
    The sum of the devices' active power on each port, where the profile limits it, and on each
    controller against its supply; a quantity column multiplies. Where the supply is rated by its
    current, the current that all runs draw together. A controller sheet's own supply rating stands
    above the profile's. Devices without a power are reported by `missing-value`. Notes: what the cable
    loses on top, where that takes the supply past its rating; start-up power where the device list gives
    it; a supply above the published limit of a power-limited circuit.

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
from auditor.calc.supply import class_2_limit
from auditor.findings import Finding, Level
from auditor.rules.judging import Judged, judge, judge_plain, run_finding, to_do
from auditor.units import exceeds, quantity_text

NAME = "power"
FIX = "move devices to another controller or choose a larger supply that the maker of the bus allows"


def check(bus: Bus) -> Iterator[Finding]:
    for state in bus.runs:
        judged = judge(bus, state, "power_w", state.power_w, "W") if state.run.assigned else None
        if judged is not None:
            message = (
                f"The devices on {state.run.name} draw {_at_least(state.unpowered)}{_text(state.power_w, 'W')}, "
                f"{judged.words}{to_do(judged, 'move devices to another port')}"
            )
            yield from run_finding(bus, state, NAME, judged, state.power_w, "W", message)
    for controller in bus.controllers:
        yield from _controller(bus, controller)
        yield from _with_loss(controller)
        yield from _starting(controller)
        yield from _class_limit(controller)


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
        message=(
            f"The devices on {controller.name} draw {_at_least(controller.unpowered)}{_text(measured, unit)}, "
            f"{judged.words}{to_do(judged, FIX)}"
        ),
        where=controller.where,
        measured=measured,
        limit=judged.limit,
        unit=unit,
    )


def _at_least(unpowered: int) -> str:
    return "at least " if unpowered else ""


def _text(value: float, unit: str) -> str:
    return quantity_text(value, unit, "m")


def _note(controller: ControllerState, level: Level, message: str, measured: float, limit: float) -> Finding:
    return Finding(
        rule=NAME,
        level=level,
        subject=controller.name,
        message=message,
        where=controller.where,
        measured=measured,
        limit=limit,
        unit="W",
    )


def _with_loss(controller: ControllerState) -> Iterator[Finding]:
    supply_w = controller.supply_power_w
    loss_w = sum(state.electrical.loss_w or 0.0 for state in controller.runs)
    drawn_w = controller.power_w + loss_w
    if (
        supply_w is not None
        and exceeds(drawn_w, supply_w, "W")
        and not exceeds(controller.power_w, supply_w, "W")
    ):
        message = (
            f"The devices on {controller.name} and the cable's loss together take {_text(drawn_w, 'W')} from a "
            f"supply of {_text(supply_w, 'W')}; ask the maker whether its rating is at the terminals"
        )
        yield _note(controller, Level.REVIEW, message, drawn_w, supply_w)


def _starting(controller: ControllerState) -> Iterator[Finding]:
    devices = [device for state in controller.runs for device in state.run.devices]
    supply_w = controller.supply_power_w
    if supply_w is None or all(device.start_w is None for device in devices):
        return
    start_w = sum(device.quantity * (device.start_w or device.power_w or 0.0) for device in devices)
    if exceeds(start_w, supply_w, "W"):
        message = (
            f"When all devices on {controller.name} start together they take {_text(start_w, 'W')} for a moment, and "
            f"the supply gives {_text(supply_w, 'W')}; ask the maker whether it starts such a load"
        )
        yield _note(controller, Level.REVIEW, message, start_w, supply_w)


def _class_limit(controller: ControllerState) -> Iterator[Finding]:
    limit = class_2_limit(controller.supply_voltage_v)
    supply_w = controller.supply_power_w
    if limit is not None and supply_w is not None and exceeds(supply_w, limit.power_va, "W"):
        message = (
            f"The supply of {controller.name} gives {_text(supply_w, 'W')} at {_text(controller.supply_voltage_v, 'V')}; "
            f"a Class 2 supply has {_text(limit.power_va, 'VA')} at most ({limit.source}). Which class its circuit is, "
            "and how it may be wired, is for its nameplate, the local code and a licensed practitioner"
        )
        yield _note(controller, Level.NOTE, message, supply_w, limit.power_va)

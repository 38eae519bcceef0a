"""power: no port and no supply has to give more than it can.

What it checks
    The sum of the devices' active power on each port, where the profile limits it, and on each
    controller against its supply; a quantity column multiplies. What the controller's ports give, source
    volts times current with the cable's loss in it, against the supply's rating. Where the supply is
    rated by its current, the current that its own ports give. A controller sheet's own supply rating
    stands above the profile's. Devices without a power are reported by `missing-value`. Reviews:
    start-up power where the device list gives it. Notes: a
    supply with less headroom than common practice advises; how long the capacitors that the profile
    assumes take to charge; a supply above the published limits of a power-limited circuit, in watts and,
    where wet contact is likely, in volts.

Why
    An overloaded supply folds back: all devices on it brown out together when everything is on.

Source
    The profile's limits `run.power`, `controller.supply_power` and `controller.supply_current`.
    Headroom: 1.25 times the draw, common practice. Class limits: NEC chapter 9 table 11(B), which
    leaves the class itself to the nameplate, the local code and licensed practice.

Fails
    36 W on a controller with a 35 W supply; 34 W at the end of 100 ft, which take 36.3 W from it.

Passes
    31 W on a controller with a 35 W supply; 32 to 35 W pass and are said as a review.

To fix
    Move devices to another controller or choose a larger supply that the maker of the bus allows.
"""

from collections.abc import Iterable, Iterator

from auditor.bus.measure import Bus, ControllerState, RunState
from auditor.calc.supply import HEADROOM, Budget, budget, class_2_limit, start_s, wet_contact_limits
from auditor.job.listing import names_text
from auditor.job.model import Load
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Level, Scope
from auditor.rules.comparison import Comparison, compare, compare_in_run, run_finding, to_do
from auditor.units import exceeds, number_text, quantity_text

NAME = "power"
SCOPE = Scope.RUN | Scope.CONTROLLER | Scope.PORT_PLAN
SAME_V = 0.05  # of the profile's voltage that a stated one may differ by; project convention
MOST_NAMED = 4  # controllers that a sentence names
FIX = "move devices to another controller or choose a larger supply that the maker of the bus allows"


def check(bus: Bus, _: Plans) -> Iterator[Finding]:
    for state in bus.runs:
        compared = compare_in_run(bus, state, "power_w", state.power_w, "W") if state.run.assigned else None
        if compared is not None:
            message = (
                f"The devices on {state.run.shown} {_draw(bus, [state])} "
                f"{_at_least(state.unpowered)}{_quantity(state.power_w, 'W')}, "
                f"{compared.words}{to_do(compared, 'move devices to another port')}"
            )
            yield from run_finding(bus, state, NAME, compared, state.power_w, "W", message)
    yield from _other_supply(bus)
    for controller in bus.controllers:
        yield from _over_supply(bus, controller)
        if controller.rated_w:
            asked = budget(max(controller.supplied_w, 0.0), controller.rated_w)
            yield from _with_loss(controller, asked) or _headroom(bus, controller, asked)
        yield from _starting(bus, controller)
        yield from _charging(bus, controller)
        yield from _class_limit(controller)
        yield from _wet_contact(controller)


def _other_supply(bus: Bus) -> Iterator[Finding]:
    """One review: supplies that are listed otherwise than the profile has them may be of another kind of bus."""
    spec, job = bus.profile.controller, bus.job
    in_use = {port.controller for port in job.ports.values()}
    others = [
        controller
        for name, controller in job.controllers.items()
        if name in in_use
        and (
            _is_other(controller.supply_voltage_v, spec.supply_voltage_v)
            or _is_more(controller.supply_power_w, spec.supply_power_w)
        )
    ]
    if others:
        first, names = others[0], names_text([each.name for each in others], MOST_NAMED, rest="others")
        stated = _supply_text(first.supply_voltage_v or spec.supply_voltage_v, first.supply_power_w)
        message = (
            f"The supply of {names} is listed with {stated}, and the profile {bus.profile.name} has "
            f"{_supply_text(spec.supply_voltage_v, spec.supply_power_w)}; name the profile of that bus, or accept this where "
            "its maker allows such a supply"
        )
        where = first.cells.get("supply_power_w") or first.cells.get("supply_voltage_v") or first.where
        yield Finding(rule=NAME, level=Level.REVIEW, subject=first.name, message=message, where=where)


def _is_other(stated_v: float | None, profile_v: float) -> bool:
    return stated_v is not None and abs(stated_v - profile_v) > SAME_V * profile_v


def _is_more(stated_w: float | None, profile_w: float | None) -> bool:
    return stated_w is not None and profile_w is not None and exceeds(stated_w, profile_w, "W")


def _supply_text(volts: float, watts: float | None) -> str:
    return (
        f"{_quantity(volts, 'V')} and {_quantity(watts, 'W')}" if watts is not None else _quantity(volts, "V")
    )


def _over_supply(bus: Bus, controller: ControllerState) -> Iterator[Finding]:
    compared = compare(bus, controller.power_w, controller.supply_power_w, "W")
    if compared is not None:
        yield _draw_finding(controller, _draw(bus, controller.runs), controller.power_w, "W", compared)
    compared = compare(bus, controller.current_a, controller.supply_current_a, "A")
    if compared is not None:
        yield _draw_finding(controller, "draw", controller.current_a, "A", compared)


def _draw(bus: Bus, states: Iterable[RunState]) -> str:
    """Watts that follow the voltage are what the list has, at the nominal one."""
    loads = {
        device.load or bus.profile.load for state in states for device in state.run.devices if device.power_w
    }
    return "draw" if loads <= {Load.CONSTANT_POWER} else "are listed with"


def _draw_finding(
    controller: ControllerState, draw: str, measured: float, unit: str, compared: Comparison
) -> Finding:
    return Finding(
        rule=NAME,
        level=compared.level,
        subject=controller.name,
        message=(
            f"The devices on {controller.name} {draw} {_at_least(controller.unpowered)}"
            f"{_quantity(measured, unit)}, {compared.words}{to_do(compared, FIX)}"
        ),
        where=controller.where,
        measured=measured,
        limit=compared.limit,
        unit=unit,
    )


def _at_least(unpowered: int) -> str:
    return "at least " if unpowered else ""


def _at_least_of(controller: ControllerState) -> str:
    """The words before a sum of watts and loss that some figure is missing from."""
    return "at least " if any(state.gaps() for state in controller.runs) else ""


def _quantity(value: float, unit: str) -> str:
    return quantity_text(value, unit, "m")


def _supply_finding(
    controller: ControllerState,
    level: Level,
    message: str,
    measured: float,
    limit: float | None,
    unit: str = "W",
) -> Finding:
    return Finding(
        rule=NAME,
        level=level,
        subject=controller.name,
        message=message,
        where=controller.where,
        measured=measured,
        limit=limit,
        unit=unit,
    )


def _with_loss(controller: ControllerState, asked: Budget) -> list[Finding]:
    if not exceeds(asked.drawn_w, asked.supply_w, "W") or exceeds(controller.power_w, asked.supply_w, "W"):
        return []
    message = (
        f"The devices on {controller.name} and the cable's loss together take {_at_least_of(controller)}"
        f"{_quantity(asked.drawn_w, 'W')} from a supply of {_quantity(asked.supply_w, 'W')}, "
        f"{_quantity(-asked.spare_w, 'W')} over its rating; {FIX}, or use a thicker conductor"
    )
    return [_supply_finding(controller, Level.FAIL, message, asked.drawn_w, asked.supply_w)]


def _headroom(bus: Bus, controller: ControllerState, asked: Budget) -> list[Finding]:
    """A review where the supply is nearly used up, unless the watts alone are one; else a note on its headroom."""
    if not exceeds(asked.advised_w, asked.supply_w, "W") or exceeds(asked.drawn_w, asked.supply_w, "W"):
        return []
    if not all(state.electrical.solved for state in controller.runs):
        return []  # of what cannot be delivered no loss is known
    compared = compare(bus, asked.drawn_w, asked.supply_w, "W")
    if compared is not None and compare(bus, controller.power_w, controller.supply_power_w, "W") is None:
        message = (
            f"The devices on {controller.name} and the cable's loss together take {_at_least_of(controller)}"
            f"{_quantity(asked.drawn_w, 'W')}, {compared.words}"
        )
        return [_supply_finding(controller, compared.level, message, asked.drawn_w, asked.supply_w)]
    message = (
        f"The devices on {controller.name} and the cable's loss together take {_at_least_of(controller)}"
        f"{_quantity(asked.drawn_w, 'W')}, {number_text(100 * asked.used)} % of the "
        f"{_quantity(asked.supply_w, 'W')} supply; common practice sizes a supply for "
        f"{1 + HEADROOM:g} times what is drawn, "
        f"{_at_least_of(controller)}{_quantity(asked.advised_w, 'W')} here"
    )
    return [_supply_finding(controller, Level.NOTE, message, asked.drawn_w, asked.supply_w)]


def _starting(bus: Bus, controller: ControllerState) -> Iterator[Finding]:
    devices = [device for state in controller.runs for device in state.run.devices]
    supply_w = controller.rated_w
    if supply_w is None or all(device.start_w is None for device in devices):
        return
    start_w = sum(_start_w(state) for state in controller.runs)
    known = all(device.start_w or device.power_w is not None for device in devices)
    without = sum(device.start_w is None for device in devices)
    others = (
        f"; {without} of {len(devices)} device rows state no start-up power and are counted with what they draw"
        if without
        else ""
    )
    if exceeds(start_w, bus.profile.review_above * supply_w, "W"):
        message = (
            f"When all devices on {controller.name} start together they and the cable take "
            f"{'' if known else 'at least '}{_quantity(start_w, 'W')} for a moment, and the supply gives "
            f"{_quantity(supply_w, 'W')}{others}; ask the maker whether it starts such a load"
        )
        yield _supply_finding(controller, Level.REVIEW, message, start_w, supply_w)


def _start_w(state: RunState) -> float:
    """What a run takes when all start together, the cable's loss in it where it can be told."""
    electrical = state.electrical
    if electrical.start_supplied_w is not None:
        return electrical.start_supplied_w
    if electrical.start_w is not None:
        return electrical.start_w
    return sum(electrical.supplied_w.values()) if electrical.solved else electrical.stated_w


def _charging(bus: Bus, controller: ControllerState) -> Iterator[Finding]:
    hold_up, volts = bus.profile.hold_up, controller.supply_voltage_v
    limit_a = controller.rated_w / volts if controller.rated_w else controller.supply_current_a
    if hold_up is None or limit_a is None or not controller.devices:
        return
    farads = controller.devices * hold_up.capacitance_nf / 1e9
    seconds = start_s(farads, volts, limit_a)
    message = (
        f"At switch-on the hold-up capacitors of the devices on {controller.name}, "
        f"{number_text(farads * 1e6)} µF by the profile's assumption, take {number_text(seconds * 1000)} "
        f"ms to charge at the {_quantity(limit_a, 'A')} of the supply; ask its maker whether it starts into "
        "such a load"
    )
    yield _supply_finding(controller, Level.NOTE, message, seconds, None, "s")


def _class_limit(controller: ControllerState) -> Iterator[Finding]:
    limit = class_2_limit(controller.supply_voltage_v)
    supply_w = controller.rated_w
    if limit is not None and supply_w is not None and exceeds(supply_w, limit.power_va, "W"):
        message = (
            f"The supply of {controller.name} gives {_quantity(supply_w, 'W')} at "
            f"{_quantity(controller.supply_voltage_v, 'V')}; a Class 2 supply has "
            f"{_quantity(limit.power_va, 'VA')} at most ({limit.source}). Which class its circuit is, and "
            "how it may be wired, is for its nameplate, the local code and a licensed practitioner"
        )
        yield _supply_finding(controller, Level.NOTE, message, supply_w, limit.power_va)


def _wet_contact(controller: ControllerState) -> Iterator[Finding]:
    """Voltages that a Class 2 circuit may have where wet contact is likely."""
    volts = controller.supply_voltage_v
    limits = [limit for limit in wet_contact_limits() if exceeds(volts, limit.voltage_v, "V")]
    if limits:
        told = ", ".join(f"{number_text(limit.voltage_v)} V {limit.of} ({limit.source})" for limit in limits)
        message = (
            f"The supply of {controller.name} has {_quantity(volts, 'V')}; where wet contact is likely a Class 2 "
            f"circuit may have at most {told}. Whether that is so, and what the supply is listed for, is for its "
            "nameplate, the local code and a licensed practitioner"
        )
        yield _supply_finding(controller, Level.NOTE, message, volts, limits[0].voltage_v, "V")

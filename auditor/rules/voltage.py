"""voltage: every device gets its voltage when all devices draw at once.

What it checks
    The steady DC voltage at every device of a run, with the conductor resistance from a published table
    at the profile's conductor temperature. A run whose load cannot be delivered at any voltage fails.
    So does a device below the lowest voltage that it, or the profile, asks for. A run that draws more
    than the profile's margin of the most that its cable could deliver is a review. Where the profile
    assumes a hold-up capacitance, a device whose capacitor sags too low in the data phase is a review.
    Cable of unknown gauge is taken as the thinnest that the profile allows: a note, and a review where a
    device's lowest voltage is known.

Why
    A run can keep every rule of thumb and still brown out at its far end on the busiest evening.

Source
    Kirchhoff's laws; NEC chapter 9 table 8 and IEC 60228 for the conductors. The lowest voltage of a
    device has no published value: without one in the job or the profile only collapse is judged.

Fails
    30 W at the end of 950 ft of stranded 16 AWG on 24 V: the cable delivers 17.8 W there at most.

Passes
    5 W at the same end.

To fix
    Use a thicker conductor near the port, move devices to another port, or bring a feed in nearer to them.
"""

from collections.abc import Iterator

from auditor.bus import Bus, RunState
from auditor.cables import UNNAMED, CableState, cable_text
from auditor.calc.duty import hold_up_v
from auditor.calc.voltages import Status
from auditor.findings import Finding, Level
from auditor.units import exceeds, number_text

NAME = "voltage"
FIX = "use a thicker conductor near the port, or move devices to another port"


def check(bus: Bus) -> Iterator[Finding]:
    assumed = dict.fromkeys(note for state in bus.runs for note in state.electrical.assumed)
    for note in assumed:
        message = f"For the voltages: {note}"
        yield Finding(rule=NAME, level=Level.NOTE, subject=bus.job.name, message=message)
    for state in bus.runs:
        status = state.electrical.flow.status
        if status is Status.NO_SOLUTION:
            yield _cannot_be_delivered(state)
        elif status is Status.NOT_CONVERGED:
            message = (
                f"The voltages of {state.run.name} could not be computed "
                f"({state.electrical.flow.reason}); check them by hand"
            )
            yield _about_run(state, Level.REVIEW, message, None, None, None)
        else:
            yield from _near_collapse(bus, state)
            yield from _too_low(bus, state)
            yield from _sags(bus, state)
    yield from _gauge_not_stated(bus)


def _about_run(
    state: RunState, level: Level, message: str, measured: float | None, limit: float | None, unit: str | None
) -> Finding:
    return Finding(
        rule=NAME,
        level=level,
        subject=state.run.name,
        message=message,
        where=state.where,
        measured=measured,
        limit=limit,
        unit=unit,
    )


def _cannot_be_delivered(state: RunState) -> Finding:
    most_w = state.electrical.max_power_w
    most = f"; its cable could deliver {number_text(most_w)} W at most" if most_w else ""
    message = (
        f"The {number_text(state.power_w)} W of {state.run.name} cannot be delivered at any voltage"
        f"{most}; {FIX}"
    )
    return _about_run(state, Level.FAIL, message, state.power_w, most_w, "W")


def _near_collapse(bus: Bus, state: RunState) -> Iterator[Finding]:
    most_w = state.electrical.max_power_w
    if most_w is not None and exceeds(state.power_w, bus.profile.review_above * most_w, "W"):
        message = (
            f"{state.run.name} draws {number_text(state.power_w)} W, {number_text(100 * state.power_w / most_w)} % "
            f"of the {number_text(most_w)} W that its cable could deliver at most; {FIX}"
        )
        yield _about_run(state, Level.REVIEW, message, state.power_w, most_w, "W")


def _too_low(bus: Bus, state: RunState) -> Iterator[Finding]:
    drop_used = bus.profile.review_above
    for device in state.run.devices:
        least_v = state.electrical.least_v.get(device.tag)
        volts = state.electrical.flow.voltages_v.get(device.tag)
        if least_v is None or volts is None:
            continue
        if volts < least_v * (1 - 1e-9):
            level, words = (
                Level.FAIL,
                f"{number_text(least_v - volts, 2)} V below the {number_text(least_v, 2)} V it needs; {FIX}",
            )
        elif state.supply_voltage_v - volts > drop_used * (state.supply_voltage_v - least_v):
            level, words = (
                Level.REVIEW,
                f"only {number_text(volts - least_v, 2)} V above the {number_text(least_v, 2)} V it needs; "
                "keep its route short",
            )
        else:
            continue
        yield Finding(
            rule=NAME,
            level=level,
            subject=device.tag,
            message=f"{device.tag} gets {number_text(volts, 2)} V when all devices draw at once, {words}",
            where=device.where,
            measured=volts,
            limit=least_v,
            unit="V",
        )


def _sags(bus: Bus, state: RunState) -> Iterator[Finding]:
    hold_up = bus.profile.hold_up
    if hold_up is None:
        return
    for device in state.run.devices:
        volts = state.electrical.flow.voltages_v.get(device.tag)
        least_v = state.electrical.least_v.get(device.tag, 0.0)
        if volts is None or not device.power_w:
            continue
        left_v = hold_up_v(device.power_w, hold_up.capacitance_nf / 1e9, volts, hold_up.data_phase_s)
        if left_v is None or left_v < least_v:
            left = "runs empty" if left_v is None else f"sags to {number_text(left_v, 2)} V"
            message = (
                f"{device.tag} {left} in the data phase with the profile's assumed "
                f"{number_text(hold_up.capacitance_nf / 1000, 1)} µF; ask its maker for the hold-up capacitance"
            )
            yield Finding(
                rule=NAME,
                level=Level.REVIEW,
                subject=device.tag,
                message=message,
                where=device.where,
                measured=left_v,
                limit=least_v or None,
                unit="V",
            )


def _gauge_not_stated(bus: Bus) -> Iterator[Finding]:
    for cable in bus.cables.values():
        runs = [state for state in bus.runs if state.electrical.net.loads and _uses(state, cable)]
        if cable.cable.area_mm2 is not None or cable.cable.ohm_per_km is not None or not runs:
            continue
        names = ", ".join(state.run.name for state in runs)
        message = (
            f"The gauge of {cable_text(cable.name)} is not stated; the voltages of {names} were computed with "
            f"{bus.profile.cable.min_conductor or '0.5 mm²'}. State it in the cable sheet"
        )
        yield Finding(
            rule=NAME,
            level=Level.REVIEW if any(state.electrical.least_v for state in runs) else Level.NOTE,
            subject=cable.name,
            message=message,
            where=cable.cable.where or runs[0].where,
        )


def _uses(state: RunState, cable: CableState) -> bool:
    return any((pull.cable or UNNAMED) == cable.name for pull in state.run.pulls)

"""voltage: every device gets its voltage when all devices draw at once.

What it checks
    The steady DC voltage at every device of a run, with the conductor resistance from a published table
    at the profile's conductor temperature, or from the cable's own data sheet. Loops are solved, and so
    are several supplies on one run. A run whose load cannot be delivered at any voltage fails. So does a
    device below the lowest voltage that it, or the profile, asks for. A device that has used more than
    the profile's margin of the drop it may have is a review, and so is a run that draws more than that
    margin of the most that its cable could deliver. Devices whose lowest voltage is not stated are one
    review a run where they get less than the profile's part of the supply's voltage. Start-up power that
    the cable could not carry in a steady state is a review. Where the profile assumes a hold-up
    capacitance, a device whose capacitor sags too low in the data phase is a review. Cable of unknown
    gauge is taken as the thinnest that the profile allows: a note where the run would hold with 0.5 mm²
    too, else a review, and a review where a device's lowest voltage is known. The audit adds what would
    mend each run, audited anew.

Why
    A run can keep every rule of thumb and still brown out at its far end on the busiest evening.

Source
    Kirchhoff's laws; NEC chapter 9 table 8 and IEC 60228 for the conductors. The lowest voltage of a
    device has no published value: without one in the job or the profile collapse is judged, and 85 % of the
    supply's voltage, a project convention.

Fails
    30 W at the end of 950 ft of stranded 16 AWG on 24 V: the cable delivers 17.8 W there at most.

Passes
    5 W at the same end.

To fix
    Use a thicker conductor near the port, move devices to another port, or bring a feed in nearer to them.
"""

from collections.abc import Iterator
from dataclasses import replace

from auditor.bus.cables import UNNAMED, CableState, cable_text
from auditor.bus.electrical import THIN_MM2, Electrical
from auditor.bus.measure import Bus, RunState
from auditor.calc.volts.duty import hold_up_capacitance_f, hold_up_v
from auditor.calc.volts.flow import FlowStatus
from auditor.job.likeness import nearest
from auditor.job.model import Device
from auditor.plans.plans import Plans, Way
from auditor.profile.limits import HoldUp
from auditor.results.findings import Finding, Level, Scope
from auditor.units import exceeds, number_text, quantity_text

NAME = "voltage"
SCOPE = Scope.ROW | Scope.RUN | Scope.CABLE | Scope.JOB
FIX = "use a thicker conductor near the port, or move devices to another port"  # where no remedy was sought


def check(bus: Bus, plans: Plans) -> Iterator[Finding]:
    for note in _assumptions(bus):
        message = f"For the voltages: {note}"
        yield Finding(rule=NAME, level=Level.NOTE, subject=bus.job.name, message=message)
    yield from _by_data_sheet(bus)
    for state in bus.runs:
        status = state.electrical.flow.status
        if status is FlowStatus.NO_SOLUTION:
            yield _cannot_be_delivered(state, _fix_text(plans, state))
        elif status is FlowStatus.NOT_CONVERGED:
            message = (
                f"The voltages of {state.run.shown} could not be computed "
                f"({state.electrical.flow.reason}); check them by hand"
            )
            yield _about_run(state, Level.REVIEW, message, None, None, None)
        else:
            yield from _several_sources(state)
            yield from _near_collapse(bus, state, _fix_text(plans, state))
            yield from _too_low(bus, state, _fix_text(plans, state))
            yield from _low_by_share(bus, state)
            yield from _starts(state)
            yield from _sags(bus, state)
            yield from _doubtful(state)
    yield from _gauge_not_stated(bus)


def further_remedies(bus: Bus, plans: Plans) -> Iterator[Finding]:
    """Notes on what else would restore a run, the first remedy standing in its findings."""
    for state in bus.runs:
        for way in plans.remedies.get(id(state), ())[1:]:
            then = f"could also have its voltage, {_left_text(way)}," if way.left else "could also be mended"
            message = f"{state.run.shown} {then} this way: {_way_text(way)}"
            yield _about_run(state, Level.NOTE, message, None, None, None)


def _fix_text(plans: Plans, state: RunState) -> str:
    """What to do about a run whose voltage does not hold."""
    ways = plans.remedies.get(id(state))
    if ways is None:
        return FIX
    if not ways:
        return "no single change is enough, split the run"
    return f"to {f'restore its voltage, {_left_text(ways[0])}' if ways[0].left else 'mend it'}: {_way_text(ways[0])}"


def _way_text(way: Way) -> str:
    return f"{way.sentence}, {way.low}" if way.low else way.sentence


def _left_text(way: Way) -> str:
    """What a way to restore the voltage does not mend."""
    return f"{' and '.join(way.left)} still failing"


def _assumptions(bus: Bus) -> Iterator[str]:
    profile = bus.profile
    yield from dict.fromkeys(note for state in bus.runs for note in state.electrical.assumed)
    if profile.power_duty != 1:
        yield (
            f"the profile assumes that power flows {number_text(100 * profile.power_duty)} % of the time, "
            "so the current while it flows is as much greater; ask the maker of the bus"
        )


def _by_data_sheet(bus: Bus) -> Iterator[Finding]:
    for name in dict.fromkeys(name for state in bus.runs for name in state.electrical.by_data_sheet):
        cable = bus.cables[name].cable
        message = (
            f"For the voltages: {cable_text(name)} by its own data sheet, {cable.ohm_per_km:g} ohm/km of "
            f"one conductor at 20 °C, taken to {number_text(bus.profile.conductor_degc)} °C"
        )
        where = cable.cells.get("ohm_per_km", cable.where)
        yield Finding(rule=NAME, level=Level.NOTE, subject=name, message=message, where=where)


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


def _cannot_be_delivered(state: RunState, fix: str) -> Finding:
    most_w = state.electrical.max_power_w
    most = f"; its cable could deliver {number_text(most_w)} W at most" if most_w else ""
    message = (
        f"The {number_text(state.power_w)} W of {state.run.shown} cannot be delivered at any voltage"
        f"{most}; {fix}"
    )
    return _about_run(state, Level.FAIL, message, state.power_w, most_w, "W")


def _several_sources(state: RunState) -> Iterator[Finding]:
    currents_a = state.electrical.flow.source_currents_a
    if len(currents_a) < 2:
        return
    shares = [
        f"{name} ({number_text(state.electrical.net.sources[name])} V) "
        f"{'gives' if amperes >= 0 else 'takes back'} {quantity_text(abs(amperes), 'A', 'm')}"
        for name, amperes in currents_a.items()
    ]
    message = f"The run is fed from {len(shares)} sources and was solved as it stands: {', '.join(shares)}"
    yield _about_run(state, Level.NOTE, message, None, None, None)


def _near_collapse(bus: Bus, state: RunState, fix: str) -> Iterator[Finding]:
    most_w = state.electrical.max_power_w
    if most_w is not None and state.electrical.near_collapse(bus.profile.review_above):
        message = (
            f"{state.run.shown} draws {number_text(state.power_w)} W, "
            f"{number_text(100 * state.power_w / most_w)} % of the {number_text(most_w)} W that its cable "
            f"could deliver at most; {fix}"
        )
        yield _about_run(state, Level.REVIEW, message, state.power_w, most_w, "W")


def _too_low(bus: Bus, state: RunState, fix: str) -> Iterator[Finding]:
    """The devices whose voltage is too low or nearly so, the worst first."""
    electrical, voltages_v = state.electrical, state.electrical.flow.voltages_v
    comfortable_v = electrical.comfortable_v(bus.profile.review_above)
    judged = [device for device in state.run.devices if device.tag in comfortable_v]
    for device in sorted(judged, key=lambda each: voltages_v[each.tag] - electrical.least_v[each.tag]):
        volts, least_v = voltages_v[device.tag], electrical.least_v[device.tag]
        if exceeds(comfortable_v[device.tag], volts, "V"):
            level = Level.FAIL if exceeds(least_v, volts, "V") else Level.REVIEW
            yield _about_device(device, level, _volts_words(electrical, device, level, fix), volts, least_v)


def _low_by_share(bus: Bus, state: RunState) -> Iterator[Finding]:
    """One review where devices that state no lowest voltage get little of what their supply has."""
    electrical, share = state.electrical, bus.profile.review_below
    volts = electrical.flow.voltages_v
    low = [
        device
        for device in state.run.devices
        if device.tag not in electrical.least_v
        and exceeds(share * electrical.source_v, volts[device.tag], "V")
    ]
    if not low:
        return
    worst = min(low, key=lambda device: volts[device.tag])
    others, its, it_works = "", "its", "it works"
    if len(low) > 1:
        more = f"{len(low) - 1} more get{'s' * (len(low) == 2)} little of it"
        others, its, it_works = f", and {more}", "their", "they work"
    message = (
        f"{worst.tag} gets {number_text(volts[worst.tag], 2)} V when all devices draw at once, "
        f"{number_text(100 * volts[worst.tag] / electrical.source_v)} % of the "
        f"{number_text(electrical.source_v, 2)} V of its supply{others}; {its} lowest voltage is not stated, ask the maker "
        f"whether {it_works} below {number_text(100 * share)} %"
    )
    found = _about_run(state, Level.REVIEW, message, volts[worst.tag], share * electrical.source_v, "V")
    yield replace(found, where=worst.where)


def _volts_words(electrical: Electrical, device: Device, level: Level, fix: str) -> str:
    volts, least_v = electrical.flow.voltages_v[device.tag], electrical.least_v[device.tag]
    gets = f"{device.tag} gets {number_text(volts, 2)} V when all devices draw at once"
    needs = f"the {number_text(least_v, 2)} V it needs"
    if device.tag in electrical.out_of_reach:
        return (
            f"{device.tag} needs {number_text(least_v, 2)} V and its supply has "
            f"{number_text(electrical.source_v, 2)} V; no cable mends that, check the device's data sheet "
            "or the supply"
        )
    apart = number_text(abs(volts - least_v), 2)
    if level is Level.FAIL:
        return f"{gets}, {'just' if apart == '0' else f'{apart} V'} below {needs}; {fix}"
    return f"{gets}, {'just' if apart == '0' else f'only {apart} V above'} {needs}; {fix}"


def _about_device(
    device: Device, level: Level, message: str, measured: float | None, limit: float | None
) -> Finding:
    return Finding(
        rule=NAME,
        level=level,
        subject=device.tag,
        message=message,
        where=device.where,
        measured=measured,
        limit=limit,
        unit="V",
    )


def _starts(state: RunState) -> Iterator[Finding]:
    """A review where the cable could not carry the start-up power for long."""
    start_w, most_w = state.electrical.start_w, state.electrical.start_most_w
    if start_w is not None and most_w is not None:
        could = (
            f"could deliver {number_text(most_w)} W of that at most" if most_w else "could not deliver that"
        )
        message = (
            f"When all devices on {state.run.shown} start together they ask for {number_text(start_w)} W, and in a "
            f"steady state its cable {could}; a capacitor that charges takes what it gets and is no steady load, so ask "
            "the maker whether they start all the same"
        )
        yield _about_run(state, Level.REVIEW, message, start_w, most_w, "W")
    if start_w is not None and state.electrical.start_low:
        tag, volts = min(state.electrical.start_low.items(), key=lambda item: item[1])
        least_v = state.electrical.least_v[tag]
        message = (
            f"When all devices on {state.run.shown} start together, {tag} would get {number_text(volts, 2)} V in a steady "
            f"state, below the {number_text(least_v, 2)} V it needs; a capacitor that charges is no steady load, so ask the "
            "maker whether they start all the same"
        )
        yield _about_run(state, Level.REVIEW, message, start_w, None, "W")


def _sags(bus: Bus, state: RunState) -> Iterator[Finding]:
    hold_up = bus.profile.hold_up
    if hold_up is None:
        return
    for device in state.run.devices:
        if not device.power_w:
            continue
        volts = state.electrical.flow.voltages_v[device.tag]
        least_v = state.electrical.least_v.get(device.tag, 0.0)
        left_v = hold_up_v(device.power_w, hold_up.capacitance_nf / 1e9, volts, hold_up.data_phase_s)
        if left_v is None or exceeds(least_v, left_v, "V"):
            left = "runs empty" if left_v is None else f"sags to {number_text(left_v, 2)} V"
            message = (
                f"{device.tag} {left} in the data phase with the profile's assumed "
                f"{number_text(hold_up.capacitance_nf / 1000, 1)} "
                f"µF{_hold_up_needed(device.power_w, hold_up, volts, least_v)}; ask its maker for the hold-up "
                "capacitance"
            )
            yield _about_device(device, Level.REVIEW, message, left_v, least_v or None)


def _hold_up_needed(power_w: float, hold_up: HoldUp, volts: float, least_v: float) -> str:
    if not exceeds(volts, least_v, "V"):
        return ""
    farads = hold_up_capacitance_f(power_w, volts, least_v, hold_up.data_phase_s)
    keep = f"to keep {number_text(least_v, 2)} V" if least_v else "not to run empty"
    return f", {keep} it takes {number_text(farads * 1e6)} µF"


def _doubtful(state: RunState) -> Iterator[Finding]:
    """A review where the voltages hold only with the gauge that was assumed."""
    cables = " and ".join(cable_text(name) for name in state.electrical.doubtful)
    if cables:
        message = (
            f"The {number_text(state.power_w)} W of {state.run.shown} could be too much if {cables} is "
            f"thin, such as {THIN_MM2:g} mm² (20 AWG); state the gauge in the cable sheet"
        )
        yield _about_run(state, Level.REVIEW, message, state.power_w, None, "W")


def _gauge_not_stated(bus: Bus) -> Iterator[Finding]:
    for cable in bus.cables.values():
        runs = [state for state in bus.runs if state.electrical.net.loads and _uses_cable(state, cable)]
        if cable.conductor_known or not runs:
            continue
        names = ", ".join(state.run.shown for state in runs)
        message = (
            f"The gauge of {cable_text(cable.name)} is not stated; the voltages of {names} were computed "
            f"with {bus.profile.cable.min_conductor or '0.5 mm²'}. State it in the cable sheet{_or_another(bus, cable)}"
        )
        yield Finding(
            rule=NAME,
            level=Level.REVIEW if any(state.electrical.least_v for state in runs) else Level.NOTE,
            subject=cable.name,
            message=message,
            where=cable.cable.where or runs[0].where,
        )


def _or_another(bus: Bus, cable: CableState) -> str:
    """The listed type that the name of one without a row may be a slip of."""
    listed = [name for name, state in bus.cables.items() if state.cable.where is not None]
    other = nearest(cable.name, listed) if cable.cable.where is None and cable.name != UNNAMED else None
    return f", or write {other} if that is meant" if other else ""


def _uses_cable(state: RunState, cable: CableState) -> bool:
    return any((pull.cable or UNNAMED) == cable.name for pull in state.run.pulls)

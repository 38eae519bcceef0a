"""cable-spec: every cable type is what the bus is specified for.

What it checks
    Conductor size, number of conductors, stranding, shield, capacitance per length and insulation
    voltage of each cable type that is used, against the profile, and its fire rating where the profile
    asks for some; that none is stated is one note. Off-specification cable is a
    review, never a plain pass: it derates every run it stands in. Insulation that is too low is a fail, since no
    limit that is cut mends it. A property that the schedule does
    not state is a note; the runs are then judged both ways. Where the profile asks for a conductor by
    distance, the thinnest of a run against the greatest distance in it: from the supply to a device or
    between two devices, the port counted as one. For cable of too high a capacitance a
    note says what the capacitance alone would allow, which is information and no limit.

Why
    A thinner conductor drops more voltage, a shield or high capacitance rounds off the data, and
    insulation below the rating may not share space with other wiring. Cable of too low a fire rating may not
    be laid in a riser or an air space: the local code says which is asked for.

Source
    The profile's `cable` and its source.

Fails
    0.75 mm2 at 200 m where 1.5 mm2 is asked for beyond 150 m; 300 V where 600 V is asked for. Review: 18 AWG where 16 AWG is asked for;
    45 pF/ft where at most 30 pF/ft.

Passes
    16 AWG, 2 conductors, stranded, unshielded, 25 pF/ft, 600 V.

To fix
    Order cable to specification, or keep the run within the derated limits. Low insulation is only mended by
    other cable.
"""

from collections.abc import Iterator

from auditor.bus.cables import SAME_AREA, UNNAMED, CableState, cable_text
from auditor.bus.measure import Bus, RunState
from auditor.job.model import CellRef
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Level, Scope
from auditor.rules.comparison import usual_part
from auditor.units import exceeds, length_text

NAME = "cable-spec"
SCOPE = Scope.RUN | Scope.CABLE


def check(bus: Bus, _: Plans) -> Iterator[Finding]:
    for state in bus.cables.values():
        using = [pull for pull in bus.job.pulls if (pull.cable or UNNAMED) == state.name]
        if not using:
            continue
        where = state.cable.where or using[0].cells.get("cable", using[0].where)
        if state.faults:
            level = Level.FAIL if state.insulation_low else Level.REVIEW  # no limit that is cut mends it
            yield _cable_finding(state, level, where, _off_spec_text(bus, state))
        yield from _capacitance_alone(bus, state, where)
        if state.gaps:
            yield _cable_finding(state, Level.NOTE, where, _not_stated_text(state))
        yield from _other_fire_rating(bus, state, where)
    yield from _no_fire_rating(bus)
    for run in bus.runs:
        yield from _conductor_by_distance(bus, run)


def _cable_finding(state: CableState, level: Level, where: CellRef | None, message: str) -> Finding:
    return Finding(rule=NAME, level=level, subject=state.name, message=message, where=where)


def _off_spec_text(bus: Bus, state: CableState) -> str:
    runs = [run.run.shown for run in bus.runs if state.name in run.off_spec]
    effect = f"; the limits of {', '.join(runs)} are cut to {usual_part(bus)}" if runs else ""
    to_do = "Order cable to specification or keep within these limits"
    if state.insulation_low:
        to_do = "Order cable with the insulation that is asked for: no shorter run mends that"
    return f"Cable {state.name} is off specification: {'; '.join(state.faults)}{effect}. {to_do}"


def _not_stated_text(state: CableState) -> str:
    what = "it" if len(state.gaps) == 1 else "them"
    return (
        f"The schedule does not state the {_and_text(state.gaps)} of {cable_text(state.name)}; its runs were "
        f"judged both as inside and as outside specification. State {what} in the cable sheet"
    )


def _and_text(names: tuple[str, ...]) -> str:
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))


def _capacitance_alone(bus: Bus, state: CableState, where: CellRef | None) -> Iterator[Finding]:
    has, most = state.cable.capacitance_nf_per_m, bus.profile.cable.max_capacitance_nf_per_m
    cable_m = bus.profile.run.cable_m
    if has and most and cable_m and exceeds(has, most, "nF/m"):
        allowed = length_text(cable_m * most / has, bus.job.length_unit, 0)
        halved = length_text(cable_m * bus.profile.off_spec_factor, bus.job.length_unit, 0)
        message = (
            f"For information: by its capacitance alone, {state.name} would allow {allowed} in a run; the "
            f"rule of thumb for off-specification cable allows {halved}, and that is what was judged"
        )
        yield _cable_finding(state, Level.NOTE, where, message)


def _other_fire_rating(bus: Bus, state: CableState, where: CellRef | None) -> Iterator[Finding]:
    wanted, has = bus.profile.cable.fire_ratings, state.cable.fire_rating
    if wanted and has and has.casefold() not in {each.casefold() for each in wanted}:
        message = (
            f"Cable {state.name} is marked {has}, and {' or '.join(wanted)} is asked for; order cable of that fire rating: "
            "no shorter run mends that"
        )
        yield _cable_finding(state, Level.REVIEW, state.cable.cells.get("fire_rating", where), message)


def _no_fire_rating(bus: Bus) -> Iterator[Finding]:
    """One note: which rating a space asks for is no matter of this audit."""
    used = {pull.cable or UNNAMED for pull in bus.job.pulls}
    unstated = [state for state in bus.cables.values() if state.name in used and not state.cable.fire_rating]
    if unstated:
        names = _and_text(tuple(cable_text(state.name) for state in unstated))
        message = (
            f"No fire rating, such as riser or plenum, is stated for {names}; which one each space asks for is for the "
            "local code and a licensed practitioner, check it before cable is ordered"
        )
        yield _cable_finding(unstated[0], Level.NOTE, unstated[0].cable.where, message)


def _conductor_by_distance(bus: Bus, state: RunState) -> Iterator[Finding]:
    table = bus.profile.cable.conductor_by_distance
    greatest = _greatest_distance(state)
    if not table or greatest is None:
        return
    distance_m, between = greatest
    asked = next((row for row in table if not exceeds(distance_m, row[0], "m")), table[-1])
    thin = [
        name
        for name in dict.fromkeys(pull.cable or UNNAMED for pull in state.run.pulls)
        if 0 < (bus.cables[name].cable.area_mm2 or 0.0) < asked[1] * (1 - SAME_AREA)
    ]
    if thin:
        message = (
            f"{between} on {state.run.shown} are {length_text(distance_m, bus.job.length_unit)} of cable "
            f"apart, where {asked[2].replace('mm2', 'mm²')} or thicker is asked for; {', '.join(thin)} is "
            "thinner, use a thicker conductor or shorten the route"
        )
        yield Finding(rule=NAME, level=Level.FAIL, subject=state.run.name, message=message, where=state.where)


def _greatest_distance(state: RunState) -> tuple[float, str] | None:
    """The greatest distance from the supply to a device or between two devices [m], and its two ends; None: no device."""
    far = state.run.farthest()
    if far is None:
        return None
    reach_m = state.run.distance_m[far]
    if state.between_devices is not None and state.between_devices[0] > reach_m:
        distance_m, one, other = state.between_devices
        return distance_m, f"{one} and {other}"
    return reach_m, f"The supply and {far}"

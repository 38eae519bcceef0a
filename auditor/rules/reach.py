"""reach: no device is farther from its port than the bus allows.

What it checks
    The cable distance from the port to each device of the run and, where the profile limits it, the
    greatest cable distance between two devices, the port counted as one. In a run with a loop the
    shortest way counts, and the message says that the figure is at least that; where the profile allows
    loops, the longest way between two devices counts.

Why
    Past it the signal on the pair is too weak and too late: devices drop out at random, and only
    on the busiest days.

Source
    The profile's limits `run.reach` and `run.between_devices` and their sources.

Fails
    Pulls of 900 ft and 150 ft in line, limit 1,000 ft: 1,050 ft.

Passes
    900 ft and 100 ft in line: 1,000 ft, exactly at the limit; said as a review, nothing is left.

To fix
    Feed the far branch from another port or a controller nearer to it, or find a shorter route.
"""

from collections.abc import Iterator

from auditor.bus.measure import Bus, RunState
from auditor.job.model import Device
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Scope
from auditor.rules.comparison import Comparison, compare_in_run, run_finding, to_do
from auditor.units import length_text

NAME = "reach"
SCOPE = Scope.ROW | Scope.RUN | Scope.PORT_PLAN


def check(bus: Bus, _: Plans) -> Iterator[Finding]:
    for state in bus.runs:
        yield from _from_port(bus, state)
        yield from _between_devices(bus, state)


def _from_port(bus: Bus, state: RunState) -> Iterator[Finding]:
    run = state.run
    for device in run.devices:
        found = compare_in_run(bus, state, "reach_m", run.distance_m[device.tag], "m")
        if found is not None:
            yield _reach_finding(bus, state, device, found)


def _reach_finding(bus: Bus, state: RunState, device: Device, compared: Comparison) -> Finding:
    run = state.run
    distance_m = run.distance_m[device.tag]
    at_least = "at least " if run.loops or device.tag in run.unmeasured else ""
    loop = " (the shortest way round the loop)" if run.loops else ""
    fix = "feed it from a port nearer to it or find a shorter route"
    message = (
        f"{device.tag} is {at_least}{length_text(distance_m, bus.job.length_unit)} from "
        f"{_sources_text(state)}{loop}, {compared.words}{to_do(compared, fix)}"
    )
    return Finding(
        rule=NAME,
        level=compared.level,
        subject=device.tag,
        message=message,
        where=device.where,
        measured=distance_m,
        limit=compared.limit,
        unit="m",
    )


def _pair_text(state: RunState, one: str, other: str) -> str:
    if one in state.run.sources:
        one, other = other, one
    return (
        f"{one} and its port {other}"
        if other in state.run.sources
        else f"{one} and {other} on {state.run.shown}"
    )


def _sources_text(state: RunState) -> str:
    return " or ".join(state.run.sources)


def _between_devices(bus: Bus, state: RunState) -> Iterator[Finding]:
    if state.between_devices is None:
        return
    distance_m, one, other = state.between_devices
    compared = compare_in_run(bus, state, "between_devices_m", distance_m, "m")
    if compared is not None:
        longest = bool(state.run.loops) and bus.profile.loops_allowed
        at_least = "" if state.run.measured and (longest or not state.run.loops) else "at least "
        way = ", by the longest way round the loop," if longest else ""
        message = (
            f"{_pair_text(state, one, other)} are{way} {at_least}"
            f"{length_text(distance_m, bus.job.length_unit)} of cable apart, {compared.words}"
            f"{to_do(compared, 'feed one of them from another port')}"
        )
        yield from run_finding(bus, state, NAME, compared, distance_m, "m", message)

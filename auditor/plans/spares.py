"""What spare returns could do in an emergency: each cut is tried with a spare landed, and judged again."""

from collections.abc import Iterator
from dataclasses import replace

from auditor.bus.measure import Bus
from auditor.bus.topology import single_points_of_failure
from auditor.job.model import Job, Pull
from auditor.plans.plans import SpareReturns
from auditor.results.judged import Judge

MOST_CUTS = 40  # cuts that are tried of one job; project convention


def spare_returns(bus: Bus, judge: Judge) -> SpareReturns:
    """What a cut of each pull of the runs with spare returns would leave.

    A cut is tried with each spare return that could feed what lies beyond it, the others left unlanded, until one
    breaks no limit that was not broken before.
    """
    if not bus.topology.spares:
        return SpareReturns()
    concerned = _pulls_of_runs_with_a_spare(bus)
    before = single_points_of_failure(replace(bus.topology, spares=()), bus.job)[1]
    alone = [pull for pull in single_points_of_failure(bus.topology, bus.job)[1] if id(pull) in concerned]
    left = {id(pull) for pull in alone}
    protected = [pull for pull in before if id(pull) in concerned and id(pull) not in left]
    job = _of_these_runs(bus, concerned)
    failed_before = judge(job, bus.profile).failures()
    feeds, breaks = [], []
    for pull in protected[:MOST_CUTS]:
        broken = _least_broken(bus, job, pull, judge, failed_before)
        if broken:
            breaks.append((pull, broken))
        else:
            feeds.append(pull)
    return SpareReturns(
        feeds=tuple(feeds), breaks=tuple(breaks), untried=tuple(protected[MOST_CUTS:]), alone=tuple(alone)
    )


def _pulls_of_runs_with_a_spare(bus: Bus) -> set[int]:
    ends = {end for spare in bus.topology.spares for end in (spare.near, spare.far)} - {""}
    return {
        id(pull)
        for state in bus.runs
        if any(end in ends and end not in state.run.sources for end in state.run.distance_m)
        for pull in state.run.pulls
    }


def _of_these_runs(bus: Bus, concerned: set[int]) -> Job:
    """The job with the runs that hold these pulls, the other runs of the controllers on which they or a spare return
    are, and the spare returns."""
    controllers = {
        port.controller
        for state in bus.runs
        if any(id(pull) in concerned for pull in state.run.pulls)
        for port in state.run.ports
    }
    spare_ends = {end for spare in bus.topology.spares for end in (spare.near, spare.far)}
    controllers |= {port.controller for name, port in bus.job.ports.items() if name in spare_ends}
    runs = [
        state.run
        for state in bus.runs
        if controllers & {port.controller for port in state.run.ports}
        or any(id(pull) in concerned for pull in state.run.pulls)
    ]
    pulls = {id(pull) for run in runs for pull in run.pulls} | {id(pull) for pull in bus.topology.spares}
    devices = {id(device) for run in runs for device in run.devices}
    return replace(
        bus.job,
        pulls=tuple(pull for pull in bus.job.pulls if id(pull) in pulls),
        devices=tuple(device for device in bus.job.devices if id(device) in devices),
        remarks=(),
    )


def _least_broken(
    bus: Bus, job: Job, cut: Pull, judge: Judge, failed_before: set[tuple[str, str]]
) -> tuple[str, ...]:
    """The rules that fail newly with a pull cut, of the spare return with which fewest do; empty: none."""
    found: tuple[str, ...] | None = None
    for emergency in _emergencies(job, cut):
        trial = judge(emergency, bus.profile)
        if trial.bus.topology.unfed_devices:
            continue
        broken = tuple(sorted({rule for rule, _ in trial.failures() - failed_before}))
        if not broken:
            return ()
        found = broken if found is None or len(broken) < len(found) else found
    return found or ("unfed",)


def _emergencies(job: Job, cut: Pull) -> Iterator[Job]:
    """The job with a pull cut and one spare return landed, each in turn."""
    for spare in job.pulls:
        if not spare.landed and spare.near and spare.far:
            pulls = (
                replace(pull, landed=True) if pull is spare else pull for pull in job.pulls if pull is not cut
            )
            yield replace(job, pulls=tuple(pulls))

"""What spare returns could do in an emergency: each cut is tried with a spare landed, and judged again."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from auditor.bus.measure import Bus
from auditor.bus.topology import Run, single_points_of_failure
from auditor.job.model import Job, Pull
from auditor.plans.part import job_of, runs_of
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
    runs = _runs_with_a_spare(bus)
    concerned = {id(pull) for run in runs for pull in run.pulls}
    before = single_points_of_failure(replace(bus.topology, spares=()), bus.job)[1]
    alone = [pull for pull in single_points_of_failure(bus.topology, bus.job)[1] if id(pull) in concerned]
    left = {id(pull) for pull in alone}
    protected = [pull for pull in before if id(pull) in concerned and id(pull) not in left]
    job = _beside(bus, runs)
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


def _runs_with_a_spare(bus: Bus) -> list[Run]:
    ends = _ends_of_spares(bus)
    return [
        state.run
        for state in bus.runs
        if any(end in ends and end not in state.run.sources for end in state.run.distance_m)
    ]


def _ends_of_spares(bus: Bus) -> set[str]:
    return {end for spare in bus.topology.spares for end in (spare.near, spare.far)} - {""}


def _beside(bus: Bus, runs: Sequence[Run]) -> Job:
    """The job with these runs, the other runs of the controllers on which they or a spare return are, and the spare
    returns."""
    ends = _ends_of_spares(bus)
    controllers = {port.controller for run in runs for port in run.ports}
    controllers |= {port.controller for name, port in bus.job.ports.items() if name in ends}
    return job_of(bus, [*runs, *runs_of(bus, controllers)], bus.topology.spares)


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
        if not spare.landed:
            pulls = (
                replace(pull, landed=True) if pull is spare else pull for pull in job.pulls if pull is not cut
            )
            yield replace(job, pulls=tuple(pulls))

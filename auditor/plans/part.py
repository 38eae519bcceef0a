"""Some runs of a job as a job of their own, which is quicker to judge."""

from collections.abc import Collection, Iterable
from dataclasses import replace

from auditor.bus.measure import Bus
from auditor.bus.topology import Run
from auditor.job.model import Job, Pull


def runs_of(bus: Bus, controllers: Collection[str]) -> list[Run]:
    """The runs that have a port of one of these controllers."""
    return [
        state.run for state in bus.runs if any(port.controller in controllers for port in state.run.ports)
    ]


def job_of(bus: Bus, runs: Iterable[Run], spares: Iterable[Pull] = ()) -> Job:
    """The job with the rows of these runs and spare returns, and nothing that was remarked of its reading."""
    runs = list(runs)
    pulls = {id(pull) for pull in (*spares, *(pull for run in runs for pull in run.pulls))}
    devices = {id(device) for run in runs for device in run.devices}
    return replace(
        bus.job,
        pulls=tuple(pull for pull in bus.job.pulls if id(pull) in pulls),
        devices=tuple(device for device in bus.job.devices if id(device) in devices),
        remarks=(),
    )

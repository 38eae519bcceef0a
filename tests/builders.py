"""Small jobs: a test states only what it is about."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from auditor.audit import judge_as_planned
from auditor.bus.measure import Bus, measure
from auditor.job.model import Cable, CellRef, Controller, Device, Job, Port, Pull
from auditor.plans.plans import Plans
from auditor.profile.limits import Profile
from auditor.profile.load import load_profile
from auditor.results.assemble import audit_result
from auditor.results.attribution import Attribution
from auditor.results.audit_result import Audit
from auditor.results.findings import Finding
from auditor.rules import RULES
from auditor.units import m_from_ft

SPEC = Cable(
    name="CAB",
    area_mm2=1.31,
    gauge="16 AWG",
    conductors=2,
    stranded=True,
    shielded=False,
    capacitance_nf_per_m=0.082,  # 25 pF/ft
    insulation_v=600.0,
)


def device(tag: str, power_w: float | None = 0.1, row: int = 0, **more: Any) -> Device:
    return Device(tag=tag, power_w=power_w, where=CellRef("Devices", row, 1), **more)


def pull(near: str, far: str, length_ft: float | None = 10.0, row: int = 0, **more: Any) -> Pull:
    return Pull(
        **{
            "id": f"{near}-{far}",
            "near": near,
            "far": far,
            "length_m": None if length_ft is None else m_from_ft(length_ft),
            "cable": "CAB",
            "where": CellRef("Pulls", row, 1),
        }
        | more
    )


def job(
    pulls: Iterable[Pull],
    devices: Iterable[Device] | None = None,
    *,
    cable: Cable = SPEC,
    controllers: Iterable[Controller] = (),
    head_ends: Iterable[str] = (),
    splices: Iterable[str] = (),
    **more: Any,
) -> Job:
    """A job from its pulls. Ends such as `C1.2` are ports; every other end is a device of 0.1 W unless
    devices, splices or head ends are given. Rows are numbered in order, from 2."""
    pulls = [replace(p, where=CellRef("Pulls", row, 1)) for row, p in enumerate(pulls, 2)]
    ends = list(dict.fromkeys(end for p in pulls for end in (p.near, p.far) if end))
    ports = {end: Port(controller=end.split(".")[0], port=end.split(".")[1]) for end in ends if "." in end}
    head_ends, splices = frozenset(head_ends), frozenset(splices)
    if devices is None:
        devices = [device(end) for end in ends if end not in ports and end not in head_ends | splices]
    named = {controller.name: controller for controller in controllers}
    for port in ports.values():
        named.setdefault(port.controller, Controller(name=port.controller))
    return Job(
        name="job",
        devices=tuple(replace(d, where=CellRef("Devices", row, 1)) for row, d in enumerate(devices, 2)),
        pulls=tuple(pulls),
        cables={cable.name: cable},
        controllers=named,
        ports=ports,
        head_ends=head_ends,
        splices=splices,
        **more,
    )


def profile(**overrides: object) -> Profile:
    """The default profile with some limits laid over: `profile(run__devices=3)`."""
    return load_profile("two-wire-35w", {key.replace("__", "."): value for key, value in overrides.items()})


def measured(a_job: Job, a_profile: Profile | None = None) -> Bus:
    return measure(a_job, a_profile or profile())


def reaudit(a_job: Job, a_profile: Profile) -> Audit:
    """A job audited as a plan would have it, without further plans."""
    return audit_result(Attribution(judge_as_planned(a_job, a_profile)), Plans())


def found(rule: str, a_job: Job, a_profile: Profile | None = None) -> list[Finding]:
    """What one rule finds in a job."""
    return list(RULES[rule](measured(a_job, a_profile), Plans()))


def brief(findings: Iterable[Finding]) -> list[tuple[str, str]]:
    """(level, subject) of each finding, for tables of cases."""
    return [(finding.level.value, finding.subject) for finding in findings]

"""Plans as jobs: what the audit of a plan says of it, on random jobs with joins, loops and unknown cable."""

import random
from dataclasses import replace

import pytest

from auditor.audit import audit, judge_as_planned
from auditor.job.model import Cable, Controller, Job, Pull
from auditor.plans.ports import plan_ports
from auditor.profile.limits import Profile
from auditor.profile.load import load_profile
from auditor.results.audit_result import Status
from auditor.results.findings import Level, Verdict
from auditor.results.judged import Judged
from auditor.units import m_from_ft
from tests.builders import SPEC, device, job, measured, profile, pull

ADDITIVE = ("run-length", "reach", "device-count", "power")


def random_job(seed: int) -> Job:
    """Branches at a panel or on ports, some of thin cable, some with a loop, up to three controllers."""
    draw = random.Random(seed)
    pulls: list[Pull] = []
    devices = []
    for branch in range(draw.randint(1, 7)):
        start = draw.choice(["PANEL", "PANEL", "C1.1", "C1.2", "C2.1"])
        cable = draw.choice(["CAB", "CAB", "CAB", "THIN"])
        ends = [start]
        for number in range(draw.randint(1, 6)):
            tag = f"B{branch}K{number}"
            near = ends[0] if number == 0 else draw.choice(ends[1:])
            pulls.append(pull(near, tag, draw.choice([40, 120, 300, 450]), cable=cable))
            devices.append(device(tag, draw.choice([0.2, 1.0, 3.0]), quantity=draw.choice([1, 1, 6])))
            ends.append(tag)
        if len(ends) > 3 and draw.random() < 0.2:
            pulls.append(pull(ends[1], ends[-1], 60, id=f"L{branch}", cable=cable))
    controllers = [Controller(name=f"C{n}", ports=2) for n in (1, 2)]
    made = job(pulls, devices, controllers=controllers, head_ends=["PANEL"])
    thin = Cable(
        **{
            **{name: getattr(SPEC, name) for name in Cable.__dataclass_fields__},
            "name": "THIN",
            "area_mm2": 0.8,
        }
    )
    return replace(made, cables={**made.cables, "THIN": thin})


def trials(a_job: Job) -> list[Judged]:
    """What planning the ports of a job tried, in order."""
    seen: list[Judged] = []

    def noted(planned: Job, a_profile: Profile) -> Judged:
        seen.append(judge_as_planned(planned, a_profile))
        return seen[-1]

    plan_ports(measured(a_job), noted)
    return seen


@pytest.mark.parametrize("seed", range(60))
def test_every_plan_that_is_offered_passes_its_own_audit(seed: int) -> None:
    a_job = random_job(seed)
    audited = audit(a_job, profile())
    plan = audited.port_plan
    if plan is None or plan.status is Status.IMPOSSIBLE:
        return
    again = trials(a_job)
    assert not [f.message for f in audited.findings if "is not offered" in f.message]
    planned = {run.name for run in plan.runs}
    for one in again[-1:]:
        kept = planned | {run.controller for run in plan.runs}
        faults = [
            f for f in one.findings if f.rule in ADDITIVE and f.level is Level.FAIL and f.subject in kept
        ]
        assert faults == []
        assert all(state.run.loops == () for state in one.bus.runs if state.run.name in planned)


def chain(start: str, *feet: float, name: str = "K", **more: object) -> list[Pull]:
    ends = [start, *(f"{name}{n}" for n in range(1, len(feet) + 1))]
    return [pull(near, far, length, **more) for near, far, length in zip(ends, ends[1:], feet, strict=False)]


def test_joined_ports_are_not_planned_over() -> None:
    pulls = [*chain("C1.1", 100), pull("K1", "C1.2", 100), *chain("PANEL", 100, name="P")]
    audited = audit(job(pulls, controllers=[Controller(name="C1", ports=2)], head_ends=["PANEL"]), profile())

    assert audited.controllers is not None
    assert audited.controllers.needed is None
    assert [f.level for f in audited.findings if "C1.1 and C1.2 are joined; lift" in f.message] == [
        Level.REVIEW
    ]


def test_a_ring_is_planned_with_its_closing_pull_left_unlanded() -> None:
    pulls = [*chain("C1.1", 900, 900), pull("K2", "C1.1", 900)]
    audited = audit(job(pulls, controllers=[Controller(name="C1", ports=2)]), profile())

    assert audited.port_plan is not None
    assert "left unlanded, since" in (audited.port_plan.reason or "")


def test_a_plan_that_only_opens_a_loop_shows_the_runs_without_it() -> None:
    pulls = [*chain("C1.1", 100, 100), pull("K2", "C1.1", 60), *chain("C1.2", 100, name="P")]
    audited = audit(job(pulls, [device("K1"), device("K2"), device("P1")]), profile())

    plan = audited.port_plan
    assert plan is not None
    assert (plan.moves, plan.cuts) == ((), ())
    lifted = next(f for f in audited.findings if f.rule == "loop").message
    assert "lift pull K1-K2" in lifted
    assert [(run.name, run.loops, run.cable_m, run.verdict) for run in plan.runs] == [
        ("C1.1", 0, pytest.approx(m_from_ft(160)), Verdict.PASS),
        ("C1.2", 0, pytest.approx(m_from_ft(100)), Verdict.PASS),
    ]
    assert [run.loops for run in audited.runs] == [1, 0]


def test_cable_that_is_not_stated_counts_as_off_specification_and_makes_no_fail() -> None:
    unknown = replace(SPEC, stranded=None)
    pulls = [pull("PANEL", f"K{n}", 400) for n in range(1, 6)]
    a_job = job(pulls, cable=unknown, controllers=[Controller(name="C1", ports=2)], head_ends=["PANEL"])
    audited = audit(a_job, profile())

    assert audited.controllers is not None
    assert audited.controllers.needed == 2
    assert [f.level for f in audited.findings if f.message.startswith("The port plan takes")] == [
        Level.REVIEW
    ]
    assert "counted as off specification" in (audited.port_plan.reason or "" if audited.port_plan else "")


def test_a_shortage_at_one_head_end_is_not_hidden_by_an_idle_controller_at_another() -> None:
    controllers = [Controller(name="C1", ports=2, head_end="A"), Controller(name="C2", ports=2, head_end="B")]
    pulls = [*(pull("A", f"K{n}", 950) for n in range(1, 6)), pull("B", "Z", 10)]
    audited = audit(job(pulls, controllers=controllers, head_ends=["A", "B"]), profile())

    assert [f.message for f in audited.findings if f.message.startswith("The job needs")] == [
        "The job needs 3 controllers, driven by the length of cable, and 2 are scheduled: add C3 of the "
        "port plan"
    ]


def test_one_hopeless_branch_leaves_the_other_head_ends_planned() -> None:
    controllers = [Controller(name="C1", ports=2, head_end="A"), Controller(name="C2", ports=2, head_end="B")]
    pulls = [pull("A", "FAR", 1500), pull("B", "Z", 10)]
    audited = audit(job(pulls, controllers=controllers, head_ends=["A", "B"]), profile())

    assert audited.port_plan is not None
    assert [(move.branch, move.target) for move in audited.port_plan.moves] == [("B-Z", "C2.1")]
    assert [run.name for run in audited.port_plan.runs] == ["C2.1"]


def test_an_end_that_names_a_controller_is_bound_to_its_ports() -> None:
    controllers = [
        Controller(name="PANEL 1", ports=2, head_end="Riser"),
        Controller(name="PANEL 2", ports=2, head_end="Attic"),
    ]
    audited = audit(
        job([pull("PANEL 1", "K1", 10)], controllers=controllers, head_ends=["PANEL 1"]), profile()
    )

    assert audited.port_plan is not None
    assert [move.target for move in audited.port_plan.moves] == ["PANEL 1.1"]


def test_a_hundred_and_fifty_heavy_devices_need_as_many_supplies_and_that_is_no_impossibility() -> None:
    pulls = [pull("PANEL", f"K{n}", 10) for n in range(150)]
    devices = [device(f"K{n}", 20.0) for n in range(150)]
    a_job = job(pulls, devices, controllers=[Controller(name="C1", ports=2)], head_ends=["PANEL"])
    audited = audit(a_job, load_profile("two-wire-35w"))

    assert audited.port_plan is None or audited.port_plan.status is not Status.IMPOSSIBLE


# --- ports that a controller does not have ------------------------------------------------------------


@pytest.mark.parametrize("beyond", ["C1.7", "C1.0"])
def test_a_branch_on_a_port_that_is_not_there_moves_and_passes_as_planned(beyond: str) -> None:
    result = audit(job([pull("C1.1", "K1"), pull(beyond, "K2")]), profile())
    assert [(move.origin, move.target) for move in result.port_plan.moves] == [(beyond, "C1.2")]
    assert [(run.name, run.verdict) for run in result.port_plan.runs] == [
        ("C1.1", Verdict.PASS),
        ("C1.2", Verdict.PASS),
    ]


def test_a_plan_that_leaves_no_branch_on_a_third_port_fails_no_more() -> None:
    result = audit(job([pull("C1.1", "K1"), pull("C1.2", "K2"), pull("C1.7", "K3")]), profile())
    assert {run.verdict for run in result.runs} == {Verdict.PASS, Verdict.FAIL}
    assert [run.verdict for run in result.port_plan.runs] == [Verdict.PASS, Verdict.PASS]

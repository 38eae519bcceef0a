"""port-plan: branches without a port, controllers that are not enough, plans that cannot be."""

from dataclasses import replace

from auditor.audit import audit
from auditor.job.model import Controller, Job
from auditor.results.audit_result import Audit, Status
from auditor.results.findings import Finding, Level
from tests.builders import SPEC, brief, device, job, profile, pull

C1 = Controller(name="C1", ports=2)


def planned(a_job: Job) -> Audit:
    return audit(a_job, profile())


def about_ports(audited: Audit) -> list[Finding]:
    return [finding for finding in audited.findings if finding.rule == "port-plan"]


def chain(start: str, name: str, legs: int = 2, length_ft: float = 750.0, **more: object) -> list:
    """A branch of legs side by side behind one home run of 0 ft: its cable is legs times length."""
    first = pull(start, f"{name}0", 0.001, **more)
    return [first, *(pull(f"{name}0", f"{name}{leg}", length_ft) for leg in range(1, legs + 1))]


def test_fails_three_branches_of_1500_ft_and_one_controller_of_2_ports_of_2000_ft() -> None:
    pulls = [*chain("PANEL", "A"), *chain("PANEL", "B"), *chain("PANEL", "C")]
    audited = planned(job(pulls, controllers=[C1], head_ends=["PANEL"]))

    assert audited.controllers is not None
    assert (audited.controllers.needed, audited.controllers.status) == (2, Status.PROVEN)
    assert [finding.message for finding in about_ports(audited) if finding.level is Level.FAIL] == [
        "The job needs 2 controllers, driven by the length of cable, and 1 is scheduled: add C2 of the "
        "port plan"
    ]
    assert audited.port_plan is not None
    assert {run.controller for run in audited.port_plan.runs} == {"C1", "C2"}


def test_passes_two_branches_of_1500_ft_on_the_2_ports_of_one_controller_as_scheduled() -> None:
    audited = planned(job([*chain("C1.1", "A"), *chain("C1.2", "B")], controllers=[C1]))

    assert about_ports(audited) == []
    assert audited.port_plan is not None
    assert (audited.port_plan.status, audited.port_plan.moves) == (Status.PROVEN, ())
    assert audited.port_plan.runs == audited.runs


def test_a_branch_without_a_port_is_a_review_at_its_home_run_with_the_planned_port() -> None:
    audited = planned(
        job([pull("PANEL", "A", 100), pull("PANEL", "B", 100)], controllers=[C1], head_ends=["PANEL"])
    )
    found = about_ports(audited)

    assert [(f.level, f.where.row if f.where else None) for f in found] == [
        (Level.REVIEW, 2),
        (Level.REVIEW, 3),
    ]
    assert found[0].message == (
        "Pull PANEL-A leaves PANEL without a port; the plan puts it on C1.1; write its port into the schedule"
    )
    assert audited.verdict.value == "review"


def test_fewer_controllers_than_scheduled_are_a_note() -> None:
    two = [C1, Controller(name="C2", ports=2)]
    audited = planned(job([pull("C1.1", "A", 100), pull("C2.1", "B", 100)], controllers=two))

    assert brief(about_ports(audited)) == [("note", "job")]
    assert audited.controllers is not None
    assert (audited.controllers.scheduled, audited.controllers.needed) == (2, 1)


def test_a_device_beyond_every_reach_cannot_be_planned() -> None:
    audited = planned(job([pull("PANEL", "A", 1100)], controllers=[C1], head_ends=["PANEL"]))
    fails = [finding for finding in about_ports(audited) if finding.level is Level.FAIL]

    assert len(fails) == 1
    assert fails[0].message.startswith("No port plan can keep the limits: ")
    assert audited.port_plan is not None
    assert audited.port_plan.status is Status.IMPOSSIBLE


def test_the_same_where_every_branch_has_a_port_is_a_note_beside_the_reach() -> None:
    audited = planned(job([pull("C1.1", "A", 1100)], controllers=[C1]))

    assert brief(about_ports(audited)) == [("note", "job")]
    assert ("reach", "fail") in [(finding.rule, finding.level.value) for finding in audited.findings]


def test_a_pin_without_a_port_is_said_and_the_rest_is_audited() -> None:
    audited = planned(job([pull("PANEL", "A", 100, pinned=True)], controllers=[C1], head_ends=["PANEL"]))

    assert [f.level for f in about_ports(audited)] == [Level.REVIEW]
    assert len(audited.runs) == 1


def test_a_controller_of_0_ports_is_said_and_the_rest_is_audited() -> None:
    none = Controller(name="C1", ports=0)
    audited = planned(job([pull("PANEL", "A", 100)], controllers=[none], head_ends=["PANEL"]))

    assert any("0 ports" in finding.message for finding in about_ports(audited))
    assert len(audited.runs) == 1


def test_an_over_full_branch_is_cut_and_its_far_part_gets_a_home_run() -> None:
    pulls = [pull("C1.1", "S", 100), *(pull("S", f"A{n}", 300) for n in range(1, 8))]  # 2,200 ft
    audited = planned(job(pulls, controllers=[C1]))

    assert audited.port_plan is not None
    assert audited.port_plan.status is Status.PROVEN
    assert [(cut.pull[:2], round(cut.new_home_run_m, 4)) for cut in audited.port_plan.cuts] == [
        ("S-", 121.92)
    ]
    assert {run.name for run in audited.port_plan.runs} == {"C1.1", "C1.2"}
    assert all(run.verdict.value != "fail" for run in audited.port_plan.runs)


def test_empty_job() -> None:
    assert about_ports(planned(job([], [device("K1")]))) == []


def test_a_plan_that_unknown_cable_forbids_is_asked_about() -> None:
    """Cable whose data are not stated counts as off specification, which shortens the reach: no fail rests on it."""
    pulls = [pull("PANEL", "A", 400), pull("A", "B", 400)]
    unstated = replace(SPEC, stranded=None)
    audited = planned(job(pulls, cable=unstated, controllers=[C1], head_ends=["PANEL"]))
    levels = [finding.level for finding in about_ports(audited) if "can keep the limits" in finding.message]
    assert levels == [Level.REVIEW]
    assert any("without a port" in finding.message for finding in about_ports(audited))

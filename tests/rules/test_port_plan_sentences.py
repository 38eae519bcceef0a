"""What is said of a port plan that is there, whole sentences; how plans are found is tried in tests/plans/."""

from dataclasses import replace
from typing import Any

import pytest

from auditor.job.model import Controller, Job
from auditor.plans.plans import Plans, PortPlanning
from auditor.results.audit_result import ControllersResult, Move, Status
from auditor.results.findings import Finding, Level
from auditor.rules.port_plan import check
from tests.builders import SPEC, job, measured, pull

FAIL, REVIEW, NOTE = Level.FAIL, Level.REVIEW, Level.NOTE
PROVEN, BEST, IMPOSSIBLE = Status.PROVEN, Status.BEST_FOUND, Status.IMPOSSIBLE
ASSIGNED = job([pull("C1.1", "K1"), pull("C1.2", "K2")])
UNSTATED = replace(SPEC, name="OTHER", shielded=None)
HALF_KNOWN = job([pull("C1.1", "K1"), pull("C1.2", "K2", cable="OTHER")])
HALF_KNOWN = replace(HALF_KNOWN, cables={**HALF_KNOWN.cables, "OTHER": UNSTATED})
HALF_MEASURED = job([pull("C1.1", "K1"), pull("C1.2", "K2", None)])
HALF_ASSIGNED = job([pull("C1.1", "K1"), pull("PANEL", "K2")], head_ends=["PANEL"])


def plan(
    status: Status | None, *targets: str, reason: str | None = None, kept: bool = False, **more: Any
) -> PortPlanning:
    """A plan that moves a branch to each of these ports; what is given beyond is how many controllers it takes."""
    counted = {"scheduled": 1, "needed": None, "lower_bound": None} | more
    moves = tuple(Move(branch=f"P{n}", origin="C1.1", target=target) for n, target in enumerate(targets))
    return PortPlanning(
        controllers=ControllersResult(status=status, **counted),
        status=status,
        moves=moves,
        reason=reason,
        kept=kept,
    )


def about(level: Level, message: str, measured: int | None = None, limit: int | None = None) -> Finding:
    unit = None if measured is None else "controllers"
    return Finding(
        rule="port-plan",
        level=level,
        subject="job",
        message=message,
        measured=measured,
        limit=limit,
        unit=unit,
    )


def said(a_job: Job, planning: PortPlanning) -> list[Finding]:
    """What is found of the job as a whole."""
    return [each for each in check(measured(a_job), Plans(ports=planning)) if each.subject == "job"]


LACKING: list[tuple[str, Job, PortPlanning, list[Finding]]] = [
    (
        "two more than scheduled, which is proven",
        ASSIGNED,
        plan(PROVEN, "C10.1", "C2.1", lower_bound=3),
        [about(FAIL, "The job needs 3 controllers, and 1 is scheduled: add C2, C10 of the port plan", 3, 1)],
    ),
    (
        "more than are proven to be needed",
        ASSIGNED,
        plan(BEST, "C3.1", scheduled=2, lower_bound=2, driven_by="devices", kept=True),
        [
            about(
                REVIEW,
                "The port plan takes 3 controllers with the cable as scheduled, driven by the number of devices, and 2 are "
                "scheduled: add C3 of the port plan; fewer may do, which is not proven",
                3,
                2,
            )
        ],
    ),
    (
        "at least so many, whatever the plan",
        ASSIGNED,
        plan(BEST, scheduled=1, lower_bound=3, driven_by="power"),
        [about(FAIL, "The job needs at least 3 controllers, driven by the watts, and 1 is scheduled", 3, 1)],
    ),
    *(
        (
            f"a job of which {what} is not known",
            a_job,
            plan(PROVEN, "C2.1", lower_bound=2, driven_by="cable"),
            [
                about(
                    REVIEW,
                    "The port plan takes 2 controllers, driven by the length of cable, and 1 is scheduled: add C2 of the port "
                    "plan; fewer may do once all is stated",
                    2,
                    1,
                )
            ],
        )
        for what, a_job in (("some cable", HALF_KNOWN), ("a length", HALF_MEASURED))
    ),
    (
        "a plan with which a run still fails",
        ASSIGNED,
        replace(plan(PROVEN, "C2.1", lower_bound=2), failing={"C2.1": ("voltage",)}),
        [
            about(
                FAIL,
                "The job needs 2 controllers, and 1 is scheduled: add C2 of the port plan; with the plan C2.1 still "
                "fails (voltage)",
                2,
                1,
            )
        ],
    ),
    (
        "one more, for one of the scheduled stands at another head end",
        ASSIGNED,
        plan(PROVEN, "C3.1", scheduled=2, needed=2, lower_bound=2),
        [
            about(
                FAIL,
                "The job needs 2 controllers, and of the 2 that are scheduled 1 can be used: add C3 of the port plan",
                2,
                1,
            )
        ],
    ),
    (
        "fewer than scheduled, and a run still fails",
        ASSIGNED,
        replace(
            plan(PROVEN, "C1.2", scheduled=2, needed=1, lower_bound=1), failing={"C1.2": ("voltage", "reach")}
        ),
        [
            about(
                NOTE,
                "1 of the 2 controllers that are scheduled could hold the job; the port plan shows how; with the plan "
                "C1.2 still fails (voltage, reach)",
                1,
                2,
            )
        ],
    ),
    ("as many as scheduled", ASSIGNED, plan(PROVEN, "C1.2", needed=1, lower_bound=1), []),
    (
        "none are scheduled: the plan says how many",
        ASSIGNED,
        plan(PROVEN, "C2.1", scheduled=0, lower_bound=1),
        [],
    ),
    (
        "fewer than scheduled",
        ASSIGNED,
        plan(PROVEN, "C1.2", scheduled=2, needed=1, lower_bound=1),
        [
            about(
                NOTE,
                "1 of the 2 controllers that are scheduled could hold the job; the port plan shows how",
                1,
                2,
            )
        ],
    ),
    ("fewer than scheduled, and nothing has to move", ASSIGNED, plan(PROVEN, scheduled=2, needed=1), []),
]


@pytest.mark.parametrize(("what", "a_job", "planning", "findings"), LACKING, ids=[row[0] for row in LACKING])
def test_controllers_that_are_scheduled_against_those_of_the_plan(
    what: str, a_job: Job, planning: PortPlanning, findings: list[Finding]
) -> None:
    assert said(a_job, planning) == findings


def test_a_controller_with_a_dot_in_its_name_is_not_added() -> None:
    two = job([pull("C1.1", "K1")], controllers=[Controller(name="AV.1")])
    assert said(two, plan(PROVEN, "AV.1.2", scheduled=2, needed=2, lower_bound=2)) == []


@pytest.mark.parametrize(("a_job", "level"), [(ASSIGNED, NOTE), (HALF_ASSIGNED, REVIEW)])
def test_a_plan_that_could_not_be_made_is_a_review_where_a_branch_waits_for_a_port(
    a_job: Job, level: Level
) -> None:
    planning = PortPlanning(problems=("No port plan: C1 has 0 ports",))
    assert said(a_job, planning) == [about(level, "No port plan: C1 has 0 ports")]


def test_a_branch_that_the_plan_puts_where_it_still_fails_is_told_so() -> None:
    pull_name = HALF_ASSIGNED.pulls[1].id
    move = Move(branch=pull_name, origin=None, target="C1.2")
    planning = replace(plan(PROVEN), moves=(move,), failing={"C1.2": ("voltage",)})
    found = [each.message for each in check(measured(HALF_ASSIGNED), Plans(ports=planning))]
    assert found == [
        f"Pull {pull_name} leaves PANEL without a port; the plan puts it on C1.2, where it still fails (voltage); "
        "write its port into the schedule"
    ]


IMPOSSIBLE_AT = job([pull("PANEL", "K1"), pull("PANEL", "K2", cable="OTHER")], head_ends=["PANEL"])
NEITHER = replace(IMPOSSIBLE_AT, cables={**IMPOSSIBLE_AT.cables, "OTHER": UNSTATED})
BOTH = replace(IMPOSSIBLE_AT, cables={**IMPOSSIBLE_AT.cables, "OTHER": replace(SPEC, name="OTHER")})


@pytest.mark.parametrize(("a_job", "level"), [(ASSIGNED, NOTE), (BOTH, FAIL), (NEITHER, REVIEW)])
def test_that_no_plan_keeps_the_limits_fails_where_all_is_known_of_branches_without_a_port(
    a_job: Job, level: Level
) -> None:
    planning = plan(IMPOSSIBLE, reason="K2 is too far", lower_bound=3)
    assert said(a_job, planning) == [about(level, "No port plan can keep the limits: K2 is too far")]

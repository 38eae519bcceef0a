"""What a job's port plan says beside its moves: counts over all head ends, what was counted as nothing, its trial."""

from dataclasses import replace

import pytest

from auditor.audit import judge_as_planned
from auditor.job.model import Controller, Job, Port
from auditor.plans.plans import PortPlanning
from auditor.plans.ports import plan_ports
from auditor.profile.limits import Profile
from auditor.results.audit_result import ControllersResult, Move, Status
from auditor.results.findings import Finding, Level
from auditor.results.judged import Judged
from tests.builders import device, job, measured, profile, pull


def planning(a_job: Job, limits: Profile | None = None) -> PortPlanning:
    return plan_ports(measured(a_job, limits), judge_as_planned)


TWO_PLACES = [
    Controller(name="C1", ports=2, head_end="A", supply_power_w=35.0),
    Controller(name="C2", ports=2, head_end="B"),
]


def test_controllers_of_all_head_ends_are_counted_and_what_drives_their_number_is_told() -> None:
    """950 ft each, two to a port of 2,000 ft: five branches at A need three ports, one at B one."""
    rows = [*(pull("A", f"K{n}", 950) for n in range(1, 6)), pull("B", "Z", 10)]
    found = planning(job(rows, controllers=TWO_PLACES, head_ends=["A", "B"]))
    assert found.controllers == ControllersResult(
        scheduled=2, needed=3, lower_bound=3, status=Status.PROVEN, driven_by="cable"
    )
    assert (found.status, found.reason, found.problems, found.kept) == (Status.PROVEN, None, (), False)
    assert {move.branch: move.origin for move in found.moves} == {row.id: None for row in rows}


def test_a_job_that_one_controller_holds_is_driven_by_no_limit() -> None:
    found = planning(job([pull("C1.1", "K1", 900)]))
    assert found.controllers == ControllersResult(scheduled=1, needed=1, lower_bound=1, status=Status.PROVEN)
    assert (found.moves, found.trial) == ((), None)


def test_a_job_without_branches_has_nothing_to_plan() -> None:
    found = planning(job([], [device("K1")], controllers=TWO_PLACES))
    nothing = ControllersResult(scheduled=2, needed=None, lower_bound=None, status=None)
    assert found == PortPlanning(controllers=nothing)
    assert not found.kept


@pytest.mark.parametrize("hopeless", ["A", "B"])
def test_where_one_head_end_has_no_plan_the_controllers_needed_are_not_known(hopeless: str) -> None:
    """1,500 ft are past the reach of 1,000 ft, whatever the port."""
    rows = [pull(place, f"K{place}", 1500 if place == hopeless else 10) for place in ("A", "B")]
    found = planning(job(rows, controllers=TWO_PLACES, head_ends=["A", "B"]))
    assert found.controllers is not None
    assert (found.controllers.needed, found.controllers.status, found.status) == (
        None,
        Status.IMPOSSIBLE,
        Status.IMPOSSIBLE,
    )
    assert [move.branch for move in found.moves] == [row.id for row in rows if hopeless not in row.far]


def test_where_one_head_end_cannot_be_planned_the_other_is_and_the_controllers_needed_are_not_known() -> None:
    rows = [pull("C1.1", "K1"), pull("K1", "C1.2"), pull("B", "K2")]
    found = planning(job(rows, controllers=TWO_PLACES, head_ends=["B"]))
    assert found.controllers is not None
    assert (found.controllers.needed, found.status) == (None, Status.PROVEN)
    assert found.problems == (
        "No port plan for A: C1.1 and C1.2 are joined; lift the pull that joins them first",
    )
    assert found.moves == (Move(branch="B-K2", origin=None, target="C2.1"),)


def test_a_share_of_the_supplies_that_one_head_end_keeps_is_told_of_the_whole() -> None:
    """At A two devices draw 32 W and lose so much that the supply of 35 W gives more; at B there is little."""
    far = [pull("C1.1", "K1", 400), pull("C1.2", "K2", 400), pull("C2.1", "K3")]
    devices = [device("K1", 16.0), device("K2", 16.0), device("K3")]
    assert planning(job(far, devices, controllers=TWO_PLACES)).kept
    assert not planning(job(far, [device("K1"), device("K2"), device("K3")], controllers=TWO_PLACES)).kept


# --- what was counted as nothing ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("count", "said"),
    [
        (0, None),
        (
            1,
            "1 pull without a length counted as 0; 1 device row without a power counted as 0; "
            "1 device that nothing feeds not planned",
        ),
        (
            2,
            "2 pulls without a length counted as 0; 2 device rows without a power counted as 0; "
            "2 devices that nothing feeds not planned",
        ),
    ],
)
def test_what_is_not_known_is_counted_and_said(count: int, said: str | None) -> None:
    ends = [f"K{n}" for n in range(1, count + 1)]
    rows = [pull("C1.1", "Z", 10), *(pull("Z", end, None) for end in ends)]
    devices = [device("Z"), *(device(end, None) for end in ends)]
    devices += [device("DARK", quantity=count)] if count else []
    assert planning(job(rows, devices)).reason == said


def test_powers_that_the_bus_does_not_feed_are_neither_missed_nor_counted() -> None:
    """Together 60 W, where the supply has 35 W: it is not asked for them."""
    limits = profile(device__powered_by_bus=False)
    devices = [device("K1", None), device("K2", 30.0), device("K3", 30.0)]
    found = planning(job([pull("C1.1", f"K{n}") for n in (1, 2, 3)], devices), limits)
    assert (found.controllers, found.reason) == (
        ControllersResult(scheduled=1, needed=1, lower_bound=1, status=Status.PROVEN),
        None,
    )


# --- the trial ----------------------------------------------------------------------------------------

BEYOND = [pull("C1.1", "K1"), pull("C1.7", "K2")]  # C1 has two ports: K2 moves to C1.2
DOTTED = replace(
    job(BEYOND),
    pulls=tuple(replace(row, near=row.near.replace("C1", "P.1")) for row in job(BEYOND).pulls),
    controllers={"P.1": Controller(name="P.1", ports=2)},
    ports={f"P.1.{port}": Port(controller="P.1", port=port) for port in ("1", "7")},
)


def finding(rule: str, subject: str, level: Level = Level.FAIL) -> Finding:
    return Finding(rule=rule, level=level, subject=subject, message=f"{subject} fails {rule}")


def after_a_trial_with(*findings: Finding, a_job: Job = job(BEYOND)) -> PortPlanning:  # noqa: B008
    def judge(one: Job, limits: Profile) -> Judged:
        return replace(judge_as_planned(one, limits), findings=findings)

    return plan_ports(measured(a_job), judge)


def test_a_plan_whose_trial_finds_nothing_is_offered_with_it() -> None:
    found = after_a_trial_with()
    assert (found.reason, found.problems, found.status) == (None, (), Status.PROVEN)
    assert found.trial is not None
    assert found.suggested_port() == {"K1": "C1.1", "K2": "C1.2"}


@pytest.mark.parametrize(
    ("a_job", "subjects"), [(job(BEYOND), ("C1", "C1.1", "C1.2")), (DOTTED, ("P.1", "P.1.1", "P.1.2"))]
)
def test_a_limit_that_adds_up_refutes_the_plan_where_its_ports_or_controllers_fail_it(
    a_job: Job, subjects: tuple[str, ...]
) -> None:
    for subject in subjects:
        found = after_a_trial_with(finding("power", subject), a_job=a_job)
        said = f"{subject} fails power"
        assert (found.moves, found.cuts, found.trial) == ((), (), None)
        assert (found.status, found.reason) == (Status.BEST_FOUND, said)
        assert found.problems == (f"The port plan is not offered: {said}",)
        assert found.controllers is not None
        assert (found.controllers.needed, found.controllers.status) == (None, Status.BEST_FOUND)


@pytest.mark.parametrize(
    "other",
    [
        finding("power", "C2"),
        finding("power", "P"),
        finding("power", "C1.2", Level.REVIEW),
        finding("cable-spec", "C2.1"),
    ],
)
def test_what_is_found_of_others_or_is_no_fail_of_a_limit_that_adds_up_refutes_nothing(
    other: Finding,
) -> None:
    found = after_a_trial_with(other)
    assert (len(found.moves), found.reason, found.problems) == (1, None, ())


def test_runs_that_fail_as_planned_are_named_and_their_ports_are_not_suggested() -> None:
    found = after_a_trial_with(finding("voltage", "C1.2"), finding("cable-spec", "C1.2"))
    assert len(found.moves) == 1
    assert (found.status, found.reason) == (
        Status.BEST_FOUND,
        "as planned, C1.2 still fails (voltage, cable-spec)",
    )
    assert found.suggested_port() == {"K1": "C1.1"}
    assert found.controllers is not None
    assert found.controllers.status is Status.PROVEN  # their number: it follows from what adds up


def test_what_another_port_does_not_change_leaves_a_plan_proven() -> None:
    assert after_a_trial_with(finding("cable-spec", "C1.2")).status is Status.PROVEN


def test_a_device_whose_own_minimum_fails_as_planned_speaks_for_its_run() -> None:
    """K1 needs 30 V of a supply of 24 V: wherever its port is."""
    devices = [device("K1"), device("K2", min_voltage_v=30.0)]
    found = planning(job(BEYOND, devices))
    assert found.reason == "as planned, C1.2 still fails (voltage)"
    assert (found.status, found.suggested_port()) == (Status.BEST_FOUND, {"K1": "C1.1"})


def test_a_plan_that_only_opens_a_loop_is_tried_too() -> None:
    rows = [pull("C1.1", "K1"), pull("K1", "K2"), pull("K2", "C1.1", 15), pull("C2.1", "K3")]
    found = planning(job(rows, controllers=TWO_PLACES))
    assert (found.moves, found.trial is not None) == ((), True)

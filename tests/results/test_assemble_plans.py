"""What of the plans stands in an audit: the port plan with its runs, the suggested ports, and the verdict."""

from dataclasses import replace

import pytest

from auditor.audit import judge_as_planned
from auditor.job.model import Controller, Port
from auditor.plans.plans import Plans, PortPlanning
from auditor.results.assemble import audit_result
from auditor.results.attribution import Attribution
from auditor.results.audit_result import Audit, Move, Status
from auditor.results.findings import Finding, Level, Verdict
from auditor.results.judged import Judged
from tests.builders import job, measured, profile, pull

SCHEDULED = job([pull("C1.1", "K1", 100), pull("K1", "K2", 50), pull("C1.1", "K3", 70)])
PLANNED = job([pull("C1.1", "K1", 100), pull("K1", "K2", 50), pull("C1.2", "K3", 70)])
MOVES = (Move(branch="C1.1-K3", origin="C1.1", target="C1.2"),)


def assembled(planning: PortPlanning) -> Audit:
    return audit_result(Attribution(judge_as_planned(SCHEDULED, profile())), Plans(ports=planning))


def test_without_a_plan_there_is_none() -> None:
    result = assembled(PortPlanning())
    assert result.port_plan is None
    assert {(each.suggested_controller, each.suggested_port) for each in result.devices} == {(None, None)}


@pytest.mark.parametrize("status", [Status.PROVEN, Status.BEST_FOUND])
def test_a_plan_that_changes_nothing_has_the_runs_of_the_schedule(status: Status) -> None:
    result = assembled(PortPlanning(status=status, reason="so it is"))
    assert result.port_plan is not None
    assert (result.port_plan.status, result.port_plan.reason) == (status, "so it is")
    assert result.port_plan.runs == result.runs != ()


def test_an_impossible_plan_has_no_runs() -> None:
    plan = assembled(PortPlanning(status=Status.IMPOSSIBLE, reason="K1 is too far")).port_plan
    assert plan is not None
    assert (plan.runs, plan.reason) == ((), "K1 is too far")


def test_a_plan_has_the_runs_of_its_trial_on_the_ports_that_it_uses() -> None:
    trial = judge_as_planned(PLANNED, profile())
    both = assembled(
        PortPlanning(status=Status.PROVEN, moves=MOVES, ports=frozenset({"C1.1", "C1.2"}), trial=trial)
    )
    assert both.port_plan is not None
    assert [(run.name, run.devices) for run in both.port_plan.runs] == [("C1.1", 2), ("C1.2", 1)]
    assert both.port_plan.moves == MOVES
    assert [(each.tag, each.suggested_controller, each.suggested_port) for each in both.devices] == [
        ("K1", "C1", "1"),
        ("K2", "C1", "1"),
        ("K3", "C1", "2"),
    ]
    one = assembled(PortPlanning(status=Status.PROVEN, ports=frozenset({"C1.2"}), trial=trial))
    assert one.port_plan is not None
    assert [run.name for run in one.port_plan.runs] == ["C1.2"]


def test_a_suggested_port_of_a_controller_with_a_dot_in_its_name() -> None:
    port = Port(controller="R.1", port="2")
    controllers = {"R.1": Controller(name="R.1")}
    planned = replace(job([pull(port.name, "K1")]), ports={port.name: port}, controllers=controllers)
    trial = judge_as_planned(planned, profile())
    result = assembled(PortPlanning(status=Status.PROVEN, ports=frozenset({port.name}), trial=trial))
    assert (result.devices[0].suggested_controller, result.devices[0].suggested_port) == ("R.1", "2")


@pytest.mark.parametrize(
    ("level", "crashed", "verdict"),
    [
        (Level.NOTE, (), Verdict.PASS),
        (Level.NOTE, ("reach",), Verdict.REVIEW),
        (Level.REVIEW, ("reach",), Verdict.REVIEW),
        (Level.FAIL, ("reach",), Verdict.FAIL),
    ],
)
def test_a_job_on_which_a_rule_raised_is_no_pass(
    level: Level, crashed: tuple[str, ...], verdict: Verdict
) -> None:
    found = Finding(rule="profile", level=level, subject="job", message="…")
    judged = Judged(bus=measured(SCHEDULED), findings=(found,), scopes={}, crashed=crashed)
    result = audit_result(Attribution(judged), Plans())
    assert (result.verdict, result.crashed) == (verdict, crashed)


def test_a_job_of_a_workbook_that_holds_several_is_named_with_its_part() -> None:
    judged = judge_as_planned(replace(SCHEDULED, name="Gull Cottage", part="Building B"), profile())
    result = audit_result(Attribution(judged), Plans())
    assert (result.job, result.part) == ("Gull Cottage, Building B", "Building B")
    assert (assembled(PortPlanning()).job, assembled(PortPlanning()).part) == ("job", None)

"""Branches that are too much for one port: which pull is lifted, and the job with a home run in its place."""

from dataclasses import replace

import pytest

from auditor.audit import judge_as_planned
from auditor.bus.cables import TO_SPECIFICATION
from auditor.calc.ports.plan import PortPlan
from auditor.job.model import Cable, Controller, Job, Port
from auditor.plans.head_end import HeadEnd, Namer
from auditor.results.audit_result import Cut, Move
from auditor.units import m_from_ft
from tests.builders import SPEC, job, measured, pull

THIN = replace(SPEC, name="THIN", area_mm2=0.823, gauge="18 AWG")
UNSURE = replace(SPEC, name="A", stranded=None)  # first by its name, and not known to be within


def planned(a_job: Job, place: str = "") -> tuple[HeadEnd, PortPlan, Job]:
    one = HeadEnd(measured(a_job), place, Namer(a_job))
    found = one.plan(judge_as_planned)
    return one, found, one.planned_job(found, a_job)


def star(cable: Cable, spoke_ft: float, *others: Cable) -> Job:
    """Three spokes from A, 100 ft from the port, after another branch on the other port of the one controller."""
    rows = [pull("C1.2", "K9", 10), pull("C1.1", "A", 100)]
    rows += [pull("A", f"K{n}", spoke_ft) for n in (1, 2, 3)]
    rows = [replace(row, cable=cable.name) for row in rows]
    return replace(job(rows), cables={each.name: each for each in (*others, cable)})


def test_the_pull_that_is_lifted_becomes_a_home_run_of_the_same_route() -> None:
    """100 + 3 x 650 ft are 2,050 ft where 2,000 are allowed; any spoke will do, a home run of 750 ft for it."""
    one, found, after = planned(star(SPEC, 650))
    (cut,) = one.cuts(found)
    assert cut == Cut(pull=cut.pull, new_home_run_m=pytest.approx(m_from_ft(750)))
    assert cut.pull in ("A-K1", "A-K2", "A-K3")
    assert list(one.moves(found)) == [Move(branch=cut.pull, origin="C1.1", target="C1.2")]
    lifted = next(row for row in one.bus.job.pulls if row.id == cut.pull)
    home_run = replace(lifted, near="C1.2", length_m=cut.new_home_run_m)
    assert after.pulls == tuple(home_run if row is lifted else row for row in one.bus.job.pulls)
    assert (after.ports, after.controllers) == (one.bus.job.ports, one.bus.job.controllers)


@pytest.mark.parametrize(
    ("others", "cable"),
    [
        ((), TO_SPECIFICATION),
        ((SPEC,), "CAB"),
        ((UNSURE, SPEC), "CAB"),
        ((UNSURE,), TO_SPECIFICATION),
    ],
)
def test_a_lifted_pull_of_thin_cable_is_replaced_by_one_within_the_specification(
    others: tuple[Cable, ...], cable: str
) -> None:
    """Thin cable halves the limits: 100 + 3 x 310 ft are 1,030 ft where 1,000 are allowed."""
    one, found, after = planned(star(THIN, 310, *others))
    assert len(found.cuts) == 1
    home_run = next(row for row in after.pulls if row.near == "C1.2" and row.far != "K9")
    assert home_run.cable == cable
    assert cable in after.cables
    states = measured(after).cables
    assert states[cable].off_spec is False
    assert after.cables.keys() - {cable} == one.bus.job.cables.keys() - {cable}


def test_cable_that_nobody_names_is_cut_as_what_it_is() -> None:
    rows = [replace(row, cable=None) for row in star(SPEC, 310).pulls]
    _, found, after = planned(replace(star(SPEC, 310), pulls=tuple(rows), cables={}))
    assert len(found.cuts) == 1
    assert {row.cable for row in after.pulls} == {None}


def test_an_added_controller_stands_at_the_head_end_that_it_was_added_for() -> None:
    rows = [pull("PANEL", f"K{n}", 950) for n in (1, 2, 3)]
    controllers = [Controller(name="C1", ports=1)]
    _, found, after = planned(job(rows, controllers=controllers, head_ends=["PANEL"]), "PANEL")
    assert found.new_controllers == 1
    assert after.controllers["C2"] == Controller(name="C2", head_end="PANEL")
    assert {row.near for row in after.pulls} == set(after.ports) <= {"C1.1", "C2.1", "C2.2"}
    assert all(port == Port(controller=name[:2], port=name[3:]) for name, port in after.ports.items())
    _, _, nowhere = planned(job([pull("C1.1", f"K{n}", 990) for n in range(1, 6)]))
    assert nowhere.controllers["C2"] == Controller(name="C2")


def test_the_ports_that_a_plan_leaves_empty_are_gone_from_the_job() -> None:
    a_job = job([pull("C1.1", "K1"), pull("C1.7", "K2")])
    _, _, after = planned(a_job)
    assert after.ports.keys() == {"C1.1", "C1.2"}


def test_a_loop_is_opened_in_the_planned_job_and_said_with_the_pull_that_closes_it() -> None:
    rows = [
        pull("C1.1", "K1", 100),
        pull("K1", "K2", 100),
        pull("K2", "K3", 100),
        pull("K3", "K1", 250, id="L1"),
    ]
    alone = HeadEnd(measured(job(rows)), "", Namer(job(rows)))
    assert alone.assumed == ["planned with L1 left unlanded, since L1 closes a loop"]
    one, _, after = planned(job([*rows, pull("C1.2", "K9"), pull("C1.2", "K9", 20, id="L2")]))
    assert one.assumed == ["planned with L1, L2 left unlanded, since L1, L2 close loops"]
    assert [row.id for row in after.pulls if not row.landed] == ["L1", "L2"]


def test_cable_of_which_not_all_is_known_is_named_once_among_what_the_plan_took_for_granted() -> None:
    rows = [pull("C1.1", "K1", cable="A"), pull("C1.2", "K2", cable="A"), pull("K2", "K3", cable=None)]
    one, _, _ = planned(replace(job(rows), cables={"A": UNSURE}))
    assert one.assumed == [
        "A, cable not stated counted as off specification, since its data are not all stated"
    ]
    assert [branch.off_spec for branch in one.branches] == [True, True]

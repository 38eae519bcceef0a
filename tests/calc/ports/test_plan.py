from dataclasses import replace

import pytest

from auditor.calc.ports.plan import BranchCut, BranchMove, port_plan
from auditor.calc.ports.problem import (
    Branch,
    KeptApart,
    PlanController,
    PlanPort,
    PortLimits,
    PortProblem,
    TreePull,
)
from auditor.errors import PlanError

LIMITS = PortLimits(cable_m=100.0, devices=10, power_w=20.0, reach_m=60.0, off_spec_factor=0.5)
ONE_TWO = (PlanPort("C1", "1"), PlanPort("C1", "2"))


def controller(name="C1", ports=("1", "2"), power_w=35.0, devices=20):
    return PlanController(name=name, ports=ports, power_w=power_w, devices=devices)


def branch(name, cable_m=30.0, devices=2, power_w=2.0, reach_m=20.0, **more):
    return Branch(id=name, cable_m=cable_m, devices=devices, power_w=power_w, reach_m=reach_m, **more)


def tree(name, *pulls, **more):
    """A branch that may be cut: (id, parent, length, devices, power)."""
    made = tuple(
        TreePull(id=p[0], parent=p[1], length_m=p[2], devices=p[3], power_w=p[4], end=f"K-{p[0]}")
        for p in pulls
    )
    home = {None: 0.0}
    for pull in made:
        home[pull.id] = home[pull.parent] + pull.length_m
    return Branch(
        id=name,
        cable_m=sum(pull.length_m for pull in made),
        devices=sum(pull.devices for pull in made),
        power_w=sum(pull.power_w for pull in made),
        reach_m=max(home[pull.id] for pull in made if pull.devices),
        pulls=made,
        **more,
    )


OLD, NEW = (controller(),), (controller("N1"), controller("N2"))


def problem(*branches, old=OLD, new=NEW, limits=LIMITS, unit="m"):
    return PortProblem(
        branches=branches, controllers=old, new_controllers=new, limits=limits, length_unit=unit
    )


def where(plan):
    return {piece.branch: planned.port for planned in plan.ports for piece in planned.pieces}


def test_a_schedule_that_keeps_the_limits_stays_as_it_is():
    plan = port_plan(problem(branch("A", port=ONE_TWO[0]), branch("B", port=ONE_TWO[0])))
    assert (plan.status, plan.controllers, plan.moved, plan.moves, plan.balanced) == (
        "proven",
        1,
        0,
        (),
        True,
    )
    assert where(plan) == {"A": ONE_TWO[0], "B": ONE_TWO[0]}


def test_an_overfull_port_gives_up_as_few_branches_as_can_be():
    full = [
        branch(name, cable_m=length, port=ONE_TWO[0]) for name, length in (("A", 70), ("B", 20), ("C", 25))
    ]
    plan = port_plan(problem(*full))
    assert (plan.status, plan.controllers, plan.moved) == ("proven", 1, 1)
    # either A moves (70 and 45 m) or B or C (95 and 20, or 90 and 25): the greatest utilisation decides
    assert plan.moves == (BranchMove(branch="A", near=ONE_TWO[0], to=ONE_TWO[1]),)
    assert plan.utilisation == pytest.approx(0.7)


def test_a_new_controller_is_taken_only_where_the_bound_asks_for_it():
    plan = port_plan(problem(*[branch(f"B{n}", cable_m=60.0) for n in range(3)]))
    assert (plan.status, plan.controllers, plan.new_controllers) == ("proven", 2, 1)
    assert (plan.lower_bound, plan.driver) == (2, "cable")


@pytest.mark.parametrize(
    ("changed", "bound", "driver"),
    [
        ({"cable_m": 55.0}, 2, "cable"),  # 4 branches over half a port: 4 ports
        ({"devices": 7}, 2, "devices"),
        ({"power_w": 9.0}, 2, "power"),  # 36 W where a supply gives 35 W
        ({}, 1, "cable"),
    ],
)
def test_the_bound_names_the_limit_that_drives_it(changed, bound, driver):
    some = [replace(branch(f"B{n}", devices=1, power_w=1.0), **changed) for n in range(4)]
    plan = port_plan(problem(*some))
    assert (plan.lower_bound, plan.controllers, plan.driver) == (bound, bound, driver)


def test_fewer_controllers_than_scheduled():
    old = (controller("C1"), controller("C2"))
    some = [branch("A", port=PlanPort("C1", "1")), branch("B", port=PlanPort("C2", "2"))]
    plan = port_plan(problem(*some, old=old))
    assert (plan.status, plan.controllers, plan.moved) == ("proven", 1, 1)


def test_off_spec_cable_is_kept_apart_where_that_helps():
    some = [branch("A", cable_m=20.0, off_spec=True), branch("B", cable_m=20.0, off_spec=True)]
    plan = port_plan(problem(*some, branch("C", cable_m=90.0)))
    assert plan.controllers == 1
    assert [(port.derated, port.cable_m) for port in plan.ports] in (
        [(True, 40), (False, 90)],
        [(False, 90), (True, 40)],
    )
    # in full a reach of 45 m is kept, next to off-spec cable only 30 m
    far = port_plan(
        problem(branch("A", cable_m=10.0, off_spec=True), branch("C", reach_m=45.0, cable_m=45.0))
    )
    assert len(far.ports) == 2


def test_a_pinned_branch_stays_and_the_others_give_way():
    some = [
        branch("A", cable_m=90.0, port=ONE_TWO[0]),
        branch("B", cable_m=20.0, port=ONE_TWO[0], pinned=True),
    ]
    plan = port_plan(problem(*some))
    assert where(plan) == {"A": ONE_TWO[1], "B": ONE_TWO[0]}


def test_a_branch_that_breaks_a_limit_alone_is_cut_with_the_least_new_cable():
    plan = port_plan(
        problem(tree("T", ("a", None, 10, 1, 1), ("b", "a", 50, 1, 1), ("c", "a", 45, 1, 1)), new=())
    )
    # lifting b needs 60 m of new cable, lifting c 55 m
    assert plan.status == "proven"
    assert [(cut.pull, cut.new_home_run_m) for cut in plan.cuts] == [("c", 55.0)]
    assert sorted(port.cable_m for port in plan.ports) == [55.0, 60.0]
    assert sorted((piece.pulls, piece.lifted) for port in plan.ports for piece in port.pieces) == [
        (("a", "b"), None),
        (("c",), "c"),
    ]


def test_a_cut_branch_of_off_spec_cable_without_saying_where_counts_as_off_spec_all_over():
    whole = tree("T", ("a", None, 10, 1, 1), ("b", "a", 20, 1, 1), ("c", "b", 25, 1, 1), off_spec=True)
    near = replace(whole, reach_m=30.0)  # 55 m of off-spec cable where 50 m is the limit
    plan = port_plan(problem(near, limits=replace(LIMITS, reach_m=None)))
    assert plan.status == "proven"
    # lifting b would leave c, off specification too, on a run of 55 m; lifting c replaces it
    assert [(cut.pull, cut.new_home_run_m) for cut in plan.cuts] == [("c", 55.0)]
    assert sorted((port.derated, port.cable_m) for port in plan.ports) == [(False, 55.0), (True, 30.0)]


def test_the_root_of_a_cut_branch_keeps_its_port():
    cut = tree("T", ("a", None, 10, 1, 1), ("b", "a", 50, 1, 1), ("c", "a", 45, 1, 1), port=ONE_TWO[1])
    plan = port_plan(problem(cut))
    assert plan.moves == ()
    assert plan.cuts == (BranchCut(branch="T", pull="c", new_home_run_m=55.0, to=ONE_TWO[0]),)


@pytest.mark.parametrize("extra", [0.0, 60.0])
def test_what_fails_on_one_controller_may_stand_on_another(extra):
    """B of 60 m more has no room beside A, so that the solver is asked; alone it fails on both ports of C1."""
    first = (branch("A", port=ONE_TWO[0]), branch("B", port=ONE_TWO[1]))
    some = problem(*first, *([branch("C", cable_m=extra)] if extra else []))
    one = ONE_TWO[0].controller
    apart = [KeptApart(parts=frozenset({"B"}), controllers=frozenset({one}))]
    plan = port_plan(some, excluded=apart)
    assert plan.status == "proven"
    assert where(plan)["B"].controller != one


def test_a_branch_stays_on_the_controllers_that_it_may_be_on():
    """Both fit on C1 together; B stays on C2, or goes to the second of two new ones."""
    two = (controller(), controller("C2", power_w=50.0))
    a = branch("A", port=ONE_TWO[0], controllers=frozenset({"C1"}))
    b = branch("B", port=PlanPort("C2", "1"))
    assert port_plan(problem(a, b, old=two)).controllers == 1
    apart = port_plan(problem(a, replace(b, controllers=frozenset({"C2"})), old=two))
    assert (apart.status, apart.controllers, apart.moves) == ("proven", 2, ())
    new = port_plan(
        problem(branch("A", power_w=18.0), branch("B", power_w=18.0, controllers=frozenset({"N2"})))
    )
    assert (where(new)["B"].controller, new.controllers, new.new_controllers) == ("N2", 2, 1)


def test_a_branch_that_only_a_controller_it_may_not_be_on_could_feed_has_no_plan():
    limits = replace(LIMITS, power_w=None)
    two = (controller(), controller("C2", power_w=50.0))
    big = branch("B", power_w=40.0, controllers=frozenset({"C1"}))
    plan = port_plan(problem(big, old=two, limits=limits))
    assert plan.status == "impossible"
    assert plan.why == (
        "branch B alone has 40 W where 35 W is a supply's power, and its layout is not known, so it cannot be cut",
    )


def test_what_failed_together_is_not_put_together_again():
    some = problem(branch("A", port=ONE_TWO[0]), branch("B", port=ONE_TWO[0]))
    first = port_plan(some)
    second = port_plan(some, excluded=[KeptApart(parts=first.ports[0].parts)])
    assert (second.status, second.moved, len(second.ports)) == ("proven", 1, 2)
    third = port_plan(some, excluded=[KeptApart(parts=frozenset({"A"}))])
    assert (third.status, third.why) == (
        "impossible",
        ("no assignment to the controllers on offer keeps all limits",),
    )


def test_no_branches():
    plan = port_plan(problem())
    assert (plan.status, plan.controllers, plan.ports, plan.lower_bound) == ("proven", 0, (), 0)


@pytest.mark.parametrize(
    ("given", "why"),
    [
        (
            problem(branch("A", reach_m=70.0)),
            "branch A has a device 70 m from the head end and the reach is 60 m: no split changes that;"
            " move the controller nearer or shorten the route",
        ),
        (
            problem(branch("A", reach_m=40.0, off_spec=True)),
            "branch A has a device 40 m from the head end and the reach is 30 m for off-spec cable: no split"
            " changes that; move the controller nearer or shorten the route",
        ),
        (
            problem(tree("T", ("a", None, 10, 1, 1), ("b", "a", 10, 1, 25.5))),
            "K-b alone has 25.5 W where 20 W is a port's limit: no split changes that",
        ),
        (
            problem(branch("A", cable_m=120.0)),
            "branch A alone has 120 m of cable where 100 m is a port's limit, and its layout is not known, "
            "so it cannot be cut",
        ),
        (
            problem(*[branch(f"B{n}", cable_m=90.0) for n in range(3)], new=()),
            "2 controllers or more are needed and 1 are offered",
        ),
    ],
)
def test_what_is_impossible_says_why(given, why):
    plan = port_plan(given)
    assert (plan.status, plan.why, plan.ports) == ("impossible", (why,), ())


def test_sentences_speak_the_schedule_s_unit():
    far = problem(branch("A", reach_m=320.04), limits=replace(LIMITS, reach_m=304.8), unit="ft")
    assert "1,050 ft from the head end and the reach is 1,000 ft" in port_plan(far).why[0]


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        (
            problem(branch("A"), old=(controller(ports=()),)),
            "controller C1 has 0 ports, so no branch can be planned on it",
        ),
        (problem(branch("A", pinned=True)), "branch A is pinned, but the schedule gives it no port"),
        (
            problem(branch("A", pinned=True, port=PlanPort("C9", "1"))),
            "branch A is pinned to C9.1, which no controller has",
        ),
        (problem(branch("A"), branch("A")), "branch A is given twice; it can only be on one port"),
        (
            problem(*[branch(n, cable_m=60.0, pinned=True, port=ONE_TWO[0]) for n in "AB"]),
            "the branches pinned to C1.1 (A, B) have 120 m of cable where 100 m is a port's limit together;"
            " unpin one of them",
        ),
        (
            problem(branch("A"), old=(controller(), controller())),
            "controller C1 or one of its ports is listed twice; name each once",
        ),
        (
            problem(
                replace(
                    branch("A"),
                    pulls=(
                        TreePull(id="a", parent="b", length_m=1.0),
                        TreePull(id="b", parent="a", length_m=1.0),
                    ),
                )
            ),
            "branch A has a pull that does not lead back to its home run",
        ),
        (
            problem(replace(branch("A"), pulls=(TreePull(id="a", parent=None, length_m=1.0),) * 2)),
            "branch A has a pull twice; list each once",
        ),
    ],
)
def test_contradictions_are_said_in_one_sentence(given, sentence):
    with pytest.raises(PlanError) as refusal:
        port_plan(given)
    assert str(refusal.value) == sentence


def test_exactly_at_the_limit_is_kept():
    feet = 0.3048
    some = [branch(f"B{n}", cable_m=2000 * feet / 3, devices=1) for n in range(3)]
    limits = PortLimits(cable_m=2000 * feet)
    plan = port_plan(problem(*some, old=(controller(ports=("1",)),), new=(), limits=limits))
    assert (plan.status, plan.controllers) == ("proven", 1)


def test_without_time_the_plan_says_what_is_open():
    some = [branch(f"B{n}", cable_m=20.0 + n, port=PlanPort("C1", "1")) for n in range(8)]
    plan = port_plan(problem(*some), time_limit_s=0.0)
    assert (plan.status, plan.open) == ("best-found", ("moves",))
    assert plan.lower_bound <= plan.controllers

"""Port plans against every assignment and every cut set, and what holds for all of them."""

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from auditor.calc.ports.bounds import fewest_controllers
from auditor.calc.ports.parts import BranchParts
from auditor.calc.ports.plan import port_plan
from auditor.calc.ports.problem import Branch, PlanController, PlanPort, PortLimits, PortProblem, TreePull
from auditor.errors import PlanError
from tests.calc.ports.brute_force import best_plan


def controllers(chance: random.Random, prefix: str, count: int) -> tuple[PlanController, ...]:
    return tuple(
        PlanController(
            name=f"{prefix}{n}",
            ports=("1", "2")[: chance.choice((1, 2, 2))],
            power_w=chance.choice((None, 30.0, 35.0)),
            devices=chance.choice((None, 15, 20)),
        )
        for n in range(count)
    )


def whole(chance: random.Random, name: str, ports: list[PlanPort], off_spec: float) -> Branch:
    port = chance.choice(ports) if ports and chance.random() < 0.7 else None
    return Branch(
        id=name,
        cable_m=float(chance.randint(5, 60)),
        devices=chance.randint(1, 5),
        power_w=chance.randint(1, 80) / 10,
        reach_m=float(chance.randint(5, 45)),
        off_spec=chance.random() < off_spec,
        port=port,
        pinned=port is not None and chance.random() < 0.1,
    )


def tree(chance: random.Random, name: str, ports: list[PlanPort], off_spec: float, size: int) -> Branch:
    pulls: list[TreePull] = []
    home = {None: 0.0}
    for n in range(size):
        pull = TreePull(
            id=f"{name}.{n}",
            parent=chance.choice(pulls).id if pulls else None,
            length_m=float(chance.randint(5, 25)),
            devices=chance.randint(0, 4),
            power_w=chance.randint(0, 60) / 10,
            off_spec=chance.random() < off_spec,
        )
        home[pull.id] = home[pull.parent] + pull.length_m
        pulls.append(pull)
    return Branch(
        id=name,
        cable_m=sum(pull.length_m for pull in pulls),
        devices=sum(pull.devices for pull in pulls),
        power_w=sum(pull.power_w for pull in pulls),
        reach_m=max((home[pull.id] for pull in pulls if pull.devices), default=0.0),
        off_spec=any(pull.off_spec for pull in pulls),
        port=chance.choice(ports) if ports and chance.random() < 0.5 else None,
        pulls=tuple(pulls),
    )


def small_problem(seed: int, branches: int, trees: tuple[int, ...] = ()) -> PortProblem:
    chance = random.Random(seed)
    off_spec = chance.choice((0.0, 0.0, 0.3))
    limits = PortLimits(
        cable_m=100.0 if trees else chance.choice((None, 100.0, 100.0)),
        devices=chance.choice((None, 10)),
        power_w=chance.choice((None, 20.0)),
        reach_m=chance.choice((None, 70.0)),
        off_spec_factor=0.5,
    )
    old = controllers(chance, "C", chance.randint(0, 2))
    new = controllers(chance, "N", chance.randint(0 if old else 1, 3 - len(old)))
    ports = [PlanPort(one.name, port) for one in old for port in one.ports]
    some = [whole(chance, f"B{n}", ports, off_spec) for n in range(branches)]
    some += [tree(chance, f"T{n}", ports, off_spec / 2, size) for n, size in enumerate(trees)]
    return PortProblem(branches=tuple(some), controllers=old, new_controllers=new, limits=limits)


def check_against_every_plan(problem: PortProblem) -> None:
    plan = port_plan(problem)
    best = best_plan(problem)
    if best is None:
        assert plan.status == "impossible"
        return
    assert plan.status == "proven"
    found = (plan.controllers, plan.new_controllers, plan.new_cable_m, plan.moved)
    assert found == best[:4]
    assert plan.utilisation == pytest.approx(best[4], abs=1e-6)
    assert plan.lower_bound <= plan.controllers


@settings(max_examples=100, derandomize=True, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 8))
def test_whole_branches_against_every_assignment(seed, branches):
    check_against_every_plan(small_problem(seed, branches))


@settings(max_examples=40, derandomize=True, deadline=None)
@given(st.integers(0, 10**6), st.integers(0, 2), st.integers(3, 6))
def test_small_trees_against_every_cut_set_and_assignment(seed, branches, size):
    check_against_every_plan(small_problem(seed, branches, (size,)))


@settings(max_examples=60, derandomize=True, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 5), st.lists(st.integers(3, 5), max_size=1))
def test_branches_kept_to_some_controllers_against_every_assignment(seed, branches, trees):
    """Half of the controllers are of one kind; half of the branches stay on those of the kind that they are on."""
    problem, chance = small_problem(seed, branches, tuple(trees)), random.Random(seed)
    names = [one.name for one in (*problem.controllers, *problem.new_controllers)]
    kind = {name: chance.random() < 0.5 for name in names}

    def kept(branch: Branch) -> Branch:
        if branch.port is None or chance.random() < 0.5:
            return branch
        alike = frozenset(name for name in names if kind[name] == kind[branch.port.controller])
        return replace(branch, controllers=alike)

    check_against_every_plan(replace(problem, branches=tuple(kept(branch) for branch in problem.branches)))


@pytest.mark.parametrize(("seed", "size"), [(1, 10), (2, 11), (3, 12), (4, 12), (5, 12), (6, 12)])
def test_trees_of_up_to_twelve_pulls_against_every_cut_set(seed, size):
    chance = random.Random(seed)
    given_tree = tree(chance, "T", [PlanPort("C0", "1")], 0.0, size)
    two = PlanController(name="C0", ports=("1", "2"), power_w=60.0)
    one = PlanController(name="N0", ports=("1", "2"), power_w=60.0)
    limits = PortLimits(cable_m=110.0, devices=20, reach_m=150.0)
    check_against_every_plan(
        PortProblem(branches=(given_tree,), controllers=(two,), new_controllers=(one,), limits=limits)
    )


@settings(max_examples=40, derandomize=True, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 14), st.lists(st.integers(3, 8), max_size=1))
def test_every_branch_and_pull_is_on_one_port_and_every_limit_is_kept(seed, branches, trees):
    problem = small_problem(seed, branches, tuple(trees))
    try:
        plan = port_plan(problem, time_limit_s=1.0)
    except PlanError:  # drawn pins may contradict each other
        return
    if not plan.ports:  # impossible, or not found in a second on a busy machine
        assert plan.why
        return
    placed = [part for planned in plan.ports for part in planned.parts]
    assert len(placed) == len(set(placed))
    cut = {piece.branch for planned in plan.ports for piece in planned.pieces if piece.pulls}
    wanted = {branch.id for branch in problem.branches if branch.id not in cut}
    wanted |= {pull.id for branch in problem.branches if branch.id in cut for pull in branch.pulls}
    assert set(placed) == wanted
    everything = {c.name: c for c in (*problem.controllers, *problem.new_controllers)}
    for planned in plan.ports:
        factor = problem.limits.off_spec_factor if planned.derated else 1.0
        assert planned.port.port in everything[planned.port.controller].ports
        for value, limit in (
            (planned.cable_m, problem.limits.cable_m),
            (planned.devices, problem.limits.devices),
            (planned.power_w, problem.limits.power_w),
            (planned.reach_m, problem.limits.reach_m),
        ):
            assert limit is None or value <= limit * factor + 1e-3
    assert plan.lower_bound <= plan.controllers
    assert sum(planned.devices for planned in plan.ports) == sum(b.devices for b in problem.branches)
    if plan.status == "proven" and plan.balanced:
        again = port_plan(problem, time_limit_s=1.0)
        assert not again.balanced or again == plan  # how far it is balanced depends on the time left


@settings(max_examples=60, derandomize=True, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 6))
def test_the_bound_on_controllers_is_never_above_the_fewest(seed, branches):
    problem = small_problem(seed, branches)
    best = best_plan(problem)
    if best is not None:
        assert fewest_controllers(BranchParts(problem, [False] * branches)).controllers <= best[0]


def fewest_by_milp(problem: PortProblem) -> int:
    """The fewest controllers by a plain assignment program of its own, solved by HiGHS in one go."""
    highspy = pytest.importorskip("highspy")
    solver = highspy.Highs.__base__()
    solver.setOptionValue("output_flag", False)
    many = (*problem.controllers, *problem.new_controllers)
    ports = [(number, port) for number, one in enumerate(many) for port in one.ports]
    columns = 0

    def column(cost: float) -> int:
        nonlocal columns
        solver.addCol(cost, 0.0, 1.0, 0, [], [])
        solver.changeColIntegrality(columns, highspy.HighsVarType.kInteger)
        columns += 1
        return columns - 1

    used = [column(1.0) for _ in many]
    put = [[column(0.0) for _ in ports] for _ in problem.branches]
    for row in put:
        solver.addRow(1.0, 1.0, len(row), row, [1.0] * len(row))
    amounts = ([b.cable_m for b in problem.branches], [float(b.devices) for b in problem.branches])
    for at, (number, _) in enumerate(ports):
        for some, limit in zip(amounts, (problem.limits.cable_m, problem.limits.devices), strict=True):
            index = [*(row[at] for row in put), used[number]]
            solver.addRow(-1e30, 1e-6, len(index), index, [*some, -float(limit or 0)])
    for number, one in enumerate(many):
        index = [row[at] for row in put for at, (n, _) in enumerate(ports) if n == number] + [used[number]]
        power = [b.power_w for b in problem.branches for n, _ in ports if n == number]
        solver.addRow(-1e30, 1e-6, len(index), index, [*power, -float(one.power_w or 0)])
    solver.run()
    return round(solver.getInfo().objective_function_value)


@pytest.mark.parametrize("seed", range(1, 6))
def test_medium_plans_against_a_plain_assignment_program(seed):
    chance = random.Random(seed)
    some = tuple(
        Branch(id=f"B{n}", cable_m=chance.randint(40, 700) / 1.0, devices=chance.randint(1, 6),
               power_w=chance.randint(2, 40) / 10, reach_m=20.0)
        for n in range(18)
    )  # fmt: skip
    many = tuple(PlanController(name=f"N{n}", ports=("1", "2"), power_w=35.0) for n in range(5))
    limits = PortLimits(cable_m=2000.0, devices=20)
    problem = PortProblem(branches=some, controllers=(), new_controllers=many, limits=limits)
    plan = port_plan(problem, time_limit_s=5.0)
    assert (plan.status, plan.controllers) == ("proven", fewest_by_milp(problem))

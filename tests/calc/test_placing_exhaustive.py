"""Port plans against exhaustive search: every placing of small problems, every cut set of small trees."""

import itertools
import random
from collections.abc import Iterator
from dataclasses import replace

import pytest

from auditor.calc.placing import port_plan
from auditor.calc.placing_check import kept, loads, utilisation
from auditor.calc.placing_records import Branch, Node, Place, PlanController, PortLimits, Problem
from auditor.units import m_from_ft

PORTS = 2


def controller(number: int, *, scheduled: bool = True, power_w: float = 35.0) -> PlanController:
    name = f"C{number}" if scheduled else f"N{number}"
    ports = tuple(f"{name}.{port}" for port in range(1, PORTS + 1))
    return PlanController(name=name, ports=ports, power_w=power_w, devices=100, scheduled=scheduled)


def added(number: int) -> PlanController:
    return controller(number, scheduled=False)


def straight(
    name: str,
    length_ft: float,
    devices: int,
    power_w: float,
    *,
    port: str | None = None,
    off_spec: bool = False,
) -> Branch:
    """A branch of one pull."""
    length_m = m_from_ft(length_ft)
    node = Node(
        pull=name,
        parent=None,
        length_m=length_m,
        devices=devices,
        power_w=power_w,
        distance_m=length_m,
        off_spec=off_spec,
    )
    return Branch(id=name, nodes=(node,), scheduled=port)


def problem(branches: list[Branch], controllers: int, factor: float = 0.5) -> Problem:
    return Problem(
        branches=tuple(branches),
        controllers=tuple(controller(n) for n in range(1, controllers + 1)),
        further=added,
        limits=PortLimits(cable_m=m_from_ft(2000), reach_m=m_from_ft(1000), devices=50),
        off_spec_factor=factor,
    )


def places(asked: Problem, most: int) -> Iterator[Place]:
    """Every placing of every node on the ports of the scheduled controllers and `most` added ones."""
    ports = [port for each in asked.with_further(most) for port in each.ports]
    keys = [(branch.id, index) for branch in asked.branches for index in range(len(branch.nodes))]
    for chosen in itertools.product(ports, repeat=len(keys)):
        yield dict(zip(keys, chosen, strict=True))


def value(asked: Problem, place: Place) -> tuple[int, int, float, int, float]:
    """Controllers, added ones, new cable, moves, utilisation: what a plan is judged by."""
    used = {asked.controller_of(port) for port in place.values()}
    new_cable_m = sum(
        node.distance_m
        for branch in asked.branches
        for index, node in enumerate(branch.nodes)
        if node.parent is not None and place[branch.id, index] != place[branch.id, node.parent]
    )
    moves = sum(branch.scheduled not in (None, place[branch.id, 0]) for branch in asked.branches)
    extra = sum(not each.scheduled for each in asked.with_further(4) if each.name in used)
    return len(used), extra, round(new_cable_m, 6), moves, utilisation(asked, loads(asked, place))


def whole(asked: Problem, place: Place, cut: frozenset[str]) -> bool:
    """Whether only branches that may be cut are cut."""
    return all(
        place[branch.id, index] == place[branch.id, 0]
        for branch in asked.branches
        if branch.id not in cut
        for index in range(len(branch.nodes))
    )


def random_problem(seed: int) -> Problem:
    draw = random.Random(seed)
    ports = ["C1.1", "C1.2", "C2.1", None]
    branches = [
        straight(
            f"B{n}",
            draw.choice([200, 400, 600, 750, 900, 1000]),
            draw.choice([5, 10, 20, 30]),
            draw.choice([2.0, 6.0, 11.0, 18.0]),
            port=draw.choice(ports),
            off_spec=draw.random() < 0.15,
        )
        for n in range(draw.randint(1, 5))
    ]
    branches = [
        replace(
            b,
            nodes=(
                replace(
                    b.nodes[0],
                    length_m=min(b.nodes[0].length_m, m_from_ft(500)),
                    distance_m=min(b.nodes[0].distance_m, m_from_ft(500)),
                ),
            ),
        )
        if b.nodes[0].off_spec
        else b
        for b in branches
    ]
    return problem(branches, 2)


@pytest.mark.parametrize("seed", range(60))
def test_a_plan_is_the_best_of_all_placings(seed: int) -> None:
    asked = random_problem(seed)
    plan = port_plan(asked)
    best = min((value(asked, place) for place in places(asked, 1) if kept(asked, place)), default=None)

    if best is None:  # two scheduled and one added controller are not enough
        assert plan.controllers > 3 or plan.status == "impossible"
        return
    assert plan.status == "proven"
    assert kept(asked, plan.parts)
    found = value(asked, plan.parts)
    assert found[:4] == best[:4]
    assert found[4] <= best[4] + 0.011
    assert plan.lower_bound == found[0]


def random_tree(draw: random.Random, pulls: int) -> Branch:
    nodes: list[Node] = []
    for index in range(pulls):
        parent = None if index == 0 else draw.randrange(index)
        length_m = m_from_ft(draw.choice([50, 100, 150, 200]))
        above = 0.0 if parent is None else nodes[parent].distance_m
        nodes.append(
            Node(
                pull=f"P{index}",
                parent=parent,
                length_m=length_m,
                devices=draw.choice([0, 5, 12, 20]),
                power_w=0.5,
                distance_m=above + length_m,
            )
        )
    return Branch(id="T", nodes=tuple(nodes))


@pytest.mark.parametrize("seed", range(25))
def test_cuts_are_the_least_new_cable_of_all_cut_sets(seed: int) -> None:
    draw = random.Random(seed)
    branch = random_tree(draw, draw.randint(4, 7))
    asked = problem([branch], 1)
    over = branch.devices > 50
    options = (
        p for p in places(asked, 1) if whole(asked, p, frozenset({"T"} if over else ())) and kept(asked, p)
    )
    best = min((value(asked, place) for place in options), default=None)
    plan = port_plan(asked)

    assert best is not None, "the sizes are such that two controllers hold every tree"
    assert plan.status == "proven"
    assert value(asked, plan.parts)[:4] == best[:4]
    assert bool(plan.cuts) == over
    assert plan.new_cable_m == pytest.approx(best[2], abs=1e-5)

"""Port plans of 40 branches and 120 devices, planned to proof: seconds over 20 seeds."""

import random
import statistics
import time

from auditor.calc.placing import port_plan
from auditor.calc.placing_records import Branch, Node, PlanController, PortLimits, Problem
from auditor.units import m_from_ft

SEEDS = 20
BRANCHES = 40


def _controller(name: str, *, scheduled: bool) -> PlanController:
    return PlanController(
        name=name, ports=(f"{name}.1", f"{name}.2"), power_w=35.0, devices=100, scheduled=scheduled
    )


def _branch(draw: random.Random, number: int, ports: list[str]) -> Branch:
    nodes: list[Node] = []
    for index in range(3):
        length_m = m_from_ft(draw.randint(20, 250))
        above_m = nodes[-1].distance_m if nodes else 0.0
        nodes.append(
            Node(
                pull=f"P{number}-{index}",
                parent=index - 1 if index else None,
                length_m=length_m,
                devices=1,
                power_w=draw.choice([0.3, 0.6, 1.2, 2.0]),
                distance_m=above_m + length_m,
            )
        )
    return Branch(id=f"B{number}", nodes=tuple(nodes), scheduled=draw.choice(ports))


def problem(seed: int) -> Problem:
    """A job whose schedule spreads its branches over eight controllers at random."""
    draw = random.Random(seed)
    controllers = tuple(_controller(f"C{n}", scheduled=True) for n in range(1, 9))
    ports = [port for controller in controllers for port in controller.ports]
    return Problem(
        branches=tuple(_branch(draw, number, ports) for number in range(BRANCHES)),
        controllers=controllers,
        further=lambda number: _controller(f"N{number}", scheduled=False),
        limits=PortLimits(cable_m=m_from_ft(2000), reach_m=m_from_ft(1000), devices=50),
        off_spec_factor=0.5,
    )


def main() -> None:
    seconds, proven, controllers = [], 0, 0
    for seed in range(SEEDS):
        asked = problem(seed)
        start = time.perf_counter()
        plan = port_plan(asked)
        seconds.append(time.perf_counter() - start)
        proven += plan.status == "proven"
        controllers += plan.controllers
        print(
            f"   {seed}: {plan.status} {plan.controllers} controllers (bound {plan.lower_bound}, {plan.driven_by}), {len(plan.moved)} moves, {plan.utilisation:.2f}, {seconds[-1]:.2f} s {plan.reason}"
        )
    print(
        f"{BRANCHES} branches, {3 * BRANCHES} devices, {SEEDS} seeds: median {statistics.median(seconds):.2f} s, "
        f"longest {max(seconds):.2f} s, proven {proven} of {SEEDS}"
    )

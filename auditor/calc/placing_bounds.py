"""How many controllers any plan needs at least, and what no plan can mend."""

import math
from collections.abc import Callable, Iterator

from auditor.calc.placing_check import Loaded, port_keeps
from auditor.calc.placing_records import Branch, Node, PlanController, Problem
from auditor.units import LENGTH_TOLERANCE_M, exceeds

Capacity = Callable[[PlanController], float]
SLACK = 1e-9  # so that rounding does not ask for one controller more


def fits_alone(problem: Problem, branch: Branch) -> bool:
    """Whether a branch keeps every limit of a port by itself."""
    loaded = Loaded(
        cable_m=branch.cable_m,
        devices=branch.devices,
        power_w=branch.power_w,
        reach_m=max((node.distance_m for node in branch.nodes if node.devices), default=0.0),
        off_spec=any(node.off_spec for node in branch.nodes),
    )
    widest = _widest(problem)
    return (
        port_keeps(loaded, problem.derated(loaded.off_spec))
        and not exceeds(branch.devices, widest.devices, "devices")
        and not exceeds(branch.power_w, widest.power_w, "W")
    )


def impossible(problem: Problem) -> str:
    """Why no plan can keep the limits, in plain words; empty: nothing speaks against one."""
    return next(iter(_reasons(problem)), "")


def bound(problem: Problem) -> tuple[int, str]:
    """The fewest controllers that any plan can have, and the limit that drives it."""
    if not problem.branches:
        return 0, ""
    needs = {
        "cable": _controllers_for_cable(problem),
        "devices": _controllers_for(
            problem, sum(branch.devices for branch in problem.branches), _devices_of(problem)
        ),
        "power": _controllers_for(
            problem, sum(branch.power_w for branch in problem.branches), _power_of(problem)
        ),
    }
    number = max(1, *needs.values())
    driven_by = next((name for name, need in needs.items() if need == number and number > 1), "")
    return number, driven_by


def _reasons(problem: Problem) -> Iterator[str]:
    widest = _widest(problem)
    for branch in problem.branches:
        for node in branch.nodes:
            limits = problem.derated(node.off_spec)
            if node.devices and exceeds(node.distance_m, limits.reach_m, "m"):
                yield f"what hangs on {node.pull} is farther from the head end than any port reaches; bring a controller nearer"
            if exceeds(node.devices, limits.devices, "devices") or exceeds(
                node.devices, widest.devices, "devices"
            ):
                yield f"what hangs on {node.pull} alone is more devices than a port serves; spread them over more pulls"
            if exceeds(node.power_w, limits.power_w, "W") or exceeds(node.power_w, widest.power_w, "W"):
                yield f"what hangs on {node.pull} alone draws more than a port gives; spread it over more pulls"
            if exceeds(_least_cable_m(node), limits.cable_m, "m"):
                yield f"{node.pull} and the way to it alone are more cable than a port carries; bring a controller nearer"


def _least_cable_m(node: Node) -> float:
    return node.length_m if node.parent is None else min(node.length_m, node.distance_m)


def _widest(problem: Problem) -> PlanController:
    """The most that any one controller has of each."""
    all_ = problem.with_further(1)
    power_w = [controller.power_w for controller in all_]
    devices = [controller.devices for controller in all_]
    return PlanController(
        name="",
        ports=(),
        power_w=None if None in power_w else max(value for value in power_w if value is not None),
        devices=None if None in devices else max(value for value in devices if value is not None),
    )


def _controllers_for_cable(problem: Problem) -> int:
    limit_m = problem.limits.cable_m
    if limit_m is None:
        return 0
    total_m = sum(branch.cable_m for branch in problem.branches)
    total_m -= LENGTH_TOLERANCE_M * len(problem.branches)
    return _controllers_for(problem, total_m, lambda controller: limit_m * len(controller.ports))


def _devices_of(problem: Problem) -> Capacity:
    def devices(controller: PlanController) -> float:
        per_port = math.inf if problem.limits.devices is None else problem.limits.devices
        own = math.inf if controller.devices is None else controller.devices
        return min(own, per_port * len(controller.ports))

    return devices


def _power_of(problem: Problem) -> Capacity:
    def power_w(controller: PlanController) -> float:
        per_port = math.inf if problem.limits.power_w is None else problem.limits.power_w
        own = math.inf if controller.power_w is None else controller.power_w
        return min(own, per_port * len(controller.ports))

    return power_w


def _controllers_for(problem: Problem, total: float, holds: Capacity) -> int:
    """The fewest controllers whose capacities add up to a total, the largest ones first."""
    largest = sorted((holds(controller) for controller in problem.controllers), reverse=True)
    added = holds(problem.further(1))
    count, left = 0, total * (1 - SLACK)
    while left > 0:
        best = largest.pop(0) if largest and largest[0] >= added else added
        if best == math.inf:
            return count + 1
        if best <= 0:
            return count
        left -= best
        count += 1
    return count

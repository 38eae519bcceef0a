"""Port plan: which branch goes to which port of how many controllers, with a proof where there is one.

The objective, in this order: fewest controllers; least new cable; fewest branches moved from the port
where the schedule has them; the lowest greatest utilisation. A branch stays whole unless it alone
breaks a limit that adds up; then pulls of it may be lifted, each replaced by a new home run to its far
end along the same route.
"""

import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from auditor.calc.placing_bounds import bound, fits_alone, impossible
from auditor.calc.placing_check import check_pins, kept, loads, schedule_plan, utilisation
from auditor.calc.placing_greedy import greedy
from auditor.calc.placing_records import Branch, Place, PlanController, Problem
from auditor.calc.placing_solve import Stage, solve_stages

Status = Literal["proven", "best-found", "impossible"]
BALANCED = 0.01  # project convention: utilisation is proven to within 1 %


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedCut:
    """A pull that is lifted, with the new home run to its far end."""

    branch: str
    pull: str
    new_home_run_m: float
    port: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PortPlan:
    """A plan with the bound it was measured against.

    `proven`: no plan has fewer controllers, and none with as many has less new cable, then fewer moves,
    then (to within 1 %) a lower greatest utilisation.
    """

    status: Status
    reason: str  # why it is impossible, or what is not proven; empty: nothing to say
    controllers: int
    lower_bound: int
    driven_by: str  # "cable", "devices" or "power": the limit behind the bound; empty: none
    port_of: Mapping[str, str]  # branch -> port of its first part
    cuts: tuple[PlannedCut, ...]
    parts: Mapping[tuple[str, int], str]  # (branch, node) -> port: every pull of every branch
    moved: tuple[str, ...]  # branches that leave the port where the schedule has them
    new_cable_m: float
    utilisation: float  # the greatest share of a limit that a port or controller uses


def port_plan(problem: Problem, time_limit_s: float = 5.0) -> PortPlan:
    """Plan the ports of one head end.

    Parameters
    ----------
    time_limit_s : after it the best plan so far is given, with its bound. A plan that was proven before
        is the same every time.

    Raises
    ------
    PlanError : contradictory pins, a controller without ports; the message is a sentence
    """
    check_pins(problem)
    why = impossible(problem)
    least, driven_by = bound(problem)
    if why:
        return _no_plan(why, least, driven_by)
    scheduled = schedule_plan(problem)
    if scheduled is not None and _controllers(problem, scheduled) == least:
        return _answer(problem, scheduled, least, driven_by, "proven", "")
    start = greedy(problem)
    if start is None:
        return _no_plan("no way was found to put the branches on ports within the limits", least, driven_by)
    deadline = time.monotonic() + time_limit_s
    return _solved(problem, scheduled, start, least, driven_by, deadline)


def _solved(
    problem: Problem, scheduled: Place | None, start: Place, least: int, driven_by: str, deadline: float
) -> PortPlan:
    """The fewest controllers by trying each number from the bound up, then the other objectives."""
    most = _controllers(problem, start)
    if scheduled is not None and _controllers(problem, scheduled) <= most:
        start, most = scheduled, _controllers(problem, scheduled)
    number = least
    while number <= most:
        stage: Stage = solve_stages(problem, number, start if number == most else None, deadline)
        if stage.place is not None and kept(problem, stage.place):
            status: Status = "proven" if stage.proven and number == least else "best-found"
            return _answer(problem, stage.place, least, driven_by, status, stage.reason)
        if not stage.infeasible:
            reason = f"the time was up before it was known whether {number} controllers are enough"
            return _answer(problem, start, least, driven_by, "best-found", reason)
        number += 1
        least = number
    raise AssertionError("the solver refuses a plan that keeps all limits")


def _answer(
    problem: Problem, place: Place, least: int, driven_by: str, status: Status, reason: str
) -> PortPlan:
    cuts = tuple(_cuts(problem, place))
    moved = tuple(
        branch.id
        for branch in problem.branches
        if branch.scheduled is not None and place[branch.id, 0] != branch.scheduled
    )
    return PortPlan(
        status=status,
        reason=reason,
        controllers=_controllers(problem, place),
        lower_bound=least,
        driven_by=driven_by,
        port_of={branch.id: place[branch.id, 0] for branch in problem.branches},
        cuts=cuts,
        parts=dict(place),
        moved=moved,
        new_cable_m=sum(cut.new_home_run_m for cut in cuts),
        utilisation=utilisation(problem, loads(problem, place)),
    )


def _cuts(problem: Problem, place: Place) -> Iterator[PlannedCut]:
    for branch in problem.branches:
        for index, node in enumerate(branch.nodes):
            port = place[branch.id, index]
            if node.parent is not None and place[branch.id, node.parent] != port:
                yield PlannedCut(branch=branch.id, pull=node.pull, new_home_run_m=node.distance_m, port=port)


def _controllers(problem: Problem, place: Place) -> int:
    return len({problem.controller_of(port) for port in place.values()})


def _no_plan(why: str, least: int, driven_by: str) -> PortPlan:
    return PortPlan(
        status="impossible",
        reason=why,
        controllers=0,
        lower_bound=least,
        driven_by=driven_by,
        port_of={},
        cuts=(),
        parts={},
        moved=(),
        new_cable_m=0.0,
        utilisation=0.0,
    )


__all__ = ["Branch", "PlanController", "PlannedCut", "PortPlan", "Problem", "fits_alone", "port_plan"]

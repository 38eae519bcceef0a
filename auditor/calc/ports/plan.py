"""Port plan: which branch on which port of how many controllers, with a proof where there is one.

The plan is the first in this order: fewest controllers (of those, fewest new ones); least new cable; fewest
branches moved from their scheduled port; lowest greatest utilisation of a port or a supply.
"""

import time
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from auditor.calc.ports.bounds import (
    ControllerBound,
    Driver,
    breaks_alone,
    check,
    fewest_controllers,
    hopeless,
)
from auditor.calc.ports.parts import Assignment, BranchParts, Score
from auditor.calc.ports.problem import KeptApart, PlanPort, PortProblem
from auditor.calc.ports.stages import Stages

PortPlanStatus = Literal["proven", "best-found", "impossible"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedBranch:
    """A branch, or the piece of one that hangs on one home run. `pulls` is empty for a whole branch."""

    branch: str
    pulls: tuple[str, ...] = ()
    lifted: str | None = None  # the pull that a new home run stands for


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedPort:
    """One port of the plan and what it carries. `utilisation` is its greatest share of an additive limit."""

    port: PlanPort
    pieces: tuple[PlannedBranch, ...]
    parts: frozenset[str]  # what `KeptApart` takes: these, together on one port
    cable_m: float
    devices: int
    power_w: float
    reach_m: float
    derated: bool
    utilisation: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BranchMove:
    """A branch that leaves the port where the schedule has it, or gets its first one (`near` None)."""

    branch: str
    near: PlanPort | None
    to: PlanPort


@dataclass(frozen=True, slots=True, kw_only=True)
class BranchCut:
    """A pull to lift, and the length of the new home run to its far end [m]."""

    branch: str
    pull: str
    new_home_run_m: float
    to: PlanPort


@dataclass(frozen=True, slots=True, kw_only=True)
class PortPlan:
    """A port plan with the bounds that it was measured against.

    `status` is `proven` when controllers, new cable and moves are all proven least; `balanced` says that
    the utilisation is, too. `driver` is the limit that asks for `lower_bound` controllers.
    """

    status: PortPlanStatus
    why: tuple[str, ...]  # sentences, where there is no plan
    ports: tuple[PlannedPort, ...]
    moves: tuple[BranchMove, ...]
    cuts: tuple[BranchCut, ...]
    controllers: int
    new_controllers: int
    lower_bound: int
    driver: Driver
    new_cable_m: float
    moved: int  # branches moved from a scheduled port; first assignments do not count
    utilisation: float
    balanced: bool
    open: tuple[str, ...]  # what is not proven least


def port_plan(
    problem: PortProblem, excluded: Sequence[KeptApart] = (), time_limit_s: float = 10.0
) -> PortPlan:
    """The best assignment of branches to ports that keeps all limits.

    A branch is cut only where it breaks an additive limit alone: a pull is lifted and a new home run of the
    same route feeds its far end. Cable that is off specification derates its whole port; a lifted
    pull of such cable is replaced and derates nothing.

    Parameters
    ----------
    problem : branches of one head end, controllers, limits
    excluded : parts that must not be on one port together: with those of a port that fails for another
        reason (its voltage) the next best plan is found
    time_limit_s : after it the best plan so far is given, with what is still open

    Raises
    ------
    PlanError : a controller without ports, a name twice, pins that contradict each other

    Source
    ------
    Every plan is checked against the limits by `Parts.keeps`, however it was found: project convention.
    """
    check(problem)
    reasons = hopeless(problem)
    parts, bound = _taken_apart(problem)
    if not reasons and not parts.parts:
        return _port_plan("proven", parts, (), bound.controllers, bound.driver)
    if reasons or bound.controllers > len(parts.controllers):
        offered = (
            f"{bound.controllers} controllers or more are needed and {len(parts.controllers)} are offered"
        )
        return _port_plan("impossible", parts, None, bound.controllers, bound.driver, reasons or [offered])
    as_it_stands = None if excluded else _unbettered(parts, bound)
    if as_it_stands is not None:
        return as_it_stands
    stages = Stages(parts, excluded, bound.controllers, time.perf_counter() + time_limit_s)
    stages.run()
    if stages.best is None:
        why = "no assignment to the controllers on offer keeps all limits"
        late = "no plan was found in the time given; give it more"
        status: PortPlanStatus = "impossible" if stages.infeasible else "best-found"
        return _port_plan(
            status, parts, None, stages.bound, bound.driver, [why if stages.infeasible else late]
        )
    status = "best-found" if stages.open else "proven"
    return _port_plan(
        status, parts, stages.best, stages.bound, bound.driver, (), stages.open, stages.balanced
    )


def plan_as_scheduled(problem: PortProblem) -> PortPlan | None:
    """The schedule as it stands, when no plan can better it; None where one might, or it breaks a limit.

    Raises
    ------
    PlanError : as `port_plan`
    """
    check(problem)
    if hopeless(problem) or not problem.branches:
        return None
    return _unbettered(*_taken_apart(problem))


def _taken_apart(problem: PortProblem) -> tuple[BranchParts, ControllerBound]:
    cuttable = [bool(branch.pulls) and breaks_alone(problem, branch) for branch in problem.branches]
    parts = BranchParts(problem, cuttable)
    return parts, fewest_controllers(parts)


def _unbettered(parts: BranchParts, bound: ControllerBound) -> PortPlan | None:
    """The schedule as it stands, where it keeps all limits with as few controllers as any plan needs."""
    scheduled = _scheduled_assignment(parts)
    if scheduled is None or parts.score(scheduled) != Score(bound.controllers, 0, 0.0, 0):
        return None
    return _port_plan("proven", parts, scheduled, bound.controllers, bound.driver)


def _scheduled_assignment(parts: BranchParts) -> Assignment | None:
    """The schedule as it stands, where it gives every branch a port and keeps all limits. With as few
    controllers as any plan needs, nothing is better: no other plan leaves every branch where it is."""
    slots: list[int] = []
    for part in parts.parts:
        slot = parts.scheduled(part) if part.parent is None else slots[part.parent]
        if slot is None:
            return None
        slots.append(slot)
    return tuple(slots) if parts.keeps(tuple(slots)) else None


def _port_plan(
    status: PortPlanStatus,
    parts: BranchParts,
    assignment: Assignment | None,
    bound: int,
    driver: Driver,
    why: Sequence[str] = (),
    open_stages: Sequence[str] = (),
    balanced: bool = True,
) -> PortPlan:
    score = parts.score(assignment) if assignment else Score(0, 0, 0.0, 0)
    return PortPlan(
        status=status,
        why=tuple(why),
        ports=_planned_ports(parts, assignment) if assignment else (),
        moves=_moves(parts, assignment) if assignment else (),
        cuts=_cuts(parts, assignment) if assignment else (),
        controllers=score.controllers,
        new_controllers=score.new_controllers,
        lower_bound=bound,
        driver=driver,
        new_cable_m=score.new_cable_m,
        moved=score.moves,
        utilisation=parts.utilisation(assignment) if assignment else 0.0,
        balanced=balanced,
        open=tuple(open_stages),
    )


def _planned_ports(parts: BranchParts, assignment: Assignment) -> tuple[PlannedPort, ...]:
    on: dict[int, list[int]] = {}
    for at, slot in enumerate(assignment):
        on.setdefault(slot, []).append(at)
    return tuple(
        PlannedPort(
            port=parts.slots[slot].port,
            pieces=_pieces(parts, on[slot], assignment),
            parts=frozenset(parts.parts[at].id for at in on[slot]),
            cable_m=load.cable_m,
            devices=load.devices,
            power_w=load.power_w,
            reach_m=load.reach_m,
            derated=load.derated,
            utilisation=parts.port_utilisation(load),
        )
        for slot, load in sorted(parts.loads(assignment).items())
    )


def _pieces(parts: BranchParts, members: Sequence[int], assignment: Assignment) -> tuple[PlannedBranch, ...]:
    """The parts of one port, joined up again: each piece starts at a home run."""
    pulls: dict[int, list[str]] = {}
    head: dict[int, int] = {}
    for at in members:
        part = parts.parts[at]
        joined = part.parent is not None and not parts.lifted(at, assignment)
        head[at] = head[part.parent] if joined and part.parent is not None else at
        pulls.setdefault(head[at], []).append(part.id)
    branches = parts.problem.branches
    return tuple(
        PlannedBranch(
            branch=branches[parts.parts[at].branch].id,
            pulls=tuple(ids) if parts.parts[at].home_m else (),
            lifted=parts.parts[at].id if parts.parts[at].parent is not None else None,
        )
        for at, ids in pulls.items()
    )


def _moves(parts: BranchParts, assignment: Assignment) -> tuple[BranchMove, ...]:
    moves = []
    for part, slot in zip(parts.parts, assignment, strict=True):
        branch, to = parts.problem.branches[part.branch], parts.slots[slot].port
        if part.parent is None and branch.port != to:
            moves.append(BranchMove(branch=branch.id, near=branch.port, to=to))
    return tuple(moves)


def _cuts(parts: BranchParts, assignment: Assignment) -> tuple[BranchCut, ...]:
    return tuple(
        BranchCut(
            branch=parts.problem.branches[part.branch].id,
            pull=part.id,
            new_home_run_m=part.home_m,
            to=parts.slots[assignment[at]].port,
        )
        for at, part in enumerate(parts.parts)
        if parts.lifted(at, assignment)
    )

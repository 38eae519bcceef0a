"""The cut list's solver: quick plans, then bounds, then search, each only for what is still open."""

import time
from dataclasses import dataclass, field

from auditor.calc.cuts.columns import MOST_LENGTHS, PatternColumns, coarse, dive
from auditor.calc.cuts.cover import least_cover
from auditor.calc.cuts.fill import best_fit, filled, packed
from auditor.calc.cuts.problem import CutProblem, FilledReel, PlanValue
from auditor.calc.cuts.search import OutOfNodesError, exact

BELOW_ALL = PlanValue(-1, 0)
QUICK_NODES, ALL_NODES = 2_000, 200_000
DIVES = 12
PACK_ROUNDS = (60, 30, *[20] * 14)  # for the cheapest sets of reels first
WASTES = (0.0, 0.0005, 0.002)


@dataclass(slots=True)
class Solver:
    """The best plan so far and the value that no plan can beat."""

    cutting: CutProblem
    deadline: float
    best: list[FilledReel] = field(default_factory=list)
    bound: PlanValue = BELOW_ALL
    sets: tuple[tuple[int, ...], ...] = ()  # every set of reels worth exactly `bound`, if known

    @property
    def value(self) -> PlanValue:
        return self.cutting.value(self.best)

    @property
    def open(self) -> bool:
        return self.bound < self.value

    def offer(self, plan: list[FilledReel] | None) -> None:
        if plan is not None and (not self.best or self.cutting.value(plan) < self.value):
            self.best = plan

    def late(self) -> bool:
        return time.perf_counter() > self.deadline

    def raise_bound(self, above: PlanValue) -> None:
        """No plan is worth `above` or less: the bound becomes the next value that reels can add up to."""
        cover = least_cover(self.cutting, above)
        if cover is None or cover.value >= self.value:
            self.bound, self.sets = self.value, ()
        elif cover.value > self.bound or not self.sets:
            self.bound, self.sets = cover.value, cover.reels if cover.complete else ()


def solve(cutting: CutProblem, time_limit_s: float) -> tuple[list[FilledReel], PlanValue]:
    """A plan and the value (cost, reels) that no plan can beat; proven when they are equal.

    Every length must fit a bought kind.
    """
    solver = Solver(cutting, time.perf_counter() + time_limit_s)
    solver.offer(filled(cutting, max(cutting.bought(), key=lambda n: cutting.kinds[n].length)))
    solver.raise_bound(BELOW_ALL)
    for step in (_fit, _pack, _search_quickly, _bound_by_columns, _pack, _dive, _search):
        dear = step in (_bound_by_columns, _dive)  # these only help while the cost is open
        if solver.open and not solver.late() and (solver.bound.cost < solver.value.cost or not dear):
            step(solver)
    return solver.best, solver.bound


def _fit(solver: Solver) -> None:
    """Plans from each kind of reel alone, the others only where they are cheaper or a piece needs them."""
    for kind in solver.cutting.bought():
        for waste in WASTES:
            if solver.late():
                return
            solver.offer(filled(solver.cutting, kind, 0, waste))
        solver.offer(best_fit(solver.cutting, kind))


def _pack(solver: Solver) -> None:
    """Tries the fewest reels of each cost that could do, some costs up from the bound."""
    above, sets = solver.bound, solver.sets
    for rounds in PACK_ROUNDS:
        for reels in sets[:3]:
            solver.offer(packed(solver.cutting, reels, rounds, solver.deadline))
            if solver.value <= above or solver.late():
                return
        cover = least_cover(solver.cutting, PlanValue(above.cost, solver.cutting.pieces))
        if cover is None or not cover.complete or cover.value >= solver.value or solver.late():
            return
        above, sets = cover.value, cover.reels


def _search_quickly(solver: Solver) -> None:
    _exhaust(solver, QUICK_NODES)


def _search(solver: Solver) -> None:
    _exhaust(solver, ALL_NODES)


def _exhaust(solver: Solver, nodes: int) -> None:
    """Every set of reels worth the bound either gives a plan or is proven not to; then the next value."""
    while solver.open and solver.sets and not solver.late():
        for reels in solver.sets:
            if len(reels) > 100:
                return
            try:
                plan = exact(solver.cutting, reels, nodes, solver.deadline)
            except OutOfNodesError:
                return
            solver.offer(plan)
            if plan is not None:
                return
        solver.raise_bound(solver.bound)


def _bound_by_columns(solver: Solver) -> None:
    rough, reels = coarse(solver.cutting, solver.best)
    columns = PatternColumns(rough, reels, solver.deadline)
    columns.solve(solver.bound.cost, solver.value.cost - 1)
    _raise_by(solver, columns)


def _raise_by(solver: Solver, columns: PatternColumns) -> None:
    cost = -(-columns.bound.numerator // columns.bound.denominator)
    if cost > solver.bound.cost:
        solver.raise_bound(PlanValue(cost - 1, solver.cutting.pieces + 1))


def _dive(solver: Solver) -> None:
    if len(solver.cutting.demand) > MOST_LENGTHS:
        return
    columns = PatternColumns(solver.cutting, solver.best, solver.deadline)
    columns.solve(solver.bound.cost, solver.value.cost - 1)
    _raise_by(solver, columns)
    for turn in range(DIVES):
        if not solver.open or solver.late():
            return
        solver.offer(dive(columns, solver.best, solver.bound, turn))

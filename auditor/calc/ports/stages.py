"""The stages of a port plan: each objective is settled before the next, the solver only where needed."""

import math
import time
from collections.abc import Sequence

from auditor.calc.ports.parts import Assignment, BranchParts
from auditor.calc.ports.problem import KeptApart
from auditor.calc.ports.solver import PortModel, Row
from auditor.calc.ports.start import first_plan

FEWEST_SHARE = 0.6  # of the time limit, for the fewest controllers
BALANCE_SHARE = 0.05  # of the time limit, for the last objective
MORE_CONTROLLERS = 2  # offered to the solver beyond the bound while no plan is known, then doubled


class Stages:
    """The best plan so far, and what is proven about it."""

    def __init__(
        self, parts: BranchParts, excluded: Sequence[KeptApart], bound: int, deadline: float
    ) -> None:
        self.parts, self.bound, self.deadline = parts, bound, deadline
        self.excluded = [apart for apart in excluded if apart.parts]
        self.old = len(parts.problem.controllers)
        self.seconds = deadline - time.perf_counter()
        self.best: Assignment | None = None
        self.infeasible = False
        self.balanced = False
        self.open: list[str] = []

    def run(self) -> None:
        for plan in (self.as_scheduled(), first_plan(self.parts, self.bound)):
            self.offer(plan)
            if self.best is not None and self.settled():
                break
        if self.best is not None and self.settled() and self.nothing_to_balance():
            self.balanced = True
            return
        model = self.fewest_controllers()
        if model is not None and self.best is not None:
            self.least_cable(model)
            self.fewest_moves(model)
            self.balance(model)

    def as_scheduled(self) -> Assignment | None:
        """The schedule as it stands, where it gives every part a port."""
        slots = [self.parts.scheduled(part) for part in self.parts.parts]
        whole = tuple(slot for slot in slots if slot is not None)
        return whole if len(whole) == len(slots) else None

    def offer(self, plan: Assignment | None) -> None:
        """Takes a plan that keeps everything and is better than the best."""
        if plan is None or not self.parts.keeps(plan) or not self.allowed(plan):
            return
        if self.best is None or self.rank(plan) < self.rank(self.best):
            self.best = plan

    def rank(self, plan: Assignment) -> tuple[int, int, float, int, float]:
        return (*self.parts.score(plan), round(self.parts.utilisation(plan), 9))

    def allowed(self, plan: Assignment) -> bool:
        on: dict[int, set[str]] = {}
        for part, slot in zip(self.parts.parts, plan, strict=True):
            on.setdefault(slot, set()).add(part.id)
        names = {slot: self.parts.slots[slot].port.controller for slot in on}
        return not any(
            apart.parts <= ids and apart.holds_on(names[slot])
            for apart in self.excluded
            for slot, ids in on.items()
        )

    def settled(self) -> bool:
        """Whether the first three objectives are proven by plain bounds."""
        if self.best is None:
            return False
        score = self.parts.score(self.best)
        gone = sum(self.parts.gone(part) for part in self.parts.parts)
        return self.fewest() and score.new_cable_m == 0 and score.moves == gone

    def fewest(self) -> bool:
        """Whether the controllers are proven fewest: as many as the bound, and the existing ones first."""
        if self.best is None:
            return False
        score = self.parts.score(self.best)
        return score.controllers == self.bound and score.new_controllers == max(0, self.bound - self.old)

    def nothing_to_balance(self) -> bool:
        """Whether every part stays where the schedule has it."""
        return self.best == self.as_scheduled()

    def left(self, share: float = 1.0) -> float:
        return min(self.deadline - time.perf_counter(), share * self.seconds)

    def model(self, new: int) -> PortModel:
        slots = [n for n, slot in enumerate(self.parts.slots) if slot.controller < self.old + new]
        return PortModel(self.parts, slots, self.excluded)

    def fewest_controllers(self) -> PortModel | None:
        if self.best is not None and self.fewest():
            model = self.model(self._new_offered())
        else:
            found = self._search_fewest()
            if found is None:
                return None
            model = found
        score = self.parts.score(self.best) if self.best else None
        if score is not None:
            model.row(0.0, float(score.controllers), dict.fromkeys(model.u.values(), 1.0))
            model.row(0.0, float(score.new_controllers), _new(model, self.old))
        return model

    def _new_offered(self) -> int:
        """New controllers that can still be of use: all where they differ, else as many as the plan has."""
        new = range(self.old, len(self.parts.controllers))
        used = self.parts.score(self.best).controllers if self.best else 0
        return used if all(self.parts.alike(new[0], other) for other in new) else len(new)

    def _search_fewest(self) -> PortModel | None:
        """Fewest controllers by the solver, then fewest new ones."""
        all_new = len(self.parts.problem.new_controllers)
        new = self._new_offered() or max(0, self.bound - self.old) + MORE_CONTROLLERS
        while True:
            model = self.model(min(new, all_new))
            bound = self.stage(model, dict.fromkeys(model.u.values(), 1.0), FEWEST_SHARE)
            if self.best is not None or new >= all_new or self.left() <= 0:
                break
            new *= 2
        if self.best is None:
            self.infeasible = bound == math.inf
            return None
        self.bound = max(self.bound, _ceil(bound, self.bound))
        used = self.parts.score(self.best).controllers
        self.prove("controllers", self.bound, used)
        model.row(0.0, float(used), dict.fromkeys(model.u.values(), 1.0))
        spare = max(0, used - self.old)
        if self.parts.score(self.best).new_controllers > spare:
            bound = self.stage(model, _new(model, self.old))
            self.prove("new controllers", _ceil(bound, spare), self.parts.score(self.best).new_controllers)
        return model

    def least_cable(self, model: PortModel) -> None:
        lifts: Row = {column: self.parts.parts[at].home_m for (at, _), column in model.z.items()}
        if not lifts or self.best is None:
            return
        bound = self.stage(model, lifts)
        new_cable_m = self.parts.score(self.best).new_cable_m
        self.prove("new cable", math.inf if bound is None else bound + 1e-3, new_cable_m, bound is None)
        model.row(0.0, new_cable_m + 1e-3, lifts)

    def fewest_moves(self, model: PortModel) -> None:
        stays = {
            model.x[at, slot]: -1.0
            for at, part in enumerate(self.parts.parts)
            if (slot := self.parts.scheduled(part)) is not None and (at, slot) in model.x
        }
        gone = sum(self.parts.gone(part) for part in self.parts.parts)
        if self.best is None or not stays:
            return
        if self.parts.score(self.best).moves > gone:
            bound = self.stage(model, stays)
            at_least = gone if bound is None else _ceil(bound + len(stays), 0) + gone
            self.prove("moves", at_least, self.parts.score(self.best).moves)
        kept = len(stays) + gone - self.parts.score(self.best).moves
        model.row(float(kept), float(len(stays)), dict.fromkeys(stays, 1.0))

    def balance(self, model: PortModel) -> None:
        if self.best is None:
            return
        bound = self.stage(model, {model.top: 1.0}, BALANCE_SHARE)
        self.balanced = bound is not None and bound >= self.parts.utilisation(self.best) - 1e-6

    def stage(self, model: PortModel, costs: Row, share: float = 1.0) -> float | None:
        plan, bound = model.minimise(costs, self.best, self.left(share))
        self.offer(plan)
        return bound

    def prove(self, what: str, bound: float, value: float, unknown: bool = False) -> None:
        if unknown or bound < value:
            self.open.append(what)


def _new(model: PortModel, old: int) -> dict[int, float]:
    return {column: 1.0 for number, column in model.u.items() if number >= old}


def _ceil(bound: float | None, least: int) -> int:
    return least if bound is None or math.isinf(bound) else max(least, math.ceil(bound - 1e-6))

"""The port plan as a mixed-integer program: one model, its objectives one after the other.

Variables: y[unit, port], whether a unit is on a port; h[port], whether the port carries off-specification
cable; u[controller], whether it is used; q[node, port], whether a node starts a part of its own there. A
unit is a branch that stays whole, or a node of one that may be cut. A part that is cut off at a node
costs a new home run of the node's distance instead of the pull's length.
"""

import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from auditor.calc.placing_bounds import fits_alone
from auditor.calc.placing_records import Branch, Place, PlanController, Problem
from auditor.calc.quiet_solver import quiet_solver
from auditor.units import LENGTH_TOLERANCE_M

GAP = 0.01  # of the utilisation, see `portplan`
INTEGRAL = 0.5  # objectives of whole numbers: a gap below one is none


@dataclass(frozen=True, slots=True)
class Stage:
    """What the solver came to for a number of controllers."""

    place: Place | None
    infeasible: bool  # proven: that number is not enough
    proven: bool  # every objective
    reason: str = ""


@dataclass(frozen=True, slots=True)
class _Unit:
    """What goes to a port as one: a whole branch, or one node of a branch that may be cut."""

    branch: Branch
    nodes: tuple[int, ...]
    parent: int | None  # place of the parent's unit in the list of units; None: no cut is possible here
    cable_m: float
    devices: int
    power_w: float
    reach_m: float
    off_spec: bool
    distance_m: float


def solve_stages(problem: Problem, controllers: int, start: Place | None, deadline: float) -> Stage:
    """The best plan with so many controllers at most.

    Parameters
    ----------
    start : a plan that keeps all limits with as many controllers, to start from
    deadline : of `time.monotonic` [s]
    """
    model = _Model(problem, problem.with_further(_added(problem, controllers)), controllers)
    proven = True
    reasons = []
    for name, costs in model.objectives():
        outcome = model.minimise(name, costs, start, deadline)
        if outcome == "infeasible":
            return Stage(None, True, True)
        if outcome == "nothing":
            return Stage(None, False, False)
        if outcome == "best-found":
            proven = False
            reasons.append(name)
        start = model.place()
    reason = f"not proven to be the least: {', '.join(reasons)}" if reasons else ""
    return Stage(model.place(), False, proven, reason)


def _added(problem: Problem, controllers: int) -> int:
    """How many added controllers a plan with so many could have use for: a scheduled one that is at
    least as strong as an added one serves in its place."""
    new = problem.further(1)
    strong = sum(
        len(each.ports) >= len(new.ports)
        and (each.power_w is None or (new.power_w is not None and each.power_w >= new.power_w))
        and (each.devices is None or (new.devices is not None and each.devices >= new.devices))
        and not any(controller == each.name for _, controller in problem.barred)
        for each in problem.controllers
    )
    return max(0, controllers - strong)


@dataclass(slots=True)
class _Rows:
    """Columns and rows as they are gathered."""

    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    rows: list[tuple[float, float, dict[int, float]]] = field(default_factory=list)

    def variable(self, upper: float = 1.0, *, whole: bool = True) -> int:
        self.lower.append(0.0)
        self.upper.append(upper)
        self.whole.append(whole)
        return len(self.lower) - 1

    def at_most(self, terms: dict[int, float], limit: float) -> None:
        self.rows.append((-math.inf, limit, terms))

    def equal(self, terms: dict[int, float], value: float) -> None:
        self.rows.append((value, value, terms))


class _Model:
    def __init__(self, problem: Problem, controllers: Sequence[PlanController], most: int) -> None:
        self.problem, self.controllers = problem, controllers
        self.units = list(_units(problem))
        self.ports = [port for controller in controllers for port in controller.ports]
        self.owner = [number for number, c in enumerate(controllers) for _ in c.ports]
        self.rows = _Rows()
        self._columns()
        self._assignment()
        self._port_limits()
        self._controller_limits(most)
        self.solver = self._loaded()
        self.solution: list[float] = []

    def _columns(self) -> None:
        ports = range(len(self.ports))
        rows = self.rows
        self.y = [[rows.variable() for _ in ports] for _ in self.units]
        self.h = [rows.variable(whole=False) for _ in ports]
        self.u = [rows.variable() for _ in self.controllers]
        self.q = {
            (index, port): rows.variable(whole=False)
            for index, unit in enumerate(self.units)
            if unit.parent is not None
            for port in ports
        }
        self.most_used = rows.variable(whole=False)

    def _assignment(self) -> None:
        """Each unit on one port; pins and bars; a cut where a node leaves its parent's port."""
        for index, unit in enumerate(self.units):
            self.rows.equal(dict.fromkeys(self.y[index], 1.0), 1.0)
            pinned = unit.branch.pinned and unit.nodes[0] == 0
            for port, name in enumerate(self.ports):
                owner = self.owner[port]
                barred = (unit.branch.id, self.controllers[owner].name) in self.problem.barred
                if barred or (pinned and name != unit.branch.scheduled):
                    self.rows.upper[self.y[index][port]] = 0.0
                self.rows.at_most({self.y[index][port]: 1.0, self.u[owner]: -1.0}, 0.0)
                if unit.off_spec:
                    self.rows.at_most({self.y[index][port]: 1.0, self.h[port]: -1.0}, 0.0)
                if unit.parent is not None:
                    leaves = {self.y[index][port]: 1.0, self.y[unit.parent][port]: -1.0}
                    self.rows.at_most({**leaves, self.q[index, port]: -1.0}, 0.0)

    def _port_limits(self) -> None:
        limits = self.problem.limits
        slack = LENGTH_TOLERANCE_M / 2 / limits.cable_m if limits.cable_m else 0.0
        reduced = self.problem.derated(True)
        for port in range(len(self.ports)):
            self._limit(port, self._cable(port), limits.cable_m, reduced.cable_m, slack)
            self._limit(port, self._of(port, "devices"), limits.devices, reduced.devices, 0.0)
            self._limit(port, self._of(port, "power_w"), limits.power_w, reduced.power_w, 1e-9)
            for index, unit in enumerate(self.units):
                far_m = reduced.reach_m
                if far_m is not None and unit.reach_m > far_m + LENGTH_TOLERANCE_M:
                    self.rows.at_most({self.y[index][port]: 1.0, self.h[port]: 1.0}, 1.0)

    def _cable(self, port: int) -> dict[int, float]:
        terms = self._of(port, "cable_m")
        for (index, at), column in self.q.items():
            if at == port:
                unit = self.units[index]
                terms[column] = unit.distance_m - unit.cable_m
        return terms

    def _of(self, port: int, quantity: str) -> dict[int, float]:
        return {self.y[index][port]: float(getattr(unit, quantity)) for index, unit in enumerate(self.units)}

    def _limit(
        self, port: int, terms: dict[int, float], full: float | None, reduced: float | None, slack: float
    ) -> None:
        """Used <= full, or <= reduced where the port is derated; and both against the greatest share."""
        if not full or reduced is None:
            return
        shares = {column: value / full for column, value in terms.items()}
        factor = reduced / full
        self.rows.at_most({**shares, self.h[port]: 1.0 - factor}, 1.0 + slack)
        self.rows.at_most({**shares, self.most_used: -1.0}, slack)
        if factor < 1 and any(unit.off_spec for unit in self.units):
            self.rows.at_most({**shares, self.most_used: -factor, self.h[port]: 1.0}, 1.0 + slack)

    def _controller_limits(self, most: int) -> None:
        self.rows.at_most(dict.fromkeys(self.u, 1.0), float(most))
        for number, controller in enumerate(self.controllers):
            own = [port for port, owner in enumerate(self.owner) if owner == number]
            for quantity, limit in (("devices", controller.devices), ("power_w", controller.power_w)):
                if limit:
                    terms = {
                        column: value / limit
                        for port in own
                        for column, value in self._of(port, quantity).items()
                    }
                    self.rows.at_most({**terms, self.u[number]: -1.0}, 1e-9)
                    self.rows.at_most({**terms, self.most_used: -1.0}, 1e-9)
        added = [n for n, controller in enumerate(self.controllers) if not controller.scheduled]
        for one, other in pairwise(added):
            self.rows.at_most({self.u[other]: 1.0, self.u[one]: -1.0}, 0.0)

    def _loaded(self) -> Any:
        import highspy
        import numpy as np

        solver = quiet_solver(mip_feasibility_tolerance=1e-7)
        lp = highspy.HighsLp()
        rows = self.rows
        lp.num_col_, lp.num_row_ = len(rows.lower), len(rows.rows)
        lp.col_cost_ = np.zeros(len(rows.lower))
        lp.col_lower_, lp.col_upper_ = np.array(rows.lower), np.array(rows.upper)
        lp.row_lower_ = np.array([row[0] for row in rows.rows])
        lp.row_upper_ = np.array([row[1] for row in rows.rows])
        starts = np.cumsum([0, *(len(row[2]) for row in rows.rows)])
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = starts.astype(np.int32)
        lp.a_matrix_.index_ = np.array([c for row in rows.rows for c in row[2]], dtype=np.int32)
        lp.a_matrix_.value_ = np.array([v for row in rows.rows for v in row[2].values()])
        kinds = highspy.HighsVarType
        lp.integrality_ = [kinds.kInteger if whole else kinds.kContinuous for whole in rows.whole]
        solver.passModel(lp)
        return solver

    def objectives(self) -> Iterator[tuple[str, dict[int, float]]]:
        """The objectives in their order; those that have nothing to choose are left out."""
        existing = {self.u[n]: 1.0 for n, c in enumerate(self.controllers) if not c.scheduled}
        yield "added controllers", existing
        new_cable = {column: self.units[index].distance_m for (index, _), column in self.q.items()}
        if new_cable:
            yield "new cable", new_cable
        moves = {
            self.y[index][port]: 1.0
            for index, unit in enumerate(self.units)
            if unit.nodes[0] == 0 and unit.branch.scheduled is not None
            for port, name in enumerate(self.ports)
            if name != unit.branch.scheduled
        }
        if moves:
            yield "moves", moves
        yield "utilisation", {self.most_used: 1.0}

    def minimise(self, name: str, costs: dict[int, float], start: Place | None, deadline: float) -> str:
        """Minimise one objective and hold it from then on: "proven", "best-found", "infeasible" or
        "nothing" (no plan in time)."""
        solver, rows = self.solver, self.rows
        left_s = deadline - time.monotonic()
        if left_s <= 0:
            return "best-found" if self.solution else "nothing"
        for column in range(len(rows.lower)):
            solver.changeColCost(column, costs.get(column, 0.0))
        solver.setOptionValue("time_limit", solver.getRunTime() + left_s)
        solver.setOptionValue("mip_rel_gap", GAP if name == "utilisation" else 0.0)
        solver.setOptionValue("mip_abs_gap", 1e-6 if name in ("utilisation", "new cable") else INTEGRAL)
        if start is not None:
            self._start(start)
        solver.run()
        return self._outcome(costs)

    def _outcome(self, costs: dict[int, float]) -> str:
        import highspy
        import numpy as np

        status = self.solver.getModelStatus()
        if status in (highspy.HighsModelStatus.kInfeasible, highspy.HighsModelStatus.kUnboundedOrInfeasible):
            return "infeasible"
        info = self.solver.getInfo()
        if info.primal_solution_status != 2:
            return "best-found" if self.solution else "nothing"
        self.solution = list(self.solver.getSolution().col_value)
        value = sum(cost * self.solution[column] for column, cost in costs.items())
        if costs:
            columns = np.array(list(costs), dtype=np.int32)
            slack = 1e-6 * max(1.0, abs(value))
            self.solver.addRow(-math.inf, value + slack, len(costs), columns, np.array(list(costs.values())))
        return "proven" if status == highspy.HighsModelStatus.kOptimal else "best-found"

    def _start(self, place: Place) -> None:
        import highspy

        values = [0.0] * len(self.rows.lower)
        for index, unit in enumerate(self.units):
            name = place[unit.branch.id, unit.nodes[0]]
            if name not in self.ports:
                return
            port = self.ports.index(name)
            values[self.y[index][port]] = 1.0
            values[self.u[self.owner[port]]] = 1.0
            if unit.off_spec:
                values[self.h[port]] = 1.0
        for (index, port), column in self.q.items():
            parent = self.units[index].parent
            assert parent is not None
            values[column] = max(0.0, values[self.y[index][port]] - values[self.y[parent][port]])
        values[self.most_used] = 1.0
        solution = highspy.HighsSolution()
        solution.col_value = values
        self.solver.setSolution(solution)

    def place(self) -> Place:
        """The plan of the last solution."""
        found: dict[tuple[str, int], str] = {}
        for index, unit in enumerate(self.units):
            shares = [self.solution[column] for column in self.y[index]]
            port = self.ports[shares.index(max(shares))]
            found |= {(unit.branch.id, node): port for node in unit.nodes}
        return found


def _units(problem: Problem) -> Iterator[_Unit]:
    count = 0
    for branch in problem.branches:
        if fits_alone(problem, branch):
            yield _Unit(
                branch=branch,
                nodes=tuple(range(len(branch.nodes))),
                parent=None,
                cable_m=branch.cable_m,
                devices=branch.devices,
                power_w=branch.power_w,
                reach_m=max((node.distance_m for node in branch.nodes if node.devices), default=0.0),
                off_spec=any(node.off_spec for node in branch.nodes),
                distance_m=0.0,
            )
            count += 1
            continue
        for index, node in enumerate(branch.nodes):
            yield _Unit(
                branch=branch,
                nodes=(index,),
                parent=None if node.parent is None else count + node.parent,
                cable_m=node.length_m,
                devices=node.devices,
                power_w=node.power_w,
                reach_m=node.distance_m if node.devices else 0.0,
                off_spec=node.off_spec,
                distance_m=node.distance_m,
            )
        count += len(branch.nodes)

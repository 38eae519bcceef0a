"""The port problem as an integer program, solved stage after stage.

`x[part, slot]` puts a part on a port, `z[part, slot]` lifts its pull and gives it a home run from there,
`h[slot]` derates a port that off-spec cable is on, `u[controller]` says a controller is used.
"""

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any

from auditor.calc.ports.parts import Assignment, BranchParts
from auditor.calc.ports.problem import KeptApart
from auditor.calc.quiet_solver import quiet_solver
from auditor.units import LENGTH_TOLERANCE_M, RELATIVE_TOLERANCE

FREE = 1e30
WITHIN = 0.9  # of the tolerance: a plan that the solver calls kept is kept

Row = Mapping[int, float]


class PortModel:
    """Rows and columns of the program. `slots` are the ports that may be used."""

    def __init__(self, parts: BranchParts, slots: Sequence[int], excluded: Sequence[KeptApart]) -> None:
        self.parts, self.slots = parts, list(slots)
        self.solver: Any = quiet_solver(mip_rel_gap=0.0, mip_abs_gap=1e-6)
        self.size = 0
        self.stages: list[tuple[dict[int, float], float]] = []
        self.x = {
            (at, slot): self.column(float(parts.may(at, slot)))
            for at in range(len(parts.parts))
            for slot in self.slots
        }
        self.z = {
            (at, slot): self.column(1.0, whole=False)
            for at, part in enumerate(parts.parts)
            for slot in self.slots
            if part.parent is not None
        }
        derates = any(part.off_spec for part in parts.parts)
        self.h = {slot: self.column(1.0) for slot in self.slots} if derates else {}
        self.u = {
            number: self.column(1.0) for number in sorted({parts.slots[s].controller for s in self.slots})
        }
        self.top = self.column(FREE, whole=False)
        self.join_parts()
        self.limit_ports()
        self.limit_controllers()
        for apart in excluded:
            self.keep_apart(apart)

    def column(self, most: float, whole: bool = True) -> int:
        import highspy

        self.solver.addVar(0.0, most)
        if whole:
            self.solver.changeColIntegrality(self.size, highspy.HighsVarType.kInteger)
        self.size += 1
        return self.size - 1

    def row(self, low: float, high: float, terms: Row) -> None:
        import numpy as np

        index, values = np.array(list(terms), dtype=np.int32), np.array(list(terms.values()), dtype=float)
        self.solver.addRow(low, high, len(terms), index, values)

    def join_parts(self) -> None:
        for at, part in enumerate(self.parts.parts):
            self.row(1.0, 1.0, {self.x[at, slot]: 1.0 for slot in self.slots})
            for slot in self.slots:
                if part.parent is not None:
                    own, parent, lift = self.x[at, slot], self.x[part.parent, slot], self.z[at, slot]
                    self.row(0.0, FREE, {lift: 1.0, own: -1.0, parent: 1.0})
                    self.row(-FREE, 0.0, {lift: 1.0, own: -1.0})
                    self.row(-FREE, 1.0, {lift: 1.0, parent: 1.0})
                if part.off_spec:
                    lifted = {self.z[at, slot]: 1.0} if part.parent is not None else {}
                    self.row(0.0, FREE, {self.h[slot]: 1.0, self.x[at, slot]: -1.0, **lifted})

    def limit_ports(self) -> None:
        limits, parts = self.parts.problem.limits, self.parts.parts
        for slot in self.slots:
            cable = {self.x[at, slot]: part.cable_m for at, part in enumerate(parts)}
            cable |= {
                self.z[at, slot]: part.home_m - part.cable_m
                for at, part in enumerate(parts)
                if part.parent is not None
            }
            devices = {self.x[at, slot]: float(part.devices) for at, part in enumerate(parts)}
            power = {self.x[at, slot]: part.power_w for at, part in enumerate(parts)}
            self.port_row(slot, cable, limits.cable_m, LENGTH_TOLERANCE_M)
            self.port_row(slot, devices, limits.devices, 0.0)
            self.port_row(slot, power, limits.power_w, (limits.power_w or 0.0) * RELATIVE_TOLERANCE)
            self.limit_reach(slot)

    def port_row(self, slot: int, terms: Row, limit: float | None, tolerance: float) -> None:
        """At most the limit, or its share where the port is derated; and the same against `top`."""
        if limit is None:
            return
        factor = self.parts.problem.limits.off_spec_factor
        used = self.u[self.parts.slots[slot].controller]
        terms = {column: value for column, value in terms.items() if value}
        most = limit + WITHIN * tolerance
        derated = {self.h[slot]: most - limit * factor - WITHIN * tolerance} if self.h else {}
        self.row(-FREE, 0.0, {**terms, **derated, used: -most})
        if limit and factor:
            self.row(-FREE, 0.0, {**{c: v / limit for c, v in terms.items()}, self.top: -1.0})
            shares = {c: v / (limit * factor) for c, v in terms.items()}
            if self.h:
                self.row(-FREE, 1 / factor, {**shares, self.h[slot]: 1 / factor, self.top: -1.0})

    def limit_reach(self, slot: int) -> None:
        limits = self.parts.problem.limits
        if limits.reach_m is None:
            return
        short = limits.reach_m * limits.off_spec_factor + LENGTH_TOLERANCE_M
        for at, part in enumerate(self.parts.parts):
            if part.reach_m > short and self.h:
                self.row(-FREE, 1.0, {self.x[at, slot]: 1.0, self.h[slot]: 1.0})

    def limit_controllers(self) -> None:
        for number, used in self.u.items():
            controller = self.parts.controllers[number]
            mine = [slot for slot in self.slots if self.parts.slots[slot].controller == number]
            on = [(self.x[at, slot], part) for at, part in enumerate(self.parts.parts) for slot in mine]
            for column, _ in on:
                self.row(-FREE, 0.0, {column: 1.0, used: -1.0})
            devices = {column: float(part.devices) for column, part in on if part.devices}
            power = {column: part.power_w for column, part in on if part.power_w}
            for terms, limit, slack in (
                (devices, controller.devices, 0.0),
                (power, controller.power_w, RELATIVE_TOLERANCE),
            ):
                if limit is not None:
                    self.row(-FREE, 0.0, {**terms, used: -limit * (1 + WITHIN * slack)})
                if limit:
                    self.row(-FREE, 0.0, {**{c: v / limit for c, v in terms.items()}, self.top: -1.0})
        new = [n for n in self.u if n >= len(self.parts.problem.controllers)]
        for before, after in pairwise(new):
            if self.parts.alike(before, after):
                self.row(0.0, FREE, {self.u[before]: 1.0, self.u[after]: -1.0})

    def keep_apart(self, apart: KeptApart) -> None:
        members = [at for at, part in enumerate(self.parts.parts) if part.id in apart.parts]
        for slot in self.slots:
            if apart.holds_on(self.parts.slots[slot].port.controller):
                self.row(-FREE, len(members) - 1.0, {self.x[at, slot]: 1.0 for at in members})

    def minimise(
        self, costs: Row, start: Assignment | None, seconds: float
    ) -> tuple[Assignment | None, float | None]:
        """Settle one objective.

        Returns
        -------
        the best assignment (None: none found), and the solver's bound on the cost (infinite: it proved
        that there is none; None: no bound)
        """
        import highspy

        if seconds <= 0:
            return start, None
        for column in range(self.size):
            self.solver.changeColCost(column, costs.get(column, 0.0))
        self.solver.setOptionValue("time_limit", seconds)
        if start is not None:
            solution = highspy.HighsSolution()
            solution.col_value = self.values(start)
            self.solver.setSolution(solution)
        self.solver.run()
        status, info = self.solver.getModelStatus(), self.solver.getInfo()
        if status == highspy.HighsModelStatus.kInfeasible:
            return start, float("inf") if start is None else None
        values = self.solver.getSolution().col_value
        found = info.primal_solution_status == 2
        return (self.read(values) if found else start), info.mip_dual_bound

    def read(self, values: Sequence[float]) -> Assignment:
        return tuple(
            max(self.slots, key=lambda slot: values[self.x[at, slot]]) for at in range(len(self.parts.parts))
        )

    def values(self, assignment: Assignment) -> list[float]:
        values = [0.0] * self.size
        for at, slot in enumerate(assignment):
            part = self.parts.parts[at]
            lifted = self.parts.lifted(at, assignment)
            values[self.x[at, slot]] = 1.0
            values[self.u[self.parts.slots[slot].controller]] = 1.0
            if lifted:
                values[self.z[at, slot]] = 1.0
            if part.off_spec and not lifted:
                values[self.h[slot]] = 1.0
        values[self.top] = self.parts.utilisation(assignment)
        return values

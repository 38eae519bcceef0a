"""The port problem taken apart, and what an assignment loads on each port.

A branch that keeps the limits alone is one part. A branch that breaks an additive limit alone may be cut at
any pull, so each of its pulls is a part: on the port of its parent it stays joined; on another one it
is lifted, and a new home run of the same route feeds its far end.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from auditor.calc.ports.problem import Branch, PlanPort, PortProblem, outwards
from auditor.units import exceeds


@dataclass(frozen=True, slots=True)
class BranchPart:
    """What is assigned to a port: a whole branch, or one pull of a branch that may be cut."""

    id: str
    branch: int
    cable_m: float
    home_m: float  # cable distance from the head end to the far end
    devices: int
    power_w: float
    reach_m: float
    off_spec: bool
    parent: int | None  # part number


class Slot(NamedTuple):
    """One port: its controller's number and its name."""

    controller: int
    port: PlanPort


@dataclass(frozen=True, slots=True)
class PortLoad:
    """What one port carries."""

    cable_m: float = 0.0
    devices: int = 0
    power_w: float = 0.0
    reach_m: float = 0.0
    derated: bool = False


class Score(NamedTuple):
    """What an assignment is judged by, in this order."""

    controllers: int
    new_controllers: int
    new_cable_m: float
    moves: int


Assignment = tuple[int, ...]  # per part: slot number


class BranchParts:
    """A problem taken apart, and the judgement of assignments."""

    def __init__(self, problem: PortProblem, cuttable: Sequence[bool]) -> None:
        self.problem = problem
        self.controllers = (*problem.controllers, *problem.new_controllers)
        self.slots = [
            Slot(number, PlanPort(controller.name, port))
            for number, controller in enumerate(self.controllers)
            for port in controller.ports
        ]
        self.slot_of = {slot.port: number for number, slot in enumerate(self.slots)}
        self.parts: list[BranchPart] = []
        for number, branch in enumerate(problem.branches):
            self._take_apart(number, branch, cuttable[number])

    def _take_apart(self, number: int, branch: Branch, cuttable: bool) -> None:
        if not cuttable:
            self.parts.append(
                BranchPart(
                    id=branch.id,
                    branch=number,
                    cable_m=branch.cable_m,
                    home_m=0.0,
                    devices=branch.devices,
                    power_w=branch.power_w,
                    reach_m=branch.reach_m,
                    off_spec=branch.off_spec,
                    parent=None,
                )
            )
            return
        unsaid = branch.off_spec and not any(pull.off_spec for pull in branch.pulls)  # which of them: all
        at: dict[str | None, int] = {}
        for pull in outwards(branch.pulls):
            parent = at.get(pull.parent)
            home_m = pull.length_m + (0.0 if parent is None else self.parts[parent].home_m)
            at[pull.id] = len(self.parts)
            self.parts.append(
                BranchPart(
                    pull.id,
                    number,
                    pull.length_m,
                    home_m,
                    pull.devices,
                    pull.power_w,
                    home_m if pull.devices else 0.0,
                    pull.off_spec or unsaid,
                    parent,
                )
            )

    def scheduled(self, part: BranchPart) -> int | None:
        """The slot where the schedule has this part's branch, for the part at the head end."""
        port = self.problem.branches[part.branch].port if part.parent is None else None
        return None if port is None else self.slot_of.get(port)

    def may(self, at: int, slot: int) -> bool:
        """Whether a part can be on a slot: of a controller that its branch may be on, at its pin if it has one."""
        part, port = self.parts[at], self.slots[slot].port
        branch = self.problem.branches[part.branch]
        pinned = branch.pinned and part.parent is None
        return branch.may_be_on(port.controller) and not (pinned and branch.port != port)

    def alike(self, one: int, other: int) -> bool:
        """Whether two controllers can stand for each other."""
        a, b = self.controllers[one], self.controllers[other]
        same = (len(a.ports), a.power_w, a.devices) == (len(b.ports), b.power_w, b.devices)
        return same and all(
            branch.may_be_on(a.name) == branch.may_be_on(b.name) for branch in self.problem.branches
        )

    def lifted(self, at: int, assignment: Assignment) -> bool:
        parent = self.parts[at].parent
        return parent is not None and assignment[parent] != assignment[at]

    def loads(self, assignment: Assignment) -> dict[int, PortLoad]:
        """By slot number, used slots only."""
        loads: dict[int, PortLoad] = {}
        for at, (part, slot) in enumerate(zip(self.parts, assignment, strict=True)):
            before, lifted = loads.get(slot, PortLoad()), self.lifted(at, assignment)
            loads[slot] = PortLoad(
                before.cable_m + (part.home_m if lifted else part.cable_m),
                before.devices + part.devices,
                before.power_w + part.power_w,
                max(before.reach_m, part.reach_m),
                before.derated or (part.off_spec and not lifted),
            )
        return loads

    def factor(self, load: PortLoad) -> float:
        return self.problem.limits.off_spec_factor if load.derated else 1.0

    def port_keeps(self, load: PortLoad) -> bool:
        limits, factor = self.problem.limits, self.factor(load)
        checks = (
            (load.cable_m, limits.cable_m, "m"),
            (load.devices, limits.devices, ""),
            (load.power_w, limits.power_w, "W"),
            (load.reach_m, limits.reach_m, "m"),
        )
        return not any(limit is not None and exceeds(v, limit * factor, unit) for v, limit, unit in checks)

    def keeps(self, assignment: Assignment) -> bool:
        """Whether every port and every controller keeps its limits, and every part is where it can be."""
        loads = self.loads(assignment)
        totals: dict[int, tuple[int, float]] = {}
        for slot, load in loads.items():
            devices, power_w = totals.get(self.slots[slot].controller, (0, 0.0))
            totals[self.slots[slot].controller] = devices + load.devices, power_w + load.power_w
        for number, (devices, power_w) in totals.items():
            controller = self.controllers[number]
            if exceeds(devices, controller.devices, "") or exceeds(power_w, controller.power_w, "W"):
                return False
        there = all(self.may(at, slot) for at, slot in enumerate(assignment))
        return there and all(self.port_keeps(load) for load in loads.values())

    def score(self, assignment: Assignment) -> Score:
        used = {self.slots[slot].controller for slot in assignment}
        new_cable = (part.home_m for at, part in enumerate(self.parts) if self.lifted(at, assignment))
        moved = (
            self.scheduled(part) not in (None, slot) or self.gone(part)
            for part, slot in zip(self.parts, assignment, strict=True)
        )
        return Score(
            len(used),
            sum(number >= len(self.problem.controllers) for number in used),
            round(sum(new_cable), 4),
            sum(moved),
        )

    def gone(self, part: BranchPart) -> bool:
        """Whether a part is scheduled on a port that is not there."""
        port = self.problem.branches[part.branch].port if part.parent is None else None
        return port is not None and port not in self.slot_of

    def port_utilisation(self, load: PortLoad) -> float:
        limits, factor = self.problem.limits, self.factor(load)
        return max(
            share(load.cable_m, limits.cable_m, factor),
            share(load.devices, limits.devices, factor),
            share(load.power_w, limits.power_w, factor),
        )

    def utilisation(self, assignment: Assignment) -> float:
        """The greatest share of any additive limit that is used, of a port or of a controller."""
        shares = [0.0]
        devices: dict[int, int] = {}
        power_w: dict[int, float] = {}
        for slot, load in self.loads(assignment).items():
            number = self.slots[slot].controller
            devices[number] = devices.get(number, 0) + load.devices
            power_w[number] = power_w.get(number, 0.0) + load.power_w
            shares.append(self.port_utilisation(load))
        shares += [share(n, self.controllers[c].devices) for c, n in devices.items()]
        shares += [share(w, self.controllers[c].power_w) for c, w in power_w.items()]
        return max(shares)


def share(value: float, limit: float | None, factor: float = 1.0) -> float:
    """How much of a limit is used; a limit of 0 is used up by anything."""
    if limit is None or not value:
        return 0.0
    return value / (limit * factor) if limit * factor else float("inf")

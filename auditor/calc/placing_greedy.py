"""A first plan: over-limit branches split at their largest fitting part, the largest part placed first."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from auditor.calc.placing_bounds import fits_alone
from auditor.calc.placing_check import Loaded, port_keeps
from auditor.calc.placing_records import Branch, Place, PlanController, Problem
from auditor.units import exceeds


@dataclass(frozen=True, slots=True)
class Part:
    """Nodes of one branch that stay together; the first one's pull starts at the port."""

    branch: Branch
    nodes: tuple[int, ...]

    def loaded(self) -> Loaded:
        """What the part alone puts on a port, its own home run included."""
        nodes = self.branch.nodes
        first = nodes[self.nodes[0]]
        home_run_m = first.length_m if first.parent is None else first.distance_m
        return Loaded(
            cable_m=home_run_m + sum(nodes[index].length_m for index in self.nodes[1:]),
            devices=sum(nodes[index].devices for index in self.nodes),
            power_w=sum(nodes[index].power_w for index in self.nodes),
            reach_m=max((nodes[i].distance_m for i in self.nodes if nodes[i].devices), default=0.0),
            off_spec=any(nodes[index].off_spec for index in self.nodes),
        )


@dataclass(slots=True)
class _Filled:
    """Controllers in use and what their ports carry."""

    problem: Problem
    controllers: list[PlanController]
    ports: dict[str, Loaded] = field(default_factory=lambda: defaultdict(Loaded))
    added: int = 0

    def take(self, part: Part) -> str | None:
        """The port that a part goes to: its scheduled one where it fits, else the first that fits."""
        wanted = part.branch.scheduled if part.nodes[0] == 0 else None
        if part.branch.pinned and wanted:
            candidates = [(c, p) for c in self.controllers for p in c.ports if p == wanted]
        else:
            candidates = [(c, p) for c in self.controllers for p in c.ports]
            candidates.sort(key=lambda pair: pair[1] != wanted)
        for controller, port in candidates:
            if self._fits(part, controller, port):
                return self._put(part, port)
        if part.branch.pinned and wanted:
            return None
        self.added += 1
        new = self.problem.further(self.added)
        self.controllers.append(new)
        return self._put(part, new.ports[0]) if self._fits(part, new, new.ports[0]) else None

    def _put(self, part: Part, port: str) -> str:
        self.ports[port] = _sum(self.ports[port], part.loaded())
        return port

    def _fits(self, part: Part, controller: PlanController, port: str) -> bool:
        if (part.branch.id, controller.name) in self.problem.barred:
            return False
        both = _sum(self.ports[port], part.loaded())
        own = [self.ports[each] for each in controller.ports if each != port]
        devices = both.devices + sum(loaded.devices for loaded in own)
        power_w = both.power_w + sum(loaded.power_w for loaded in own)
        return (
            port_keeps(both, self.problem.derated(both.off_spec))
            and not exceeds(devices, controller.devices, "devices")
            and not exceeds(power_w, controller.power_w, "W")
        )


def greedy(problem: Problem) -> Place | None:
    """A plan that keeps all limits, not the best one; None: this way found none."""
    parts = [part for branch in problem.branches for part in _split(problem, branch)]
    parts.sort(key=lambda part: (not part.branch.pinned, -_size(problem, part)))
    filled = _Filled(problem, list(problem.controllers))
    place: dict[tuple[str, int], str] = {}
    for part in parts:
        port = filled.take(part)
        if port is None:
            return None
        place |= {(part.branch.id, index): port for index in part.nodes}
    return place


def _split(problem: Problem, branch: Branch) -> Iterator[Part]:
    """The branch whole where it fits a port, else in parts that each do, cut from its ends inwards."""
    left = Part(branch, tuple(range(len(branch.nodes))))
    if fits_alone(problem, branch):
        yield left
        return
    while not _part_fits(problem, left) and len(left.nodes) > 1:
        below = _below(left)
        options = [Part(branch, nodes) for first, nodes in below.items() if first != left.nodes[0]]
        fitting = [part for part in options if _part_fits(problem, part)]
        if not fitting:
            break
        largest = max(fitting, key=lambda part: _size(problem, part))
        yield largest
        left = Part(branch, tuple(index for index in left.nodes if index not in set(largest.nodes)))
    yield left


def _below(part: Part) -> dict[int, tuple[int, ...]]:
    """Node -> itself and all nodes of the part beyond it."""
    below: dict[int, list[int]] = {index: [index] for index in part.nodes}
    for index in reversed(part.nodes):
        parent = part.branch.nodes[index].parent
        if parent in below:
            below[parent] += below[index]
    return {index: tuple(sorted(nodes)) for index, nodes in below.items()}


def _part_fits(problem: Problem, part: Part) -> bool:
    first = part.branch.nodes[part.nodes[0]]
    home = replace(first, length_m=part.loaded().cable_m, parent=None)
    loaded = part.loaded()
    alone = Branch(
        id="",
        nodes=(
            replace(
                home,
                devices=loaded.devices,
                power_w=loaded.power_w,
                distance_m=loaded.reach_m,
                off_spec=loaded.off_spec,
            ),
        ),
    )
    return fits_alone(problem, alone)


def _size(problem: Problem, part: Part) -> float:
    limits, loaded = problem.limits, part.loaded()
    shares = (
        (loaded.cable_m, limits.cable_m),
        (loaded.devices, limits.devices),
        (loaded.power_w, limits.power_w),
        (loaded.power_w, problem.further(1).power_w),
    )
    return max((used / limit for used, limit in shares if limit), default=0.0)


def _sum(one: Loaded, other: Loaded) -> Loaded:
    return Loaded(
        cable_m=one.cable_m + other.cable_m,
        devices=one.devices + other.devices,
        power_w=one.power_w + other.power_w,
        reach_m=max(one.reach_m, other.reach_m),
        off_spec=one.off_spec or other.off_spec,
    )

"""Whether a placing keeps every limit, told without the solver that made it."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from auditor.calc.placing_records import Place, PlanController, PortLimits, Problem
from auditor.errors import PlanError
from auditor.units import exceeds


@dataclass(slots=True)
class Loaded:
    """What one port carries."""

    cable_m: float = 0.0
    devices: int = 0
    power_w: float = 0.0
    reach_m: float = 0.0
    off_spec: bool = False


def check_pins(problem: Problem) -> None:
    """
    Raises
    ------
    PlanError : a controller without ports, a pin without a port or to one that no controller has
    """
    ports: set[str] = set()
    for controller in problem.controllers:
        if not controller.ports:
            raise PlanError(f"{controller.name} has 0 ports; give the number of its ports")
        ports |= set(controller.ports)
    for branch in problem.branches:
        if branch.pinned and branch.scheduled is None:
            raise PlanError(
                f"{branch.id} is fixed to its port, but the schedule gives it none; name the port"
            )
        if branch.pinned and branch.scheduled not in ports:
            raise PlanError(f"{branch.id} is fixed to {branch.scheduled}, which no controller here has")


def schedule_plan(problem: Problem) -> Place | None:
    """The schedule as it stands, where it gives every branch a port and keeps all limits."""
    if any(branch.scheduled is None for branch in problem.branches):
        return None
    place = {
        (branch.id, index): branch.scheduled or ""
        for branch in problem.branches
        for index in range(len(branch.nodes))
    }
    return place if kept(problem, place) else None


def loads(problem: Problem, place: Place) -> dict[str, Loaded]:
    """What each port carries under a placing; a part that is cut off brings its own home run."""
    ports: dict[str, Loaded] = defaultdict(Loaded)
    for branch in problem.branches:
        for index, node in enumerate(branch.nodes):
            port = place[branch.id, index]
            loaded = ports[port]
            cut = node.parent is not None and place[branch.id, node.parent] != port
            loaded.cable_m += node.distance_m if cut else node.length_m
            loaded.devices += node.devices
            loaded.power_w += node.power_w
            loaded.off_spec |= node.off_spec
            if node.devices:
                loaded.reach_m = max(loaded.reach_m, node.distance_m)
    return ports


def kept(problem: Problem, place: Place) -> bool:
    """Whether a placing keeps every limit, pin and bar."""
    ports = loads(problem, place)
    for branch in problem.branches:
        if branch.pinned and place[branch.id, 0] != branch.scheduled:
            return False
        for index in range(len(branch.nodes)):
            if (branch.id, problem.controller_of(place[branch.id, index])) in problem.barred:
                return False
    if not all(port_keeps(loaded, problem.derated(loaded.off_spec)) for loaded in ports.values()):
        return False
    return all(share <= 1 + 1e-9 for share in _controller_shares(problem, ports))


def port_keeps(loaded: Loaded, limits: PortLimits) -> bool:
    return not (
        exceeds(loaded.cable_m, limits.cable_m, "m")
        or exceeds(loaded.reach_m, limits.reach_m, "m")
        or exceeds(loaded.devices, limits.devices, "devices")
        or exceeds(loaded.power_w, limits.power_w, "W")
    )


def utilisation(problem: Problem, ports: Mapping[str, Loaded]) -> float:
    """The greatest share of an additive limit that a port or a controller uses."""
    shares = [share for loaded in ports.values() for share in _port_shares(problem, loaded)]
    return max((*shares, *_controller_shares(problem, ports)), default=0.0)


def _port_shares(problem: Problem, loaded: Loaded) -> Iterator[float]:
    limits = problem.derated(loaded.off_spec)
    pairs = (
        (loaded.cable_m, limits.cable_m),
        (loaded.devices, limits.devices),
        (loaded.power_w, limits.power_w),
    )
    yield from (used / limit for used, limit in pairs if limit)


def _controller_shares(problem: Problem, ports: Mapping[str, Loaded]) -> Iterator[float]:
    used: dict[str, Loaded] = defaultdict(Loaded)
    for port, loaded in ports.items():
        total = used[problem.controller_of(port)]
        total.devices += loaded.devices
        total.power_w += loaded.power_w
    for name, total in used.items():
        controller = find_controller(problem, name)
        if controller.devices:
            yield total.devices / controller.devices
        if controller.power_w:
            yield total.power_w / controller.power_w


def find_controller(problem: Problem, name: str) -> PlanController:
    """A scheduled controller by name, else the added one of that name."""
    for controller in problem.controllers:
        if controller.name == name:
            return controller
    number = 1
    while problem.further(number).name != name:
        number += 1
        if number > 10_000:
            raise KeyError(name)
    return problem.further(number)

"""What no port plan can beat, and why some jobs have none, without any solver."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from auditor.calc.ports.parts import BranchPart, BranchParts
from auditor.calc.ports.problem import Branch, PlanController, PortLimits, PortProblem, TreePull, outwards
from auditor.calc.ports.share_bound import share_bound
from auditor.errors import PlanError
from auditor.units import LENGTH_TOLERANCE_M, exceeds, length_text, number_text

Driver = Literal["cable", "devices", "power"]
STEPS = 1_000_000  # whole steps of a metre or a watt


@dataclass(frozen=True, slots=True)
class ControllerBound:
    """Least number of controllers, and what asks for so many."""

    controllers: int
    driver: Driver


def check(problem: PortProblem) -> None:
    """Raise PlanError, one sentence, where the problem contradicts itself."""
    names = [controller.name for controller in (*problem.controllers, *problem.new_controllers)]
    for controller in (*problem.controllers, *problem.new_controllers):
        if not controller.ports:
            raise PlanError(f"controller {controller.name} has 0 ports, so no branch can be planned on it")
        if names.count(controller.name) > 1 or len(set(controller.ports)) < len(controller.ports):
            raise PlanError(
                f"controller {controller.name} or one of its ports is listed twice; name each once"
            )
    ids = [branch.id for branch in problem.branches]
    ports = {(c.name, port) for c in problem.controllers for port in c.ports}
    for branch in problem.branches:
        if ids.count(branch.id) > 1:
            raise PlanError(f"branch {branch.id} is given twice; it can only be on one port")
        if branch.pinned and branch.port is None:
            raise PlanError(f"branch {branch.id} is pinned, but the schedule gives it no port")
        if branch.pinned and branch.port not in ports:
            raise PlanError(
                f"branch {branch.id} is pinned to {'.'.join(branch.port or ())}, which no controller has"
            )
        if len({pull.id for pull in branch.pulls}) < len(branch.pulls):
            raise PlanError(f"branch {branch.id} has a pull twice; list each once")
        if len(outwards(branch.pulls)) < len(branch.pulls):
            raise PlanError(f"branch {branch.id} has a pull that does not lead back to its home run")
    _check_pins(problem)


def _check_pins(problem: PortProblem) -> None:
    pinned: dict[str, list[Branch]] = {}
    for branch in problem.branches:
        if branch.pinned and branch.port and not breaks_alone(problem, branch):
            pinned.setdefault(".".join(branch.port), []).append(branch)
    for port, branches in sorted(pinned.items()):
        together = Branch(
            id="",
            cable_m=sum(branch.cable_m for branch in branches),
            devices=sum(branch.devices for branch in branches),
            power_w=sum(branch.power_w for branch in branches),
            reach_m=0.0,
            off_spec=any(branch.off_spec for branch in branches),
        )
        for what in broken(problem.limits, together, problem.length_unit):
            ids = ", ".join(branch.id for branch in branches)
            raise PlanError(f"the branches pinned to {port} ({ids}) have {what} together; unpin one of them")


def broken(limits: PortLimits, load: Branch, unit: str) -> Iterator[str]:
    """Each additive port limit that this load breaks: `2,300 ft of cable where 2,000 ft is the limit`."""
    factor = limits.off_spec_factor if load.off_spec else 1.0
    derated = " for off-spec cable" if load.off_spec else ""
    if limits.cable_m is not None and exceeds(load.cable_m, limits.cable_m * factor, "m"):
        most, found = length_text(limits.cable_m * factor, unit), length_text(load.cable_m, unit)
        yield f"{found} of cable where {most} is a port's limit{derated}"
    if limits.devices is not None and exceeds(load.devices, limits.devices * factor, ""):
        most = number_text(limits.devices * factor)
        yield f"{load.devices} devices where {most} is a port's limit{derated}"
    if limits.power_w is not None and exceeds(load.power_w, limits.power_w * factor, "W"):
        most, found = number_text(limits.power_w * factor, 2), number_text(load.power_w, 2)
        yield f"{found} W where {most} W is a port's limit{derated}"


def breaks_alone(problem: PortProblem, branch: Branch) -> bool:
    """Whether a branch breaks an additive limit though it has a port, and a controller, to itself."""
    return bool(_alone(problem, branch))


def _alone(problem: PortProblem, load: Branch) -> list[str]:
    found = list(broken(problem.limits, load, problem.length_unit))
    controllers = (*problem.controllers, *problem.new_controllers)
    devices, power_w = _most([one for one in controllers if load.may_be_on(one.name)])
    if exceeds(load.devices, devices, ""):
        found.append(f"{load.devices} devices where {devices} is the limit of a controller")
    if exceeds(load.power_w, power_w, "W"):
        found.append(
            f"{number_text(load.power_w, 2)} W where {number_text(power_w or 0, 2)} W is a supply's power"
        )
    return found


def _most(controllers: Sequence[PlanController]) -> tuple[int | None, float | None]:
    devices = [controller.devices for controller in controllers]
    power_w = [controller.power_w for controller in controllers]
    return (
        None if None in devices else max((n for n in devices if n is not None), default=0),
        None if None in power_w else max((w for w in power_w if w is not None), default=0.0),
    )


def hopeless(problem: PortProblem) -> list[str]:
    """Sentences, one for each thing that no split mends."""
    reasons = []
    for branch in problem.branches:
        reasons += list(_beyond_reach(problem, branch))
        alone = _alone(problem, branch)
        if alone and not branch.pulls:
            reasons.append(
                f"branch {branch.id} alone has {alone[0]}, and its layout is not known, so it cannot be cut"
            )
        elif alone:
            reasons += list(_ends_alone(problem, branch))
    return reasons


def _beyond_reach(problem: PortProblem, branch: Branch) -> Iterator[str]:
    limit = problem.limits.reach_m
    rooted = branch.off_spec and not (branch.pulls and breaks_alone(problem, branch))
    if limit is None:
        return
    limit *= problem.limits.off_spec_factor if rooted else 1.0
    if exceeds(branch.reach_m, limit, "m"):
        found, most = (length_text(m, problem.length_unit) for m in (branch.reach_m, limit))
        derated = " for off-spec cable" if rooted else ""
        yield (
            f"branch {branch.id} has a device {found} from the head end and the reach is {most}{derated}:"
            " no split changes that; move the controller nearer or shorten the route"
        )


def _ends_alone(problem: PortProblem, branch: Branch) -> Iterator[str]:
    """Ends that break a limit even on a home run of their own."""
    home_m: dict[str | None, float] = {None: 0.0}
    for pull in outwards(branch.pulls):
        home_m[pull.id] = home_m[pull.parent] + pull.length_m
        piece = replace(_as_branch(pull, home_m[pull.id]), controllers=branch.controllers)
        for what in _alone(problem, piece):
            yield f"{pull.end or f'the far end of {pull.id}'} alone has {what}: no split changes that"


def _as_branch(pull: TreePull, home_m: float) -> Branch:
    return Branch(
        id=pull.id,
        cable_m=home_m,
        devices=pull.devices,
        power_w=pull.power_w,
        reach_m=home_m,
        off_spec=pull.off_spec and pull.parent is None,
    )


def fewest_controllers(parts: BranchParts) -> ControllerBound:
    """Least number of controllers, by cable, by devices and by power, each taken alone."""
    limits, demands = parts.problem.limits, parts.parts
    found = []
    for driver, limit, limit_step in (
        ("cable", limits.cable_m, STEPS),
        ("devices", limits.devices, 1),
        ("power", limits.power_w, STEPS),
    ):
        ports = _fewest_ports(parts, driver, limit, limit_step)
        found.append((_by_ports(parts, ports), _by_supply(parts, driver), driver))
    best = max(max(by_ports, by_supply) for by_ports, by_supply, _ in found)
    tied = [driver for by_ports, by_supply, driver in found if max(by_ports, by_supply) == best]
    driver = max(tied, key=lambda name: (_pressure(parts, name), -tied.index(name)))
    return ControllerBound(best if demands else 0, driver)  # type: ignore[arg-type]


def _amount(part: BranchPart, driver: str) -> float:
    return {"cable": part.cable_m, "devices": float(part.devices), "power": part.power_w}[driver]


def _fewest_ports(parts: BranchParts, driver: str, limit: float | None, step: int) -> int:
    """Least number of ports. An off-spec branch derates its port, which costs the others their share."""
    if not parts.parts:
        return 0
    if not limit:
        return 1
    tolerance = LENGTH_TOLERANCE_M if driver == "cable" else limit * 1e-9
    capacity = int((limit + tolerance) * step)
    factor = Fraction(parts.problem.limits.off_spec_factor).limit_denominator(10**6)
    amounts = [(int(_amount(part, driver) * step), part.off_spec and not part.home_m) for part in parts.parts]
    off_spec = sum(amount for amount, off in amounts if off)
    derated = 0
    if any(off for _, off in amounts) and factor:
        derated = max(1, -(-off_spec // math.ceil(capacity * factor)))
    total = sum(amount for amount, _ in amounts) + derated * math.floor((1 - factor) * capacity)
    sizes = (math.floor(amount / factor) if off and factor else amount for amount, off in amounts)
    return max(share_bound([min(size, capacity) for size in sizes], capacity), -(-total // capacity))


def _by_ports(parts: BranchParts, ports: int) -> int:
    counts = sorted((len(controller.ports) for controller in parts.controllers), reverse=True)
    return _fewest_of([float(n) for n in counts], float(ports))


def _by_supply(parts: BranchParts, driver: str) -> int:
    if driver == "cable":
        return 0
    limits = [c.devices if driver == "devices" else c.power_w for c in parts.controllers]
    if None in limits:
        return 1 if parts.parts else 0
    total = sum(_amount(part, driver) for part in parts.parts)
    return _fewest_of(sorted((float(n or 0) for n in limits), reverse=True), total * (1 - 1e-9))


def _fewest_of(capacities: Sequence[float], need: float) -> int:
    """How many of the largest add up to the need; one more than there are if all do not."""
    have = 0.0
    for number, capacity in enumerate(capacities):
        if have >= need:
            return number
        have += capacity
    return len(capacities) + (have < need)


def _pressure(parts: BranchParts, driver: str) -> float:
    """How much of everything on offer is needed: tells ties apart."""
    total = sum(_amount(part, driver) for part in parts.parts)
    limits = parts.problem.limits
    per_port = {"cable": limits.cable_m, "devices": limits.devices, "power": limits.power_w}[driver]
    room = []
    for controller in parts.controllers:
        supply = {"cable": None, "devices": controller.devices, "power": controller.power_w}[driver]
        by_ports = per_port * len(controller.ports) if per_port is not None else float("inf")
        room.append(min(by_ports, supply if supply is not None else float("inf")))
    return total / sum(room) if sum(room) else float("inf")

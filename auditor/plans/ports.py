"""A job's branches at each head end as a port-plan problem, and the plan as a job that is audited again."""

import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from auditor.bus import Bus, ControllerState, RunState
from auditor.cables import UNNAMED
from auditor.calc.placing import PortPlan, port_plan
from auditor.calc.placing_records import Branch, Node, PlanController, PortLimits, Problem
from auditor.errors import PlanError
from auditor.findings import (
    Audit,
    ControllersResult,
    Cut,
    Finding,
    Level,
    Move,
    PortPlanResult,
    Status,
)
from auditor.limits import Profile
from auditor.model import Controller, Job, Port, Pull, natural_key

Reaudit = Callable[[Job, Profile], Audit]
SECONDS = 3.0  # project convention: time limit of one head end's plan; after it the best found is given
TRIES = 3  # plans made while a plan's voltages fail on one controller and might hold on another
_ADDITIVE = frozenset(("run-length", "reach", "device-count", "power"))


@dataclass(frozen=True, slots=True, kw_only=True)
class PortPlanning:
    """The plan over all head ends of a job."""

    controllers: ControllersResult
    plan: PortPlanResult | None = None  # None: nothing to plan, or it could not be made
    suggested_port: Mapping[str, str] = field(default_factory=dict)  # tag -> port
    problems: tuple[str, ...] = ()


def plan_ports(seen: Bus, reaudit: Reaudit) -> PortPlanning:
    """Plan every head end of a job, and audit the plan.

    Controllers whose place the schedule does not state are taken to stand at the job's only head end,
    or together.
    """
    scheduled = len(seen.job.controllers)
    nothing = ControllersResult(scheduled=scheduled, needed=None, lower_bound=None, status=None)
    namer = _Namer(seen.job)
    head_ends = [_HeadEnd(seen, place, namer) for place in _places(seen)]
    head_ends = [head_end for head_end in head_ends if head_end.branches]
    if not head_ends:
        return PortPlanning(controllers=nothing)
    try:
        plans = [(head_end, head_end.plan(reaudit)) for head_end in head_ends]
    except PlanError as problem:
        return PortPlanning(controllers=nothing, problems=(f"No port plan: {problem}",))
    return _together(seen, plans, scheduled, reaudit)


def _together(
    seen: Bus, plans: "Sequence[tuple[_HeadEnd, PortPlan]]", scheduled: int, reaudit: Reaudit
) -> PortPlanning:
    status = _worst_status([plan.status for _, plan in plans])
    possible = status is not Status.IMPOSSIBLE
    controllers = ControllersResult(
        scheduled=scheduled,
        needed=sum(plan.controllers for _, plan in plans) if possible else None,
        lower_bound=sum(plan.lower_bound for _, plan in plans),
        status=status,
        driven_by=next((plan.driven_by for _, plan in plans if plan.driven_by), None),
    )
    moves = tuple(move for head_end, plan in plans for move in head_end.moves(plan))
    cuts = tuple(
        Cut(pull=cut.pull, new_home_run_m=cut.new_home_run_m) for _, plan in plans for cut in plan.cuts
    )
    reasons = [plan.reason for _, plan in plans if plan.reason] + _gaps(seen)
    result = PortPlanResult(status=status, reason="; ".join(reasons) or None, moves=moves, cuts=cuts, runs=())
    if not possible or not (moves or cuts):
        return PortPlanning(controllers=controllers, plan=result)
    job = seen.job
    for head_end, plan in plans:
        job = head_end.planned_job(plan, job)
    audited = reaudit(job, seen.profile)
    ports = {port for _, plan in plans for port in plan.parts.values()}
    reasons += _faults(audited.findings, ports)
    runs = tuple(run for run in audited.runs if run.name in ports)
    result = replace(result, runs=runs, reason="; ".join(reasons) or None)
    suggested = {
        device.tag: f"{device.controller}.{device.port}"
        for device in audited.devices
        if device.port is not None
    }
    return PortPlanning(controllers=controllers, plan=result, suggested_port=suggested)


def _faults(findings: Sequence[Finding], ports: set[str]) -> list[str]:
    """What the audit of a plan still holds against it."""
    controllers = {port.rsplit(".", 1)[0] for port in ports}
    own = [
        finding
        for finding in findings
        if finding.level is Level.FAIL and finding.subject in ports | controllers
    ]
    limits = [f"the audit of the plan disagrees: {each.message}" for each in own if each.rule in _ADDITIVE]
    volts = [each.subject for each in own if each.rule == "voltage"]
    if volts:
        limits.append(
            f"it keeps the limits that add up, but not the voltage on {', '.join(volts)}: see what mends it"
        )
    return limits


def _gaps(seen: Bus) -> list[str]:
    unmeasured = sum(pull.length_m is None for state in seen.runs for pull in state.run.pulls)
    unpowered = sum(state.unpowered for state in seen.runs) if seen.profile.powered_by_bus else 0
    gaps = []
    if unmeasured:
        gaps.append(f"{unmeasured} pull{'s' * (unmeasured != 1)} without a length counted as 0")
    if unpowered:
        gaps.append(f"{unpowered} device row{'s' * (unpowered != 1)} without a power counted as 0")
    return gaps


def _worst_status(statuses: Sequence[str]) -> Status:
    order = ("proven", "best-found", "impossible")
    return Status(max(statuses, key=order.index))


def _places(seen: Bus) -> list[str]:
    """Head ends by name; the empty one is where controllers stand whose place is not known."""
    places = {_place(controller, seen.job) for controller in seen.job.controllers.values()}
    return sorted(places | seen.job.head_ends, key=natural_key)


def _place(controller: Controller, job: Job) -> str:
    """Where a controller stands: as stated; else itself or the job's only head end, where it has one."""
    if controller.head_end:
        return controller.head_end
    if controller.name in job.head_ends:
        return controller.name
    return next(iter(job.head_ends)) if len(job.head_ends) == 1 else ""


class _Namer:
    """Names for controllers that would have to be added: the next number after the job's own."""

    def __init__(self, job: Job) -> None:
        numbered = [re.fullmatch(r"(.*?)(\d+)", name) for name in job.controllers]
        found = [match for match in numbered if match]
        self._prefix = found[0][1] if found else "C"
        self._taken = {name.casefold() for name in job.controllers}
        self._names: dict[tuple[str, int], str] = {}

    def name(self, place: str, number: int) -> str:
        """The n-th added controller of a head end; asked again, the same name."""
        if (place, number) not in self._names:
            count = 1
            while f"{self._prefix}{count}".casefold() in self._taken:
                count += 1
            self._names[place, number] = f"{self._prefix}{count}"
            self._taken.add(f"{self._prefix}{count}".casefold())
        return self._names[place, number]


class _HeadEnd:
    """One head end: its controllers, and the branches that can be moved among their ports."""

    def __init__(self, seen: Bus, place: str, namer: _Namer) -> None:
        self.seen, self.place, self._namer = seen, place, namer
        self.controllers = [state for state in seen.controllers if self._stands_here(state)]
        self._names = {state.name for state in self.controllers}
        self.states = [state for state in seen.runs if self._starts_here(state)]
        self.branches: list[Branch] = []
        self._pulls: dict[tuple[str, int], Pull] = {}
        for state in self.states:
            for pull in state.run.home_runs:
                self.branches.append(self._branch(state, pull))

    def _stands_here(self, state: ControllerState) -> bool:
        return _place(self.seen.job.controllers[state.name], self.seen.job) == self.place

    def _starts_here(self, state: RunState) -> bool:
        run = state.run
        if run.joins or len(run.sources) > 1:
            return False
        if run.ports:
            return run.ports[0].controller in self._names
        return run.head_ends[0] == self.place

    def _branch(self, state: RunState, home_run: Pull) -> Branch:
        """The tree beyond one home run, its nodes in the order of their distance."""
        run, cables = state.run, self.seen.cables
        name = f"{len(self.branches) + 1}"
        sources = set(run.sources)
        devices = defaultdict(list)
        for device in run.devices:
            devices[device.tag].append(device)
        place: dict[str, int] = {}
        nodes: list[Node] = []
        for end in run.distance_m:
            pull = run.feed.get(end)
            if pull is None or (pull is not home_run and run.upstream[end] not in place):
                continue
            self._pulls[name, len(nodes)] = pull
            parent = None if pull is home_run else place[run.upstream[end]]
            place[end] = len(nodes)
            own = devices[end]
            nodes.append(
                Node(
                    pull=pull.id,
                    parent=parent,
                    length_m=pull.length_m or 0.0,
                    devices=sum(device.quantity for device in own),
                    power_w=sum(device.quantity * (device.power_w or 0.0) for device in own),
                    distance_m=run.distance_m[end],
                    off_spec=bool(cables[pull.cable or UNNAMED].off_spec),
                )
            )
        for loop in run.loops:  # the pull that closes a loop is cable too
            end = loop.lift.near if loop.lift.near not in sources else loop.lift.far
            if end in place:
                self._pulls[name, len(nodes)] = loop.lift
                length_m = loop.lift.length_m or 0.0
                nodes.append(
                    Node(
                        pull=loop.lift.id,
                        parent=place[end],
                        length_m=length_m,
                        devices=0,
                        power_w=0.0,
                        distance_m=run.distance_m[end] + length_m,
                    )
                )
        port = run.ports[0].name if run.ports else None
        return Branch(id=name, nodes=tuple(nodes), scheduled=port, pinned=home_run.pinned)

    def plan(self, reaudit: Reaudit) -> PortPlan:
        """The best plan whose voltages hold where another controller's voltage could make them hold."""
        problem = self._problem()
        plan = port_plan(problem, SECONDS)
        if len({state.supply_voltage_v for state in self.controllers}) > 1:
            for _ in range(TRIES):
                barred = self._low(plan, reaudit)
                if not barred or barred <= problem.barred:
                    break
                problem = replace(problem, barred=problem.barred | barred)
                better = port_plan(problem, SECONDS)
                if better.status == "impossible":
                    break
                plan = better
        return plan

    def _low(self, plan: PortPlan, reaudit: Reaudit) -> frozenset[tuple[str, str]]:
        """Branches whose voltage fails where the plan has them, with the controller."""
        if plan.status == "impossible":
            return frozenset()
        audited = reaudit(self.planned_job(plan, self.seen.job), self.seen.profile)
        failing = {f.subject for f in audited.findings if f.rule == "voltage" and f.level is Level.FAIL}
        return frozenset(
            (branch.id, port.rsplit(".", 1)[0])
            for branch in self.branches
            for index in range(len(branch.nodes))
            if (port := plan.parts[branch.id, index]) in failing or self._tags(branch, index) & failing
        )

    def _tags(self, branch: Branch, index: int) -> set[str]:
        pull = self._pulls[branch.id, index]
        return {pull.near, pull.far}

    def _problem(self) -> Problem:
        profile = self.seen.profile
        limits = [state.full for state in self.states]
        return Problem(
            branches=tuple(self.branches),
            controllers=tuple(self._plan_controller(state) for state in self.controllers),
            further=self._further,
            limits=PortLimits(
                cable_m=min((each.cable_m for each in limits if each.cable_m is not None), default=None),
                reach_m=min((each.reach_m for each in limits if each.reach_m is not None), default=None),
                devices=profile.run.devices,
                power_w=profile.run.power_w,
            ),
            off_spec_factor=profile.off_spec_factor,
        )

    def _plan_controller(self, state: ControllerState) -> PlanController:
        used = sorted(
            (port.port for port in self.seen.job.ports.values() if port.controller == state.name),
            key=natural_key,
        )[: state.ports]
        names = list(used)
        letters = bool(used) and all(name.isalpha() for name in used)
        number = 1
        while len(names) < state.ports:
            label = chr(64 + number) if letters and number <= 26 else str(number)
            if label not in names:
                names.append(label)
            number += 1
        return PlanController(
            name=state.name,
            ports=tuple(f"{state.name}.{name}" for name in sorted(names, key=natural_key)),
            power_w=state.supply_power_w,
            devices=state.devices_limit,
        )

    def _further(self, number: int) -> PlanController:
        spec = self.seen.profile.controller
        name = self._namer.name(self.place, number)
        power_w = None if spec.supply_power_w is None else spec.supply_power_w * (1 - spec.supply_headroom)
        return PlanController(
            name=name,
            ports=tuple(f"{name}.{port}" for port in range(1, spec.ports + 1)),
            power_w=power_w,
            devices=spec.devices,
            scheduled=False,
        )

    def moves(self, plan: PortPlan) -> Iterator[Move]:
        """Branches that leave their port, get their first one, or are parted; by their first pulls."""
        if plan.status == "impossible":
            return
        for branch in self.branches:
            target = plan.port_of[branch.id]
            if target != branch.scheduled:
                yield Move(branch=branch.nodes[0].pull, origin=branch.scheduled, target=target)
        for cut in plan.cuts:
            origin = next(branch.scheduled for branch in self.branches if branch.id == cut.branch)
            yield Move(branch=cut.pull, origin=origin, target=cut.port)

    def planned_job(self, plan: PortPlan, job: Job) -> Job:
        """The job with its home runs on the planned ports, and a new home run for each cut."""
        if plan.status == "impossible":
            return job
        changed: dict[int, Pull] = {}
        ports = dict(job.ports)
        for branch in self.branches:
            for index, node in enumerate(branch.nodes):
                name = plan.parts[branch.id, index]
                cut = node.parent is not None and plan.parts[branch.id, node.parent] != name
                if node.parent is None or cut:
                    controller, label = name.rsplit(".", 1)
                    ports[name] = Port(controller=controller, port=label)
                    pull = self._pulls[branch.id, index]
                    changed[id(pull)] = self._from_port(pull, branch, index, name)
        controllers = dict(job.controllers)
        for name in {port.controller for port in ports.values()}:
            controllers.setdefault(name, Controller(name=name, head_end=self.place or None))
        pulls = tuple(changed.get(id(pull), pull) for pull in job.pulls)
        return replace(job, pulls=pulls, ports=ports, controllers=controllers)

    def _from_port(self, pull: Pull, branch: Branch, index: int, port: str) -> Pull:
        far = self._far_end(branch, index)
        return replace(
            pull, near=port, far=far, length_m=branch.nodes[index].distance_m if index else pull.length_m
        )

    def _far_end(self, branch: Branch, index: int) -> str:
        """The end of a pull that is away from the head end."""
        pull = self._pulls[branch.id, index]
        state = next(s for s in self.states if any(pull is each for each in s.run.pulls))
        return pull.far if state.run.feed.get(pull.far) is pull else pull.near

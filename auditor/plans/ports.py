"""A job's branches at each head end as a port-plan problem, and the plan as a job that is audited again."""

import math
import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from auditor.bus import Bus, ControllerState, RunState
from auditor.cables import TO_SPECIFICATION, UNNAMED, to_specification
from auditor.calc.portplan import (
    Branch,
    PortLimits,
    PortPlan,
    PortProblem,
    TreePull,
    port_plan,
)
from auditor.calc.portplan import Controller as PlanController
from auditor.calc.portplan import Port as PlanPort
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
from auditor.model import Cable, Controller, Job, Port, Pull, natural_key
from auditor.topology import Run

Reaudit = Callable[[Job, Profile], Audit]
SECONDS = 3.0  # project convention: time limit of one head end's plan; after it the best found is given
MOST_ADDED = 60  # project convention: controllers that a plan may add at one head end
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
        driven_by=next((plan.driver for _, plan in plans if plan.lower_bound > 1), None),
    )
    moves = tuple(move for head_end, plan in plans for move in head_end.moves(plan))
    cuts = tuple(cut for head_end, plan in plans for cut in head_end.cuts(plan))
    reasons = [reason for _, plan in plans for reason in _reasons(plan)] + _gaps(seen)
    result = PortPlanResult(status=status, reason="; ".join(reasons) or None, moves=moves, cuts=cuts, runs=())
    if not possible or not (moves or cuts):
        return PortPlanning(controllers=controllers, plan=result)
    job = seen.job
    for head_end, plan in plans:
        job = head_end.planned_job(plan, job)
    audited = reaudit(job, seen.profile)
    ports = {_name(each.port) for _, plan in plans for each in plan.ports}
    reasons += _faults(audited.findings, ports)
    runs = tuple(run for run in audited.runs if run.name in ports)
    result = replace(result, runs=runs, reason="; ".join(reasons) or None)
    suggested = {
        device.tag: f"{device.controller}.{device.port}"
        for device in audited.devices
        if device.port is not None
    }
    return PortPlanning(controllers=controllers, plan=result, suggested_port=suggested)


def _reasons(plan: PortPlan) -> list[str]:
    """What there is to say of one head end's plan."""
    if plan.why:
        return list(plan.why)
    if plan.open:
        return [f"not proven to be the least: {', '.join(plan.open)}"]
    return []


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
    """Where a controller stands: where pulls end at it without a port, at itself, for they are bound to
    it; else as stated; else at the job's only head end, where there is one."""
    if controller.name in job.head_ends:
        return controller.name
    if controller.head_end:
        return controller.head_end
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
        self._pulls: dict[str, Pull] = {}  # the plan's id of a pull -> the pull
        self._far_end: dict[str, str] = {}  # the same -> its end away from the head end
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
        """The tree beyond one home run."""
        run, cables = state.run, self.seen.cables
        key = str(len(self.branches) + 1)
        devices = defaultdict(list)
        for device in run.devices:
            devices[device.tag].append(device)
        ids: dict[str, str] = {}  # end -> the id of the pull that feeds it
        pulls: list[TreePull] = []
        for end in run.distance_m:
            pull = run.feed.get(end)
            if pull is None or (pull is not home_run and run.upstream[end] not in ids):
                continue
            ids[end] = f"{key}:{len(pulls)}"
            self._pulls[ids[end]] = pull
            self._far_end[ids[end]] = end
            pulls.append(
                TreePull(
                    id=ids[end],
                    parent=None if pull is home_run else ids[run.upstream[end]],
                    length_m=pull.length_m or 0.0,
                    devices=sum(device.quantity for device in devices[end]),
                    power_w=sum(device.quantity * (device.power_w or 0.0) for device in devices[end]),
                    end=end,
                    off_spec=bool(cables[pull.cable or UNNAMED].off_spec),
                )
            )
        pulls += self._closing(run, ids)
        return Branch(
            id=key,
            cable_m=sum(pull.length_m for pull in pulls),
            devices=sum(pull.devices for pull in pulls),
            power_w=sum(pull.power_w for pull in pulls),
            reach_m=max((run.distance_m[end] for end in ids if devices[end]), default=0.0),
            off_spec=any(pull.off_spec for pull in pulls),
            port=PlanPort(run.ports[0].controller, run.ports[0].port) if run.ports else None,
            pinned=home_run.pinned,
            pulls=tuple(pulls),
        )

    def _closing(self, run: Run, ids: Mapping[str, str]) -> Iterator[TreePull]:
        """The pulls that close loops: no device hangs on them, but they are cable too."""
        for loop in run.loops:
            end = next((end for end in (loop.lift.near, loop.lift.far) if end in ids), None)
            if end is not None:
                key = f"{ids[end]}+{loop.lift.id}"
                self._pulls[key] = loop.lift
                yield TreePull(id=key, parent=ids[end], length_m=loop.lift.length_m or 0.0)

    def plan(self, reaudit: Reaudit) -> PortPlan:
        """The best plan; where its voltages fail on a port, the next best whose voltages hold, if any."""
        problem = self._problem()
        first = plan = port_plan(problem, time_limit_s=SECONDS)
        if not (first.moves or first.cuts) or len({each.supply_voltage_v for each in self.controllers}) < 2:
            return first
        excluded = []
        for _ in range(TRIES):
            low = self._low(plan, reaudit)
            if not low:
                return plan
            excluded += low
            plan = port_plan(problem, excluded, SECONDS)
            if plan.status == "impossible":
                break
        return first

    def _low(self, plan: PortPlan, reaudit: Reaudit) -> list[frozenset[str]]:
        """What hangs together on each port whose voltages fail."""
        audited = reaudit(self.planned_job(plan, self.seen.job), self.seen.profile)
        failing = {f.subject for f in audited.findings if f.rule == "voltage" and f.level is Level.FAIL}
        tags = {device.tag: f"{device.controller}.{device.port}" for device in audited.devices}
        ports = {tags.get(subject, subject) for subject in failing}
        return [each.parts for each in plan.ports if _name(each.port) in ports]

    def _problem(self) -> PortProblem:
        profile = self.seen.profile
        limits = {(state.full.cable_m, state.full.reach_m): state.full for state in self.states}
        if len(limits) > 1:
            raise PlanError(
                "the limits depend on the conductor, and the branches at one head end have different ones"
            )
        full = next(iter(limits.values()))
        return PortProblem(
            branches=tuple(self.branches),
            controllers=tuple(self._plan_controller(state) for state in self.controllers),
            new_controllers=tuple(self._added()),
            limits=PortLimits(
                cable_m=full.cable_m,
                reach_m=full.reach_m,
                devices=profile.run.devices,
                power_w=profile.run.power_w,
                off_spec_factor=profile.off_spec_factor,
            ),
            length_unit=self.seen.job.length_unit,
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
            ports=tuple(sorted(names, key=natural_key)),
            power_w=state.supply_power_w,
            devices=state.devices_limit,
        )

    def _added(self) -> Iterator[PlanController]:
        """Controllers that could be added: as many as the branches could ever have use for."""
        spec = self.seen.profile.controller
        power_w = None if spec.supply_power_w is None else spec.supply_power_w * (1 - spec.supply_headroom)
        ports = tuple(str(port) for port in range(1, spec.ports + 1))
        for number in range(1, self._most_added() + 1):
            name = self._namer.name(self.place, number)
            yield PlanController(name=name, ports=ports, power_w=power_w, devices=spec.devices)

    def _most_added(self) -> int:
        limits, spec = self.seen.profile.run, self.seen.profile.controller
        totals = (
            (sum(branch.cable_m for branch in self.branches), limits.cable_m),
            (sum(branch.devices for branch in self.branches), limits.devices),
            (sum(branch.power_w for branch in self.branches), limits.power_w or spec.supply_power_w),
        )
        share = max((total / limit for total, limit in totals if limit), default=0.0)
        wanted = math.ceil(2 * share / self.seen.profile.off_spec_factor) + len(self.branches)
        return min(wanted, MOST_ADDED)

    def moves(self, plan: PortPlan) -> Iterator[Move]:
        """Branches that leave their port, get their first one, or are parted; by their first pulls."""
        for move in plan.moves:
            home_run = self._pulls[f"{move.branch}:0"]
            yield Move(
                branch=home_run.id, origin=_name(move.near) if move.near else None, target=_name(move.to)
            )
        for cut in plan.cuts:
            port = next(branch.port for branch in self.branches if branch.id == cut.branch)
            pull = self._pulls[cut.pull]
            yield Move(branch=pull.id, origin=_name(port) if port else None, target=_name(cut.to))

    def cuts(self, plan: PortPlan) -> Iterator[Cut]:
        for cut in plan.cuts:
            yield Cut(pull=self._pulls[cut.pull].id, new_home_run_m=cut.new_home_run_m)

    def planned_job(self, plan: PortPlan, job: Job) -> Job:
        """The job with its home runs on the planned ports, and a new home run for each cut."""
        changed: dict[int, Pull] = {}
        ports = dict(job.ports)
        cables = dict(job.cables)
        for move in plan.moves:
            key = f"{move.branch}:0"
            changed[id(self._pulls[key])] = replace(
                self._pulls[key], near=_name(move.to), far=self._far_end[key]
            )
            ports[_name(move.to)] = Port(controller=move.to.controller, port=move.to.port)
        for cut in plan.cuts:
            pull = self._pulls[cut.pull]
            cable = self._cable_for_home_run(pull, cables)
            changed[id(pull)] = replace(
                pull,
                near=_name(cut.to),
                far=self._far_end[cut.pull],
                length_m=cut.new_home_run_m,
                cable=cable,
            )
            ports[_name(cut.to)] = Port(controller=cut.to.controller, port=cut.to.port)
        controllers = dict(job.controllers)
        for name in {port.controller for port in ports.values()}:
            controllers.setdefault(name, Controller(name=name, head_end=self.place or None))
        pulls = tuple(changed.get(id(pull), pull) for pull in job.pulls)
        return replace(job, pulls=pulls, ports=ports, controllers=controllers, cables=cables)

    def _cable_for_home_run(self, lifted: Pull, cables: dict[str, Cable]) -> str | None:
        """The lifted pull's cable; where that is off specification, one of the job's that is not."""
        states = self.seen.cables
        if not states[lifted.cable or UNNAMED].off_spec:
            return lifted.cable
        within = next((name for name, state in states.items() if state.off_spec is False), None)
        if within is None:
            within = TO_SPECIFICATION
            cables[within] = to_specification(within, self.seen.profile)
        return within


def _name(port: PlanPort) -> str:
    return f"{port.controller}.{port.port}"

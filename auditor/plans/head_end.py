"""One head end of a job: its branches as a port-plan problem, and a plan as a job."""

import itertools
import math
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from auditor.bus.cables import TO_SPECIFICATION, UNNAMED, to_specification
from auditor.bus.measure import Bus, ControllerState, RunState, measure
from auditor.bus.ports import beyond
from auditor.calc.ports.plan import PortPlan, plan_as_scheduled, port_plan
from auditor.calc.ports.problem import (
    Branch,
    KeptApart,
    PlanController,
    PlanPort,
    PortLimits,
    PortProblem,
    TreePull,
)
from auditor.errors import PlanError
from auditor.job.model import Cable, Controller, Job, Port, Pull, known_power_w, natural_key
from auditor.plans.plans import VOLTAGE
from auditor.results.audit_result import Cut, Move
from auditor.results.judged import Judge
from auditor.units import exceeds, number_text

SECONDS = 3.0  # project convention: time limit of one head end's plan; after it the best found is given
SPARE = 12  # project convention: added controllers offered to a plan beyond what the sums ask for
MOST_PLACES = 12_000  # project convention: branches times ports, beyond which no plan is tried
TRIES = 3  # plans made while a plan's voltages fail on one controller and might hold on another


def head_ends(bus: Bus) -> list[str]:
    """Head ends by name; the empty one is where controllers stand whose place is not known."""
    places = {_place_of(controller, bus.job) for controller in bus.job.controllers.values()}
    return sorted(places | bus.job.head_ends, key=natural_key)


def _place_of(controller: Controller, job: Job) -> str:
    """Where a controller stands: where pulls end at it without a port, at itself, for they are bound to
    it; else as stated; else at the job's only head end, where there is one."""
    if controller.name in job.head_ends:
        return controller.name
    if controller.head_end:
        return controller.head_end
    return next(iter(job.head_ends)) if len(job.head_ends) == 1 else ""


class Namer:
    """Names for controllers that would have to be added: the next number after the job's own."""

    def __init__(self, job: Job) -> None:
        numbered = [re.fullmatch(r"(.*?)(\d+)", name) for name in job.controllers]
        found = [match for match in numbered if match]
        self._numbered = bool(found)
        self._prefix = found[0][1] if found else "C"
        self._taken = {name.casefold() for name in job.controllers}
        self._names: dict[tuple[str, int], str] = {}

    def name(self, place: str, number: int) -> str:
        """The n-th added controller of a head end; asked again, the same name."""
        if place and not self._numbered:
            return place if number == 1 else f"{place} ({number})"
        if (place, number) not in self._names:
            count = 1
            while f"{self._prefix}{count}".casefold() in self._taken:
                count += 1
            self._names[place, number] = f"{self._prefix}{count}"
            self._taken.add(f"{self._prefix}{count}".casefold())
        return self._names[place, number]


class HeadEnd:
    """One head end: its controllers, and the branches that can be moved among their ports."""

    def __init__(self, bus: Bus, place: str, namer: Namer) -> None:
        self.bus, self.place, self._namer = bus, place, namer
        self.controllers = [state for state in bus.controllers if self._stands_here(state)]
        self._names = {state.name for state in self.controllers}
        here = [state for state in bus.runs if self._starts_here(state)]
        self.joined = [state for state in here if state.run.joins]
        self.states = [state for state in here if not state.run.joins]
        self.kept = 0.0  # by `plan`: the share of every supply that it keeps for the loss in the cable
        self.assumed: list[str] = []  # sentences on what the plan took for granted
        self.lifted: list[Pull] = []  # pulls that close loops: the plan leaves them unlanded
        self.branches: list[Branch] = []
        self._pulls: dict[str, Pull] = {}  # the plan's id of a pull -> the pull
        self._far_end: dict[str, str] = {}  # the same -> its end away from the head end
        for state in self.states:
            self.lifted += [loop.lift for loop in state.run.loops]
            for pull in state.run.home_runs:
                if not any(pull is lifted for lifted in self.lifted):
                    self.branches.append(self._branch(state, pull))
        self._assume()

    def _assume(self) -> None:
        if self.lifted:
            names = ", ".join(pull.id for pull in self.lifted)
            closes = "closes a loop" if len(self.lifted) == 1 else "close loops"
            self.assumed.append(f"planned with {names} left unlanded, since {names} {closes}")
        unknown = dict.fromkeys(name for state in self.states for name in state.not_known)
        if unknown:
            self.assumed.append(
                f"{', '.join(unknown)} counted as off specification, since its data are not all stated"
            )

    def _stands_here(self, state: ControllerState) -> bool:
        return _place_of(self.bus.job.controllers[state.name], self.bus.job) == self.place

    def _starts_here(self, state: RunState) -> bool:
        run = state.run
        return self.place in run.head_ends or any(port.controller in self._names for port in run.ports)

    def _branch(self, state: RunState, home_run: Pull) -> Branch:
        """The tree beyond one home run."""
        run, cables, fed = state.run, self.bus.cables, self.bus.profile.powered_by_bus
        key = self._label(home_run)
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
                    power_w=known_power_w(devices[end]) if fed else 0.0,
                    end=end,
                    off_spec=cables[pull.cable or UNNAMED].off_spec is not False,
                )
            )
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

    def _label(self, home_run: Pull) -> str:
        """What a branch is called in the plan's sentences: its first pull, told apart where ids repeat."""
        taken = {branch.id for branch in self.branches}
        label = home_run.id or f"{home_run.near} to {home_run.far}"
        return (
            label if label not in taken else f"{label} in row {home_run.where.row} of {home_run.where.sheet}"
        )

    def plan(self, judge: Judge) -> PortPlan:
        """The best plan; where its voltages fail on a port, the next best whose voltages hold, if any. Where the loss in
        the cable takes a supply past its rating, one that keeps that share of every supply for it: such a plan is
        not proven, for another loses another share.

        Raises
        ------
        PlanError : ports are joined, limits differ, too many branches, or none found that keeps such a share
        """
        free = plan = self._best(judge)
        for _ in range(TRIES):
            lost = self._lost_share(self._as_planned(plan)) if plan.ports else 0.0
            if lost <= self.kept:
                break
            self.kept = lost
            plan = self._best(judge)
        self._assume_voltages(plan)
        if not self.kept:
            return plan
        kept = f"{number_text(100 * self.kept)} % of each supply kept for the loss in the cable"
        if not plan.ports:
            raise PlanError(f"none was found with {kept}")
        self.assumed.append(f"planned with {kept}")
        return replace(plan, status="best-found", lower_bound=free.lower_bound, driver=free.driver)

    def _as_planned(self, plan: PortPlan) -> Bus:
        if not (plan.moves or plan.cuts or self.lifted):
            return self.bus
        return measure(self.planned_job(plan, self.bus.job), self.bus.profile)

    def _assume_voltages(self, plan: PortPlan) -> None:
        """Says why branches stay on some controllers, where a plan was sought and not all have one voltage."""
        sought = any(branch.port for branch in self.branches) and (plan.why or plan.moves or plan.cuts)
        if sought and len(set(self._volts(added=True).values())) > 1:
            added_v = number_text(self.bus.profile.controller.supply_voltage_v)
            self.assumed.append(
                f"a branch that has a port stays on supplies of the same voltage, and an added one has {added_v} V"
            )

    def _lost_share(self, bus: Bus) -> float:
        """The greatest share of what a supply gives that the cable loses, of supplies here past their rating; 0: none is."""
        elsewhere = {state.name for state in self.bus.controllers} - self._names
        lost = [
            1 - state.power_w / state.supplied_w
            for state in bus.controllers
            if state.name not in elsewhere and state.rated_w and exceeds(state.supplied_w, state.rated_w, "W")
        ]
        return max([0.0, *lost])

    def _best(self, judge: Judge) -> PortPlan:
        """The best plan with what is kept of every supply."""
        if self.joined:
            ports = " and ".join(self.joined[0].run.sources)
            raise PlanError(f"{ports} are joined; lift the pull that joins them first")
        if self.lifted and self.bus.profile.loops_allowed:
            raise PlanError("its runs have loops, which no plan can part")
        as_it_stands = plan_as_scheduled(self._problem(added=False))
        if as_it_stands is not None:
            return as_it_stands
        problem = self._problem(added=True)
        first = plan = port_plan(problem, time_limit_s=SECONDS)
        if not (first.moves or first.cuts) or len(set(self._volts(added=True).values())) < 2:
            return first
        apart: list[KeptApart] = []
        for _ in range(TRIES):
            low = self._of_low_voltage(plan, judge)
            if not low:
                return plan
            apart += low
            plan = port_plan(problem, apart, SECONDS)
            if plan.status == "impossible":
                break
        return first

    def _of_low_voltage(self, plan: PortPlan, judge: Judge) -> list[KeptApart]:
        """What hangs together on each port whose voltages fail: it fails on every supply of no higher voltage. A branch
        alone on its port that the schedule has on one stays: no supply of another voltage may feed it."""
        trial = judge(self.planned_job(plan, self.bus.job), self.bus.profile)
        port_of = {device.tag: state.run.name for state in trial.bus.runs for device in state.run.devices}
        ports = {port_of.get(subject, subject) for rule, subject in trial.failures() if rule == VOLTAGE}
        volts = self._volts(added=True)
        stays = [{branch.id} for branch in self.branches if branch.port is not None]
        return [
            KeptApart(
                parts=each.parts,
                controllers=frozenset(name for name in volts if volts[name] <= volts[each.port.controller]),
            )
            for each in plan.ports
            if port_name(each.port) in ports and each.parts not in stays
        ]

    def _volts(self, *, added: bool) -> dict[str, float]:
        """Controller here -> the voltage of its supply [V], of those that could be added too."""
        volts = {state.name: state.supply_voltage_v for state in self.controllers}
        if added:
            names = (one.name for one in self._added_controllers())
            volts |= dict.fromkeys(names, self.bus.profile.controller.supply_voltage_v)
        return volts

    def _kept_to_voltage(self, branch: Branch, volts: Mapping[str, float]) -> Branch:
        """The branch on supplies of the voltage that the schedule gives it: what its devices bear is not known."""
        own = volts.get(branch.port.controller) if branch.port else None
        alike = frozenset(name for name in volts if volts[name] == own)
        return branch if own is None else replace(branch, controllers=alike)

    def _problem(self, *, added: bool) -> PortProblem:
        profile = self.bus.profile
        limits = {(state.full.cable_m, state.full.reach_m): state.full for state in self.states}
        if len(limits) > 1:
            raise PlanError(
                "the limits depend on the conductor, and the branches at one head end have different ones"
            )
        full = next(iter(limits.values()))
        volts = self._volts(added=added)
        return PortProblem(
            branches=tuple(self._kept_to_voltage(branch, volts) for branch in self.branches),
            controllers=tuple(_less(self._plan_controller(state), self.kept) for state in self.controllers),
            new_controllers=tuple(_less(one, self.kept) for one in self._added_controllers())
            if added
            else (),
            limits=PortLimits(
                cable_m=full.cable_m,
                reach_m=full.reach_m,
                devices=profile.run.devices,
                power_w=profile.run.power_w,
                off_spec_factor=profile.off_spec_factor,
            ),
            length_unit=self.bus.job.length_unit,
        )

    def _plan_controller(self, state: ControllerState) -> PlanController:
        used = [port.port for port in self.bus.job.ports.values() if port.controller == state.name]
        return PlanController(
            name=state.name,
            ports=port_labels(used, state.ports),
            power_w=state.supply_power_w,
            devices=state.devices_limit,
        )

    def _added_controllers(self) -> Iterator[PlanController]:
        """Controllers that could be added: as many as the branches could ever have use for."""
        spec = self.bus.profile.controller
        power_w = None if spec.supply_power_w is None else spec.supply_power_w * (1 - spec.supply_headroom)
        ports = tuple(str(port) for port in range(1, spec.ports + 1))
        for number in range(self._most_added()):
            name = self._namer.name(self.place, number + 1)
            yield PlanController(name=name, ports=ports, power_w=power_w, devices=spec.devices)

    def _most_added(self) -> int:
        limits, spec = self.bus.profile.run, self.bus.profile.controller
        totals = (
            (sum(branch.cable_m for branch in self.branches), limits.cable_m),
            (sum(branch.devices for branch in self.branches), limits.devices),
            (sum(branch.power_w for branch in self.branches), limits.power_w or spec.supply_power_w),
        )
        share = max((total / limit for total, limit in totals if limit), default=0.0)
        derated = any(branch.off_spec for branch in self.branches)
        share /= self.bus.profile.off_spec_factor if derated else 1.0
        added = min(math.ceil(2 * share) + len(self.branches), math.ceil(share) + SPARE)
        pulls = sum(len(branch.pulls) for branch in self.branches)
        if added * spec.ports * max(len(self.branches), min(pulls, 500)) > MOST_PLACES:
            raise PlanError(
                f"{len(self.branches)} branches and some {added} controllers are too many to plan"
            )
        return added

    def moves(self, plan: PortPlan) -> Iterator[Move]:
        """Branches that leave their port, get their first one, or are parted; by their first pulls."""
        for move in plan.moves:
            home_run = self._pulls[f"{move.branch}:0"]
            yield Move(
                branch=self.bus.pull_names[id(home_run)],
                origin=port_name(move.near) if move.near else None,
                target=port_name(move.to),
            )
        for cut in plan.cuts:
            port = next(branch.port for branch in self.branches if branch.id == cut.branch)
            pull = self._pulls[cut.pull]
            yield Move(
                branch=self.bus.pull_names[id(pull)],
                origin=port_name(port) if port else None,
                target=port_name(cut.to),
            )

    def cuts(self, plan: PortPlan) -> Iterator[Cut]:
        for cut in plan.cuts:
            yield Cut(pull=self.bus.pull_names[id(self._pulls[cut.pull])], new_home_run_m=cut.new_home_run_m)

    def planned_job(self, plan: PortPlan, job: Job) -> Job:
        """The job with its home runs on the planned ports, and a new home run for each cut."""
        changed: dict[int, Pull] = {}
        ports = dict(job.ports)
        cables = dict(job.cables)
        for move in plan.moves:
            key = f"{move.branch}:0"
            changed[id(self._pulls[key])] = replace(
                self._pulls[key], near=port_name(move.to), far=self._far_end[key]
            )
            ports[port_name(move.to)] = Port(controller=move.to.controller, port=move.to.port)
        for cut in plan.cuts:
            pull = self._pulls[cut.pull]
            cable = self._cable_for_home_run(pull, cables)
            changed[id(pull)] = replace(
                pull,
                near=port_name(cut.to),
                far=self._far_end[cut.pull],
                length_m=cut.new_home_run_m,
                cable=cable,
            )
            ports[port_name(cut.to)] = Port(controller=cut.to.controller, port=cut.to.port)
        for lifted in self.lifted:
            changed[id(lifted)] = replace(lifted, landed=False)
        controllers = dict(job.controllers)
        for name in {port.controller for port in ports.values()}:
            controllers.setdefault(name, Controller(name=name, head_end=self.place or None))
        pulls = tuple(changed.get(id(pull), pull) for pull in job.pulls)
        ends = {end for pull in pulls for end in (pull.near, pull.far)}
        left = {name: port for name, port in ports.items() if name in ends}
        return replace(job, pulls=pulls, ports=left, controllers=controllers, cables=cables)

    def _cable_for_home_run(self, lifted: Pull, cables: dict[str, Cable]) -> str | None:
        """The lifted pull's cable; where that is off specification, one of the job's that is not."""
        states = self.bus.cables
        if not states[lifted.cable or UNNAMED].off_spec:
            return lifted.cable
        within = next((name for name, state in states.items() if state.off_spec is False), None)
        if within is None:
            within = TO_SPECIFICATION
            cables[within] = to_specification(within, self.bus.profile)
        return within


def _less(controller: PlanController, share: float) -> PlanController:
    """The controller with a share of its supply kept back."""
    if controller.power_w is None or not share:
        return controller
    return replace(controller, power_w=controller.power_w * (1 - share))


def port_labels(used: Iterable[str], count: int) -> tuple[str, ...]:
    """What a controller's ports are called: those that the schedule names, where it can have them, and further ones
    counted like them."""
    named = sorted(used, key=natural_key)
    there = [name for name, is_over in zip(named, beyond(named, count), strict=True) if not is_over]
    names = (there or named)[:count]
    letters = bool(names) and all(name.isalpha() for name in names)
    counted = (chr(64 + n) if letters and n <= 26 else str(n) for n in itertools.count(1))
    further = (label for label in counted if label not in names)
    return tuple(sorted([*names, *itertools.islice(further, count - len(names))], key=natural_key))


def port_name(port: PlanPort) -> str:
    return f"{port.controller}.{port.port}"

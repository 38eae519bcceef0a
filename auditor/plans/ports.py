"""The port plan of a job: every head end planned alone, and all of it judged together."""

from collections.abc import Sequence, Set
from dataclasses import replace

from auditor.bus.measure import Bus
from auditor.calc.ports.plan import PortPlan
from auditor.errors import PlanError
from auditor.plans.head_end import HeadEnd, Namer, head_ends, port_name
from auditor.plans.plans import VOLTAGE, PortPlanning
from auditor.results.attribution import Attribution
from auditor.results.audit_result import ControllersResult, Status
from auditor.results.findings import Level, Scope
from auditor.results.judged import Judge, Judged


def plan_ports(bus: Bus, judge: Judge) -> PortPlanning:
    """Plan every head end of a job, each alone, and judge the job as planned.

    Controllers whose place the schedule does not state are taken to stand at the job's only head end,
    or together. A plan whose own judgement refutes it is not offered.
    """
    namer = Namer(bus.job)
    plans: list[tuple[HeadEnd, PortPlan]] = []
    problems: list[str] = []
    for place in head_ends(bus):
        head_end = HeadEnd(bus, place, namer)
        try:
            if head_end.branches or head_end.joined:
                plans.append((head_end, head_end.plan(judge)))
        except PlanError as problem:
            problems.append(f"No port plan{f' for {place}' if place else ''}: {problem}")
    if not plans:
        nothing = ControllersResult(
            scheduled=len(bus.job.controllers), needed=None, lower_bound=None, status=None
        )
        return PortPlanning(controllers=nothing, problems=tuple(problems))
    return _joint_plan(bus, plans, problems, judge)


def _joint_plan(
    bus: Bus, plans: Sequence[tuple[HeadEnd, PortPlan]], problems: Sequence[str], judge: Judge
) -> PortPlanning:
    """The plans of all head ends as one, tried on the whole job."""
    controllers = _controllers_result(bus, plans, known=not problems)
    planning = PortPlanning(
        controllers=controllers,
        status=_worst_status([plan.status for _, plan in plans]),
        reason="; ".join(_reasons(bus, plans)) or None,
        moves=tuple(move for head_end, plan in plans for move in head_end.moves(plan)),
        cuts=tuple(cut for head_end, plan in plans for cut in head_end.cuts(plan)),
        ports=frozenset(port_name(each.port) for _, plan in plans for each in plan.ports),
        kept=any(head_end.kept > 0 for head_end, _ in plans),
        problems=tuple(problems),
    )
    if not (planning.moves or planning.cuts or any(head_end.lifted for head_end, _ in plans)):
        return planning
    job = bus.job
    for head_end, plan in plans:
        job = head_end.planned_job(plan, job)
    return _with_trial(planning, controllers, judge(job, bus.profile))


def _controllers_result(
    bus: Bus, plans: Sequence[tuple[HeadEnd, PortPlan]], *, known: bool
) -> ControllersResult:
    """How many controllers the plans take; how many are needed only where all head ends have a plan."""
    found = known and all(plan.ports or not head_end.branches for head_end, plan in plans)
    return ControllersResult(
        scheduled=len(bus.job.controllers),
        needed=sum(plan.controllers for _, plan in plans) if found else None,
        lower_bound=sum(plan.lower_bound for _, plan in plans),
        status=_worst_status([plan.status for _, plan in plans]),
        driven_by=next((plan.driver for _, plan in plans if plan.lower_bound > 1), None),
    )


def _with_trial(planning: PortPlanning, controllers: ControllersResult, trial: Judged) -> PortPlanning:
    """The plan with its trial, or without its moves where the trial refutes it."""
    refuted = _refuted(trial, planning.ports)
    if refuted:
        return replace(
            planning,
            controllers=replace(controllers, needed=None, status=Status.BEST_FOUND),
            status=Status.BEST_FOUND,
            reason=refuted,
            moves=(),
            cuts=(),
            problems=(*planning.problems, f"The port plan is not offered: {refuted}"),
        )
    tried = replace(planning, trial=trial, failing=_failing(trial, planning.ports))
    low = any(VOLTAGE in rules for rules in tried.failing.values())  # not every plan was tried for its volts
    remains = f"as planned, {tried.remains()}" if tried.failing else ""
    return replace(
        tried,
        reason="; ".join(filter(None, (remains, planning.reason))) or None,
        status=_worst_status([planning.status or Status.PROVEN, *([Status.BEST_FOUND] if low else [])]),
    )


def _failing(trial: Judged, ports: Set[str]) -> dict[str, tuple[str, ...]]:
    """Port of the plan -> the rules that its run fails in the trial."""
    found = Attribution(trial)
    named = {state.run.name: found.failing(index) for index, state in enumerate(trial.bus.runs)}
    return {name: rules for name, rules in named.items() if name in ports and rules}


def _reasons(bus: Bus, plans: Sequence[tuple[HeadEnd, PortPlan]]) -> list[str]:
    """What there is to say of the plans, each a phrase."""
    return [reason for head_end, plan in plans for reason in _head_end_reasons(head_end, plan)] + [
        *_counted_as_zero(bus),
        *_left_dark(bus),
    ]


def _head_end_reasons(head_end: HeadEnd, plan: PortPlan) -> list[str]:
    if plan.why:
        return [*plan.why, *head_end.assumed]
    proof = [f"not proven to be the least: {', '.join(plan.open)}"] if plan.open else []
    return [*proof, *head_end.assumed]


def _refuted(trial: Judged, ports: Set[str]) -> str:
    """Why its trial refutes a plan: limits that add up and that it breaks; empty: it does not."""
    controllers = {port.rsplit(".", 1)[0] for port in ports}
    own = [
        finding
        for finding in trial.findings
        if finding.level is Level.FAIL and finding.subject in ports | controllers
    ]
    return "; ".join(each.message for each in own if trial.scope(each.rule) & Scope.PORT_PLAN)


def _counted_as_zero(bus: Bus) -> list[str]:
    unmeasured = sum(pull.length_m is None for state in bus.runs for pull in state.run.pulls)
    unpowered = sum(state.unpowered for state in bus.runs)
    gaps = []
    if unmeasured:
        gaps.append(f"{unmeasured} pull{'s' * (unmeasured != 1)} without a length counted as 0")
    if unpowered:
        gaps.append(f"{unpowered} device row{'s' * (unpowered != 1)} without a power counted as 0")
    return gaps


def _left_dark(bus: Bus) -> list[str]:
    dark = sum(device.quantity for device in bus.topology.unfed_devices)
    return [f"{dark} device{'s' * (dark != 1)} that nothing feeds not planned"] if dark else []


def _worst_status(statuses: Sequence[str]) -> Status:
    order = ("proven", "best-found", "impossible")
    return Status(max(statuses, key=order.index))

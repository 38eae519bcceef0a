"""The port plan of a job: every head end planned alone, and all of it audited together."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from auditor.bus.measure import Bus
from auditor.calc.ports.plan import PortPlan
from auditor.errors import PlanError
from auditor.plans.head_end import HeadEnd, Namer, Reaudit, head_ends, port_name
from auditor.results.audit_result import ControllersResult, PortPlanResult, Status
from auditor.results.findings import Finding, Level

_ADDITIVE = frozenset(("run-length", "reach", "device-count", "power"))


@dataclass(frozen=True, slots=True, kw_only=True)
class PortPlanning:
    """The plan over all head ends of a job."""

    controllers: ControllersResult
    plan: PortPlanResult | None = None  # None: nothing to plan, or it could not be made
    suggested_port: Mapping[str, str] = field(default_factory=dict)  # tag -> port
    problems: tuple[str, ...] = ()


def plan_ports(seen: Bus, reaudit: Reaudit) -> PortPlanning:
    """Plan every head end of a job, each alone, and audit the plan.

    Controllers whose place the schedule does not state are taken to stand at the job's only head end,
    or together. A plan that its own audit refutes is not offered.
    """
    namer = Namer(seen.job)
    plans: list[tuple[HeadEnd, PortPlan]] = []
    problems: list[str] = []
    for place in head_ends(seen):
        head_end = HeadEnd(seen, place, namer)
        try:
            if head_end.branches or head_end.joined:
                plans.append((head_end, head_end.plan(reaudit)))
        except PlanError as problem:
            problems.append(f"No port plan{f' for {place}' if place else ''}: {problem}")
    scheduled = len(seen.job.controllers)
    if not plans:
        nothing = ControllersResult(scheduled=scheduled, needed=None, lower_bound=None, status=None)
        return PortPlanning(controllers=nothing, problems=tuple(problems))
    planning = _together(seen, plans, scheduled, reaudit)
    if problems:
        unknown = replace(planning.controllers, needed=None)
        planning = replace(planning, controllers=unknown, problems=tuple(problems))
    return planning


def _together(
    seen: Bus, plans: Sequence[tuple[HeadEnd, PortPlan]], scheduled: int, reaudit: Reaudit
) -> PortPlanning:
    status = _worst_status([plan.status for _, plan in plans])
    found = all(plan.ports or not head_end.branches for head_end, plan in plans)
    controllers = ControllersResult(
        scheduled=scheduled,
        needed=sum(plan.controllers for _, plan in plans) if found else None,
        lower_bound=sum(plan.lower_bound for _, plan in plans),
        status=status,
        driven_by=next((plan.driver for _, plan in plans if plan.lower_bound > 1), None),
    )
    moves = tuple(move for head_end, plan in plans for move in head_end.moves(plan))
    cuts = tuple(cut for head_end, plan in plans for cut in head_end.cuts(plan))
    reasons = [reason for head_end, plan in plans for reason in _reasons(head_end, plan)] + _gaps(seen)
    result = PortPlanResult(status=status, reason="; ".join(reasons) or None, moves=moves, cuts=cuts, runs=())
    if not (moves or cuts or any(head_end.lifted for head_end, _ in plans)):
        return PortPlanning(controllers=controllers, plan=result)
    job = seen.job
    for head_end, plan in plans:
        job = head_end.planned_job(plan, job)
    audited = reaudit(job, seen.profile)
    ports = {port_name(each.port) for _, plan in plans for each in plan.ports}
    refuted, low = _faults(audited.findings, ports)
    if refuted:
        return PortPlanning(
            controllers=replace(controllers, needed=None, status=Status.BEST_FOUND),
            plan=replace(result, status=Status.BEST_FOUND, reason=refuted, moves=(), cuts=()),
            problems=(f"The port plan is not offered: {refuted}",),
        )
    runs = tuple(run for run in audited.runs if run.name in ports)
    result = replace(result, runs=runs, reason="; ".join([*reasons, *low]) or None)
    suggested = {
        device.tag: f"{device.controller}.{device.port}"
        for device in audited.devices
        if device.port is not None and f"{device.controller}.{device.port}" in ports
    }
    return PortPlanning(controllers=controllers, plan=result, suggested_port=suggested)


def _reasons(head_end: HeadEnd, plan: PortPlan) -> list[str]:
    """What there is to say of one head end's plan."""
    said = list(head_end.assumed)
    if plan.why:
        return [*plan.why, *said]
    if plan.open:
        said.insert(0, f"not proven to be the least: {', '.join(plan.open)}")
    return said


def _faults(findings: Sequence[Finding], ports: set[str]) -> tuple[str, list[str]]:
    """What the audit of a plan holds against it: why it is refuted, and what it says of voltages."""
    controllers = {port.rsplit(".", 1)[0] for port in ports}
    own = [
        finding
        for finding in findings
        if finding.level is Level.FAIL and finding.subject in ports | controllers
    ]
    refuted = "; ".join(each.message for each in own if each.rule in _ADDITIVE)
    volts = [each.subject for each in own if each.rule == "voltage"]
    low = f"it keeps the limits that add up, but not the voltage on {', '.join(volts)}: see what mends it"
    return refuted, [low] if volts else []


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

"""A measured bus and its findings as the `Audit` that reports and `results.jsonl` show."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from auditor.bus.cables import UNNAMED
from auditor.bus.measure import Bus, ControllerState, RunState
from auditor.job.model import Device, Pull
from auditor.plans.cut_lists import pull_names, reel_of_pull
from auditor.profile.limits import Limits
from auditor.results.attribution import Attribution, verdict_of
from auditor.results.audit_result import (
    Audit,
    DeviceResult,
    LimitsResult,
    PortPlanResult,
    PullResult,
    RunResult,
    Status,
    SupplyResult,
)
from auditor.results.findings import Finding, Verdict
from auditor.units import number_text


def audit_result(seen: Bus, findings: tuple[Finding, ...], crashed: tuple[str, ...]) -> Audit:
    """Everything of one job's audit. Findings are sorted by level, worst first, in the rules' order."""
    findings = tuple(sorted(findings, key=lambda finding: -finding.level.severity))
    attribution = Attribution(seen, findings)
    job, profile = seen.job, seen.profile
    runs = tuple(run_result(state, attribution.run(index)) for index, state in enumerate(seen.runs))
    return Audit(
        job=job.name,
        profile=profile.name,
        verdict=Verdict.REVIEW if crashed and verdict_of(findings) is Verdict.PASS else verdict_of(findings),
        runs=runs,
        controllers=seen.needed,
        findings=findings,
        devices=_devices(seen, attribution),
        pulls=_pulls(seen, attribution),
        port_plan=_as_scheduled(seen.port_plan, runs),
        cut_lists=seen.cut_lists,
        length_unit=job.length_unit,
        tables=job.tables,
        rows_read=job.rows_read,
        rows_left_out=job.rows_left_out,
        supplies=tuple(
            SupplyResult(
                controller=controller.name,
                voltage_v=controller.supply_voltage_v,
                power_w=_supply_w(controller),
                devices=controller.devices_limit,
            )
            for controller in seen.controllers
        ),
        voltage_basis=_voltage_basis(seen),
        crashed=crashed,
    )


def _as_scheduled(plan: PortPlanResult | None, runs: tuple[RunResult, ...]) -> PortPlanResult | None:
    """A plan that changes nothing has the runs of the schedule."""
    if plan is None or plan.runs or plan.moves or plan.cuts or plan.status is Status.IMPOSSIBLE:
        return plan
    return replace(plan, runs=runs)


def run_result(state: RunState, verdict: Verdict) -> RunResult:
    """The figures of one run; those that rest on something not stated are None."""
    run, electrical = state.run, state.electrical
    far = run.farthest()
    volts = electrical.solved and bool(electrical.net.loads) and not state.gaps()
    return RunResult(
        controller=run.ports[0].controller if run.ports else None,
        port=run.ports[0].port if run.ports else None,
        branch=run.branch,
        cable_m=run.cable_m if run.measured else None,
        reach_m=run.distance_m[far] if far and not run.unmeasured else None,
        farthest=far if not run.unmeasured else None,
        devices=run.device_count,
        power_w=None if state.unpowered else state.power_w,
        current_a=None if state.gaps() else electrical.current_a,
        min_voltage_v=electrical.flow.lowest_v if volts else None,
        min_voltage_at=electrical.flow.lowest_at if volts else None,
        loss_w=None if state.gaps() else electrical.loss_w,
        capacitance_nf=state.capacitance_nf,
        loops=len(run.loops),
        derated=state.derated,
        growth_margin=state.growth_margin,
        first_limit=state.first_limit,
        limits=_limits(state.limits),
        verdict=verdict,
        source_voltage_v=state.supply_voltage_v,
        idle_power_w=_idle_power_w(run.devices),
    )


def _voltage_basis(seen: Bus) -> str:
    """What the voltages stand on, for headings: the conductor's temperature and the kind of load."""
    profile = seen.profile
    load = profile.load.replace("-", " ")
    own = (
        ", or as listed"
        if any(device.load not in (None, profile.load) for device in seen.job.devices)
        else ""
    )
    phase = ", while power flows" if profile.power_duty != 1 else ""
    return f"{number_text(profile.conductor_degc)} °C, {load}{own}{phase}"


def _supply_w(controller: ControllerState) -> float | None:
    """What the supply may give; where it is rated by its current, that at its own voltage."""
    if controller.supply_power_w is None and controller.supply_current_a is not None:
        return controller.supply_current_a * controller.supply_voltage_v
    return controller.supply_power_w


def _idle_power_w(devices: Iterable[Device]) -> float | None:
    """At rest; a device that states no idle figure counts with its active power."""
    devices = list(devices)
    if all(device.idle_w is None for device in devices):
        return None
    return sum(
        device.quantity * (device.idle_w if device.idle_w is not None else device.power_w or 0.0)
        for device in devices
    )


def _limits(limits: Limits) -> LimitsResult:
    return LimitsResult(
        cable_m=limits.cable_m, reach_m=limits.reach_m, devices=limits.devices, power_w=limits.power_w
    )


def _devices(seen: Bus, attribution: Attribution) -> tuple[DeviceResult, ...]:
    run_of = {id(device): index for index, state in enumerate(seen.runs) for device in state.run.devices}
    judged = [state.electrical.flow.voltages_v if not state.gaps() else {} for state in seen.runs]
    return tuple(
        _device(seen, device, run_of.get(id(device)), attribution, judged) for device in seen.job.devices
    )


def _device(
    seen: Bus,
    device: Device,
    index: int | None,
    attribution: Attribution,
    voltages_v: Sequence[Mapping[str, float]],
) -> DeviceResult:
    state = seen.runs[index] if index is not None else None
    verdict, why = attribution.row(device.where, index)
    suggested = seen.suggested_port.get(device.tag)
    controller, port = suggested.rsplit(".", 1) if suggested else (None, None)
    return DeviceResult(
        tag=device.tag,
        controller=state.run.ports[0].controller if state and state.run.ports else None,
        port=state.run.ports[0].port if state and state.run.ports else None,
        distance_m=_distance_m(state, device),
        voltage_v=voltages_v[index].get(device.tag) if index is not None else None,
        power_w=None if device.power_w is None else device.power_w * device.quantity,
        suggested_controller=controller,
        suggested_port=port,
        verdict=verdict,
        why=why,
        quantity=device.quantity,
        where=device.where,
    )


def _distance_m(state: RunState | None, device: Device) -> float | None:
    if state is None or device.tag in state.run.unmeasured:
        return None
    return state.run.distance_m[device.tag]


def _pulls(seen: Bus, attribution: Attribution) -> tuple[PullResult, ...]:
    run_of = {id(pull): index for index, state in enumerate(seen.runs) for pull in state.run.pulls}
    reels, names = reel_of_pull(seen.cut_lists), pull_names(seen.job)
    return tuple(
        _pull(seen, pull, run_of.get(id(pull)), attribution, names[id(pull)], reels)
        for pull in seen.job.pulls
    )


def _pull(
    seen: Bus,
    pull: Pull,
    index: int | None,
    attribution: Attribution,
    name: str,
    reels: Mapping[tuple[str, str], str],
) -> PullResult:
    state = seen.runs[index] if index is not None else None
    verdict, why = attribution.row(pull.where, index)
    return PullResult(
        id=pull.id,
        near=pull.near,
        far=pull.far,
        length_m=pull.length_m,
        cable=pull.cable,
        controller=state.run.ports[0].controller if state and state.run.ports else None,
        port=state.run.ports[0].port if state and state.run.ports else None,
        reel=reels.get((pull.cable or UNNAMED, name)),
        verdict=verdict,
        why=why,
        landed=pull.landed,
        name=name,
        branch=state.run.branch if state else None,
        where=pull.where,
    )

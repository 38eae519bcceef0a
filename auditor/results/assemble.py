"""What was judged and planned, as the `Audit` that reports and `results.jsonl` show."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from auditor.bus.cables import UNNAMED
from auditor.bus.measure import Bus, ControllerState, RunState
from auditor.job.model import Device, Port
from auditor.plans.plans import Plans, PortPlanning
from auditor.profile.limits import Limits, Profile
from auditor.results.attribution import Attribution, verdict_of
from auditor.results.audit_result import (
    Audit,
    CutListResult,
    DeviceResult,
    LimitsResult,
    PortPlanResult,
    PullResult,
    RunResult,
    Status,
    SupplyResult,
)
from auditor.results.findings import Verdict
from auditor.results.holds import holds
from auditor.units import number_text


def audit_result(attribution: Attribution, plans: Plans) -> Audit:
    """Everything of one job's audit."""
    judged, bus = attribution.judged, attribution.judged.bus
    job, runs = bus.job, _run_results(attribution)
    verdict = verdict_of(judged.findings)
    return Audit(
        job=f"{job.name}, {job.part}" if job.part else job.name,
        part=job.part,
        title_block=job.title_block,
        profile=bus.profile.name,
        verdict=Verdict.REVIEW if judged.crashed and verdict is Verdict.PASS else verdict,
        runs=runs,
        controllers=plans.ports.controllers,
        findings=judged.findings,
        devices=_device_results(attribution, plans.ports.suggested_port()),
        pulls=_pull_results(attribution, plans.cuts.lists),
        port_plan=_port_plan_result(plans.ports, runs),
        cut_lists=plans.cuts.lists,
        length_unit=job.length_unit,
        tables=job.tables,
        statements=job.statements,
        rows_read=job.rows_read,
        rows_left_out=job.rows_left_out,
        unknown_ends=frozenset(end for _, end in bus.topology.unknown_ends),
        supplies=tuple(_supply_result(each, bus.profile) for each in bus.controllers),
        voltage_basis=_voltage_basis(bus),
        crashed=judged.crashed,
    )


def _run_results(attribution: Attribution) -> tuple[RunResult, ...]:
    found = []
    for index, state in enumerate(attribution.judged.bus.runs):
        result = run_result(state, attribution.run(index))
        found += [result, *(_joined_port(result, port) for port in state.run.ports[1:])]
    return tuple(found)


def _joined_port(run: RunResult, port: Port) -> RunResult:
    """Another port of a run that joins several: its figures cannot be told from the first one's."""
    return replace(
        run, controller=port.controller, port=port.port, cable_m=None, reach_m=None, farthest=None, devices=0,
        power_w=None, current_a=None, min_voltage_v=None, min_voltage_at=None, loss_w=None, capacitance_nf=None,
        growth_margin=None, first_limit=None, idle_power_w=None, supplied_w=None,
    )  # fmt: skip


def _port_plan_result(planning: PortPlanning, scheduled: tuple[RunResult, ...]) -> PortPlanResult | None:
    """The port plan with its runs: those of its trial; a plan that changes nothing has the schedule's."""
    if planning.status is None:
        return None
    runs = () if planning.status is Status.IMPOSSIBLE else scheduled
    if planning.trial is not None:
        runs = tuple(run for run in _run_results(Attribution(planning.trial)) if run.name in planning.ports)
    return PortPlanResult(
        status=planning.status, reason=planning.reason, moves=planning.moves, cuts=planning.cuts, runs=runs
    )


def run_result(state: RunState, verdict: Verdict) -> RunResult:
    """The figures of one run; those that rest on something not stated are None."""
    run, electrical = state.run, state.electrical
    far = run.farthest()
    volts = electrical.solved and bool(electrical.net.loads) and not state.gaps()
    return RunResult(
        controller=run.ports[0].controller if run.ports else None,
        port=run.ports[0].port if run.ports else None,
        branch=run.branch,
        head_end=run.head_ends[0] if run.head_ends and not run.assigned else None,
        cable_m=run.cable_m if run.measured else None,
        reach_m=run.distance_m[far] if far and not run.unmeasured else None,
        farthest=far if not run.unmeasured else None,
        devices=run.device_count,
        power_w=None if state.unpowered else state.power_w,
        current_a=None if state.gaps() else electrical.current_a,
        min_voltage_v=electrical.flow.lowest_v if volts else None,
        min_voltage_at=electrical.flow.lowest_at if volts else None,
        loss_w=None if state.gaps() else electrical.loss_w,
        supplied_w=sum(electrical.supplied_w.values()) if electrical.solved and not state.gaps() else None,
        capacitance_nf=state.capacitance_nf,
        loops=len(run.loops),
        derated=state.derated,
        growth_margin=state.growth_margin,
        first_limit=state.first_limit,
        lowest_known=bool(electrical.least_v),
        limits=_limits_result(state.limits),
        verdict=verdict,
        source_voltage_v=state.supply_voltage_v,
        idle_power_w=_idle_power_w(run.devices),
    )


def _voltage_basis(bus: Bus) -> str:
    """What the voltages stand on, for headings: the conductor's temperature and the kind of load."""
    profile = bus.profile
    load = profile.load.replace("-", " ")
    own = (
        ", or as listed" if any(device.load not in (None, profile.load) for device in bus.job.devices) else ""
    )
    phase = ", while power flows" if profile.power_duty != 1 else ""
    return f"{number_text(profile.conductor_degc)} °C, {load}{own}{phase}"


def _supply_result(controller: ControllerState, profile: Profile) -> SupplyResult:
    current_a = profile.controller.supply_current_a
    by_current_w = None if current_a is None else current_a * controller.supply_voltage_v
    return SupplyResult(
        controller=controller.name,
        voltage_v=controller.supply_voltage_v,
        power_w=_supply_w(controller),
        devices=controller.devices_limit,
        rated_w=by_current_w if controller.rated_w is None else controller.rated_w,
    )


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


def _limits_result(limits: Limits) -> LimitsResult:
    return LimitsResult(
        cable_m=limits.cable_m, reach_m=limits.reach_m, devices=limits.devices, power_w=limits.power_w
    )


def _device_results(attribution: Attribution, suggested_port: Mapping[str, str]) -> tuple[DeviceResult, ...]:
    bus = attribution.judged.bus
    run_of = {id(device): index for index, state in enumerate(bus.runs) for device in state.run.devices}
    volts = [{} if state.gaps() else state.electrical.flow.voltages_v for state in bus.runs]
    results = []
    for device in bus.job.devices:
        index = run_of.get(id(device))
        voltage_v = None if index is None else volts[index].get(device.tag)
        port = suggested_port.get(device.tag)
        results.append(_device_result(device, index, attribution, port, voltage_v))
    return tuple(results)


def _device_result(
    device: Device,
    index: int | None,
    attribution: Attribution,
    suggested_port: str | None,
    voltage_v: float | None,
) -> DeviceResult:
    state = attribution.judged.bus.runs[index] if index is not None else None
    verdict, why = attribution.row(device.where, index)
    controller, port = suggested_port.rsplit(".", 1) if suggested_port else (None, None)
    return DeviceResult(
        tag=device.tag,
        controller=state.run.ports[0].controller if state and state.run.ports else None,
        port=state.run.ports[0].port if state and state.run.ports else None,
        distance_m=_distance_m(state, device),
        voltage_v=voltage_v,
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


def _pull_results(attribution: Attribution, cut_lists: Iterable[CutListResult]) -> tuple[PullResult, ...]:
    bus = attribution.judged.bus
    run_of = {id(pull): index for index, state in enumerate(bus.runs) for pull in state.run.pulls}
    feeds = {id(pull): end for state in bus.runs for end, pull in state.run.feed.items()}
    currents_a = {key: amperes for state in bus.runs for key, amperes in _currents_a(state)}
    reels = {
        (cuts.cable, name): reel.reel for cuts in cut_lists for reel in cuts.reels for name in reel.pulls
    }
    held = holds(bus)
    rooms = {device.tag: device.room for device in bus.job.devices}
    results = []
    for pull in bus.job.pulls:
        index, key = run_of.get(id(pull)), id(pull)
        verdict, why = attribution.row(pull.where, index)
        cable, name = pull.cable or UNNAMED, bus.pull_names[key]
        results.append(
            PullResult(
                id=pull.id,
                near=pull.near,
                far=pull.far,
                length_m=pull.length_m,
                cable=pull.cable,
                **_place_of(None if index is None else bus.runs[index]),
                feeds=feeds.get(key),
                current_a=currents_a.get(key),
                off_spec=bus.cables[cable].off_spec,
                reel=reels.get((cable, name)),
                verdict=verdict,
                why=why,
                landed=pull.landed,
                room=pull.room or rooms.get(pull.far),
                route=pull.route,
                note=pull.note,
                hold=held.get(key, ""),
                name=name,
                where=pull.where,
            )
        )
    return tuple(results)


def _currents_a(state: RunState) -> Iterable[tuple[int, float]]:
    """(identity of the pull, what it carries), of a run whose figures are all known."""
    electrical = state.electrical
    if electrical.solved and not state.gaps():
        for pull, amperes in zip(electrical.pulls, electrical.flow.link_currents_a, strict=True):
            yield id(pull), abs(amperes)


def _place_of(state: RunState | None) -> dict[str, str | None]:
    """The port of a run, or the pull that its branch is named after."""
    ports = state.run.ports if state else ()
    return {
        "controller": ports[0].controller if ports else None,
        "port": ports[0].port if ports else None,
        "branch": state.run.branch if state else None,
    }

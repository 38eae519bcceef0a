"""A job measured as a bus: what every run and controller uses, and what it may use.

Everything that a rule compares is computed here once; the rules only compare.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace

from auditor.bus.cables import SAME_AREA, UNNAMED, CableState, cable_state
from auditor.bus.electrical import Electrical, electrical, greatest
from auditor.bus.topology import Run, Topology, greatest_distance, topology
from auditor.job.model import Cable, CellRef, Controller, Job
from auditor.job.plausibility import plausible
from auditor.job.pull_names import pull_names
from auditor.profile.limits import Limits, Profile
from auditor.units import exceeds


@dataclass(frozen=True, slots=True, kw_only=True)
class RunState:
    """One run with what it uses and its limits.

    `full` are the limits for cable inside its specification, `reduced` those for off-spec cable;
    `derated` says which are in force, None where a cable's properties are not known.
    """

    run: Run
    full: Limits
    reduced: Limits
    derated: bool | None
    off_spec: tuple[str, ...]  # names of off-specification cables in the run
    not_known: tuple[str, ...]  # names of cables whose properties are not all stated
    supply_voltage_v: float
    power_w: float  # of the devices whose power is known
    unpowered: int  # device rows without a power
    capacitance_nf: float | None
    between_devices: tuple[float, str, str] | None  # [m], and the two, the port counted; None: not limited
    electrical: Electrical
    growth_margin: float | None
    first_limit: str | None

    @property
    def limits(self) -> Limits:
        """The limits in force; the reduced ones while it is not known whether the run is derated."""
        return self.full if self.derated is False else self.reduced

    def gaps(self) -> tuple[str, ...]:
        """What is not known of the run, each a phrase; while there is any, no figure that rests on it is
        shown and none of its rows is a pass."""
        unmeasured = sum(pull.length_m is None for pull in self.run.pulls)
        return tuple(
            f"{count} {what}{'s' * (count != 1)} without a {value}"
            for count, what, value in (
                (unmeasured, "pull", "length"),
                (self.unpowered, "device row", "power"),
            )
            if count
        )

    @property
    def where(self) -> CellRef | None:
        """The cell that findings about the whole run speak of: the first home run's row."""
        return self.run.home_runs[0].where if self.run.home_runs else None


@dataclass(frozen=True, slots=True, kw_only=True)
class ControllerState:
    """One controller with the runs on its ports and its supply."""

    name: str
    runs: tuple[RunState, ...]
    ports: int
    devices: int
    devices_limit: int | None
    power_w: float
    current_a: float  # what its own ports give, in the power phase, of the runs that are solved
    supplied_w: float  # what its own ports give; of a run that is not solved what its devices draw
    unpowered: int
    rated_w: float | None  # what its supply's nameplate says
    supply_power_w: float | None  # the same, the profile's headroom already taken off
    supply_current_a: float | None  # the headroom already taken off
    supply_voltage_v: float
    where: CellRef | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bus:
    """What the rules look at."""

    job: Job
    profile: Profile
    topology: Topology
    runs: tuple[RunState, ...]
    controllers: tuple[ControllerState, ...]
    cables: Mapping[str, CableState]
    pull_names: Mapping[int, str]  # by identity of the pull; no two pulls have the same


def measure(job: Job, profile: Profile) -> Bus:
    """Measure a job's runs and controllers, after implausible numbers are taken out."""
    job = plausible(job)
    shape = topology(job)
    cables = {name: cable_state(cable, profile) for name, cable in _cable_types(job).items()}
    runs = _grown_together(job, profile, [_run_state(run, job, profile, cables) for run in shape.runs])
    return Bus(
        job=job,
        profile=profile,
        topology=shape,
        runs=runs,
        controllers=tuple(_controller_states(job, profile, runs)),
        cables=cables,
        pull_names=pull_names(job),
    )


def _cable_types(job: Job) -> dict[str, Cable]:
    """The job's cable types, those that only pulls name, and the one of pulls that name none."""
    cables = dict(job.cables)
    for pull in job.pulls:
        name = pull.cable or UNNAMED
        cables.setdefault(name, Cable(name=name))
    return cables


def _run_state(run: Run, job: Job, profile: Profile, cables: Mapping[str, CableState]) -> RunState:
    used = [cables[name] for name in dict.fromkeys(pull.cable or UNNAMED for pull in run.pulls)]
    off_spec = tuple(state.name for state in used if state.off_spec)
    not_known = tuple(state.name for state in used if state.off_spec is None)
    full = _limits_for(used, profile)
    sources_v = {source: _source_v(source, job, profile) for source in run.sources}
    solved = electrical(run, profile, cables, sources_v)
    state = RunState(
        run=run,
        full=full,
        reduced=full.derated(profile.off_spec_factor),
        derated=True if off_spec else None if not_known else False,
        off_spec=off_spec,
        not_known=not_known,
        supply_voltage_v=max(sources_v.values()),
        power_w=solved.stated_w,
        unpowered=sum(device.power_w is None for device in run.devices) if profile.powered_by_bus else 0,
        capacitance_nf=_capacitance_nf(run, cables),
        between_devices=None
        if full.between_devices_m is None
        else greatest_distance(run, longest_way=profile.loops_allowed, with_sources=True),
        electrical=solved,
        growth_margin=None,
        first_limit=None,
    )
    margin, first = _growth_margin(state)
    return replace(state, growth_margin=margin, first_limit=first)


def _limits_for(used: Iterable[CableState], profile: Profile) -> Limits:
    """The profile's limits; where they depend on the conductor, those of the run's thinnest."""
    rows = profile.cable.limits_by_conductor
    if not rows:
        return profile.run
    thinnest_mm2 = min(state.cable.area_mm2 or 0.0 for state in used)
    fitting = [row for row in rows if row.area_mm2 <= thinnest_mm2 * (1 + SAME_AREA)] or [rows[0]]
    stated = {
        item.name: value
        for item in fields(Limits)
        if (value := getattr(fitting[-1].limits, item.name)) is not None
    }
    return replace(profile.run, **stated)


def _source_v(source: str, job: Job, profile: Profile) -> float:
    """The voltage at a port or head end: the controller sheet's, else the profile's."""
    port = job.ports.get(source)
    if port is not None:
        controller = job.controllers.get(port.controller)
    else:
        controller = next((c for c in job.controllers.values() if c.head_end == source), None)
    stated_v = controller.supply_voltage_v if controller else None
    return stated_v or profile.controller.supply_voltage_v


def _capacitance_nf(run: Run, cables: Mapping[str, CableState]) -> float | None:
    total_nf = 0.0
    for pull in run.pulls:
        per_m = cables[pull.cable or UNNAMED].cable.capacitance_nf_per_m
        if per_m is None or pull.length_m is None:
            return None
        total_nf += per_m * pull.length_m
    return total_nf


def _growth_margin(state: RunState) -> tuple[float | None, str | None]:
    """The factor by which all pulls may be longer before the run's first limit breaks, and that limit; None where
    a length or a power is not known."""
    run, limits = state.run, state.limits
    if state.gaps():
        return None, None
    far = run.farthest()
    candidates = [
        ("run-length", limits.cable_m, run.cable_m),
        ("reach", limits.reach_m, run.distance_m[far] if far else 0.0),
        ("reach", limits.between_devices_m, state.between_devices[0] if state.between_devices else 0.0),
        ("capacitance", limits.capacitance_nf, state.capacitance_nf or 0.0),
    ]
    margins = [(limit / used, rule) for rule, limit, used in candidates if limit is not None and used > 0]
    margin, first = min(margins, default=(None, None), key=lambda item: item[0])
    volts = state.electrical.growth_margin(at_most=margin)
    return (margin, first) if volts is None else (volts, "voltage")


def _grown_together(job: Job, profile: Profile, runs: list[RunState]) -> tuple[RunState, ...]:
    """The runs with the margin that their controller's supply leaves, where all of its runs grow by one factor."""
    on = _places_on_controllers(runs)
    for name, controller in job.controllers.items():
        rated_w, own = _rated_w(controller, profile), [runs[at] for at in on[name]]
        margins = {at: runs[at].growth_margin or 0.0 for at in on[name]}  # 0: not known
        if not own or rated_w is None or not all(margins.values()) or not all(map(_is_solved_alone, own)):
            continue
        factor = _factor_of_supply(own, rated_w, max(margins.values()))
        for at, margin in margins.items():
            if factor is not None and factor < margin:
                runs[at] = replace(runs[at], growth_margin=factor, first_limit="power")
    return tuple(runs)


def _is_solved_alone(state: RunState) -> bool:
    """Whether it is known what a run's own ports give: it is solved, and joins no other port."""
    return state.electrical.solved and not state.run.joins


def _factor_of_supply(runs: Sequence[RunState], rated_w: float, ceiling: float) -> float | None:
    """The factor below a ceiling with which the runs of one supply take all that it gives; None: there is none."""

    def holds(factor: float) -> bool:
        return not exceeds(sum(state.electrical.supplied_with_w(factor) for state in runs), rated_w, "W")

    return None if holds(ceiling) else greatest(holds, ceiling)


def _places_on_controllers(runs: Sequence[RunState]) -> Mapping[str, list[int]]:
    """Controller -> the places of its runs."""
    on: dict[str, list[int]] = defaultdict(list)
    for at, state in enumerate(runs):
        for name in dict.fromkeys(port.controller for port in state.run.ports):
            on[name].append(at)
    return on


def _controller_states(job: Job, profile: Profile, runs: Sequence[RunState]) -> Iterable[ControllerState]:
    on = _places_on_controllers(runs)
    for name, controller in job.controllers.items():
        yield _controller_state(controller, tuple(runs[at] for at in on[name]), profile)


def _rated_w(controller: Controller, profile: Profile) -> float | None:
    """What a controller's supply is rated at: as the schedule states it, else as the profile does."""
    return controller.supply_power_w or profile.controller.supply_power_w


def _controller_state(
    controller: Controller, runs: tuple[RunState, ...], profile: Profile
) -> ControllerState:
    spec = profile.controller
    power_w = _rated_w(controller, profile)
    return ControllerState(
        name=controller.name,
        runs=runs,
        ports=controller.ports if controller.ports is not None else spec.ports,
        devices=sum(state.run.device_count for state in runs),
        devices_limit=spec.devices,
        power_w=sum(state.power_w for state in runs),
        current_a=sum(
            _of_ports(controller.name, state, state.electrical.flow.source_currents_a) for state in runs
        ),
        supplied_w=sum(_supplied_w(controller.name, state) for state in runs),
        unpowered=sum(state.unpowered for state in runs),
        rated_w=power_w,
        supply_power_w=None if power_w is None else power_w * (1 - spec.supply_headroom),
        supply_current_a=None
        if spec.supply_current_a is None
        else spec.supply_current_a * (1 - spec.supply_headroom),
        supply_voltage_v=controller.supply_voltage_v or spec.supply_voltage_v,
        where=controller.where or (runs[0].where if runs else None),
    )


def _supplied_w(controller: str, state: RunState) -> float:
    electrical = state.electrical
    return _of_ports(controller, state, electrical.supplied_w) if electrical.solved else state.power_w


def _of_ports(controller: str, state: RunState, by_port: Mapping[str, float]) -> float:
    """The sum of what a run's ports on one controller give."""
    return sum(by_port.get(port.name, 0.0) for port in state.run.ports if port.controller == controller)

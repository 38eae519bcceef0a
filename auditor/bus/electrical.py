"""A run as a net: its pulls become resistances, its devices loads, its ports sources."""

import math
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace

from auditor.bus.cables import UNNAMED, CableState, cable_text
from auditor.bus.topology import Run
from auditor.calc.conductors import DATA_SHEET, ConductorResistance, conductor
from auditor.calc.volts.duty import average_w, power_phase
from auditor.calc.volts.flow import Flow, FlowStatus, max_deliverable_factor, solve
from auditor.calc.volts.net import Net, NodeLoad
from auditor.calc.volts.remedies import keeps
from auditor.job.model import Device, Pull, known_power_w
from auditor.profile.limits import Profile
from auditor.units import ALMOST, exceeds

LEAST_OHM = 1e-9  # project convention: a pull of no length or unknown length still joins its ends
FAR_FROM_COLLAPSE = (
    0.25  # of a margin r: where all of V0 but r V0 / 4 is left, P = V (V0 - V) / R is below r of its most
)
THIN_MM2 = 0.5  # project convention: taken where neither the schedule nor the profile names a conductor
GROWTH_TRIES = 40  # bisections of the growth margin, each halves its uncertainty
MOST_GROWTH = 100.0  # project convention: a growth margin above it is none


@dataclass(frozen=True, slots=True, kw_only=True)
class Electrical:
    """One run's steady voltages with every device drawing at once, in the power phase of the bus."""

    net: Net  # in the power phase
    pulls: tuple[Pull, ...]  # of the net's links, in their order
    flow: Flow
    least_v: Mapping[str, float]  # what each device needs, where it is known
    source_v: float  # the highest of the sources
    power_duty: float
    stated_w: float  # of all devices together, on average over the bus's period
    max_power_w: float | None  # the most that the run could deliver; None: far from it, not computed
    by_data_sheet: tuple[str, ...]  # cables whose own data-sheet resistance was used
    assumed: tuple[str, ...]  # what was assumed of cables, each a sentence without its full stop
    start_w: float | None = None  # when all start together; None: no device says what it takes
    start_most_w: float | None = None  # what the cable carries of it in a steady state; None: all of it
    start_low: Mapping[str, float] = field(default_factory=dict)  # device that needs more -> its volts then
    start_supplied_w: float | None = None  # what its sources would give then
    doubtful: tuple[str, ...] = ()  # cables of unknown gauge with which it holds only as thick as assumed

    @property
    def solved(self) -> bool:
        return self.flow.status is FlowStatus.SOLVED

    @property
    def current_a(self) -> float | None:
        """Drawn from all sources together."""
        return sum(self.flow.source_currents_a.values()) if self.solved else None

    @property
    def loss_w(self) -> float | None:
        """Lost in the cable, on average over the bus's period."""
        return average_w(self.flow.loss_w, self.power_duty) if self.solved else None

    @property
    def supplied_w(self) -> Mapping[str, float]:
        """What each source gives, its volts times its current, on average over the bus's period [W]; solved runs."""
        return self._given_w(self.flow)

    @property
    def out_of_reach(self) -> tuple[str, ...]:
        """Devices that need more voltage than any source has: no cable mends that."""
        return tuple(tag for tag, volts in self.least_v.items() if volts > self.source_v)

    def comfortable_v(self, review_above: float) -> dict[str, float]:
        """What leaves each device the profile's margin: of the drop that it may have, so much is used."""
        return {
            tag: self.source_v - review_above * (self.source_v - volts) for tag, volts in self.least_v.items()
        }

    def near_collapse(self, review_above: float) -> bool:
        """Whether the run draws more than the profile's margin of the most that it could deliver."""
        return self.max_power_w is not None and exceeds(self.stated_w, review_above * self.max_power_w, "W")

    def comfortable(self, review_above: float) -> bool:
        """Whether all devices have their voltage with the profile's margin."""
        return keeps(self.flow, self.comfortable_v(review_above)) and not self.near_collapse(review_above)

    def keeps_voltage(self, factor: float, only: Collection[str] | None = None) -> bool:
        """Whether every device gets what it needs with all pulls longer by a factor.

        Parameters
        ----------
        only : cable types (`UNNAMED` for the one of pulls that name none) whose pulls are; None: all are
        """
        return keeps(self._grown(factor, only), self.least_v)

    def supplied_with_w(self, factor: float) -> float:
        """What the sources give with all pulls longer by a factor [W]; infinite: it cannot be delivered."""
        flow = self._grown(factor)
        return sum(self._given_w(flow).values()) if flow.status is FlowStatus.SOLVED else math.inf

    def _given_w(self, flow: Flow) -> dict[str, float]:
        return {
            name: average_w(self.net.sources[name] * amperes, self.power_duty)
            for name, amperes in flow.source_currents_a.items()
        }

    def _grown(self, factor: float, only: Collection[str] | None = None) -> Flow:
        links = [
            (near, far, ohm * factor if only is None or (pull.cable or UNNAMED) in only else ohm)
            for pull, (near, far, ohm) in zip(self.pulls, self.net.links, strict=True)
        ]
        return solve(replace(self.net, links=links))

    def growth_margin(self, at_most: float | None) -> float | None:
        """The factor by which all pulls may be longer before a device loses its voltage.

        Parameters
        ----------
        at_most : a margin that another limit already sets; None: none does

        Returns
        -------
        a factor below `at_most`, to three digits; None: the voltage is not the first to fail
        """
        ceiling = at_most if at_most is not None else MOST_GROWTH
        if not self.net.loads or self.keeps_voltage(ceiling):
            return None
        return greatest(self.keeps_voltage, ceiling)


def greatest(holds: Callable[[float], bool], ceiling: float) -> float:
    """The greatest factor below a ceiling with which something holds, to three digits."""
    low, high = 0.0, ceiling
    for _ in range(GROWTH_TRIES):
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
        if math.isclose(low, high, rel_tol=1e-4):
            break
    return low


def electrical(
    run: Run, profile: Profile, cables: Mapping[str, CableState], sources_v: Mapping[str, float]
) -> Electrical:
    """Solve one run.

    Parameters
    ----------
    cables : name -> cable type, `UNNAMED` for the one of pulls that name none
    sources_v : port or head end -> its voltage [V]
    """
    used = dict.fromkeys(pull.cable or UNNAMED for pull in run.pulls)
    resistance = {name: resistance_of(cables[name], profile) for name in used}
    pulls = tuple(pull for pull in run.pulls if pull.near != pull.far)
    links = []
    for pull in pulls:
        ohm_per_m = resistance[pull.cable or UNNAMED].ohm_per_km / 1000
        links.append((pull.near, pull.far, max(2 * (pull.length_m or 0.0) * ohm_per_m, LEAST_OHM)))
    source_v = max(sources_v.values())
    loads = _loads(run.devices, profile, source_v)
    net = power_phase(Net(sources=sources_v, links=links, loads=loads), profile.power_duty)
    flow = solve(net)
    stated_w = known_power_w(run.devices) if profile.powered_by_bus else 0.0
    far_v = (1 - FAR_FROM_COLLAPSE * profile.review_above) * source_v
    far = flow.status is FlowStatus.SOLVED and (flow.lowest_v or source_v) > far_v
    found = Electrical(
        net=net,
        pulls=pulls,
        flow=flow,
        least_v=_least_v(run, profile, source_v),
        source_v=source_v,
        power_duty=profile.power_duty,
        stated_w=stated_w,
        max_power_w=None if far else _max_power_w(net, profile.power_duty, stated_w),
        by_data_sheet=tuple(name for name, each in resistance.items() if each.table == DATA_SHEET),
        assumed=tuple(sorted({each.note for each in resistance.values() if each.note})),
    )
    found = _with_start(found, run, profile) if found.solved else found
    unknown = tuple(name for name in used if not cables[name].conductor_known)
    if not unknown or not loads or not profile.cable.min_area_mm2:
        return found
    thinner = max(1.0, profile.cable.min_area_mm2 / THIN_MM2)
    return (
        found
        if found.keeps_voltage(thinner / profile.review_above, unknown)
        else replace(found, doubtful=unknown)
    )


def resistance_of(state: CableState, profile: Profile) -> ConductorResistance:
    """Resistance of a cable type's conductor; of the profile's thinnest where nothing is known.

    What had to be assumed stands in its `note` with the cable's name. That the gauge is not known is
    not noted: the rule `voltage` says it at the cable's cell.
    """
    cable = state.cable
    known = state.conductor_known
    found = conductor(
        conductor_degc=profile.conductor_degc,
        area_mm2=cable.area_mm2 if known else profile.cable.min_area_mm2 or THIN_MM2,
        stranded=cable.stranded if known else profile.cable.stranded,
        coated=bool(cable.coated),  # common practice: plain copper unless the schedule says tinned
        ohm_per_km_20c=cable.ohm_per_km,
    )
    note = f"{cable_text(state.name)}: {found.note}" if known and found.note else ""
    return replace(found, note=note)


def _with_start(found: Electrical, run: Run, profile: Profile) -> Electrical:
    """With what the devices take when they start together, those that say nothing of it as in use."""
    if not profile.powered_by_bus or all(device.start_w is None for device in run.devices):
        return found
    starting = [replace(device, power_w=device.start_w or device.power_w) for device in run.devices]
    net = replace(found.net, loads=_loads(starting, profile, found.source_v))
    start_w = known_power_w(starting)
    flow = solve(net)
    if flow.status is FlowStatus.SOLVED:
        volts = flow.voltages_v
        low = {tag: volts[tag] for tag, least_v in found.least_v.items() if volts[tag] < least_v * ALMOST}
        return replace(found, start_w=start_w, start_low=low, start_supplied_w=flow.supplied_w)
    if flow.status is not FlowStatus.NO_SOLUTION:
        return replace(found, start_w=start_w)
    return replace(found, start_w=start_w, start_most_w=_max_power_w(net, 1.0, start_w) or 0.0)


def _loads(devices: Iterable[Device], profile: Profile, source_v: float) -> dict[str, list[NodeLoad]]:
    loads: dict[str, list[NodeLoad]] = {}
    for device in devices:
        if device.power_w and profile.powered_by_bus:
            stated_v = device.at_voltage_v or source_v
            load = NodeLoad.of(device.load or profile.load, device.power_w * device.quantity, stated_v)
            loads.setdefault(device.tag, []).append(load)
    return loads


def _least_v(run: Run, profile: Profile, source_v: float) -> dict[str, float]:
    """The highest of the device's own need, the profile's and what the profile's drop leaves."""
    least_v: dict[str, float] = {}
    for device in run.devices:
        for volts in _needed_voltages_v(device, profile, source_v):
            least_v[device.tag] = max(volts, least_v.get(device.tag, volts))
    return least_v


def _needed_voltages_v(device: Device, profile: Profile, source_v: float) -> Iterable[float]:
    own_v = device.min_voltage_v if device.min_voltage_v is not None else profile.min_voltage_v
    if own_v is not None:
        yield own_v
    if profile.max_drop_v is not None:
        yield source_v - profile.max_drop_v


def _max_power_w(net: Net, power_duty: float, stated_w: float) -> float | None:
    """What the devices could state at most; those that do not draw constant power as they are."""
    factor = max_deliverable_factor(net)
    if not 0 < factor < math.inf:
        return None
    return stated_w + average_w((factor - 1) * net.constant_power_w(), power_duty)

"""A profile in plain numbers: the limits and assumptions of one kind of bus."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from auditor import units
from auditor.calc.conductors import area_mm2_from_awg


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What a run may use. None: no such limit."""

    cable_m: float | None = None
    reach_m: float | None = None
    between_devices_m: float | None = None
    devices: int | None = None
    power_w: float | None = None
    capacitance_nf: float | None = None

    def derated(self, factor: float) -> "Limits":
        """The limits of a run with off-specification cable; capacitance is physics and stays."""
        return replace(
            self,
            cable_m=_times(self.cable_m, factor),
            reach_m=_times(self.reach_m, factor),
            between_devices_m=_times(self.between_devices_m, factor),
            devices=None if self.devices is None else math.floor(self.devices * factor + 1e-9),
            power_w=_times(self.power_w, factor),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ControllerSpec:
    ports: int
    supply_voltage_v: float
    supply_power_w: float | None
    supply_current_a: float | None
    supply_headroom: float
    devices: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductorLimits:
    """Run limits for cables with at least this conductor."""

    area_mm2: float
    name: str  # as written, e.g. "22 AWG"
    limits: Limits


@dataclass(frozen=True, slots=True, kw_only=True)
class CableSpec:
    min_area_mm2: float | None
    min_conductor: str | None  # as written, for messages
    conductors: int | None
    stranded: bool | None
    shielded: bool | None
    max_capacitance_nf_per_m: float | None
    min_insulation_v: float | None
    fire_ratings: tuple[str, ...]  # any of them will do; empty: none is asked for
    conductor_by_distance: tuple[tuple[float, float, str], ...]  # (up to m, area mm2, as written)
    limits_by_conductor: tuple[ConductorLimits, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Separation:
    mains_parallel_m: float | None
    mains_crossing_deg: float | None
    loudspeaker_parallel_allowed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ReelSize:
    length_m: float
    price: float | None
    cable: str | None
    on_shelf: int | None  # None: to be bought, any number


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    allowance_per_end_m: float
    waste: float
    reserve_m: float  # left on each reel, never cut for a pull
    round_up_m: Mapping[
        str, float
    ]  # the schedule's length unit -> cuts are whole multiples of it; 0: as they are
    min_offcut_m: float
    connectors_per_end: int
    reels: tuple[ReelSize, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldUp:
    """What carries a device through the data phase: an assumption of the profile."""

    capacitance_nf: float
    data_phase_s: float


REVIEW_BELOW = 0.85  # project convention
ROUND_UP = {"ft": "1 ft", "m": "0.5 m"}  # project convention
_OURS = ("device.review_below", "cutting.reserve", "cutting.round_up.ft", "cutting.round_up.m")


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """One kind of bus, in the project's own units."""

    name: str
    title: str
    source: str
    sources: Mapping[str, str]
    note: str | None
    length_unit: str
    controller: ControllerSpec
    run: Limits
    loops_allowed: bool
    cable: CableSpec
    off_spec_factor: float
    separation: Separation | None
    min_voltage_v: float | None
    max_drop_v: float | None
    review_below: float  # part of its supply's voltage; for devices that state no lowest voltage
    load: str
    powered_by_bus: bool
    power_duty: float
    hold_up: HoldUp | None
    conductor_degc: float
    review_above: float
    cutting: Cutting

    def source_of(self, field_path: str) -> str:
        """Where one limit comes from, e.g. `run.cable`."""
        return self.sources.get(field_path, self.source)


def _times(value: float | None, factor: float) -> float | None:
    return None if value is None else value * factor


def _quantity(data: Mapping[str, Any], key: str, factors: Mapping[str, float]) -> float | None:
    text = data.get(key)
    return None if text is None else units.parse_quantity(text, factors)


def _area_mm2(text: str | None) -> float | None:
    if text is None:
        return None
    number, unit = text.split()
    return area_mm2_from_awg(int(float(number))) if unit == "AWG" else float(number)


def _limits_of(data: Mapping[str, Any]) -> Limits:
    return Limits(
        cable_m=_quantity(data, "cable", units.LENGTH_M),
        reach_m=_quantity(data, "reach", units.LENGTH_M),
        between_devices_m=_quantity(data, "between_devices", units.LENGTH_M),
        devices=data.get("devices"),
        power_w=_quantity(data, "power", units.POWER_W),
        capacitance_nf=_quantity(data, "capacitance", units.CAPACITANCE_NF),
    )


def _controller_of(data: Mapping[str, Any]) -> ControllerSpec:
    return ControllerSpec(
        ports=data["ports"],
        supply_voltage_v=units.parse_quantity(data["supply_voltage"], units.VOLTAGE_V),
        supply_power_w=_quantity(data, "supply_power", units.POWER_W),
        supply_current_a=_quantity(data, "supply_current", units.CURRENT_A),
        supply_headroom=data.get("supply_headroom", 0.0),
        devices=data.get("devices"),
    )


def _conductors_by_distance(data: Mapping[str, Any]) -> Iterator[tuple[float, float, str]]:
    for item in data.get("conductor_by_distance", ()):
        area_mm2 = _area_mm2(item["min_conductor"])
        assert area_mm2 is not None
        yield units.parse_quantity(item["up_to"], units.LENGTH_M), area_mm2, item["min_conductor"]


def _limits_by_conductor(data: Mapping[str, Any]) -> Iterator[ConductorLimits]:
    for item in data.get("limits_by_conductor", ()):
        area_mm2 = _area_mm2(item["min_conductor"])
        assert area_mm2 is not None
        yield ConductorLimits(area_mm2=area_mm2, name=item["min_conductor"], limits=_limits_of(item))


def _cable_of(data: Mapping[str, Any]) -> CableSpec:
    return CableSpec(
        min_area_mm2=_area_mm2(data.get("min_conductor")),
        min_conductor=data.get("min_conductor"),
        conductors=data.get("conductors"),
        stranded=data.get("stranded"),
        shielded=data.get("shielded"),
        max_capacitance_nf_per_m=_quantity(data, "max_capacitance", units.CAPACITANCE_NF_PER_M),
        min_insulation_v=_quantity(data, "min_insulation", units.VOLTAGE_V),
        fire_ratings=tuple(data.get("fire_ratings") or ()),
        conductor_by_distance=tuple(sorted(_conductors_by_distance(data))),
        limits_by_conductor=tuple(sorted(_limits_by_conductor(data), key=lambda row: row.area_mm2)),
    )


def _separation_of(data: Mapping[str, Any] | None) -> Separation | None:
    if data is None:
        return None
    return Separation(
        mains_parallel_m=_quantity(data, "mains_parallel", units.LENGTH_M),
        mains_crossing_deg=_quantity(data, "mains_crossing", units.ANGLE_DEG),
        loudspeaker_parallel_allowed=data.get("loudspeaker_parallel") != "forbidden",
    )


def _cutting_of(data: Mapping[str, Any]) -> Cutting:
    return Cutting(
        allowance_per_end_m=_quantity(data, "allowance_per_end", units.LENGTH_M) or 0.0,
        waste=data.get("waste", 0.0),
        reserve_m=_quantity(data, "reserve", units.LENGTH_M) or 0.0,
        round_up_m={
            unit: units.parse_quantity(step, units.LENGTH_M)
            for unit, step in (ROUND_UP | data.get("round_up", {})).items()
        },
        min_offcut_m=_quantity(data, "min_offcut", units.LENGTH_M) or 0.0,
        connectors_per_end=data.get("connectors_per_end", 0),
        reels=tuple(
            _reel_of({"length": reel} if isinstance(reel, str) else reel) for reel in data.get("reels", ())
        ),
    )


def _reel_of(data: Mapping[str, Any]) -> ReelSize:
    return ReelSize(
        length_m=units.parse_quantity(data["length"], units.LENGTH_M),
        price=data.get("price"),
        cable=data.get("cable"),
        on_shelf=data.get("on_shelf"),
    )


def _hold_up_of(data: Mapping[str, Any] | None) -> HoldUp | None:
    if data is None:
        return None
    return HoldUp(
        capacitance_nf=_quantity(data, "capacitance", units.CAPACITANCE_NF) or 0.0,
        data_phase_s=units.parse_quantity(data["data_phase"], units.TIME_S),
    )


def profile_from(data: Mapping[str, Any]) -> Profile:
    """The profile that checked JSON data states, every quantity in the project's own unit."""
    device = data["device"]
    return Profile(
        name=data["name"],
        title=data.get("title", data["name"]),
        source=data.get("source", "not stated"),
        sources=dict.fromkeys(_OURS, "project convention") | data.get("sources", {}),
        note=data.get("note"),
        length_unit=data.get("length_unit", "m"),
        controller=_controller_of(data["controller"]),
        run=_limits_of(data["run"]),
        loops_allowed=data["loops"] == "allowed",
        cable=_cable_of(data["cable"]),
        off_spec_factor=data["off_spec_factor"],
        separation=_separation_of(data.get("separation")),
        min_voltage_v=_quantity(device, "min_voltage", units.VOLTAGE_V),
        max_drop_v=_quantity(device, "max_drop", units.VOLTAGE_V),
        review_below=device.get("review_below", REVIEW_BELOW),
        load=device["load"],
        powered_by_bus=device.get("powered_by_bus", True),
        power_duty=data.get("power_duty", 1.0),
        hold_up=_hold_up_of(data.get("hold_up")),
        conductor_degc=units.parse_quantity(data["conductor_temperature"], units.TEMPERATURE_DEGC),
        review_above=data["review_above"],
        cutting=_cutting_of(data["cutting"]),
    )

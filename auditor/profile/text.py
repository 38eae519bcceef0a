"""A profile's limits in words, for the console and for the audit sheet."""

import textwrap
from collections.abc import Iterator

from auditor.profile.limits import Limits, Profile
from auditor.units import CAPACITANCE_NF_PER_M, length_text, number_text, quantity_text

WIDTH = 132  # characters of a line on the console
Row = tuple[str, str, str]  # limit, value, source


def limit_rows(profile: Profile) -> list[Row]:
    """Every limit and assumption of a profile: what, how much, where from."""
    return [(what, value, profile.source_of(path)) for path, what, value in _all_rows(profile) if value]


def profile_lines(profile: Profile) -> Iterator[str]:
    """A profile for the console: a line a limit with its key, where it comes from beside it, wrapped."""
    yield f"{profile.name}: {profile.title}"
    yield from _wrapped("  ", f"source: {profile.source}")
    if profile.note:
        yield from _wrapped("  ", f"note: {profile.note}")
    for key, what, value in _all_rows(profile):
        source = profile.source_of(key)
        if value:
            own = source if source != profile.source else ""
            yield from _wrapped(f"  {key:<27} {what:<46} {value:<16} ", own)


def _wrapped(start: str, text: str) -> Iterator[str]:
    """Text after a start, its further lines below its first word."""
    lines = textwrap.wrap(text, WIDTH - len(start)) or [""]
    yield (start + lines[0]).rstrip()
    yield from (" " * len(start) + line for line in lines[1:])


def _all_rows(profile: Profile) -> Iterator[tuple[str, str, str]]:
    yield from _run_rows(profile)
    yield from _controller_rows(profile)
    yield from _cable_rows(profile)
    yield from _other_rows(profile)


def _run_rows(profile: Profile) -> Iterator[tuple[str, str, str]]:
    run = profile.run
    yield "run.cable", "cable in a run, at most", _length_text(profile, run.cable_m)
    yield "run.reach", "port to farthest device, at most", _length_text(profile, run.reach_m)
    yield (
        "run.between_devices",
        "between any two devices, at most",
        _length_text(profile, run.between_devices_m),
    )
    yield "run.devices", "devices on a port, at most", _count_text(run.devices)
    yield "run.power", "power on a port, at most", _quantity_text(run.power_w, "W")
    yield "run.capacitance", "capacitance of a run, at most", _quantity_text(run.capacitance_nf, "nF")


def _controller_rows(profile: Profile) -> Iterator[tuple[str, str, str]]:
    controller = profile.controller
    yield "controller.ports", "ports of a controller", str(controller.ports)
    yield "controller.supply_voltage", "supply voltage", _quantity_text(controller.supply_voltage_v, "V")
    yield (
        "controller.supply_power",
        "power of a controller, at most",
        _quantity_text(controller.supply_power_w, "W"),
    )
    yield (
        "controller.supply_current",
        "current of a controller, at most",
        "" if controller.supply_current_a is None else quantity_text(controller.supply_current_a, "A", "m"),
    )
    yield "controller.devices", "devices on a controller, at most", _count_text(controller.devices)
    if controller.supply_headroom:
        yield (
            "controller.supply_headroom",
            "of the supply kept free",
            _percent_text(controller.supply_headroom),
        )


def _cable_rows(profile: Profile) -> Iterator[tuple[str, str, str]]:
    cable = profile.cable
    yield "cable.min_conductor", "conductor, at least", _conductor_text(cable.min_conductor or "")
    yield "cable.conductors", "conductors", _count_text(cable.conductors)
    if cable.stranded is not None:
        yield "cable.stranded", "conductor", "stranded" if cable.stranded else "solid"
    if cable.shielded is not None:
        yield "cable.shielded", "shield", "shielded" if cable.shielded else "unshielded"
    if cable.max_capacitance_nf_per_m is not None:
        unit = "pF/ft" if profile.length_unit == "ft" else "pF/m"
        yield (
            "cable.max_capacitance",
            "capacitance of the cable, at most",
            _quantity_text(cable.max_capacitance_nf_per_m / CAPACITANCE_NF_PER_M[unit], unit),
        )
    yield "cable.min_insulation", "insulation, at least", _quantity_text(cable.min_insulation_v, "V")
    yield "cable.fire_ratings", "fire rating", " or ".join(cable.fire_ratings)
    for up_to_m, _, name in cable.conductor_by_distance:
        what = f"conductor up to {_length_text(profile, up_to_m)}, at least"
        yield "cable.conductor_by_distance", what, _conductor_text(name)
    for row in cable.limits_by_conductor:
        what = f"with {_conductor_text(row.name)} or thicker, at most"
        yield "cable.limits_by_conductor", what, _limits_text(profile, row.limits)
    yield (
        "off_spec_factor",
        "limits with off-specification cable, times",
        number_text(profile.off_spec_factor, 2),
    )


def _other_rows(profile: Profile) -> Iterator[tuple[str, str, str]]:
    yield "loops", "loops", "allowed" if profile.loops_allowed else "never"
    separation = profile.separation
    if separation is not None:
        unit = "in" if profile.length_unit == "ft" else "mm"
        if separation.mains_parallel_m is not None:
            yield (
                "separation.mains_parallel",
                "from parallel mains, at least",
                length_text(separation.mains_parallel_m, unit),
            )
        yield (
            "separation.mains_crossing",
            "crossing mains at",
            _quantity_text(separation.mains_crossing_deg, "degrees"),
        )
        if not separation.loudspeaker_parallel_allowed:
            yield "separation.loudspeaker_parallel", "alongside loudspeaker cable", "never"
    yield "device.min_voltage", "voltage at a device, at least", _quantity_text(profile.min_voltage_v, "V")
    yield "device.max_drop", "voltage drop to a device, at most", _quantity_text(profile.max_drop_v, "V")
    load = profile.load.replace("-", " ") if profile.powered_by_bus else "nothing from the bus"
    yield (
        "device.review_below",
        "where none is stated, a review below",
        f"{_percent_text(profile.review_below)} of supply",
    )
    yield "device.load", "devices draw", load
    if profile.power_duty != 1:
        yield "power_duty", "part of the time with power (an assumption)", number_text(profile.power_duty, 2)
    if profile.hold_up is not None:
        held = f"{number_text(profile.hold_up.capacitance_nf / 1000)} µF"
        yield "hold_up", "hold-up capacitance of a device (an assumption)", held
        lasts = f"{number_text(profile.hold_up.data_phase_s * 1000, 2)} ms"
        yield "hold_up", "data phase without power (an assumption)", lasts
    yield "conductor_temperature", "conductor temperature", f"{number_text(profile.conductor_degc)} °C"
    yield "review_above", "a limit used by more than this is a review", _percent_text(profile.review_above)
    yield (
        "cutting.allowance_per_end",
        "cutting: allowance at each end",
        _length_text(profile, profile.cutting.allowance_per_end_m),
    )
    yield "cutting.waste", "cutting: waste", _percent_text(profile.cutting.waste)
    for unit, step_m in profile.cutting.round_up_m.items():
        what = f"cutting: rounded up in a schedule in {unit}, to whole"
        yield f"cutting.round_up.{unit}", what, length_text(step_m, unit)
    yield "cutting.reserve", "cutting: left on each reel", _length_text(profile, profile.cutting.reserve_m)
    reels = ", ".join(_length_text(profile, reel.length_m) for reel in profile.cutting.reels)
    yield "cutting.reels", "cutting: reels", reels


def _length_text(profile: Profile, value_m: float | None) -> str:
    return "" if value_m is None else length_text(value_m, profile.length_unit)


def _quantity_text(value: float | None, unit: str) -> str:
    return "" if value is None else f"{number_text(value, 2)} {unit}"


def _count_text(value: int | None) -> str:
    return "" if value is None else str(value)


def _percent_text(part: float) -> str:
    return f"{number_text(100 * part)} %"


def _conductor_text(name: str) -> str:
    return name.replace("mm2", "mm²")


def _limits_text(profile: Profile, limits: Limits) -> str:
    stated = (
        (limits.cable_m, "of cable"),
        (limits.reach_m, "from the port"),
        (limits.between_devices_m, "between devices"),
    )
    return ", ".join(
        f"{_length_text(profile, value_m)} {what}" for value_m, what in stated if value_m is not None
    )

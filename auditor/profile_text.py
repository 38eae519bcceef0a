"""A profile's limits in words, for the console and for the audit sheet."""

from collections.abc import Iterator

from auditor.limits import Profile
from auditor.units import CAPACITANCE_NF_PER_M, length_text, number_text

Row = tuple[str, str, str]  # limit, value, source


def limit_rows(profile: Profile) -> list[Row]:
    """Every limit and assumption of a profile: what, how much, where from."""
    return [(what, value, profile.source_of(path)) for path, what, value in _rows(profile) if value]


def profile_lines(profile: Profile) -> Iterator[str]:
    yield f"{profile.name}: {profile.title}"
    yield f"  source: {profile.source}"
    if profile.note:
        yield f"  {profile.note}"
    for what, value, source in limit_rows(profile):
        own = f"  [{source}]" if source != profile.source else ""
        yield f"  {what}: {value}{own}"


def _rows(profile: Profile) -> Iterator[tuple[str, str, str]]:
    yield from _run_rows(profile)
    yield from _controller_rows(profile)
    yield from _cable_rows(profile)
    yield from _other_rows(profile)


def _run_rows(profile: Profile) -> Iterator[tuple[str, str, str]]:
    run = profile.run
    yield "run.cable", "cable in a run, at most", _length(profile, run.cable_m)
    yield "run.reach", "port to farthest device, at most", _length(profile, run.reach_m)
    yield "run.between_devices", "between any two devices, at most", _length(profile, run.between_devices_m)
    yield "run.devices", "devices on a port, at most", _count(run.devices)
    yield "run.power", "power on a port, at most", _number(run.power_w, "W")
    yield "run.capacitance", "capacitance of a run, at most", _number(run.capacitance_nf, "nF")


def _controller_rows(profile: Profile) -> Iterator[tuple[str, str, str]]:
    controller = profile.controller
    yield "controller.ports", "ports of a controller", str(controller.ports)
    yield "controller.supply_voltage", "supply voltage", _number(controller.supply_voltage_v, "V")
    yield "controller.supply_power", "power of a controller, at most", _number(controller.supply_power_w, "W")
    yield (
        "controller.supply_current",
        "current of a controller, at most",
        _number(controller.supply_current_a, "A"),
    )
    yield "controller.devices", "devices on a controller, at most", _count(controller.devices)
    if controller.supply_headroom:
        yield "controller.supply_headroom", "of the supply kept free", f"{controller.supply_headroom:.0%}"


def _cable_rows(profile: Profile) -> Iterator[tuple[str, str, str]]:
    cable = profile.cable
    yield "cable.min_conductor", "conductor, at least", cable.min_conductor or ""
    yield "cable.conductors", "conductors", _count(cable.conductors)
    if cable.stranded is not None:
        yield "cable.stranded", "conductor", "stranded" if cable.stranded else "solid"
    if cable.shielded is not None:
        yield "cable.shielded", "shield", "shielded" if cable.shielded else "unshielded"
    if cable.max_capacitance_nf_per_m is not None:
        unit = "pF/ft" if profile.length_unit == "ft" else "pF/m"
        yield (
            "cable.max_capacitance",
            "capacitance of the cable, at most",
            _number(cable.max_capacitance_nf_per_m / CAPACITANCE_NF_PER_M[unit], unit),
        )
    yield "cable.min_insulation", "insulation, at least", _number(cable.min_insulation_v, "V")
    for up_to_m, _, name in cable.conductor_by_distance:
        yield "cable.conductor_by_distance", f"conductor up to {_length(profile, up_to_m)}, at least", name
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
            _number(separation.mains_crossing_deg, "degrees"),
        )
        if not separation.loudspeaker_parallel_allowed:
            yield "separation.loudspeaker_parallel", "alongside loudspeaker cable", "never"
    yield "device.min_voltage", "voltage at a device, at least", _number(profile.min_voltage_v, "V")
    yield "device.max_drop", "voltage drop to a device, at most", _number(profile.max_drop_v, "V")
    yield "device.load", "devices draw", profile.load.replace("-", " ")
    if profile.power_duty != 1:
        yield "power_duty", "part of the time with power (an assumption)", number_text(profile.power_duty, 2)
    yield "conductor_temperature", "conductor temperature", f"{number_text(profile.conductor_degc)} °C"
    yield "review_above", "a limit used by more than this is a review", f"{profile.review_above:.0%}"
    yield (
        "cutting.allowance_per_end",
        "cutting: allowance at each end",
        _length(profile, profile.cutting.allowance_per_end_m),
    )
    yield "cutting.waste", "cutting: waste", f"{profile.cutting.waste:.0%}"
    reels = ", ".join(_length(profile, reel.length_m) for reel in profile.cutting.reels)
    yield "cutting.reels", "cutting: reels", reels


def _length(profile: Profile, value_m: float | None) -> str:
    return "" if value_m is None else length_text(value_m, profile.length_unit)


def _number(value: float | None, unit: str) -> str:
    return "" if value is None else f"{number_text(value, 2)} {unit}"


def _count(value: int | None) -> str:
    return "" if value is None else str(value)

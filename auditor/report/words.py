"""What several sheets say in the same words."""

from collections.abc import Iterable, Mapping

from auditor.job.model import TableKind
from auditor.results.audit_result import (
    Audit,
    ControllersResult,
    DeviceResult,
    LimitsResult,
    RunResult,
    Status,
    SupplyResult,
)
from auditor.results.findings import Level, consequences
from auditor.units import length_text, number_text

CAUTIONS = (
    "This is a plan check made from the schedule alone. It replaces neither the local codes, nor the maker's "
    "instructions for the bus, nor a licensed practitioner: where they say otherwise, they decide.",
    "Work on mains, and on anything joined to mains, is for licensed practitioners only. Switch supplies off "
    "before conductors are landed or lifted.",
    "Measure continuity and the voltage at every point before walls and ceilings are closed; what was "
    "laid is what counts, not what was scheduled.",
)

BRIEF_CAUTION = (
    "A check of the plan alone: local codes, the maker's instructions and a licensed practitioner decide. Switch supplies "
    "off before conductors are landed or lifted, and measure at every point before walls and ceilings are closed."
)

TABLE_KINDS = {
    TableKind.DEVICES: "Device list",
    TableKind.PULLS: "Pull schedule",
    TableKind.COMBINED: "Devices with their pulls",
    TableKind.CABLES: "Cable types",
    TableKind.CONTROLLERS: "Controllers",
    TableKind.REELS: "Reels",
    TableKind.LEGEND: "Kinds of device",
    TableKind.SPLICES: "Splices",
    TableKind.LENGTHS: "Lengths by number",
}

_LIMITS = {
    "run-length": "total cable",
    "device-count": "device count",
    "power": "supply",
    "capacitance": "capacitance",
    "voltage": "voltage",
}
_DRIVERS = {"cable": "total cable", "devices": "device count", "power": "watts"}


def growth_text(run: RunResult) -> str:
    """How much longer every pull may turn out, e.g. `1.06 times as long breaks reach`."""
    if run.growth_margin is None or run.first_limit is None:
        return ""
    limit = _LIMITS.get(run.first_limit, run.first_limit)
    if run.first_limit == "voltage" and not run.lowest_known:
        longer = _longer_text(run.growth_margin)
        return (
            "its voltage collapses as scheduled"
            if run.growth_margin < 1
            else f"{longer} makes its voltage collapse"
        )
    if run.growth_margin < 1:
        return f"{limit} is past its limit as scheduled"
    return f"{_longer_text(run.growth_margin)} breaks {limit}"


def _longer_text(factor: float) -> str:
    """So much longer in words: `twice as long`, `1.06 times as long`; at the limit already, `any longer`."""
    text = number_text(factor, 2)
    return {"1": "any longer", "2": "twice as long"}.get(text, f"{text} times as long")


def limits_text(limits: LimitsResult, unit: str) -> str:
    """The limits that a run has, e.g. `2,000 ft cable, 1,000 ft reach, 50 devices`."""
    parts = []
    if limits.cable_m is not None:
        parts.append(f"{length_text(limits.cable_m, unit)} cable")
    if limits.reach_m is not None:
        parts.append(f"{length_text(limits.reach_m, unit)} reach")
    if limits.devices is not None:
        parts.append(f"{limits.devices} devices")
    if limits.power_w is not None:
        parts.append(f"{number_text(limits.power_w)} W")
    return ", ".join(parts)


def run_text(run: RunResult, unit: str) -> str:
    """What the figures of a run leave unsaid."""
    limits = limits_text(run.limits, unit)
    derating = {True: " (derated by off-specification cable)", None: " (if its cable is off specification)"}
    parts = [
        f"limits {limits}{derating.get(run.derated, '')}" if limits else "",
        f"farthest {run.farthest}" if run.farthest else "",
        f"lowest volts at {run.min_voltage_at}" if run.min_voltage_at else "",
        f"{run.loops} loop{'s' if run.loops > 1 else ''}" if run.loops else "",
        growth_text(run),
    ]
    return capital("; ".join(part for part in parts if part))


def status_text(status: Status) -> str:
    """What is known of a plan, for a reader who never heard of proofs."""
    return {
        Status.PROVEN: "Proven: no better plan exists.",
        Status.BEST_FOUND: "Best found: a better one may exist.",
        Status.IMPOSSIBLE: "Impossible: no plan keeps all limits.",
    }[status]


def controllers_text(controllers: ControllersResult) -> str:
    """Controllers scheduled and needed, with the bound and what drives it."""
    text = f"{plural(controllers.scheduled, 'controller')} scheduled"
    if controllers.needed is None:
        return text + "; how many are needed is not known"
    text += f", {controllers.needed} {'in the port plan' if controllers.status is Status.BEST_FOUND else 'needed'}"
    if controllers.lower_bound is not None and controllers.lower_bound > 1:
        text += f"; with fewer than {controllers.lower_bound} no plan can keep the limits"
    if controllers.driven_by:
        text += f" ({_DRIVERS.get(controllers.driven_by, controllers.driven_by)} drives the number)"
    return text


def verdict_text(audit: Audit) -> str:
    """The verdict's reason in one sentence."""
    if audit.problem:
        return audit.problem
    behind = consequences(audit.findings)
    own = [finding for finding in audit.findings if finding.id not in behind]
    failing = {
        behind[finding.id]
        for finding in audit.findings
        if finding.id in behind and finding.level is Level.FAIL
    }
    fails = sum(finding.level is Level.FAIL or finding.id in failing for finding in own)
    accepted = sum(finding.accepted is not None for finding in own)
    reviews = sum(finding.level is Level.REVIEW and finding.id not in failing for finding in own) - accepted
    told = (f", {accepted} accepted" if accepted else "") + (
        f", {len(behind)} that follow{'s' * (len(behind) == 1)} from these" if behind else ""
    )
    if not fails and not reviews:
        return (
            f"Nothing left to mend or to review{told}."
            if told
            else "Nothing found: every rule that applies is kept."
        )
    asked = f"{plural(len(audit.open_questions), 'question')} to answer, " if audit.open_questions else ""
    return f"{asked}{fails} to mend, {reviews} to review{told}. The findings below say what and where."


def fullest(run: RunResult) -> float | None:
    """The greatest share of a limit that the run uses up, reach included; None where a figure that has
    a limit is not known, for that one may be the fullest."""
    limits = run.limits
    pairs = (
        (run.cable_m, limits.cable_m),
        (run.reach_m if run.devices else 0.0, limits.reach_m),
        (float(run.devices), limits.devices),
        (run.power_w, limits.power_w),
    )
    limited = [(used, limit) for used, limit in pairs if limit]
    shares = [used / limit for used, limit in limited if used is not None]
    return max(shares, default=None) if len(shares) == len(limited) else None


def supply_of(supplies: Iterable[SupplyResult], controller: str | None) -> SupplyResult | None:
    """The supply of a controller."""
    return next((supply for supply in supplies if supply.controller == controller), None)


def by_controller(runs: Iterable[RunResult]) -> dict[str | None, list[RunResult]]:
    """Runs under their controllers, in the order given; unassigned branches under None."""
    grouped: dict[str | None, list[RunResult]] = {}
    for run in runs:
        grouped.setdefault(run.controller, []).append(run)
    return grouped


def devices_by_port(
    devices: Iterable[DeviceResult],
) -> dict[tuple[str | None, str | None], list[DeviceResult]]:
    """Devices under (controller, port), in the order given."""
    grouped: dict[tuple[str | None, str | None], list[DeviceResult]] = {}
    for device in devices:
        grouped.setdefault((device.controller, device.port), []).append(device)
    return grouped


def most_used(units: Mapping[str, int]) -> str:
    """The unit counted most often, feet where several are."""
    return max(units, key=lambda unit: (units[unit], unit == "ft", unit), default="ft")


def plural(count: int, noun: str) -> str:
    return f"{count:,} {noun}" + ("" if count == 1 else "s")


def capital(text: str) -> str:
    return text[:1].upper() + text[1:]

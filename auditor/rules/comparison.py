"""A measured value against a run's limit, in the words that all rules share."""

from collections.abc import Iterator
from dataclasses import dataclass

from auditor.bus.cables import cable_text
from auditor.bus.measure import Bus, RunState
from auditor.results.findings import Finding, Level
from auditor.units import exceeds, number_text, quantity_text


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """What a comparison came to: the level, the limit in force and the words for a message."""

    level: Level
    limit: float
    words: str  # follow the measured value: "50 ft over the limit of 1,000 ft"


def compare_in_run(bus: Bus, state: RunState, limit: str, measured: float, unit: str) -> Comparison | None:
    """A run's value against one of its limits; None: kept with the profile's margin.

    Parameters
    ----------
    limit : the field of `Limits`, e.g. "cable_m"
    measured : in `unit`: "m", "devices", "W", "nF"
    """
    full, reduced = getattr(state.full, limit), getattr(state.reduced, limit)
    if full is None:
        return None
    if (
        state.derated is None
        and exceeds(measured, bus.profile.review_above * reduced, unit)
        and not exceeds(measured, full, unit)
    ):
        words = _unsure_text(bus, state, measured, full, reduced, unit)
        return Comparison(level=Level.REVIEW, limit=reduced, words=words)
    in_force = reduced if state.derated else full
    return compare(bus, measured, in_force, unit, _derating_text(bus, state))


def _unsure_text(bus: Bus, state: RunState, measured: float, full: float, reduced: float, unit: str) -> str:
    """Words where it is not known which of two limits holds, and the lower one is passed or nearly so."""
    cables = " and ".join(cable_text(name) for name in state.not_known)
    verb = "is" if len(state.not_known) == 1 else "are"
    if exceeds(measured, reduced, unit):
        said = (
            f"within the limit of {_quantity(bus, full, unit)} only if {cables} {verb} inside specification, "
        )
        said += f"{_quantity(bus, reduced, unit)} if not"
    else:
        part = _per_cent(measured, reduced, unit)
        said = f"{part} % of the limit of {_quantity(bus, reduced, unit)} that holds unless "
        said += f"{cables} {verb} inside specification"
    return f"{said}; state the cable's properties in the cable sheet"


def compare(
    bus: Bus, measured: float, limit: float | None, unit: str, because: str = ""
) -> Comparison | None:
    """A value against one limit; None: kept with the profile's margin, or no limit."""
    if limit is None:
        return None
    limit_text = _quantity(bus, limit, unit)
    if exceeds(measured, limit, unit):
        words = f"{_difference(bus, measured - limit, unit, 'just')} over the limit of {limit_text}{because}"
        return Comparison(level=Level.FAIL, limit=limit, words=words)
    if exceeds(measured, bus.profile.review_above * limit, unit):
        left = _difference(bus, limit - measured, unit, "nothing")
        used = f"{_per_cent(measured, limit, unit)} % of the limit of {limit_text}{because}"
        words = f"{used}, which leaves {left} for changes on site"
        return Comparison(level=Level.REVIEW, limit=limit, words=words)
    return None


def _per_cent(measured: float, limit: float, unit: str) -> str:
    """Per cent of a limit, 100 only at the limit itself."""
    part = 100 * measured / limit
    return number_text(min(part, 99.9) if exceeds(limit, measured, unit) else part)


def run_finding(
    bus: Bus, state: RunState, rule: str, compared: Comparison, measured: float, unit: str, message: str
) -> Iterator[Finding]:
    """The finding about a whole run, at the row of its first home run."""
    yield Finding(
        rule=rule,
        level=compared.level,
        subject=state.run.name,
        message=message,
        where=state.where,
        measured=measured,
        limit=compared.limit,
        unit=unit,
    )


def usual_part(bus: Bus) -> str:
    """What off-specification cable leaves of a limit, in words."""
    return f"{number_text(100 * bus.profile.off_spec_factor)} % of the usual"


def to_do(compared: Comparison, fix: str) -> str:
    """The end of a message: what to do on a failure, nothing where the limit is kept."""
    return f"; {fix}" if compared.level is Level.FAIL else ""


def _quantity(bus: Bus, value: float, unit: str) -> str:
    return quantity_text(value, unit, bus.job.length_unit)


def _difference(bus: Bus, value: float, unit: str, none: str) -> str:
    """A difference in words, another word where it rounds to nothing."""
    text = _quantity(bus, value, unit)
    return none if text.split()[0] in ("0", "-0") else text


def _derating_text(bus: Bus, state: RunState) -> str:
    if not state.derated:
        return ""
    return f" ({usual_part(bus)}, since cable {', '.join(state.off_spec)} is off specification)"

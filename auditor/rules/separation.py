"""separation: control cable keeps clear of mains and of loudspeaker cable.

What it checks
    Where the schedule records it: the distance from parallel mains, the angle at which mains is
    crossed, and whether the pull runs alongside loudspeaker cable. Pulls without a distance beside others that
    have one are one review. Where nothing is recorded at all it is one note.

Why
    Mains and amplifier outputs induce noise on an unshielded pair, and mains beside low-voltage
    wiring is a safety matter that local code decides.

Source
    The profile's `separation` and its source; local code may ask for more.

Fails
    6 in from parallel mains where 12 in is asked for; a crossing at 45 degrees where 90 is asked for.
    Review: a blank under the distance of one pull where the others have one.

Passes
    12 in from parallel mains, crossing at 90 degrees, not alongside loudspeaker cable.

To fix
    Reroute the pull. Work on mains is for licensed people only.
"""

import math
from collections.abc import Iterator

from auditor.bus.measure import Bus
from auditor.job.listing import names_text
from auditor.job.model import Pull
from auditor.plans.plans import Plans
from auditor.profile.limits import Separation
from auditor.results.findings import Finding, Level, Scope
from auditor.units import exceeds, length_text, number_text

NAME = "separation"
SCOPE = Scope.ROW | Scope.JOB
ROUNDED_TO_MM = 300 / 304.8  # 12 in is written as 300 mm in metres; project convention
MOST_NAMED = 6  # pulls that a sentence names


def check(bus: Bus, _: Plans) -> Iterator[Finding]:
    wanted = bus.profile.separation
    if wanted is None:
        return
    for pull in bus.job.pulls:
        yield from _mains_parallel(bus, pull, wanted)
        yield from _mains_crossing(pull, wanted)
        if pull.loudspeaker_parallel and not wanted.loudspeaker_parallel_allowed:
            message = f"Pull {pull.id} runs alongside loudspeaker cable; give it a route of its own"
            yield _pull_finding(pull, "loudspeaker_parallel", message)
    yield from _left_blank(bus, wanted) or _not_recorded(bus)


def _left_blank(bus: Bus, wanted: Separation) -> list[Finding]:
    """One review: a blank may mean that no mains is near, or that nobody looked."""
    blank = [
        pull
        for pull in bus.job.pulls
        if pull.mains_parallel_m is None
        and "mains_parallel_m" not in pull.asked
        and all(unread.field != "mains_parallel_m" for unread in pull.unread)
    ]
    if wanted.mains_parallel_m is None or len(blank) == len(bus.job.pulls) or not blank:
        return []
    names = names_text([pull.id for pull in blank], MOST_NAMED, rest="others")
    which = f"pull {names}" if len(blank) == 1 else f"{len(blank)} pulls ({names})"
    message = (
        f"No distance from mains is recorded for {which}, and others have one; write it down where mains runs "
        "alongside, or accept this where none does"
    )
    where = bus.job.cell_of(blank[0], "mains_parallel_m") or blank[0].where
    return [Finding(rule=NAME, level=Level.REVIEW, subject=bus.job.name, message=message, where=where)]


def _mains_parallel(bus: Bus, pull: Pull, wanted: Separation) -> Iterator[Finding]:
    limit_m, kept_m = wanted.mains_parallel_m, pull.mains_parallel_m
    unit = "in" if bus.job.length_unit == "ft" else "mm"
    if (
        limit_m is not None
        and kept_m is not None
        and exceeds(limit_m * (ROUNDED_TO_MM if unit == "mm" else 1.0), kept_m, "m")
    ):
        message = (
            f"Pull {pull.id} keeps {length_text(kept_m, unit)} from parallel mains where "
            f"{length_text(limit_m, unit)} is asked for; reroute the control cable, and ask whether local "
            "code wants more"
        )
        yield _pull_finding(pull, "mains_parallel_m", message, kept_m, limit_m, "m")


def _mains_crossing(pull: Pull, wanted: Separation) -> Iterator[Finding]:
    limit_deg, angle_deg = wanted.mains_crossing_deg, pull.mains_crossing_deg
    if limit_deg is not None and angle_deg is not None and not math.isclose(angle_deg, limit_deg):
        message = (
            f"Pull {pull.id} crosses mains at {number_text(angle_deg)} degrees where "
            f"{number_text(limit_deg)} is asked for; reroute the control cable so that it crosses squarely"
        )
        yield _pull_finding(pull, "mains_crossing_deg", message, angle_deg, limit_deg, "deg")


def _pull_finding(
    pull: Pull,
    field: str,
    message: str,
    measured: float | None = None,
    limit: float | None = None,
    unit: str | None = None,
) -> Finding:
    return Finding(
        rule=NAME,
        level=Level.FAIL,
        subject=pull.id,
        message=message,
        where=pull.cells.get(field, pull.where),
        measured=measured,
        limit=limit,
        unit=unit,
    )


def _not_recorded(bus: Bus) -> Iterator[Finding]:
    silent = [
        pull
        for pull in bus.job.pulls
        if pull.mains_parallel_m is pull.mains_crossing_deg is pull.loudspeaker_parallel is None
    ]
    if silent:
        count = len(bus.job.pulls)
        which = "any pull" if len(silent) == count else f"{len(silent)} of {count} pulls"
        message = (
            f"The distance from mains and loudspeaker cable is not recorded for {which}; check it on site "
            "before the walls are closed"
        )
        yield Finding(rule=NAME, level=Level.NOTE, subject=bus.job.name, message=message)

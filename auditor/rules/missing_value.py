"""missing-value: what the audit needs is stated.

What it checks
    The power of each device, and the length, the two ends and the cable type of each pull. A cell that
    holds something which could not be read is reported by `unreadable-value` instead. Where no pull
    names a cable type, `cable-spec` says it once.

Why
    What could not be judged never counts as a pass: a blank is not a zero.

Source
    Common practice, no published source.

Fails
    Nothing by itself. Review: a device row with a blank under its watts.

Passes
    A device row with its watts. 0 W is one review, that somebody accepts where the device draws nothing from the bus.

To fix
    Fill in the cell.
"""

from collections.abc import Iterator

from auditor.bus.measure import Bus
from auditor.job.listing import names_text
from auditor.job.model import Device, Job, Pull
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Level, Scope

NAME = "missing-value"
SCOPE = Scope.ROW
MOST_NAMED = 6  # devices that a sentence names
BLANK_END = {"near": "does not say where it comes from", "far": "does not say where it goes to"}


def check(bus: Bus, _: Plans) -> Iterator[Finding]:
    job = bus.job
    for device in job.devices:
        if device.power_w is None and bus.profile.powered_by_bus:
            yield from _missing(job, device, "power_w", device.tag, f"No power is given for {device.tag}")
    yield from _zero_watts(bus)
    some_cable = any(pull.cable for pull in job.pulls)
    for pull in job.pulls:
        if pull.length_m is None:
            yield from _missing(job, pull, "length_m", pull.id, f"No length is given for pull {pull.id}")
        for field, said in BLANK_END.items():
            if not getattr(pull, field):
                yield from _missing(job, pull, field, pull.id, f"Pull {pull.id} {said}")
        if some_cable and pull.cable is None:
            yield from _missing(job, pull, "cable", pull.id, f"No cable type is given for pull {pull.id}")


def _zero_watts(bus: Bus) -> Iterator[Finding]:
    """One review: 0 W is right for a passive device, and a blank that somebody filled for any other."""
    none = [device for device in bus.job.devices if device.power_w == 0 and not device.start_w]
    if none and bus.profile.powered_by_bus:
        names = names_text([device.tag for device in none], MOST_NAMED, rest="others")
        message = (
            f"{names} {'is' if len(none) == 1 else 'are'} listed with 0 W; write what the device draws, or accept this "
            "where it draws nothing from the bus"
        )
        where = none[0].cells.get("power_w") or none[0].where
        yield Finding(rule=NAME, level=Level.REVIEW, subject=none[0].tag, message=message, where=where)


def _missing(job: Job, row: Device | Pull, field: str, subject: str, what: str) -> Iterator[Finding]:
    if any(unread.field == field for unread in row.unread) or field in row.asked:
        return
    message = f"{what}, so it cannot be judged in full; fill it in"
    where = job.cell_of(row, field) or row.where
    yield Finding(rule=NAME, level=Level.REVIEW, subject=subject, message=message, where=where)

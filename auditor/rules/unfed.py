"""unfed: every device and every landed pull is fed by a port.

What it checks
    Devices that no cable path joins to a port or a head end, and landed pulls that hang on none.

Why
    What is not fed does not work, and a pull that starts nowhere is usually a slip in an end's name.

Source
    Common practice, no published source.

Fails
    K2 in the device list, and no pull that ends at K2.

Passes
    C1.1-K1, K1-K2.

To fix
    Add the missing pull, or correct the end's name.
"""

from collections.abc import Iterator

from auditor.bus.measure import Bus
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Level, Scope

NAME = "unfed"
SCOPE = Scope.ROW


def check(bus: Bus, _: Plans) -> Iterator[Finding]:
    landed_at: dict[str, bool] = {}  # end -> whether a landed pull ends there
    for pull in bus.job.pulls:
        for end in (pull.near, pull.far):
            landed_at[end] = landed_at.get(end, False) or pull.landed
    asked = _pieces_asked_about(bus)
    for device in bus.topology.unfed_devices:
        if device.tag in asked:
            continue
        why = _reason(landed_at.get(device.tag))
        message = f"{device.tag} is not fed: {why}; add the missing pull or correct an end's name"
        yield Finding(rule=NAME, level=Level.FAIL, subject=device.tag, message=message, where=device.where)
    for pull in bus.topology.unfed_pulls:
        if pull.near and pull.far and not {pull.near, pull.far} & asked:
            message = (
                f"Pull {pull.id} ({pull.near} to {pull.far}) hangs on no port; add the pull that feeds it "
                "or correct an end's name"
            )
            yield Finding(rule=NAME, level=Level.FAIL, subject=pull.id, message=message, where=pull.where)


def _pieces_asked_about(bus: Bus) -> set[str]:
    """All ends of the pieces that an open question may feed."""
    asked = set(bus.job.open_ends)
    pieces = [{pull.near, pull.far} - {""} for pull in bus.topology.unfed_pulls if pull.landed]
    while more := {end for ends in pieces if ends & asked for end in ends} - asked:
        asked |= more
    return asked


def _reason(landed: bool | None) -> str:
    if landed is None:
        return "no pull ends at it"
    return "its cable leads to no port" if landed else "only an unlanded spare return ends at it"

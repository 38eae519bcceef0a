"""cut-list: every pull can be cut in one piece from a reel that can be had.

What it checks
    Each pull, with its waste and its allowance at both ends, rounded up as the profile says, against what
    the longest reel holds beside the reserve that is left on it; which pulls have no length and are left out; and whether the reels that the profile or the workbook states can be
    planned with at all.

Why
    A pull that is longer than every reel needs a joint in a wall, which nobody finds again.

Source
    The profile's `cutting` and its source, or the workbook's reel sheet.

Fails
    Nothing by itself. Review: a pull of 990 ft with 3 ft at each end and 5 % waste, 1,045.5 ft and so 1,046
    whole feet, from reels of 1,000 ft.

Passes
    A pull of 940 ft with the same allowances, 993 ft; not with a reserve of 10 ft on each reel.

To fix
    Order a longer reel, or put a splice where it can be reached and list two pulls.
"""

from collections.abc import Iterator

from auditor.bus.cables import cable_text
from auditor.bus.measure import Bus
from auditor.plans.plans import Plans, TooLong
from auditor.results.findings import Finding, Level, Scope
from auditor.units import length_text

NAME = "cut-list"
SCOPE = Scope.ROW | Scope.CABLE | Scope.JOB
NAMED = 8  # project convention: more names than this do not help a reader


def check(bus: Bus, plans: Plans) -> Iterator[Finding]:
    cuts = plans.cuts
    for each in cuts.lists:
        for pull in cuts.too_long[each.cable]:
            yield _too_long(pull, each.cable, bus.job.length_unit)
        if each.unmeasured:
            names = ", ".join(each.unmeasured[:NAMED]) + (" and more" if len(each.unmeasured) > NAMED else "")
            message = (
                f"The cut list of {cable_text(each.cable)} leaves out {len(each.unmeasured)} "
                f"pull{'s' * (len(each.unmeasured) != 1)} without a length: {names}; fill them in before "
                "ordering"
            )
            yield Finding(rule=NAME, level=Level.NOTE, subject=each.cable, message=message)
    for problem in cuts.problems:
        yield Finding(rule=NAME, level=Level.REVIEW, subject=bus.job.name, message=problem)


def _too_long(found: TooLong, cable: str, length_unit: str) -> Finding:
    holds_m = found.longest_m - found.reserve_m
    longest = f"the longest reel has {length_text(found.longest_m, length_unit)}"
    if found.reserve_m:
        longest += f" and holds {length_text(holds_m, length_unit)} beside the reserve that is left on it"
    message = (
        f"Pull {found.name} takes {length_text(found.cut_m, length_unit)} of {cable_text(cable)} with its "
        f"allowances, {longest}; order a longer reel, or splice where it can be reached and list two pulls"
    )
    return Finding(
        rule=NAME,
        level=Level.REVIEW,
        subject=found.name,
        message=message,
        where=found.pull.cells.get("length_m", found.pull.where),
        measured=found.cut_m,
        limit=holds_m,
        unit="m",
    )

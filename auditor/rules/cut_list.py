"""cut-list: every pull can be cut in one piece from a reel that can be had.

What it checks
    Each pull, with its allowance at both ends and its waste, against the longest reel; which pulls have
    no length and are left out; and whether the reels that the profile or the workbook states can be
    planned with at all.

Why
    A pull that is longer than every reel needs a joint in a wall, which nobody finds again.

Source
    The profile's `cutting` and its source, or the workbook's reel sheet.

Fails
    Nothing by itself. Review: a pull of 990 ft with 3 ft at each end and 5 % waste, 1,045.5 ft, from reels of
    1,000 ft.

Passes
    A pull of 940 ft with the same allowances, 993 ft.

To fix
    Order a longer reel, or put a splice where it can be reached and list two pulls.
"""

from collections.abc import Iterator

from auditor.bus.cables import UNNAMED, cable_text
from auditor.bus.measure import Bus
from auditor.plans.cut_lists import cut_length_m, pull_names, reels_for
from auditor.results.findings import Finding, Level
from auditor.units import length_text

NAME = "cut-list"
NAMED = 8  # project convention: more names than this do not help a reader


def check(bus: Bus) -> Iterator[Finding]:
    job = bus.job
    named = pull_names(job)
    pulls = {(pull.cable or UNNAMED, named[id(pull)]): pull for pull in job.pulls}
    for cuts in bus.cut_lists:
        for name in cuts.uncut:
            pull = pulls[cuts.cable, name]
            needed_m, longest_m = cut_length_m(pull, job, bus.profile), _longest_m(bus, cuts.cable)
            message = (
                f"Pull {name} takes {length_text(needed_m, job.length_unit)} of {cable_text(cuts.cable)} "
                f"with its allowances, the longest reel has {length_text(longest_m, job.length_unit)}; "
                "order a longer reel, or splice where it can be reached and list two pulls"
            )
            yield Finding(
                rule=NAME,
                level=Level.REVIEW,
                subject=name,
                message=message,
                where=pull.cells.get("length_m", pull.where),
                measured=needed_m,
                limit=longest_m,
                unit="m",
            )
        if cuts.unmeasured:
            names = ", ".join(cuts.unmeasured[:NAMED]) + (" and more" if len(cuts.unmeasured) > NAMED else "")
            message = (
                f"The cut list of {cable_text(cuts.cable)} leaves out {len(cuts.unmeasured)} "
                f"pull{'s' * (len(cuts.unmeasured) != 1)} without a length: {names}; fill them in before "
                "ordering"
            )
            yield Finding(rule=NAME, level=Level.NOTE, subject=cuts.cable, message=message)
    for problem in bus.plan_problems:
        yield Finding(rule=NAME, level=Level.REVIEW, subject=bus.job.name, message=problem)


def _longest_m(bus: Bus, cable: str) -> float:
    sizes, shelf = reels_for(cable, bus.job, bus.profile)
    return max([size.length_m for size in sizes] + [reel.length_m for reel in shelf])

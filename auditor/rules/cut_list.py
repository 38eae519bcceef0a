"""cut-list: every pull can be cut in one piece from a reel that can be had.

What it checks
    Each pull, with its allowance at both ends and its waste, against the longest reel; and whether
    the reels that the profile or the workbook states can be planned with at all.

Why
    A pull that is longer than every reel needs a joint in a wall, which nobody finds again.

Source
    The profile's `cutting` and its source, or the workbook's reel sheet.

Fails
    A pull of 990 ft with 3 ft at each end and 5 % waste, 1,045.5 ft, from reels of 1,000 ft.

Passes
    A pull of 940 ft with the same allowances, 993 ft.

To fix
    Order a longer reel, or put a splice where it can be reached and list two pulls.
"""

from collections.abc import Iterator

from auditor.bus import Bus
from auditor.findings import Finding, Level
from auditor.model import Pull
from auditor.units import length_text

NAME = "cut-list"


def check(bus: Bus) -> Iterator[Finding]:
    by_id: dict[str, Pull] = {pull.id: pull for pull in bus.job.pulls}
    for cuts in bus.cut_lists:
        for name in cuts.uncut:
            pull = by_id[name]
            length = length_text(pull.length_m or 0.0, bus.job.length_unit)
            message = (
                f"{name} ({length} before allowances) is longer than every reel of {cuts.cable}; order a longer "
                "reel, or splice where it can be reached and list two pulls"
            )
            yield Finding(
                rule=NAME,
                level=Level.REVIEW,
                subject=name,
                message=message,
                where=pull.cells.get("length_m", pull.where),
                measured=pull.length_m,
                unit="m",
            )
    for problem in bus.plan_problems:
        yield Finding(rule=NAME, level=Level.REVIEW, subject=bus.job.name, message=problem)

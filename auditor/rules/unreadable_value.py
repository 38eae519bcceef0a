"""unreadable-value: every cell that holds something could be read.

What it checks
    Cells whose text is not what their column says: a date where a length belongs, `TBD`, a number
    without a unit, an error value, a negative length.

Why
    What could not be judged never counts as a pass, and a guess is worse than a question.

Source
    Common practice, no published source.

Fails
    Nothing by itself. Review: `TBD` under the lengths.

Passes
    `120'`, `36.5 m`, `12'-6"`.

To fix
    Correct the cell as the message says.
"""

from collections.abc import Iterator

from auditor.bus.measure import Bus
from auditor.job.field_words import noun_of
from auditor.job.model import Unread
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Level, Scope

NAME = "unreadable-value"
SCOPE = Scope.ANY


def check(bus: Bus, _: Plans) -> Iterator[Finding]:
    job = bus.job
    for device in job.devices:
        yield from _unread_cells(device.tag, device.unread)
    for pull in job.pulls:
        yield from _unread_cells(pull.id, pull.unread, f"pull {pull.id}")
    for cable in job.cables.values():
        yield from _unread_cells(cable.name, cable.unread)
    for controller in job.controllers.values():
        yield from _unread_cells(controller.name, controller.unread)
    for reel in job.reels:
        yield from _unread_cells(
            reel.cable or "reel", reel.unread, f"a reel{f' of {reel.cable}' if reel.cable else ''}"
        )


def _unread_cells(subject: str, unread: tuple[Unread, ...], called: str = "") -> Iterator[Finding]:
    for cell in unread:
        what = noun_of(cell.field)
        message = f"The {what} of {called or subject} reads '{cell.text}': {cell.reason}; correct the cell"
        yield Finding(rule=NAME, level=Level.REVIEW, subject=subject, message=message, where=cell.where)

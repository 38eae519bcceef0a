"""loop: the cable of a run branches and never comes back to itself.

What it checks
    Every independent loop of the landed cable (there are E - V + C of them), each named by its
    pulls, parallel pulls between the same two ends included. Where the profile allows loops, none.

Why
    A signal that reaches a device by two ways arrives twice and garbled, and a broken pull in a
    loop goes unnoticed until the second one breaks.

Source
    The profile's `loops` and its source. Circuit rank E - V + C: graph theory.

Fails
    Pulls C1.1-K1, K1-K2, K2-K3 and K3-K1: one loop of three pulls.

Passes
    The same without K3-K1.

To fix
    Lift the named pull, or leave it unlanded and mark it as a spare return. Lifting that one leaves
    every device as near to its port as it was.
"""

from collections.abc import Iterator

from auditor.bus.measure import Bus
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Level, Scope

NAME = "loop"
SCOPE = Scope.ROWS_RUN


def check(bus: Bus, _: Plans) -> Iterator[Finding]:
    if bus.profile.loops_allowed:
        return
    for state in bus.runs:
        for loop in state.run.loops:
            names = ", ".join(pull.id for pull in loop.pulls)
            lift = loop.lift
            message = (
                f"Pulls {names} close a loop on {state.run.shown}; lift pull {lift.id} ({lift.near} to "
                f"{lift.far}) or leave it unlanded as a spare return"
                if len(loop.pulls) > 1
                else f"Pull {lift.id} starts and ends at {lift.near}; lift it or correct its ends"
            )
            yield Finding(rule=NAME, level=Level.FAIL, subject=lift.id, message=message, where=lift.where)

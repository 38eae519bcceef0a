"""run-length: a run holds no more cable than the bus allows.

What it checks
    The sum of the lengths of all landed pulls of a run, spurs and splices included. Off-specification
    cable derates the limit. Branches without a port are judged on the port plan instead.

Why
    All cable of a run loads the pair, whichever way it branches: past the limit data gets lost.

Source
    The profile's limit `run.cable` and its source.

Fails
    Legs of 620, 480 and 901 ft, limit 2,000 ft: 2,001 ft.

Passes
    Legs of 620, 480 and 900 ft: 2,000 ft, exactly at the limit; said as a review, nothing is left.

To fix
    Move a branch to another port or controller, or find a shorter route.
"""

from collections.abc import Iterator

from auditor.bus.measure import Bus
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Scope
from auditor.rules.comparison import compare_in_run, run_finding, to_do
from auditor.units import length_text

NAME = "run-length"
SCOPE = Scope.RUN | Scope.PORT_PLAN


def check(bus: Bus, _: Plans) -> Iterator[Finding]:
    for state in bus.runs:
        run = state.run
        compared = compare_in_run(bus, state, "cable_m", run.cable_m, "m") if run.assigned else None
        if compared is None:
            continue
        at_least = "" if run.measured else "at least "
        message = (
            f"{run.shown} holds {at_least}{length_text(run.cable_m, bus.job.length_unit)} of cable, "
            f"{compared.words}{to_do(compared, 'move a branch to another port or shorten the route')}"
        )
        yield from run_finding(bus, state, NAME, compared, run.cable_m, "m", message)

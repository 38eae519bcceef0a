"""capacitance: the cable of a run loads the pair with no more capacitance than the bus allows.

What it checks
    The sum over all landed pulls of length times capacitance per length, where the profile gives a
    budget. Without a budget the figure is reported and not judged.

Why
    Capacitance rounds off the data pulses; past the budget bits are misread.

Source
    The profile's limit `run.capacitance` and its source.

Fails
    2,000 m at 100 pF/m, 200 nF, budget 180 nF.

Passes
    1,000 m at 100 pF/m, 100 nF, budget 180 nF.

To fix
    Use cable of lower capacitance, or move a branch to another port.
"""

from collections.abc import Iterator

from auditor.bus.measure import Bus, RunState
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Level, Scope
from auditor.rules.comparison import compare, run_finding, to_do
from auditor.units import quantity_text

NAME = "capacitance"
SCOPE = Scope.RUN


def check(bus: Bus, _: Plans) -> Iterator[Finding]:
    for state in bus.runs:
        limit = state.full.capacitance_nf
        if limit is None:
            continue
        total_nf = state.capacitance_nf
        if total_nf is None:
            yield _cannot_be_judged(state, limit)
            continue
        found = compare(bus, total_nf, limit, "nF")
        if found is not None:
            message = (
                f"The cable of {state.run.shown} has {quantity_text(total_nf, 'nF', 'm')}, {found.words}"
                f"{to_do(found, 'use cable of lower capacitance or move a branch to another port')}"
            )
            yield from run_finding(bus, state, NAME, found, total_nf, "nF", message)


def _cannot_be_judged(state: RunState, limit_nf: float) -> Finding:
    message = (
        f"The capacitance of {state.run.shown} cannot be judged: the length of a pull or the capacitance of "
        "its cable is not stated; state it in the pull schedule or the cable sheet"
    )
    return Finding(
        rule=NAME,
        level=Level.REVIEW,
        subject=state.run.name,
        message=message,
        where=state.where,
        limit=limit_nf,
        unit="nF",
    )

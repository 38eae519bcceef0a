"""cable-spec: every cable type is what the bus is specified for.

What it checks
    Conductor size, number of conductors, stranding, shield, capacitance per length and insulation
    voltage of each cable type that is used, against the profile. Off-specification cable is a
    review, never a plain pass: it derates every run it stands in. A property that the schedule does
    not state is a note; the runs are then judged both ways.

Why
    A thinner conductor drops more voltage, a shield or high capacitance rounds off the data, and
    insulation below the rating may not share space with other wiring.

Source
    The profile's `cable` and its source.

Fails
    Nothing by itself. Review: 18 AWG where 16 AWG is asked for; 45 pF/ft where at most 30 pF/ft.

Passes
    16 AWG, 2 conductors, stranded, unshielded, 25 pF/ft, 600 V.

To fix
    Order cable to specification, or keep the run within the derated limits.
"""

from collections.abc import Iterator

from auditor.bus import Bus
from auditor.cables import UNNAMED, CableState
from auditor.findings import Finding, Level
from auditor.model import CellRef
from auditor.units import number_text

NAME = "cable-spec"


def check(bus: Bus) -> Iterator[Finding]:
    for state in bus.cables.values():
        using = [pull for pull in bus.job.pulls if (pull.cable or UNNAMED) == state.name]
        if not using:
            continue
        where = state.cable.where or using[0].cells.get("cable", using[0].where)
        if state.faults:
            yield _finding(state, Level.REVIEW, where, _off_spec(bus, state))
        if state.gaps:
            yield _finding(state, Level.NOTE, where, _not_stated(state))


def _finding(state: CableState, level: Level, where: CellRef | None, message: str) -> Finding:
    return Finding(rule=NAME, level=level, subject=state.name, message=message, where=where)


def _off_spec(bus: Bus, state: CableState) -> str:
    runs = [run.run.name for run in bus.runs if state.name in run.off_spec]
    factor = number_text(bus.profile.off_spec_factor, 2)
    effect = f"; the limits of {', '.join(runs)} are cut to {factor} of the usual" if runs else ""
    return f"Cable {state.name} is off specification: {'; '.join(state.faults)}{effect}"


def _not_stated(state: CableState) -> str:
    return (
        f"The schedule does not state the {', '.join(state.gaps)} of cable {state.name}; its runs were judged "
        "both as inside and as outside specification. State it in a cable sheet"
    )

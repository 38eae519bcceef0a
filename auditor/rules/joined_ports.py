"""joined-ports: no cable path joins two ports.

What it checks
    Every cable path between two ports, or between a port and a head end.

Why
    Two supplies on one pair feed into each other, and supplies of a power-limited circuit must not
    be paralleled unless they are listed for it.

Source
    Common practice; NEC (2020) 725.121(B) for power-limited supplies (a secondary source).

Fails
    C1.1-K1, K1-K2, K2-C1.2.

Passes
    The same with K2-C1.2 marked as a spare return.

To fix
    Lift the named pull, or leave it unlanded and mark it as a spare return.
"""

from collections.abc import Iterator

from auditor.bus.measure import Bus, RunState
from auditor.bus.topology import Loop
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Level, Scope

NAME = "joined-ports"
SCOPE = Scope.ROWS_RUN


def check(bus: Bus, _: Plans) -> Iterator[Finding]:
    for state in bus.runs:
        for join in state.run.joins:
            names = ", ".join(pull.id for pull in join.pulls)
            several = len(join.pulls) > 1
            pulls = f"Pulls {names} join" if several else f"Pull {names} joins"
            message = (
                f"{pulls} {' and '.join(_joined_sources(state, join))}; lift pull {join.lift.id} "
                f"({join.lift.near} to {join.lift.far}) or leave it unlanded as a spare return"
            )
            yield Finding(
                rule=NAME, level=Level.FAIL, subject=join.lift.id, message=message, where=join.lift.where
            )


def _joined_sources(state: RunState, join: Loop) -> list[str]:
    """The two sources at the ends of a path."""
    ends = [end for pull in (join.pulls[0], join.pulls[-1]) for end in (pull.near, pull.far)]
    return list(dict.fromkeys(end for end in ends if end in state.run.sources))

"""spare-return: a spare return stays unlanded, and this is what it protects.

What it checks
    For each job with spare returns: which landed pulls could be cut without losing a device beyond
    them, if the spares were landed in an emergency, and which stay single points of failure (bridges
    of the graph with the spares added). It is a note: an unlanded spare is no loop.

Why
    A spare return is bought to be able to feed the rest of a run from its far end when a pull is cut
    after the walls are closed; it is worth knowing what it cannot save.

Source
    Graph theory: a pull whose removal parts the graph is a bridge; found by networkx.

Fails
    Nothing. A spare return that is landed is a `loop` or `joined-ports`.

Passes
    C1.1-K1, K1-K2 and the spare return K2-C1.1: both pulls are protected.

To fix
    Nothing. Lay the spare from the farthest device to protect the most.
"""

from collections.abc import Iterator
from dataclasses import replace

from auditor.bus.measure import Bus
from auditor.bus.topology import single_points_of_failure
from auditor.job.model import Pull
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Level, Scope

NAME = "spare-return"
SCOPE = Scope.ROW
NAMED = 12  # project convention: more names than this do not help a reader


def check(bus: Bus, _: Plans) -> Iterator[Finding]:
    spares = bus.topology.spares
    if not spares:
        return
    before = single_points_of_failure(replace(bus.topology, spares=()), bus.job)[1]
    after = single_points_of_failure(bus.topology, bus.job)[1]
    concerned = _pulls_of_runs_with_a_spare(bus)
    alone = [pull for pull in after if id(pull) in concerned]
    left = {id(pull) for pull in alone}
    protected = [pull for pull in before if id(pull) in concerned and id(pull) not in left]
    names = ", ".join(pull.id for pull in spares)
    saves = (
        f"could feed what lies beyond {_ids_text(protected)} if one of these were cut"
        if protected
        else "saves nothing"
    )
    rest = f"; a cut in {_ids_text(alone)} would still leave the devices beyond it dead" if alone else ""
    yield Finding(
        rule=NAME,
        level=Level.NOTE,
        subject=spares[0].id,
        message=f"Spare return {names}, landed in an emergency, {saves}{rest}. Until then leave it unlanded",
        where=spares[0].where,
    )


def _pulls_of_runs_with_a_spare(bus: Bus) -> set[int]:
    ends = {end for spare in bus.topology.spares for end in (spare.near, spare.far)} - {""}
    return {
        id(pull)
        for state in bus.runs
        if any(end in ends and end not in state.run.sources for end in state.run.distance_m)
        for pull in state.run.pulls
    }


def _ids_text(pulls: list[Pull]) -> str:
    names = [pull.id for pull in pulls[:NAMED]]
    more = f" and {len(pulls) - NAMED} more" if len(pulls) > NAMED else ""
    return ", ".join(names) + more

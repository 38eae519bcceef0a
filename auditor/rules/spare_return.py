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

from collections.abc import Iterator, Sequence

from auditor.bus.measure import Bus
from auditor.job.model import Pull
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Level, Scope

NAME = "spare-return"
SCOPE = Scope.ROW
NAMED = 12  # project convention: more names than this do not help a reader


def check(bus: Bus, plans: Plans) -> Iterator[Finding]:
    spares, found = bus.topology.spares, plans.spares
    if not spares:
        return
    saves = (
        [f"could feed what lies beyond {_ids_text(found.feeds)} if one of these were cut"]
        if found.feeds
        else []
    )
    if found.breaks:
        rules = sorted({rule for _, broken in found.breaks for rule in broken})
        pulls = [pull for pull, _ in found.breaks]
        saves.append(
            f"with a cut in {_ids_text(pulls)} it would feed what lies beyond past a limit ({', '.join(rules)})"
        )
    if found.untried:
        saves.append(f"what a cut in {_ids_text(found.untried)} leaves was not tried")
    if not saves:
        saves = ["saves nothing"]
    if found.alone:
        saves.append(f"a cut in {_ids_text(found.alone)} would still leave the devices beyond it dead")
    names = ", ".join(pull.id for pull in spares)
    yield Finding(
        rule=NAME,
        level=Level.NOTE,
        subject=spares[0].id,
        message=f"Spare return {names}, landed in an emergency, {'; '.join(saves)}. Until then leave it unlanded",
        where=spares[0].where,
    )


def _ids_text(pulls: Sequence[Pull]) -> str:
    names = [pull.id for pull in pulls[:NAMED]]
    more = f" and {len(pulls) - NAMED} more" if len(pulls) > NAMED else ""
    return ", ".join(names) + more

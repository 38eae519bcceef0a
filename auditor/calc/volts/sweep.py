"""Large trees: currents summed towards the sources and drops away from them, all nodes at once.

In a tour that enters and leaves every node once, the nodes beyond a link stand together, so both sums
are running totals of arrays, however deep the tree. The voltages fall from the highest source
towards the solution as `flow` argues, only more slowly than by Newton's steps; near the
collapse point they are a start for them.
"""

from collections.abc import Sequence

from auditor.calc.volts.reduction import TreeReduction

FROM_NODES = 2000  # below it the arrays cost more than they save
SWEEPS = 50
SETTLED = 1e-12  # of the highest voltage: what all further sweeps together would add


def swept_drops_v(
    tree: TreeReduction, power_w: list[float], current_a: list[float], fixed_v: Sequence[float]
) -> tuple[list[float], bool] | None:
    """Drops below the highest source, and whether they have settled.

    Parameters
    ----------
    tree, power_w, current_a, fixed_v : a forest and its loads, without resistive ones

    Returns
    -------
    None: a voltage fell to zero or below; the net has no solution, and Newton's steps say where
    """
    import numpy as np

    entered, left = (np.array(places) for places in _tour(tree.parent, len(fixed_v)))
    in_tour = np.argsort(entered)
    ohm, left = np.array(tree.ohm)[in_tour], left[in_tour]
    power, current = np.array(power_w)[in_tour], np.array(current_a)[in_tour]
    highest_v = max(fixed_v)
    own_v = np.zeros(len(ohm))
    own_v[entered[: len(fixed_v)]] = [highest_v - v for v in fixed_v]
    drops_v, moved_v, settled = np.zeros(len(ohm)), 0.0, False
    so_far_a = np.zeros(len(ohm) + 1)
    for _ in range(SWEEPS):
        np.cumsum(current + power / (highest_v - drops_v), out=so_far_a[1:])
        step_v = own_v + ohm * (so_far_a[left] - so_far_a[:-1])
        next_v = np.cumsum(step_v - np.bincount(left, weights=step_v, minlength=len(so_far_a))[:-1])
        if not next_v.max() < highest_v:
            return None
        before_v, moved_v = moved_v, float(np.abs(next_v - drops_v).max())
        drops_v = next_v
        settled = moved_v**2 <= SETTLED * highest_v * (before_v - moved_v)  # sum of a geometric series
        if settled:
            break
    return drops_v[entered].tolist(), settled


def _tour(parent: list[int], roots: int) -> tuple[list[int], list[int]]:
    """When each node is entered, and when it is left: after all nodes beyond it."""
    beyond = [1] * len(parent)
    for i in range(len(parent) - 1, roots - 1, -1):
        beyond[parent[i]] += beyond[i]
    entered, free = [0] * len(parent), [0] * len(parent)
    start = 0
    for i, above in enumerate(parent):
        entered[i] = free[above] if i >= roots else start
        start += 0 if i >= roots else beyond[i]
        free[above] += beyond[i] if i >= roots else 0
        free[i] = entered[i] + 1
    return entered, [at + nodes for at, nodes in zip(entered, beyond, strict=True)]

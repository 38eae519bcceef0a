"""Steady DC voltages of a net of two-wire pulls whose loads draw by power, by current or as resistors.

Why "no solution" is a proof here, and when it is not claimed
-------------------------------------------------------------
Let V be the voltages of the nodes that are not sources. With G the conductance matrix of the pulls
(resistive loads on its diagonal) and b the currents that the sources would push into earthed nodes,
the net is

    f(V) = G V - b + I(V) = 0,    I(V) = I0 + P / V,    P >= 0, I0 >= 0, V > 0 where a load draws.

1. Every node is joined to a source, so G is a nonsingular M-matrix: its inverse has no negative
   entry. I decreases in V, so V -> G^-1 (b - I(V)) never decreases when V rises. Started above every
   solution it falls towards the highest one. This holds for trees, loops and several sources alike.
2. The start is the highest source voltage at every node: no solution lies above it, since G times it
   is at least b, and f of it is >= 0.
3. Newton's step keeps both. P / V is convex, hence for a solution V* <= V with f(V) >= 0, and J the
   derivative of f at V,  J (V - V*) >= f(V) >= 0. A matrix whose off-diagonal entries are <= 0 and
   that maps some positive vector to one that is >= 0 and not 0 (in each connected part that has
   not settled) is an M-matrix: all pivots of its elimination are positive. Then the next V, which
   solves J (V_next - V) = -f(V), satisfies V* <= V_next <= V, and f(V_next) >= 0 by convexity again.
4. So if a pivot is not positive, or a voltage is not positive where a load draws, there is no
   solution V*: that is a proof, found in tens of steps even next to the collapse point, where
   a sweep needs thousands. The limit of the falling steps is the highest solution, which is the one
   that a bus switched on at full voltage settles at.
5. All of this is exact; the machine rounds. A pivot is a sum of terms of size 1, good to about
   1e-12, and at a distance d (relative, in power) from the collapse point it is about sqrt(d).
   A pivot within `UNDECIDED` of zero, either side, therefore decides nothing: the answer is then
   "not-converged", as it is when the steps run out.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from operator import sub

from auditor.calc.volts.fed_net import FedNet
from auditor.calc.volts.net import Net
from auditor.calc.volts.reduction import TreeReduction
from auditor.calc.volts.sweep import FROM_NODES, swept_drops_v

STEPS = 100  # next to the collapse point the distance halves in each step: 1e-9 takes about 30
SETTLED = 1e-9  # of the highest source; what a step may move when it is the last
SQUARED = 1e-12  # the same for the step after it, foretold: Newton's steps shrink as a constant times m^2
UNDECIDED = 1e-7  # of a pivot: about 1e-14 in power from the collapse point
BALANCE = 1e-6  # relative, and in W below 1 W: what power in and power out may differ by


class FlowStatus(StrEnum):
    SOLVED = "solved"
    NO_SOLUTION = "no-solution"  # proven: the loads cannot be delivered at any voltage
    NOT_CONVERGED = "not-converged"  # not known: never to be shown as the one above


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """What a net settles at. Unless solved, only `reason`, `failed_at`, `unfed` and `steps` are filled."""

    status: FlowStatus
    reason: str = ""
    failed_at: str | None = None  # where the voltage cannot be held
    unfed: tuple[str, ...] = ()  # nodes that no source reaches, left out
    voltages_v: Mapping[str, float] = field(default_factory=dict)
    link_currents_a: tuple[float, ...] = ()  # in the order of `links`, positive from the first node on
    source_currents_a: Mapping[str, float] = field(default_factory=dict)
    delivered_w: float = 0.0
    loss_w: float = 0.0  # in the links
    supplied_w: float = 0.0
    lowest_v: float | None = None  # at a load; without loads, anywhere
    lowest_at: str | None = None
    steps: int = 0  # Newton's; 0: a large tree that settled by sweeps


def solve(net: Net) -> Flow:
    """The highest solution of a net, a proof that there is none, or neither.

    Parameters
    ----------
    net : any number of sources, loops allowed

    Returns
    -------
    `status` tells the three apart; see the head of this module for the proof. Nodes that no source
    reaches are named in `unfed` and left out.

    Source
    ------
    Kirchhoff's laws. Monotone Newton iteration: Ortega and Rheinboldt, Iterative Solution of
    Nonlinear Equations in Several Variables, 1970, section 13.3 (from memory).
    """
    grid = FedNet.of(net)
    outcome = _newton(grid, 1.0)
    if outcome.status is not FlowStatus.SOLVED:
        name = None if outcome.failed_at is None else grid.names[outcome.failed_at]
        return Flow(
            status=outcome.status,
            reason=outcome.reason,
            failed_at=name,
            unfed=grid.unfed,
            steps=outcome.steps,
        )
    return _flow(net, grid, outcome)


def max_deliverable_factor(net: Net) -> float:
    """The factor on all constant-power loads at which the net collapses.

    Loads of constant current and resistors stay as they are.

    Returns
    -------
    the greatest factor that has a solution, at most 1e-7 (relative) too low; below 1: the net has no
    solution as it is; 0: not even without its constant-power loads; infinity: none of them is
    behind a pull

    Source
    ------
    Bisection between a solved and a proven case; for one load the collapse is P = V^2 / (4 R).
    """
    grid = FedNet.of(net)
    if _newton(grid, 0.0).status is not FlowStatus.SOLVED:
        return 0.0
    behind_links_w = sum(grid.power_w[len(grid.fixed_v) :])
    if behind_links_w == 0:
        return math.inf
    low, high = 0.0, _most_w(net) / behind_links_w
    while high - low > 1e-7 * high:
        middle = (low + high) / 2
        if _newton(grid, middle).status is FlowStatus.SOLVED:
            low = middle
        else:
            high = middle
    return low


def _most_w(net: Net) -> float:
    """More than the links at the sources can pass on: V^2 / (4 R) each."""
    ends = [(name, ohm) for a, b, ohm in net.links for name in (a, b) if name in net.sources]
    return 1.001 * sum(net.sources[name] ** 2 / (4 * ohm) for name, ohm in ends)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Outcome:
    status: FlowStatus
    reason: str = ""
    failed_at: int | None = None
    drops_v: list[float] = field(default_factory=list)
    steps: int = 0


def _newton(grid: FedNet, factor: float) -> _Outcome:
    """Newton's steps from above with the constant-power loads times `factor`.

    It works in drops below the highest source, so that a drop of microvolts keeps all its digits.
    """
    power_w = grid.power_w if factor == 1 else [p * factor for p in grid.power_w]
    highest_v = max(grid.fixed_v)
    fixed_drops_v = [highest_v - v for v in grid.fixed_v]
    unpowered_a = [-i - g * highest_v for i, g in zip(grid.current_a, grid.siemens, strict=True)]
    drops_v, moved_v = [0.0] * len(power_w), 0.0
    swept = _swept(grid, power_w)
    if swept is not None:
        drops_v, settled = swept
        if settled:
            return _Outcome(status=FlowStatus.SOLVED, drops_v=drops_v)
    for step in range(1, STEPS + 1):
        volts = [highest_v - drop for drop in drops_v]
        slope = [g - p / (v * v) for g, p, v in zip(grid.siemens, power_w, volts, strict=True)]
        offset = [
            i + p / v * (highest_v / v - 2) for i, p, v in zip(unpowered_a, power_w, volts, strict=True)
        ]
        next_v, pivots = grid.reduction.step(slope, offset, fixed_drops_v)
        lowest_pivot, deepest_v = min(pivots), max(next_v, default=math.inf)
        if not (next_v and deepest_v < highest_v):
            at = next_v.index(deepest_v) if next_v else pivots.index(lowest_pivot)
            if lowest_pivot < -UNDECIDED or (next_v and lowest_pivot > UNDECIDED):
                return _Outcome(status=FlowStatus.NO_SOLUTION, reason=_NONE, failed_at=at, steps=step)
            return _Outcome(status=FlowStatus.NOT_CONVERGED, reason=_TOO_NEAR, failed_at=at, steps=step)
        before_v, moved_v = moved_v, max(map(abs, map(sub, next_v, drops_v)))
        drops_v = next_v
        if moved_v <= SETTLED * highest_v or moved_v**3 <= SQUARED * highest_v * before_v**2:
            return _Outcome(status=FlowStatus.SOLVED, drops_v=drops_v, steps=step)
    return _Outcome(status=FlowStatus.NOT_CONVERGED, reason=_STEPS_OUT, steps=STEPS)


def _swept(grid: FedNet, power_w: list[float]) -> tuple[list[float], bool] | None:
    if len(power_w) < FROM_NODES or not isinstance(grid.reduction, TreeReduction) or any(grid.siemens):
        return None
    return swept_drops_v(grid.reduction, power_w, grid.current_a, grid.fixed_v)


_NONE = "the loads draw more than the pulls can carry at any voltage"
_TOO_NEAR = (
    "the loads are so near the most that the pulls can carry that rounding decides; no answer is given"
)
_STEPS_OUT = f"the voltages had not settled after {STEPS} steps; no answer is given"


def _flow(net: Net, grid: FedNet, outcome: _Outcome) -> Flow:
    drops_v, highest_v = outcome.drops_v, max(grid.fixed_v)
    at_v = [highest_v - drop for drop in drops_v]
    currents = tuple(
        [
            (drops_v[b] - drops_v[a]) / ohm if a >= 0 else 0.0
            for a, b, (_, _, ohm) in zip(grid.near, grid.far, net.links, strict=True)
        ]
    )
    drawn = zip(grid.power_w, grid.current_a, grid.siemens, at_v, strict=True)
    at_nodes_w = [p + i * v + g * v * v for p, i, g, v in drawn]
    from_sources_a = [watts / v for watts, v in zip(at_nodes_w, grid.fixed_v, strict=False)]
    sources = len(from_sources_a)
    for a, b, current in zip(grid.near, grid.far, currents, strict=True):
        if 0 <= a < sources:
            from_sources_a[a] += current
        if 0 <= b < sources:
            from_sources_a[b] -= current
    delivered_w = sum(at_nodes_w)
    loss_w = sum([i * i * r for i, (_, _, r) in zip(currents, net.links, strict=True)])
    supplied_w = sum([v * i for v, i in zip(grid.fixed_v, from_sources_a, strict=True)])
    if not abs(supplied_w - delivered_w - loss_w) <= BALANCE * max(1.0, delivered_w + loss_w):
        return Flow(
            status=FlowStatus.NOT_CONVERGED, reason=_UNBALANCED, unfed=grid.unfed, steps=outcome.steps
        )
    volts = dict(zip(grid.names, at_v, strict=True))
    loaded = [name for name in net.loads if name in volts] if grid.unfed else net.loads
    lowest_at = min(loaded or volts, key=volts.__getitem__)
    return Flow(
        status=FlowStatus.SOLVED,
        unfed=grid.unfed,
        voltages_v=volts,
        link_currents_a=currents,
        source_currents_a=dict(zip(net.sources, from_sources_a, strict=True)),
        delivered_w=delivered_w,
        loss_w=loss_w,
        supplied_w=supplied_w,
        lowest_v=volts[lowest_at],
        lowest_at=lowest_at,
        steps=outcome.steps,
    )


_UNBALANCED = "power in and power out do not balance, the resistances are too far apart; no answer is given"

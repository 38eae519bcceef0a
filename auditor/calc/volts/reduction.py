"""One linearised solve of a resistive network by eliminating its nodes, with every pivot looked at.

Each node's load is the line `drawn current = offset + slope x potential`. A node is taken out by the
star-mesh transformation, which adds and divides what is positive and never subtracts nearly equal
numbers, so that a very short pull beside a very long one costs no digits. A pivot is given as a
fraction of what it would be without load: 1 at no load, 0 where the network can carry no more.
"""

import heapq
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

Step = tuple[list[float], list[float]]  # potentials, pivots


class Reduction(Protocol):
    """A network made ready to be solved many times. Nodes are numbered, those of fixed potential first."""

    def step(self, slope: list[float], offset: list[float], fixed: Sequence[float]) -> Step:
        """Potentials and pivots of all nodes (the pivot of a node of fixed potential is 1).

        It stops at the first pivot that is not above zero; the potentials are then empty. `slope` and
        `offset` are used up.
        """


@dataclass(frozen=True, slots=True)
class TreeReduction:
    """A forest whose roots are the nodes of fixed potential; parents stand before their children."""

    parent: list[int]
    ohm: list[float]  # of the link to the parent; roots: 0

    def step(self, slope: list[float], offset: list[float], fixed: Sequence[float]) -> Step:
        parent, ohm, roots = self.parent, self.ohm, len(fixed)
        pivots = [1.0] * len(parent)
        for i in range(len(parent) - 1, roots - 1, -1):
            s = slope[i]
            pivot = 1 + ohm[i] * s
            pivots[i] = pivot
            if not pivot > 0:
                return [], pivots
            above = parent[i]
            slope[above] += s / pivot
            offset[above] += offset[i] / pivot
        potentials = list(fixed)
        for i in range(roots, len(parent)):
            potentials.append((potentials[parent[i]] - ohm[i] * offset[i]) / pivots[i])
        return potentials, pivots


@dataclass(frozen=True, slots=True)
class MeshReduction:
    """Any network: the nodes are taken out in order of least degree."""

    siemens: list[float]  # of each pair of joined nodes, then 0 for each pair that elimination joins
    order: list[int] = field(default_factory=list)
    # of each node in `order`: its neighbours as (node, pair); which pairs gain, as (pair, pair, gaining pair)
    neighbours: list[list[tuple[int, int]]] = field(default_factory=list)
    gains: list[list[tuple[int, int, int]]] = field(default_factory=list)

    def step(self, slope: list[float], offset: list[float], fixed: Sequence[float]) -> Step:
        siemens = list(self.siemens)
        pivots = [1.0] * len(slope)
        totals: list[float] = []
        for i, neighbours, gains in zip(self.order, self.neighbours, self.gains, strict=True):
            unloaded = sum([siemens[pair] for _, pair in neighbours])
            total = unloaded + slope[i]
            pivots[i] = total / unloaded
            if not total > 0:
                return [], pivots
            totals.append(total)
            for j, pair in neighbours:
                share = siemens[pair] / total
                slope[j] += share * slope[i]
                offset[j] += share * offset[i]
            for a, b, gaining in gains:
                siemens[gaining] += siemens[a] * siemens[b] / total
        potentials = list(fixed) + [0.0] * (len(slope) - len(fixed))
        for i, neighbours, total in zip(
            reversed(self.order), reversed(self.neighbours), reversed(totals), strict=True
        ):
            potentials[i] = (
                sum([siemens[pair] * potentials[j] for j, pair in neighbours]) - offset[i]
            ) / total
        return potentials, pivots


def mesh_reduction(nodes: int, fixed: int, links: Sequence[tuple[int, int, float]]) -> MeshReduction:
    """Plans the elimination of a network.

    Parameters
    ----------
    nodes, fixed : number of nodes, the first `fixed` of which have a fixed potential
    links : node, node, resistance [ohm] > 0; parallel links allowed. Every node must be joined to a
        fixed one.
    """
    joined: list[dict[int, int]] = [{} for _ in range(nodes)]  # neighbour -> pair
    siemens: list[float] = []
    for a, b, ohm in links:
        if a == b or (a < fixed and b < fixed):
            continue
        pair = _pair_number(joined, a, b, siemens)
        siemens[pair] += 1 / ohm
    plan = MeshReduction(siemens)
    queue = [(len(joined[i]), i) for i in range(fixed, nodes)]
    heapq.heapify(queue)
    gone = [False] * nodes
    while queue:
        degree, i = heapq.heappop(queue)
        if gone[i] or degree != len(joined[i]):
            continue
        gone[i] = True
        _take_out(i, fixed, joined, plan)
        for j in joined[i]:
            if j >= fixed:
                heapq.heappush(queue, (len(joined[j]), j))
    return plan


def _take_out(i: int, fixed: int, joined: list[dict[int, int]], plan: MeshReduction) -> None:
    neighbours = list(joined[i].items())
    gains = []
    for at, (j, pair_j) in enumerate(neighbours):
        del joined[j][i]
        for k, pair_k in neighbours[:at]:
            if j >= fixed or k >= fixed:
                gains.append((pair_j, pair_k, _pair_number(joined, j, k, plan.siemens)))
    plan.order.append(i)
    plan.neighbours.append(neighbours)
    plan.gains.append(gains)


def _pair_number(joined: list[dict[int, int]], a: int, b: int, siemens: list[float]) -> int:
    pair = joined[a].get(b)
    if pair is None:
        pair = len(siemens)
        siemens.append(0.0)
        joined[a][b] = joined[b][a] = pair
    return pair

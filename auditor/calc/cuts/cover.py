"""The cheapest reels that are long enough in sum, in exact whole numbers: what no cut list can beat."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction

from auditor.calc.cuts.problem import CutProblem, PlanValue

NODES = 50_000  # combinations looked at before a cover search gives up
FINEST = 2**18  # reels of more units are not searched for their fullest cut
NEVER = PlanValue(2**62, 0)


def fillable(demand: Iterable[tuple[int, int]], capacity: int) -> int:
    """The fullest that pieces of these (length, count) can make one reel; `capacity` if that is too fine."""
    if capacity > FINEST:
        return capacity
    mask, full = (1 << (capacity + 1)) - 1, 1 << capacity
    reach = 1
    for length, count in demand:
        for _ in range(min(count, capacity // length)):
            reach |= (reach << length) & mask
        if reach & full:
            return capacity
    return reach.bit_length() - 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Cover:
    """Sets of reels long enough for all pieces together, at the least value above a given one."""

    value: PlanValue
    reels: tuple[tuple[int, ...], ...]  # kind numbers; several sets of the same value
    complete: bool  # False: the search gave up; `value` holds, but there may be more sets


@dataclass(slots=True)
class _CoverSearch:
    """Branch and bound over how many reels of each bought kind to take, best price per length first."""

    lengths: list[int]
    costs: list[int]
    shelf: list[int]  # lengths, longest first
    above: PlanValue
    best: PlanValue = NEVER
    found: list[tuple[tuple[int, ...], int]] = field(default_factory=list)  # bought counts, shelf reels
    nodes: int = 0

    def floor(self, at: int, need: int, cost: int, reels: int) -> PlanValue:
        """No completion by the kinds from `at` on can be better."""
        if need <= 0:
            return PlanValue(cost, reels)
        price = self.costs[at] * need
        return PlanValue(cost - (-price // self.lengths[at]), reels - (-need // max(self.lengths[at:])))

    def run(self, at: int, need: int, cost: int, counts: tuple[int, ...]) -> None:
        self.nodes += 1
        if self.nodes > NODES:
            return
        if at == len(self.lengths):
            self.leaf(need, cost, counts)
            return
        price, length = self.costs[at], self.lengths[at]
        most = max(0, -(-need // length), (self.above.cost - cost) // price + 1)
        for count in range(most, -1, -1):
            rest = need - count * length
            if at + 1 == len(self.lengths) and rest > 0:
                break
            floor = self.floor(at + 1, rest, cost + count * price, sum(counts) + count)
            if rest > 0 and floor.cost > self.best.cost:
                break
            if floor <= self.best:
                self.run(at + 1, rest, cost + count * price, (*counts, count))

    def leaf(self, need: int, cost: int, counts: tuple[int, ...]) -> None:
        bought, missing, used = sum(counts), need + sum(self.shelf), 0
        while missing > 0 or PlanValue(cost, bought + used) <= self.above:
            if used == len(self.shelf):
                return
            missing -= self.shelf[used]
            used += 1
        value = PlanValue(cost, bought + used)
        if value < self.best:
            self.best, self.found = value, []
        if value == self.best:
            self.found.append((counts, used))


def least_cover(cutting: CutProblem, above: PlanValue) -> Cover | None:
    """The cheapest reels that are long enough in sum, among those worth more than `above`.

    Every plan is a cover, so its value bounds every plan that is not worth `above` or less. Lengths count
    only as far as pieces can fill them. None: no such cover was found.
    """
    demand = sorted(cutting.demand.items())
    reach = [fillable(demand, kind.length) for kind in cutting.kinds]
    ranked = sorted(
        (n for n in cutting.bought() if reach[n]),
        key=lambda n: (Fraction(cutting.kinds[n].cost, reach[n]), -reach[n]),
    )
    shelf = sorted((n for n in cutting.shelf() if reach[n]), key=lambda n: -reach[n])
    search = _CoverSearch(
        lengths=[reach[n] for n in ranked],
        costs=[cutting.kinds[n].cost for n in ranked],
        shelf=[reach[n] for n in shelf],
        above=above,
    )
    start = cutting.total - sum(search.shelf)
    search.run(0, start, 0, ())
    complete = search.nodes <= NODES
    if not complete or not search.found:
        floor = search.floor(0, start, 0, 0) if ranked else PlanValue(0, 0)
        return Cover(value=max(floor, above), reels=(), complete=False) if not complete else None
    sets = tuple(
        tuple(n for n, count in zip(ranked, counts, strict=True) for _ in range(count)) + tuple(shelf[:used])
        for counts, used in search.found
    )
    return Cover(value=search.best, reels=sets, complete=True)

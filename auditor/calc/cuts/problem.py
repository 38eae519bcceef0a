"""The cut-list problem in whole numbers, and the plans its solvers hand each other."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple


@dataclass(frozen=True, slots=True)
class ReelKind:
    """Reels of one length: bought (`limit` None) or so many on the shelf (cost 0)."""

    length: int
    cost: int
    limit: int | None = None


class FilledReel(NamedTuple):
    """One reel of a plan: its kind's number and the lengths cut from it, longest first."""

    kind: int
    cuts: tuple[int, ...]


class PlanValue(NamedTuple):
    """What a plan is judged by, in this order."""

    cost: int
    reels: int


@dataclass(frozen=True, slots=True)
class CutProblem:
    """Lengths wanted (longest first, each with its count) and the kinds of reel to cut them from."""

    demand: Mapping[int, int]
    kinds: tuple[ReelKind, ...]

    @property
    def total(self) -> int:
        return sum(length * count for length, count in self.demand.items())

    @property
    def pieces(self) -> int:
        return sum(self.demand.values())

    def bought(self) -> list[int]:
        return [number for number, kind in enumerate(self.kinds) if kind.limit is None]

    def shelf(self) -> list[int]:
        """Kind numbers of the shelf's reels, one entry a reel, longest first."""
        reels = [n for n, kind in enumerate(self.kinds) for _ in range(kind.limit or 0)]
        return sorted(reels, key=lambda n: -self.kinds[n].length)

    def value(self, plan: list[FilledReel]) -> PlanValue:
        return PlanValue(sum(self.kinds[reel.kind].cost for reel in plan), len(plan))

    def with_demand(self, demand: Mapping[int, int], used: Mapping[int, int]) -> "CutProblem":
        """What is left to solve when some lengths are cut and some shelf reels are used."""
        kinds = (
            kind if kind.limit is None else ReelKind(kind.length, kind.cost, kind.limit - used.get(n, 0))
            for n, kind in enumerate(self.kinds)
        )
        return CutProblem({w: c for w, c in demand.items() if c}, tuple(kinds))

    def keeps(self, plan: list[FilledReel]) -> bool:
        """Whether a plan cuts exactly what is wanted from reels that are there."""
        cut: dict[int, int] = {}
        used: dict[int, int] = {}
        for reel in plan:
            used[reel.kind] = used.get(reel.kind, 0) + 1
            if sum(reel.cuts) > self.kinds[reel.kind].length:
                return False
            for length in reel.cuts:
                cut[length] = cut.get(length, 0) + 1
        limits = ((self.kinds[n].limit, count) for n, count in used.items())
        return cut == dict(self.demand) and all(limit is None or n <= limit for limit, n in limits)

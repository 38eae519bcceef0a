"""Exact search: can these pieces be cut from exactly these reels? With a proof when they cannot.

The longest piece left goes on some reel; every way to fill that reel up is tried, the fullest first. What
all reels together have to spare is all that may be wasted, which prunes hard when reels are scarce.
"""

import time
from collections.abc import Iterator, Sequence

from auditor.calc.cuts.problem import CutProblem, FilledReel


class OutOfNodesError(Exception):
    """The search was given up before it was finished."""


def exact(cutting: CutProblem, reels: Sequence[int], nodes: int, deadline: float) -> list[FilledReel] | None:
    """A plan on these reels, or None: proven that there is none.

    Parameters
    ----------
    reels : kind numbers, one a reel
    nodes : steps before the search gives up
    deadline : time.perf_counter() at which it gives up, too

    Raises
    ------
    OutOfNodesError : neither found nor proven
    """
    count: dict[int, int] = {}
    for number in reels:
        count[number] = count.get(number, 0) + 1
    return _ReelSearch(cutting, count, nodes, deadline).run()


class _ReelSearch:
    def __init__(self, cutting: CutProblem, reels: dict[int, int], nodes: int, deadline: float) -> None:
        self.lengths = sorted(cutting.demand, reverse=True)
        self.left = [cutting.demand[length] for length in self.lengths]
        self.kinds = sorted(reels, key=lambda n: cutting.kinds[n].length)
        self.rooms = [cutting.kinds[n].length for n in self.kinds]
        self.reels = [reels[n] for n in self.kinds]
        self.nodes, self.deadline = nodes, deadline
        self.plan: list[FilledReel] = []
        self.dead: set[tuple[int, ...]] = set()
        self.spare = sum(cutting.kinds[n].length * c for n, c in reels.items()) - cutting.total

    def run(self) -> list[FilledReel] | None:
        return self.plan if self.spare >= 0 and self.place(self.spare) else None

    def place(self, spare: int) -> bool:
        first = next((at for at, count in enumerate(self.left) if count), None)
        if first is None:
            return True
        state = (*self.left, *self.reels)
        if state in self.dead:
            return False
        if self.nodes <= 0 or time.perf_counter() > self.deadline:
            raise OutOfNodesError
        self.nodes -= 1
        for waste, kind, cuts in sorted(self.options(first, spare)):
            if self.use(kind, cuts, spare - waste):
                return True
        self.dead.add(state)
        return False

    def use(self, kind: int, cuts: tuple[int, ...], spare: int) -> bool:
        """Goes on with one reel filled; takes it back when that leads nowhere."""
        self.reels[kind] -= 1
        for at in cuts:
            self.left[at] -= 1
        self.plan.append(FilledReel(self.kinds[kind], tuple(self.lengths[at] for at in cuts)))
        if self.place(spare):
            return True
        self.plan.pop()
        self.reels[kind] += 1
        for at in cuts:
            self.left[at] += 1
        return False

    def options(self, first: int, spare: int) -> Iterator[tuple[int, int, tuple[int, ...]]]:
        """Every full cut that starts with the longest piece left: (waste, reel, piece numbers)."""
        self.left[first] -= 1
        reach = self.reach(first)
        for kind, count in enumerate(self.reels):
            room = self.rooms[kind] - self.lengths[first]
            if count and room >= 0:
                for waste, cuts in self.fillings(first, room, spare, reach):
                    yield waste, kind, (first, *cuts)
        self.left[first] += 1

    def reach(self, first: int) -> list[int]:
        """For every piece number, the sums (as bits) that pieces from there on can make."""
        room = self.rooms[-1] - self.lengths[first]
        mask, sums = (1 << (max(0, room) + 1)) - 1, [1] * (len(self.lengths) + 1)
        for at in range(len(self.lengths) - 1, first - 1, -1):
            bits = sums[at + 1]
            for _ in range(min(self.left[at], room // self.lengths[at])):
                bits |= (bits << self.lengths[at]) & mask
            sums[at] = bits
        return sums

    def fillings(
        self, at: int, room: int, spare: int, reach: list[int]
    ) -> Iterator[tuple[int, tuple[int, ...]]]:
        """Sets of pieces from number `at` on that leave no room for another and waste at most `spare`."""
        if not (reach[at] & ((1 << (room + 1)) - 1)) >> max(0, room - spare):
            return
        while at < len(self.lengths) and (self.lengths[at] > room or not self.left[at]):
            at += 1
        if at == len(self.lengths):
            self.nodes -= 1
            if self.nodes <= 0:
                raise OutOfNodesError
            yield room, ()
            return
        self.left[at] -= 1
        for waste, cuts in self.fillings(at, room - self.lengths[at], spare, reach):
            yield waste, (at, *cuts)
        self.left[at] += 1
        for waste, cuts in self.fillings(at + 1, room, spare, reach):
            if waste < self.lengths[at]:
                yield waste, cuts

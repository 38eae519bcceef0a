"""Every way to lay small cut lists on reels, the pieces group by group: the best there is, proven."""

import time
from collections import Counter
from contextlib import suppress
from dataclasses import dataclass, field

from auditor.calc.cuts.grouped import Cut, GroupedReel, GroupedValue, by_group, grouped_value
from auditor.calc.cuts.problem import CutProblem
from auditor.calc.cuts.search import OutOfNodesError


def exactly_grouped(
    cutting: CutProblem, best: list[GroupedReel], nodes: int, deadline: float
) -> list[GroupedReel]:
    """The plan of the least value among all that cost no more than `best` and have no more reels; the best so
    far where so many steps, or the time until the deadline, do not do.
    """
    groups = by_group(sorted((cut for reel in best for cut in reel.cuts), reverse=True))
    ranked = sorted(groups, key=lambda group: (-sum(groups[group]), group))
    cuts = [Cut(length, group) for group in ranked for length in groups[group]]
    value = grouped_value(cutting, best)
    search = _Search(
        cutting=cutting, cuts=cuts, ahead=_ahead(cuts), best=best, value=value, nodes=nodes, deadline=deadline
    )
    with suppress(OutOfNodesError):
        search.place(0, 0, 0)
    return search.best


@dataclass(slots=True, kw_only=True)
class _Search:
    cutting: CutProblem
    cuts: list[Cut]
    ahead: list[tuple[int, int]]
    best: list[GroupedReel]
    nodes: int
    deadline: float
    value: GroupedValue
    kinds: list[int] = field(default_factory=list)  # of the reels opened
    rooms: list[int] = field(default_factory=list)
    laid: list[list[Cut]] = field(default_factory=list)
    seen: dict[tuple[object, ...], int] = field(default_factory=dict)

    def place(self, at: int, cost: int, pairs: int) -> None:
        """Lays the pieces from number `at` on in every way that can still be the best."""
        self.nodes -= 1
        if self.nodes < 0 or time.perf_counter() > self.deadline:
            raise OutOfNodesError
        if at == len(self.cuts):
            self.value = GroupedValue(cost, len(self.kinds), pairs, -max(self.rooms))
            self.best = [GroupedReel(k, tuple(c)) for k, c in zip(self.kinds, self.laid, strict=True)]
            return
        if not self._known(at, cost, pairs):
            for reel in self._choices(at):
                self._lay(at, reel, cost, pairs)

    def _known(self, at: int, cost: int, pairs: int) -> bool:
        """Whether the same was reached before, with as few pairs."""
        group = self.cuts[at].group
        reels = zip(self.kinds, self.rooms, self.laid, strict=True)
        state = (at, cost, *sorted((kind, room, laid[-1].group == group) for kind, room, laid in reels))
        known = self.seen.get(state)
        if known is not None and known <= pairs:
            return True
        self.seen[state] = pairs
        return False

    def _choices(self, at: int) -> list[int]:
        """Reels that hold the piece, one of those alike: the fullest that has its group first."""
        length, group = self.cuts[at]
        alike: dict[tuple[bool, int], int] = {}
        for reel, room in enumerate(self.rooms):
            if room >= length:
                alike.setdefault((self.laid[reel][-1].group != group, room), reel)
        used = Counter(self.kinds)
        opened = [
            -1 - number
            for number, kind in enumerate(self.cutting.kinds)
            if kind.length >= length and (kind.limit is None or used[number] < kind.limit)
        ]
        return [alike[key] for key in sorted(alike)] + opened

    def _lay(self, at: int, reel: int, cost: int, pairs: int) -> None:
        cut, opened = self.cuts[at], reel < 0
        if opened:
            kind = self.cutting.kinds[-1 - reel]
            cost += kind.cost
            self.kinds.append(-1 - reel)
            self.rooms.append(kind.length)
            self.laid.append([])
            reel = len(self.kinds) - 1
        pairs += not self.laid[reel] or self.laid[reel][-1].group != cut.group
        self.rooms[reel] -= cut.length
        self.laid[reel].append(cut)
        if self._can_be_best(at + 1, cost, pairs):
            self.place(at + 1, cost, pairs)
        self.laid[reel].pop()
        self.rooms[reel] += cut.length
        if opened:
            for each in (self.kinds, self.rooms, self.laid):
                each.pop()

    def _can_be_best(self, at: int, cost: int, pairs: int) -> bool:
        to_come, rest = self.ahead[at]
        known, value = self.value[:3], (cost, len(self.kinds), pairs + to_come)
        if value == known:
            return -max(self.rooms) < self.value.full
        longest = max(kind.length for kind in self.cutting.kinds)
        room = sum(self.rooms) + max(0, self.value.reels - len(self.kinds)) * longest
        return value < known and room >= rest


def _ahead(cuts: list[Cut]) -> list[tuple[int, int]]:
    """For every piece number, how many groups begin from there on, and the length of the pieces from there on."""
    ahead = [(0, 0)]
    for at in range(len(cuts) - 1, -1, -1):
        begins = at > 0 and cuts[at - 1].group != cuts[at].group
        ahead.append((ahead[-1][0] + begins, ahead[-1][1] + cuts[at].length))
    return ahead[::-1]

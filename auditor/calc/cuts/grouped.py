"""Plans in which every piece has its group, and what they are judged by."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from auditor.calc.cuts.problem import CutProblem, FilledReel


class Cut(NamedTuple):
    """One piece on a reel; pieces of one length and group are alike."""

    length: int
    group: str


class GroupedReel(NamedTuple):
    """One reel of a plan: its kind's number and the pieces cut from it."""

    kind: int
    cuts: tuple[Cut, ...]

    @property
    def used(self) -> int:
        return sum(cut.length for cut in self.cuts)

    @property
    def groups(self) -> frozenset[str]:
        return frozenset(cut.group for cut in self.cuts)


class GroupedValue(NamedTuple):
    """What a plan with groups is judged by, in this order; less is better."""

    cost: int
    reels: int
    pairs: int  # (reel, group): on how many reels each group stands, in sum
    full: int  # the longest offcut, negative


def grouped_value(cutting: CutProblem, plan: Sequence[GroupedReel]) -> GroupedValue:
    return GroupedValue(
        cost=sum(cutting.kinds[reel.kind].cost for reel in plan),
        reels=len(plan),
        pairs=pairs(plan),
        full=-max((spare(cutting, reel) for reel in plan), default=0),
    )


def pairs(plan: Iterable[GroupedReel]) -> int:
    return sum(len(reel.groups) for reel in plan)


def spare(cutting: CutProblem, reel: GroupedReel) -> int:
    return cutting.kinds[reel.kind].length - reel.used


def fewest_pairs(cutting: CutProblem, reels: int, cuts: Iterable[Cut]) -> int:
    """No plan on so many reels has fewer (reel, group) pairs."""
    longest = max(kind.length for kind in cutting.kinds)
    return max(reels, sum(-(-sum(lengths) // longest) for lengths in by_group(cuts).values()))


def by_group(cuts: Iterable[Cut]) -> dict[str, list[int]]:
    """The lengths of each group, in the order of the cuts."""
    groups: dict[str, list[int]] = {}
    for cut in cuts:
        groups.setdefault(cut.group, []).append(cut.length)
    return groups


def with_groups(plan: Sequence[FilledReel], cuts: Iterable[Cut]) -> list[GroupedReel]:
    """A plan of lengths, a group given to each: one that is on the reel already, where there is such a piece."""
    waiting: dict[int, list[str]] = {}
    for cut in sorted(cuts, reverse=True):
        waiting.setdefault(cut.length, []).append(cut.group)
    reels = []
    for reel in plan:
        chosen: list[Cut] = []
        for length in reel.cuts:
            there = {cut.group for cut in chosen}
            group = next((each for each in waiting[length] if each in there), waiting[length][-1])
            waiting[length].remove(group)
            chosen.append(Cut(length, group))
        reels.append(GroupedReel(reel.kind, tuple(chosen)))
    return reels


def without_groups(plan: Iterable[GroupedReel]) -> list[FilledReel]:
    return [FilledReel(reel.kind, tuple(cut.length for cut in reel.cuts)) for reel in plan]

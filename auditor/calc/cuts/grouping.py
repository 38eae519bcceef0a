"""Fewer reels for each group of pieces, at the cost and the number of reels that a plan has.

Reels are filled one after another with whole groups and as few parts of groups as possible, all of them first,
then some that share groups, again and again; small plans are searched through. Seeded, so the same every time.
"""

import math
import random
import time
from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import accumulate

from auditor.calc.cuts.fill import counted, packed
from auditor.calc.cuts.group_exact import exactly_grouped
from auditor.calc.cuts.group_fill import GroupFill
from auditor.calc.cuts.grouped import (
    Cut,
    GroupedReel,
    by_group,
    fewest_pairs,
    grouped_value,
    pairs,
    spare,
    with_groups,
)
from auditor.calc.cuts.problem import CutProblem

NODES, MOST_SEARCHED = 3_000, 24  # steps of the exact search, and pieces with which it is tried
OFFERED = 48  # pieces offered to one reel; more cost time
MOST_PARTS = 3
STARTS, FEWEST_STARTS, FILLED_BY_STARTS = 12, 2, 600  # and how many reels they fill together
PACK_ROUNDS = 12
ROUNDS_A_REEL, MOST_ROUNDS = 6, 300
SHARES = (1.0, 4.0, math.inf, 0.0)  # how often the mean of what is wasted one reel may waste
PASSES, CANDIDATES = 3, 3


def fewer_reels_a_group(cutting: CutProblem, plan: list[GroupedReel], deadline: float) -> list[GroupedReel]:
    """A plan worth no more than the given one: its groups on fewer reels, then the longest offcut longer.

    Parameters
    ----------
    deadline : time.perf_counter() after which the best so far is given
    """
    cuts = [cut for reel in plan for cut in reel.cuts]
    if len({cut.group for cut in cuts}) < 2 or len(plan) < 2:
        return plan
    least = fewest_pairs(cutting, len(plan), cuts)
    found = [plan]
    for each in _steps(cutting, plan, cuts, deadline):
        found.append(each)
        if pairs(each) == least or time.perf_counter() > deadline:
            break
    best = _longest_offcut(cutting, min(found, key=lambda p: grouped_value(cutting, p)), deadline)
    return exactly_grouped(cutting, best, NODES, deadline) if len(cuts) <= MOST_SEARCHED else best


def _steps(
    cutting: CutProblem, plan: list[GroupedReel], cuts: list[Cut], deadline: float
) -> Iterable[list[GroupedReel]]:
    """Plans on the same reels, each with as few pairs as the best before it."""
    chance = random.Random(len(cuts))
    best = plan
    for start in range(max(FEWEST_STARTS, min(STARTS, FILLED_BY_STARTS // len(plan)))):
        if time.perf_counter() > deadline:
            return
        order = sorted(range(len(plan)), key=lambda n: -cutting.kinds[plan[n].kind].length)
        made = _laid_anew(cutting, [plan[n].kind for n in order], cuts, SHARES[start % len(SHARES)], chance)
        if made is not None and pairs(made) < pairs(best):
            best = made
            yield best
    for turn in range(min(MOST_ROUNDS, ROUNDS_A_REEL * len(plan))):
        if time.perf_counter() > deadline:
            return
        before = pairs(best)
        best = _some_laid_anew(cutting, best, chance, turn)
        if pairs(best) < before:
            yield best


def _some_laid_anew(
    cutting: CutProblem, plan: list[GroupedReel], chance: random.Random, turn: int
) -> list[GroupedReel]:
    """A few reels that share groups, laid anew where that takes no more pairs."""
    first = chance.randrange(len(plan))
    shared = [len(reel.groups & plan[first].groups) for reel in plan]
    ranked = sorted((n for n in range(len(plan)) if n != first), key=lambda n: (-shared[n], chance.random()))
    chosen = [first, *ranked[: 1 + turn % 3]]
    chance.shuffle(chosen)
    old = [plan[n] for n in chosen]
    cuts = [cut for reel in old for cut in reel.cuts]
    new = _laid_anew(cutting, [reel.kind for reel in old], cuts, SHARES[turn % len(SHARES)], chance)
    if new is None or pairs(new) > pairs(old):
        return plan
    return [reel for n, reel in enumerate(plan) if n not in chosen] + new


def _laid_anew(
    cutting: CutProblem, kinds: Sequence[int], cuts: list[Cut], share: float, chance: random.Random
) -> list[GroupedReel] | None:
    """These pieces on reels of these kinds, filled in their order, the last ones whatever the groups where there
    is no other way; None: some are left over.

    Parameters
    ----------
    share : how often the mean of what is wasted one reel may waste for fewer parts
    """
    left = _shuffled(by_group(cuts), chance)
    rooms = [cutting.kinds[kind].length for kind in kinds]
    waste = sum(rooms) - sum(cut.length for cut in cuts)
    one_wastes = waste * min(1.0, share / len(kinds))
    plan: list[GroupedReel] = []
    for kind, room in zip(kinds, rooms, strict=True):
        taken = _filled(room, left, room - min(waste, int(one_wastes)), room - waste)
        if taken is None:
            return _rest_packed(cutting, kinds, cuts, plan)
        waste -= room - sum(cut.length for cut in taken)
        plan.append(GroupedReel(kind, tuple(sorted(taken, reverse=True))))
    return [reel for reel in plan if reel.cuts]


def _rest_packed(
    cutting: CutProblem, kinds: Sequence[int], cuts: list[Cut], begun: list[GroupedReel]
) -> list[GroupedReel] | None:
    """As many of the reels begun as can be kept when the others hold the rest."""
    back = 4  # reels
    while begun:
        begun = begun[:-back]
        rest = list((Counter(cuts) - Counter(cut for reel in begun for cut in reel.cuts)).elements())
        lengths = counted(sorted((cut.length for cut in rest), reverse=True))
        packing = CutProblem(lengths, cutting.kinds)
        packed_plan = packed(packing, kinds[len(begun) :], PACK_ROUNDS, math.inf)
        if packed_plan is not None:
            return [reel for reel in begun if reel.cuts] + with_groups(packed_plan, rest)
        back *= 2
    return None


def _shuffled(groups: dict[str, list[int]], chance: random.Random) -> dict[str, list[int]]:
    names = sorted(groups)
    chance.shuffle(names)
    return {name: sorted(groups[name], reverse=True) for name in names}


def _filled(room: int, left: dict[str, list[int]], wanted: int, least: int) -> tuple[Cut, ...] | None:
    """Pieces for one reel, taken out of `left`: as few groups in parts as fill it as wanted, else at least."""
    fill = GroupFill(room, _offered(room, left), MOST_PARTS)
    cuts = _in_fewest_parts(fill, wanted) or _in_fewest_parts(fill, least)
    for length, group in cuts or ():
        left[group].remove(length)
    for group in sorted({cut.group for cut in cuts or ()}):
        lengths = left.pop(group)
        if lengths:
            left[group] = lengths  # begun: offered first to the next reel
    return cuts


def _in_fewest_parts(fill: GroupFill, floor: int) -> tuple[Cut, ...] | None:
    for parts in range(MOST_PARTS + 1):
        if fill.most(parts) >= floor:
            cuts = fill.fullest(parts)
            if sum(cut.length for cut in cuts) >= floor:
                return cuts
    return None


def _offered(room: int, left: dict[str, list[int]]) -> dict[str, list[int]]:
    """The groups that stand last, those already begun among them, as far as they can be of use."""
    names = list(reversed(left))
    counts = accumulate(len(left[name]) for name in names)
    lengths = accumulate(sum(left[name]) for name in names)
    kept = [
        name
        for name, count, length in zip(names, counts, lengths, strict=True)
        if count <= OFFERED or length <= 2 * room or name == names[0]
    ]
    return {name: left[name] for name in kept}


def _longest_offcut(cutting: CutProblem, plan: list[GroupedReel], deadline: float) -> list[GroupedReel]:
    """The same pairs, with as much of the waste on one reel as exchanges with it can bring there."""
    loosest = sorted(range(len(plan)), key=lambda n: (-spare(cutting, plan[n]), n))[:CANDIDATES]
    gathered = [_gathered(cutting, plan, at, deadline) for at in loosest]
    return min([plan, *gathered], key=lambda p: grouped_value(cutting, p))


def _gathered(
    cutting: CutProblem, plan: list[GroupedReel], target: int, deadline: float
) -> list[GroupedReel]:
    """Fills the other reels, one after another, with what they and the target reel hold together."""
    plan = list(plan)
    for _ in range(PASSES):
        before = plan[target]
        for at, reel in enumerate(plan):
            if at != target and spare(cutting, reel) and plan[target].cuts and time.perf_counter() < deadline:
                plan[at], plan[target] = _exchanged(cutting, reel, plan[target])
        if plan[target] == before:
            break
    return [reel for reel in plan if reel.cuts]


def _exchanged(
    cutting: CutProblem, reel: GroupedReel, target: GroupedReel
) -> tuple[GroupedReel, GroupedReel]:
    """The reel as full as pieces of both can make it without a further pair, and the rest on the target."""
    both = sorted(reel.cuts + target.cuts, reverse=True)
    parts = len(reel.groups & target.groups)
    cuts = GroupFill(cutting.kinds[reel.kind].length, by_group(both), parts).fullest(parts)
    if sum(cut.length for cut in cuts) <= reel.used:
        return reel, target
    for cut in cuts:
        both.remove(cut)
    return GroupedReel(reel.kind, tuple(sorted(cuts, reverse=True))), GroupedReel(target.kind, tuple(both))

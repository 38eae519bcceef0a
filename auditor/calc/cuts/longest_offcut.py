"""Gathers what a cut list leaves over on one reel, so that the longest single offcut grows."""

from auditor.calc.cuts.fill import Pool, counted, fitted, fullest
from auditor.calc.cuts.problem import Cutting, Reel

PASSES = 3
CANDIDATES = 3


def longest_offcut(cutting: Cutting, plan: list[Reel]) -> list[Reel]:
    """The same reels or cheaper ones, with as much of the waste on one of them as swaps can bring there."""
    if not plan:
        return plan
    loosest = sorted(range(len(plan)), key=lambda n: (-_spare(cutting, plan[n]), n))[:CANDIDATES]
    tidied = [fitted(cutting, _gathered(cutting, plan, at)) for at in loosest]
    return min([plan, *tidied], key=lambda p: (cutting.value(p), -max(_spare(cutting, reel) for reel in p)))


def _spare(cutting: Cutting, reel: Reel) -> int:
    return cutting.kinds[reel.kind].length - sum(reel.cuts)


def _gathered(cutting: Cutting, plan: list[Reel], target: int) -> list[Reel]:
    """Fills the other reels, one after another, with what they and the target reel hold together."""
    plan = list(plan)
    for _ in range(PASSES):
        before = plan[target]
        for at, reel in enumerate(plan):
            if at == target or not _spare(cutting, reel) or not plan[target].cuts:
                continue
            pool = Pool(counted(reel.cuts + plan[target].cuts).items())
            cuts = fullest(cutting.kinds[reel.kind].length, pool.lengths[::-1], pool)
            if sum(cuts) > sum(reel.cuts):
                pool.take(cuts)
                plan[at] = Reel(reel.kind, cuts)
                plan[target] = Reel(plan[target].kind, pool.pieces())
        if plan[target] == before:
            break
    return [reel for reel in plan if reel.cuts]

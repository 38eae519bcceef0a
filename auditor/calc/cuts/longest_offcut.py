"""The longest single offcut that a cut list can be given by moving its pieces between reels."""

from auditor.calc.cuts.fill import PiecePool, counted, fitted, fullest
from auditor.calc.cuts.problem import CutProblem, FilledReel

PASSES = 3
CANDIDATES = 3


def longest_offcut(cutting: CutProblem, plan: list[FilledReel]) -> list[FilledReel]:
    """The same reels or cheaper ones, with as much of the waste on one of them as swaps can bring there."""
    if not plan:
        return plan
    loosest = sorted(range(len(plan)), key=lambda n: (-_spare(cutting, plan[n]), n))[:CANDIDATES]
    tidied = [fitted(cutting, _gathered(cutting, plan, at)) for at in loosest]
    return min([plan, *tidied], key=lambda p: (cutting.value(p), -max(_spare(cutting, reel) for reel in p)))


def _spare(cutting: CutProblem, reel: FilledReel) -> int:
    return cutting.kinds[reel.kind].length - sum(reel.cuts)


def _gathered(cutting: CutProblem, plan: list[FilledReel], target: int) -> list[FilledReel]:
    """Fills the other reels, one after another, with what they and the target reel hold together."""
    plan = list(plan)
    for _ in range(PASSES):
        before = plan[target]
        for at, reel in enumerate(plan):
            if at == target or not _spare(cutting, reel) or not plan[target].cuts:
                continue
            pool = PiecePool(counted(reel.cuts + plan[target].cuts).items())
            cuts = fullest(cutting.kinds[reel.kind].length, pool.lengths[::-1], pool)
            if sum(cuts) > sum(reel.cuts):
                pool.take(cuts)
                plan[at] = FilledReel(reel.kind, cuts)
                plan[target] = FilledReel(plan[target].kind, pool.pieces())
        if plan[target] == before:
            break
    return [reel for reel in plan if reel.cuts]

"""How long a cut list takes, and how many are proven: whole and tenths of feet, one job and a pooled order."""

import random
import resource
import statistics
import time
from collections.abc import Callable

from auditor.calc.cuts.plan import CutListPlan, Piece, ReelToBuy, cut_list
from auditor.units import m_from_ft
from tests.calc.cuts.instances import instances

SIZES = [ReelToBuy(length_m=m_from_ft(500)), ReelToBuy(length_m=m_from_ft(1000))]
PRICED = [
    ReelToBuy(length_m=m_from_ft(500), price=110.0),
    ReelToBuy(length_m=m_from_ft(1000), price=200.0),
]


def whole_feet(chance: random.Random, low: int, high: int) -> float:
    return m_from_ft(chance.randint(low, high))


def with_allowances(chance: random.Random, low: int, high: int) -> float:
    """Tenths of a foot, 3 ft at each end and 5 % waste."""
    return m_from_ft((chance.randint(low * 10, high * 10) / 10 + 6) * 1.05)


def report(
    name: str,
    count: int,
    low: int,
    high: int,
    length: Callable[[random.Random, int, int], float],
    reels: list[ReelToBuy],
    seeds: int,
) -> None:
    seconds, plans = [], list[CutListPlan]()
    for seed in range(seeds):
        chance = random.Random(seed)
        pieces = [Piece(id=f"P{n}", length_m=length(chance, low, high)) for n in range(count)]
        start = time.perf_counter()
        plans.append(cut_list(pieces, reels, time_limit_s=5.0))
        seconds.append(time.perf_counter() - start)
    proven = sum(plan.status == "proven" for plan in plans)
    gap = max(1 - plan.lower_bound / plan.cost for plan in plans)
    print(
        f"{count:5} pulls {low}-{high} ft, {name:28} median {statistics.median(seconds) * 1e3:8.1f} ms   "
        f"most {max(seconds) * 1e3:8.1f} ms   proven {proven}/{seeds}   widest gap {gap:.2%}"
    )


def published(seconds: float = 5.0) -> None:
    """How many of the published instances are proven, and how far the others are from the best that is printed."""
    done = [(each, each.plan(seconds)) for each in instances()]
    proven = sum(plan.status == "proven" for _, plan in done)
    more = [len(plan.reels) - each.best_known for each, plan in done if each.best_known is not None]
    print(
        f"published instances: {proven} of {len(done)} proven in {seconds:g} s; of {len(more)} with a printed best "
        f"{more.count(0)} reach it, the worst takes {max(more)} more"
    )


def main() -> None:
    published()
    for count, seeds in ((120, 20), (5000, 5)):
        report("whole feet", count, 25, 480, whole_feet, SIZES, seeds)
        report("whole feet, priced", count, 25, 480, whole_feet, PRICED, seeds)
        report("tenths with allowances", count, 25, 450, with_allowances, SIZES, seeds)
    report("whole feet", 5000, 120, 480, whole_feet, PRICED, 3)
    report("few on a reel, priced", 120, 200, 700, whole_feet, PRICED, 5)
    report("few on a reel, one size", 500, 200, 700, whole_feet, PRICED[1:], 3)
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MiB")


if __name__ == "__main__":
    main()

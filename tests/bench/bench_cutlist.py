"""How long a cut list takes, and how many are proven: whole and tenths of feet, one job and a pooled order."""

import random
import resource
import statistics
import time
from collections.abc import Callable
from dataclasses import replace

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


def grouped(count: int, runs: int, low: int, high: int, seeds: int) -> None:
    """On how many reels the runs stand, in sum, and the longest offcut, without and with groups."""
    apart, together, seconds = [], [], []
    for seed in range(seeds):
        chance = random.Random(seed)
        cut_m = [whole_feet(chance, low, high) for _ in range(count)]
        pieces = [Piece(id=f"P{n}", length_m=m, group=f"C{n * runs // count}") for n, m in enumerate(cut_m)]
        apart.append(cut_list([replace(piece, group="") for piece in pieces], SIZES, time_limit_s=5.0))
        start = time.perf_counter()
        together.append(cut_list(pieces, SIZES, time_limit_s=5.0))
        seconds.append(time.perf_counter() - start)
    run_of = {f"P{n}": n * runs // count for n in range(count)}
    pairs = [
        sum(len({run_of[piece.id] for piece in reel.pieces}) for plan in plans for reel in plan.reels) / seeds
        for plans in (apart, together)
    ]
    given_up_ft = statistics.mean(plan.offcut_given_up_m for plan in together) / m_from_ft(1)
    print(
        f"{count:5} pulls {low}-{high} ft in {runs} runs: {pairs[0]:.1f} pairs of a reel and a run without groups, "
        f"{pairs[1]:.1f} with them; the longest offcut {given_up_ft:.0f} ft shorter; median "
        f"{statistics.median(seconds) * 1e3:.0f} ms"
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
    grouped(118, 8, 25, 150, 5)
    grouped(118, 12, 60, 450, 5)
    grouped(1500, 100, 25, 480, 1)
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MiB")


if __name__ == "__main__":
    main()

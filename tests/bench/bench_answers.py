"""Offices made at random, read, and what is asked answered by someone who knows the truth: right before any
answer, after one, after two.

`python -m tests.bench answers [--count 200] [--seed N] [--show N]`
"""

import argparse
import multiprocessing
import time
from collections import Counter

from tests.offices.answers import Reached, reached
from tests.offices.judge import RIGHT, WRONG
from tests.offices.office import office

Seen = tuple[int, Reached, tuple[str, ...]]


def look(seed: int) -> Seen:
    """(seed, what came of its office, its habits)."""
    made = office(seed)
    return seed, reached(made), made.habits


def looks(seeds: range, processes: int = 2) -> list[Seen]:
    """All of these offices, in order."""
    with multiprocessing.Pool(processes) as pool:
        return list(pool.imap(look, seeds, chunksize=4))


def shares(seen: list[Seen]) -> list[str]:
    """How many are right unasked, after one answer, after two, and how many are not."""
    needed = Counter(each.needed for _, each, _ in seen)
    before = Counter(each.kind for _, each, _ in seen)
    sums = [sum(needed[answers] for answers in range(most + 1)) for most in range(3)]
    names = ("before any answer", "after one answer", "after two answers")
    lines = [
        f"{100 * total / len(seen):5.1f} %  {total:5} of {len(seen)}  right {name}"
        for total, name in zip(sums, names, strict=True)
    ]
    return [*lines, f"         {before[WRONG]:5} wrong in silence"]


def main(arguments: list[str] | None = None) -> None:
    given = _parser().parse_args(arguments or [])
    start = time.perf_counter()
    seen = looks(range(given.seed, given.seed + given.count))
    for seed, each, habits in seen[: given.show and len(seen)]:
        if each.kind != RIGHT:
            told = "; ".join(f"{one}: {answer}" for one, answer in each.answers.items())
            print(
                f"{seed} {each.kind}, {each.needed} answers ({told}) {', '.join(habits)}: {each.why}"[
                    : given.show
                ]
            )
    print("\n".join(shares(seen)))
    print(f"{time.perf_counter() - start:.0f} s in all")


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m tests.bench answers", description=__doc__)
    parser.add_argument("--count", type=int, default=200, help="how many offices")
    parser.add_argument("--seed", type=int, default=0, help="the first one's seed")
    parser.add_argument("--show", type=int, default=0, help="so many characters of each that asks")
    return parser

"""Offices made at random, read and judged: right, asked and wrong in all and by habit, the worst first.

`python -m tests.bench offices [--count 2000] [--seed N] [--keep DIR] [--only HABIT] [--seen N] [--show N]`
"""

import argparse
import multiprocessing
import tempfile
import time
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from tests.offices.judge import ASKED, RIGHT, WRONG, audited, judge
from tests.offices.office import office

KINDS = (RIGHT, ASKED, WRONG)


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What came of one office."""

    seed: int
    kind: str
    why: str
    habits: tuple[str, ...]
    may_ask: bool
    seconds: float


def look(task: tuple[int, str, str]) -> Seen:
    """Make, read and judge one office; `keep` is a folder for its workbook, or empty."""
    seed, only, keep = task
    made = office(seed, only)
    start = time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(keep or folder) / made.name
        path.write_bytes(made.data)
        kind, why = judge(audited(path), made.truth)
    return Seen(
        seed=seed,
        kind=kind,
        why=why,
        habits=made.habits,
        may_ask=bool(made.may_ask),
        seconds=time.perf_counter() - start,
    )


def looks(seeds: Iterable[int], only: str = "", keep: str = "", processes: int = 2) -> list[Seen]:
    """All of these offices, in order."""
    with multiprocessing.Pool(processes) as pool:
        return list(pool.imap(look, [(seed, only, keep) for seed in seeds], chunksize=8))


def line(name: str, seen: list[Seen]) -> str:
    """One line of the table: right, asked, wrong, and how many."""
    count = Counter(each.kind for each in seen)
    return f"{count[RIGHT]:6} {count[ASKED]:6} {count[WRONG]:6}  of {len(seen):5}  {name}"


def table(seen: list[Seen]) -> list[str]:
    """By habit, the worst first: most wrong, then least right, as shares."""
    by: dict[str, list[Seen]] = {}
    for each in seen:
        for habit in each.habits:
            by.setdefault(habit, []).append(each)
    order = sorted(by, key=lambda habit: (-_share(by[habit], WRONG), _share(by[habit], RIGHT), habit))
    return [line(habit, by[habit]) for habit in order]


def _share(seen: list[Seen], kind: str) -> float:
    return sum(each.kind == kind for each in seen) / len(seen)


def main(arguments: list[str] | None = None) -> None:
    given = _parser().parse_args(arguments or [])
    if given.keep:
        Path(given.keep).mkdir(parents=True, exist_ok=True)
    seeds = range(given.seed, given.seed + given.count)
    start = time.perf_counter()
    seen = looks(seeds, given.only, given.keep)
    if given.only:
        seen = [each for each in seen if given.only in each.habits]
    print(f"  {RIGHT} {ASKED:>6} {WRONG:>6}")
    print("\n".join(table(seen)))
    for each in [each for each in seen if each.kind == WRONG][: given.show]:
        print(f"wrong: {each.seed}: {each.why}"[:200])
    print("\n".join(_sums(seen, given.seen)))
    median = sorted(each.seconds for each in seen)[len(seen) // 2] if seen else 0
    spent = time.perf_counter() - start
    print(f"{spent:.0f} s in all; reading and judging one takes {1000 * median:.0f} ms in the middle")


def _sums(seen: list[Seen], known: int) -> list[str]:
    """In all, of those that a careful human reads without asking, and of those that were looked at before."""
    lines = [
        line("in all", seen),
        line("a careful human reads without asking", [each for each in seen if not each.may_ask]),
        line("a careful human may ask", [each for each in seen if each.may_ask]),
    ]
    if known:
        lines += [line(f"the first {known}", seen[:known]), line("the rest", seen[known:])]
    return lines


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m tests.bench offices", description=__doc__)
    parser.add_argument("--count", type=int, default=400, help="how many offices")
    parser.add_argument("--seed", type=int, default=0, help="the first one's seed")
    parser.add_argument("--keep", default="", help="a folder for the workbooks")
    parser.add_argument("--only", default="", help="a habit, as the table names it")
    parser.add_argument(
        "--seen", type=int, default=0, help="the first so many are summed apart from the rest"
    )
    parser.add_argument("--show", type=int, default=0, help="how many wrong ones to tell why")
    return parser

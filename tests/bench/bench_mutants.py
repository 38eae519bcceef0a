"""Single mutations of what judges, each against the tests of its own unit: how many live on.

`--count N`: how many, drawn by the seed (400). `--seed S`. `--below FOLDER`: only of these files. A mutant that runs longer than `SECONDS` is taken for killed:
it hangs. `EQUIVALENT` lists those that change nothing that a user could see, with the reason.
"""

import argparse
import os
import random
import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from tests.bench.mutation import Mutant, mutants

ROOT = Path(__file__).parent.parent.parent
SECONDS = 180
UNITS: Mapping[str, Sequence[str]] = {  # files -> the tests of the unit, besides those named like the file
    "auditor/bus/*.py": ("tests/bus", "tests/rules"),
    "auditor/results/*.py": ("tests/results", "tests/test_audit.py", "tests/causes", "tests/report"),
    "auditor/rules/*.py": ("tests/rules",),
    "auditor/causes/*.py": ("tests/causes",),
    "auditor/plans/*.py": ("tests/plans", "tests/rules/test_spare_return.py"),
    "auditor/report/job/power_budget.py": ("tests/report/job/test_power_budget.py",),
}
EQUIVALENT: Mapping[tuple[str, int, str], str] = {}  # (file, line, what changes) -> why nobody sees it


@dataclass(frozen=True, slots=True)
class Trial:
    path: str
    mutant: Mutant
    tests: tuple[str, ...]

    @property
    def module(self) -> str:
        return self.path.removesuffix(".py").replace("/", ".")

    @property
    def place(self) -> tuple[str, int, str]:
        return self.path, self.mutant.line, self.mutant.told


def main(options: Sequence[str] = ()) -> None:
    parser = argparse.ArgumentParser(prog="mutants")
    parser.add_argument("--count", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--below", default="auditor/")
    asked = parser.parse_args(options)
    every = [trial for trial in _trials() if trial.path.startswith(asked.below)]
    drawn = random.Random(asked.seed).sample(every, min(asked.count, len(every)))
    with ThreadPoolExecutor(max_workers=os.cpu_count() or 1) as pool:
        survived = [trial for trial, lives in zip(drawn, pool.map(_survives, drawn), strict=True) if lives]
    seen = [trial for trial in survived if trial.place not in EQUIVALENT]
    for trial in sorted(seen, key=lambda each: each.place):
        print(f"lives: {trial.path}:{trial.mutant.line} {trial.mutant.told}")
    same = len(survived) - len(seen)
    share = 100 * len(seen) / max(1, len(drawn) - same)
    print(f"{len(drawn)} of {len(every)} mutants, {same} of them equivalent: {len(seen)} live, {share:.1f} %")


def _trials() -> Iterator[Trial]:
    for pattern, tests in UNITS.items():
        for path in sorted(ROOT.glob(pattern)):
            name = path.relative_to(ROOT).as_posix()
            for mutant in mutants(path.read_text("utf-8")):
                yield Trial(name, mutant, _own_first(path.stem, tests))


def _own_first(stem: str, tests: Sequence[str]) -> tuple[str, ...]:
    """The tests that are named like the file come first: they kill soonest."""
    own = [path for folder in tests for path in sorted((ROOT / folder).glob(f"**/test_{stem}*.py"))]
    return (*(path.relative_to(ROOT).as_posix() for path in own), *tests)


def _survives(trial: Trial) -> bool:
    command = [
        sys.executable,
        "-m",
        "tests.bench.mutation",
        trial.module,
        str(trial.mutant.number),
        *trial.tests,
    ]
    try:
        done = subprocess.run(command, cwd=ROOT, capture_output=True, timeout=SECONDS, check=False)
    except subprocess.TimeoutExpired:
        return False
    return done.returncode == 0

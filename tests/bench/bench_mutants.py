"""Single mutations of what judges, each against those tests of its own unit that run its line: how many live on.

`--count N`: how many, drawn by the seed (400). `--seed S`. `--below FOLDER`: only of these files. A mutant that runs
longer than `SECONDS` is ended; how many were is said, they may hang or their tests be slow. `EQUIVALENT` lists those that change nothing that a user could see,
each with its file, its line as it stands, the change and the reason. Which tests run a line is measured first, once for
each unit.
"""

import argparse
import csv
import functools
import multiprocessing
import os
import random
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from enum import Enum, auto
from multiprocessing.context import ForkServerContext
from pathlib import Path

import coverage
import pytest

from tests.bench.mutation import Mutant, mutants, run_tests

ROOT = Path(__file__).parent.parent.parent
SECONDS = 180
NO_MUTATION = -1
IMPORTED = ("pytest", "hypothesis", "networkx", "openpyxl", "jsonschema", "lxml.etree", "xlsxwriter")
UNITS: Mapping[str, Sequence[str]] = {  # files -> the tests of the unit, besides those named like the file
    "auditor/bus/*.py": ("tests/bus", "tests/rules"),
    "auditor/results/*.py": ("tests/results", "tests/test_audit.py", "tests/causes", "tests/report"),
    "auditor/rules/*.py": ("tests/rules",),
    "auditor/causes/*.py": ("tests/causes",),
    "auditor/plans/*.py": ("tests/plans", "tests/rules/test_spare_return.py"),
    "auditor/report/job/power_budget.py": (
        "tests/report/job/test_power_budget.py",
        "tests/report/job/test_power_budget_rows.py",
    ),
}
EQUIVALENT = Path(__file__).parent / "equivalent_mutants.csv"


@dataclass(frozen=True, slots=True)
class Trial:
    path: str
    mutant: Mutant
    unit: tuple[str, ...]  # its tests, files and folders

    @property
    def module(self) -> str:
        return self.path.removesuffix(".py").replace("/", ".")

    @property
    def place(self) -> tuple[str, str, str]:
        """As a row of `EQUIVALENT` names it."""
        return self.path, self.mutant.text, self.mutant.told


def main(options: Sequence[str] = ()) -> None:
    parser = argparse.ArgumentParser(prog="mutants")
    parser.add_argument("--count", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--below", default="auditor/")
    asked = parser.parse_args(options)
    whole = list(_trials())
    equivalent = _equivalent(whole)
    every = [trial for trial in whole if trial.path.startswith(asked.below)]
    drawn = random.Random(asked.seed).sample(every, min(asked.count, len(every)))
    for trial in {trial.unit: trial for trial in drawn}.values():
        if _outcome(replace(trial, mutant=replace(trial.mutant, number=NO_MUTATION))) is not Outcome.LIVES:
            raise RuntimeError(f"the tests of {trial.path} fail without a mutation")
    with ThreadPoolExecutor(max_workers=os.cpu_count() or 1) as pool:
        outcomes = list(pool.map(_outcome, drawn))
    survived = [trial for trial, one in zip(drawn, outcomes, strict=True) if one is Outcome.LIVES]
    seen = [trial for trial in survived if trial.place not in equivalent]
    for trial in sorted(seen, key=lambda each: (each.path, each.mutant.line)):
        print(f"lives: {trial.path}:{trial.mutant.line} {trial.mutant.told}")
    same = len(survived) - len(seen)
    share = 100 * len(seen) / max(1, len(drawn) - same)
    ended = outcomes.count(Outcome.ENDED)
    print(
        f"{len(drawn)} of {len(every)} mutants, {same} of them equivalent, {ended} ended after {SECONDS} s: "
        f"{len(seen)} live, {share:.1f} %"
    )


def _equivalent(whole: Sequence[Trial]) -> frozenset[tuple[str, str, str]]:
    """The listed ones; each must still be one of all mutants."""
    with EQUIVALENT.open(encoding="utf-8", newline="") as file:
        listed = frozenset((row["file"], row["line"], row["change"]) for row in csv.DictReader(file))
    if gone := sorted(listed - {trial.place for trial in whole}):
        raise ValueError(f"no such mutant any more: {gone}")
    return listed


def _trials() -> Iterator[Trial]:
    for pattern, tests in UNITS.items():
        for path in sorted(ROOT.glob(pattern)):
            name = path.relative_to(ROOT).as_posix()
            for mutant in mutants(path.read_text("utf-8")):
                yield Trial(name, mutant, tuple(tests))


@functools.cache
def _tests_by_line(unit: tuple[str, ...]) -> Mapping[tuple[str, int], frozenset[str]]:
    """(file, line) -> ids of the unit's tests that run it; an empty id stands for the import of the module."""
    with tempfile.TemporaryDirectory() as folder:
        kept = Path(folder) / "coverage"
        command = [sys.executable, "-m", "pytest", "-q", "-n", "auto", "-p", "no:cacheprovider"]
        subprocess.run(
            [*command, "--cov=auditor", "--cov-context=test", "--cov-report=", *unit],
            cwd=ROOT,
            env={**os.environ, "COVERAGE_FILE": str(kept)},
            stdout=subprocess.DEVNULL,
            check=True,
        )
        measured = coverage.CoverageData(str(kept))
        measured.read()
        return {
            (Path(path).relative_to(ROOT).as_posix(), line): frozenset(
                name.rpartition("|")[0] for name in names
            )
            for path in measured.measured_files()
            for line, names in measured.contexts_by_lineno(path).items()
        }


def _tests(trial: Trial) -> Sequence[str]:
    """Ids of those that run a line of the mutant's statement, the unit's when it is imported: those named like the file
    first."""
    by_line = _tests_by_line(trial.unit)
    names = frozenset[str]().union(*(by_line.get((trial.path, line), ()) for line in trial.mutant.lines))
    if "" in names:
        names = _every_test(trial.unit)
    return sorted(names, key=lambda name: (f"test_{Path(trial.path).stem}" not in name, name))


@functools.cache
def _every_test(unit: tuple[str, ...]) -> frozenset[str]:
    return frozenset[str]().union(*_tests_by_line(unit).values()) - {""}


class Outcome(Enum):
    LIVES = auto()
    KILLED = auto()
    ENDED = auto()  # after `SECONDS`


def _outcome(trial: Trial) -> Outcome:
    """What came of a mutant's tests; one whose line no test runs lives.

    Raises
    ------
    RuntimeError : pytest finds none of the tests
    """
    tests = _tests(trial)
    if not tests:
        return Outcome.LIVES
    process = _processes().Process(target=run_tests, args=(trial.module, trial.mutant.number, tests))
    process.start()
    process.join(SECONDS)
    if process.is_alive():
        process.kill()
        process.join()
        return Outcome.ENDED
    if process.exitcode == pytest.ExitCode.NO_TESTS_COLLECTED:
        raise RuntimeError(
            f"of the tests that run {trial.path}:{trial.mutant.line} none is found: {tests[0]}"
        )
    return Outcome.LIVES if process.exitcode == pytest.ExitCode.OK else Outcome.KILLED


@functools.cache
def _processes() -> ForkServerContext:
    """Starts processes in which what tests import of others is there already, of this project nothing."""
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(list(IMPORTED))
    return context

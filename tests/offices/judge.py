"""A reading judged by the truth: right, asked or wrong. The one module here that knows the auditor."""

import itertools
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from tests.offices.names import same, tight
from tests.offices.truth import Figures, Run, Truth

RIGHT, ASKED, WRONG = "right", "asked", "wrong"
FIGURES = (
    ("cable_m", 0.05),
    ("reach_m", 0.05),
    ("devices", 0.0),
    ("power_w", 0.006),
)  # how far a figure may be off
MOST_TOGETHER = 3  # branches that are tried together
VERDICTS = ("unreadable", "fail", "review", "pass")

Record = Mapping[str, Any]


def audited(path: Path) -> list[Record]:
    """The lines of results of one workbook, without its annotated copy."""
    from auditor.batch.work import Task, do
    from auditor.results.record import record

    outcome = do(Task(path=str(path), name=path.name, output="", profile="two-wire-35w"))
    return [record(audit) for audit in outcome.audits]


def judge(records: Iterable[Record], truth: Truth) -> tuple[str, str]:
    """(right, asked or wrong; why it is not right).

    right: every figure of every run, the runs' names, the verdict and the failing rules are the truth's.
    asked: a review or unreadable, no fail that is false, no figure that is false, and something is asked;
        a fail that is true, with what is not known left out and asked, is asked too.
    wrong: the rest.
    """
    lines = list(records)
    if not lines:
        return WRONG, "no result"
    verdict = next(each for each in VERDICTS if each in {line["verdict"] for line in lines})
    differences = list(_differences(lines, verdict, truth))
    if not differences:
        return RIGHT, ""
    false = min((list(_false(lines, verdict, each)) for each in (truth, truth.other or truth)), key=len)
    held = verdict in ("review", "unreadable") or (verdict == "fail" and truth.verdict == "fail")
    if not false and held and _asks(lines):
        return ASKED, differences[0]
    return WRONG, "; ".join((false or differences)[:3])


def _differences(lines: list[Record], verdict: str, truth: Truth) -> Iterator[str]:
    """What keeps a reading from being right."""
    if verdict != truth.verdict:
        first = next((f"{f['rule']}: {f['message']}" for f in _findings(lines) if f["level"] != "note"), "")
        yield f"{verdict}, not {truth.verdict}: {first or lines[0]['problem']}"
    fails = _fails(lines)
    if not truth.fails <= fails or fails - truth.fails - truth.may_fail:
        yield f"fails {sorted(fails)}, not {sorted(truth.fails)}"
    runs = _runs(lines)
    if len(runs) != len(truth.runs):
        yield f"{len(runs)} runs, not {len(truth.runs)}"
    for run in truth.runs:
        mine = [each for each in runs if _named(each) & run.names]
        if len(mine) != 1:
            yield f"no run {sorted(run.names)[:1]} among {[_label(each) for each in runs]}"
        else:
            yield from _off(mine[0], run, stated_only=False)


def _false(lines: list[Record], verdict: str, truth: Truth) -> Iterator[str]:
    """What is stated and is not so: a fail, or a figure of a run."""
    extra = _fails(lines) - truth.fails - truth.may_fail
    if extra:
        first = next(f["message"] for f in _findings(lines) if f["level"] == "fail" and f["rule"] in extra)
        yield f"false fail {sorted(extra)}: {first}"
    if verdict == "pass" and truth.verdict != "pass":
        yield f"pass, not {truth.verdict}"
    yield from _false_figures(_runs(lines), truth)


def _false_figures(runs: list[Record], truth: Truth) -> list[str]:
    """Of the readings of runs as the truth's runs, the one with least that is false."""
    left = list(truth.runs)
    found: list[str] = []
    for run in sorted(runs, key=lambda run: not any(_named(run) & each.names for each in truth.runs)):
        if run.get("port") is None and _is_branch(run, truth):
            continue
        named = [each for each in left if _named(run) & each.names]
        tries = [(list(_off(run, each, stated_only=True)), each) for each in named or left]
        if not tries:
            found.append(f"a run {_label(run)} that is not there")
            continue
        off, best = min(tries, key=lambda item: len(item[0]))
        found += off
        left.remove(best)
    return found


def _is_branch(run: Record, truth: Truth) -> bool:
    """Whether a run without a port is one branch of a controller, or several together, or all."""
    for controller in {each.port.controller for each in truth.runs}:
        mine = [part for each in truth.runs if each.port.controller == controller for part in each.branches]
        for count in (*range(1, min(len(mine), MOST_TOGETHER) + 1), len(mine)):
            for some in itertools.combinations(mine, count):
                if not list(_off_figures(run, _together(some), stated_only=True)):
                    return True
    return False


def _together(some: tuple[Figures, ...]) -> Figures:
    def total(name: str) -> Any:
        values = [getattr(each, name) for each in some]
        return None if None in values else sum(values)

    reaches = [each.reach_m for each in some]
    reach = None if None in reaches else max(each for each in reaches if each is not None)
    return Figures(
        cable_m=total("cable_m"), reach_m=reach, devices=total("devices"), power_w=total("power_w")
    )


def _off(run: Record, truth: Run, *, stated_only: bool) -> Iterator[str]:
    yield from _off_figures(run, truth.whole, stated_only=stated_only)
    far = run["farthest"]
    if far is None and (stated_only or not truth.farthest):
        return
    if far is None or same(far) not in {same(tag) for tag in truth.farthest}:
        yield f"{_label(run)} farthest {far}, not {'/'.join(sorted(truth.farthest))}"


def _off_figures(run: Record, truth: Figures, *, stated_only: bool) -> Iterator[str]:
    for name, tolerance in FIGURES:
        got, want = run[name], getattr(truth, name)
        if got is None and (stated_only or want is None):
            continue
        if got is None or want is None or abs(got - want) > tolerance + 1e-9:
            yield f"{_label(run)} {name} {_short(got)}, not {_short(want)}"


def _short(figure: float | None) -> str:
    return "unknown" if figure is None else f"{figure:.6g}"


def _named(run: Record) -> set[str]:
    """The tight spellings of a run's name."""
    heads = (run.get("controller"), run.get("head_end"))
    port = run.get("port")
    return {tight(f"{head or ''}{port or ''}") for head in heads if head or port}


def _label(run: Record) -> str:
    return f"{run.get('controller') or run.get('head_end')}.{run.get('port') or run.get('branch')}"


def _runs(lines: list[Record]) -> list[Record]:
    return [run for line in lines for run in line["runs"]]


def _findings(lines: list[Record]) -> list[Record]:
    return [finding for line in lines for finding in line["findings"]]


def _fails(lines: list[Record]) -> set[str]:
    return {finding["rule"] for finding in _findings(lines) if finding["level"] == "fail"}


def _asks(lines: list[Record]) -> bool:
    reviews = any(finding["level"] == "review" for finding in _findings(lines))
    return reviews or any(line.get("questions") or line["problem"] for line in lines)

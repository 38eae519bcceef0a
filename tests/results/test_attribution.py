"""Which rows and runs a finding speaks of."""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from auditor.bus.measure import Bus
from auditor.job.model import CellRef, Controller, Job
from auditor.results.attribution import Attribution, verdict_of
from auditor.results.findings import Finding, Level, Verdict
from auditor.results.judged import Judged
from auditor.rules import SCOPES
from tests.builders import job, measured, pull

# Rows of the pull schedule: 2 C1.1-K1, 3 K1-K2, 4 C1.2-K3; of the device list: 2 K1, 3 K2, 4 K3.
TWO_RUNS = job([pull("C1.1", "K1"), pull("K1", "K2"), pull("C1.2", "K3")])


def finding(rule: str, level: Level, subject: str, where: CellRef | None = None) -> Finding:
    return Finding(rule=rule, level=level, subject=subject, message=f"{subject} {level}", where=where)


def pull_row(row: int) -> CellRef:
    return CellRef("Pulls", row, 4)


def device_row(row: int) -> CellRef:
    return CellRef("Devices", row, 4)


def attributed(seen: Bus, findings: Sequence[Finding]) -> Attribution:
    return Attribution(Judged(bus=seen, findings=tuple(findings), scopes=SCOPES))


def verdicts(seen: Bus, *findings: Finding) -> tuple[list[str], list[str], list[str]]:
    """Of the runs, the device rows and the pull rows, in order."""
    attribution = attributed(seen, findings)
    run_of_device = {item.tag: n for n, state in enumerate(seen.runs) for item in state.run.devices}
    run_of_pull = {item.id: n for n, state in enumerate(seen.runs) for item in state.run.pulls}
    return (
        [attribution.run(index).value for index in range(len(seen.runs))],
        [attribution.row(item.where, run_of_device.get(item.tag))[0].value for item in seen.job.devices],
        [attribution.row(item.where, run_of_pull.get(item.id))[0].value for item in seen.job.pulls],
    )


F, R, P = "fail", "review", "pass"
CASES: list[tuple[str, Finding, tuple[Sequence[str], Sequence[str], Sequence[str]]]] = [
    (
        "a device: its row and its run's verdict, not its neighbours",
        finding("reach", Level.FAIL, "K2", device_row(3)),
        ([F, P], [P, F, P], [P, P, P]),
    ),
    (
        "a pull: its row and its run's verdict",
        finding("missing-value", Level.REVIEW, "K1-K2", pull_row(3)),
        ([R, P], [P, P, P], [P, R, P]),
    ),
    (
        "a run: every row of it",
        finding("run-length", Level.FAIL, "C1.1", pull_row(2)),
        ([F, P], [F, F, P], [F, F, P]),
    ),
    (
        "a controller: every row of all its runs",
        finding("power", Level.FAIL, "C1", CellRef("Controllers", 2, 1)),
        ([F, F], [F, F, F], [F, F, F]),
    ),
    (
        "a cable: every row of the runs it is used in",
        finding("cable-spec", Level.REVIEW, "CAB", CellRef("Cables", 2, 1)),
        ([R, R], [R, R, R], [R, R, R]),
    ),
    (
        "a loop speaks of one pull and concerns its whole run",
        finding("loop", Level.FAIL, "K1-K2", pull_row(3)),
        ([F, P], [F, F, P], [F, F, P]),
    ),
    ("a note changes nothing", finding("run-length", Level.NOTE, "C1.1"), ([P, P], [P, P, P], [P, P, P])),
    (
        "what has no row and no run",
        finding("cut-list", Level.REVIEW, "job"),
        ([P, P], [P, P, P], [P, P, P]),
    ),
]


@pytest.mark.parametrize(("what", "found", "expected"), CASES, ids=[row[0] for row in CASES])
def test_a_finding_speaks_of(
    what: str, found: Finding, expected: tuple[Sequence[str], Sequence[str], Sequence[str]]
) -> None:
    assert verdicts(measured(TWO_RUNS), found) == expected


def test_without_findings_all_pass() -> None:
    assert verdicts(measured(TWO_RUNS)) == ([P, P], [P, P, P], [P, P, P])


def test_a_pull_that_is_called_like_a_controller_is_not_that_controller() -> None:
    """Pulls are often numbered C1, C2, …; a gap in one row is no fault of all runs of controller C1."""
    a_job = job([pull("C1.1", "K1", id="C1"), pull("K1", "K2", id="C2"), pull("C1.2", "K3", id="C3")])
    seen = measured(a_job)
    gap = finding("missing-value", Level.REVIEW, "C1", pull_row(2))
    assert verdicts(seen, gap) == ([R, P], [P, P, P], [R, P, P])
    overload = finding("power", Level.FAIL, "C1", pull_row(2))
    assert verdicts(seen, overload) == ([F, F], [F, F, F], [F, F, F])


def test_a_pull_that_is_called_like_a_controller_or_cable_is_only_its_row_for_the_reader_too() -> None:
    """What could not be read may stand in any table: the row tells whose name the subject is."""
    a_job = job([pull("C1.1", "K1", id="C1"), pull("K1", "K2", id="CAB"), pull("C1.2", "K3", id="P3")])
    seen = measured(a_job)
    in_pulls = finding("unreadable-value", Level.REVIEW, "C1", pull_row(2))
    assert verdicts(seen, in_pulls) == ([R, P], [P, P, P], [R, P, P])
    in_controllers = finding("unreadable-value", Level.REVIEW, "C1", CellRef("Controllers", 2, 1))
    assert verdicts(seen, in_controllers) == ([R, R], [R, R, R], [R, R, R])
    without_a_row = finding("unreadable-value", Level.REVIEW, "CAB")
    assert verdicts(seen, without_a_row) == ([R, R], [R, R, R], [R, R, R])
    by_another_name = finding("unreadable-value", Level.REVIEW, "C1", pull_row(4))
    assert verdicts(seen, by_another_name) == ([R, R], [R, R, R], [R, R, R])


def test_pulls_that_name_no_cable_share_a_cable_without_a_name() -> None:
    a_job = job([pull("C1.1", "K1", cable=None), pull("C1.2", "K2"), pull("C1.3", "K3", cable="")])
    found = finding("cable-spec", Level.REVIEW, "cable not stated")
    assert verdicts(measured(a_job), found)[0] == [R, P, R]


def test_a_loop_that_names_no_row_concerns_no_run() -> None:
    assert verdicts(measured(TWO_RUNS), finding("loop", Level.FAIL, "C1.1"))[0] == [P, P]


def test_a_device_and_a_pull_on_one_row_of_a_combined_sheet_share_their_findings() -> None:
    """One row stands for the device and for the pull that feeds it."""
    combined = replace(
        TWO_RUNS,
        devices=tuple(
            replace(item, where=CellRef("List", row, 1)) for row, item in enumerate(TWO_RUNS.devices, 2)
        ),
        pulls=tuple(
            replace(item, where=CellRef("List", row, 3)) for row, item in enumerate(TWO_RUNS.pulls, 2)
        ),
    )
    found = finding("missing-value", Level.REVIEW, "K2", CellRef("List", 3, 2))
    assert verdicts(measured(combined), found) == ([R, P], [P, R, P], [P, R, P])


def test_the_reason_of_a_row_is_its_worst_finding_its_own_before_the_runs() -> None:
    seen = measured(TWO_RUNS)
    own_gap = finding("missing-value", Level.REVIEW, "K2", device_row(3))
    own_note = finding("reach", Level.NOTE, "K2", device_row(3))
    run_fault = finding("run-length", Level.FAIL, "C1.1", pull_row(2))
    run_review = finding("device-count", Level.REVIEW, "C1.1", pull_row(2))
    where = device_row(3)

    assert attributed(seen, [own_note, own_gap, run_review]).row(where, 0) == (Verdict.REVIEW, "K2 review")
    assert attributed(seen, [own_gap, run_review, run_fault]).row(where, 0) == (
        Verdict.FAIL,
        "K2 review. Its run, C1.1, fails: run-length",
    )
    assert attributed(seen, [own_note]).row(where, 0) == (Verdict.PASS, "")
    assert attributed(seen, [run_fault]).row(where, 1) == (Verdict.PASS, "")
    assert attributed(seen, [run_fault]).row(None, None) == (Verdict.PASS, "")


def test_a_head_end_stands_for_all_its_branches() -> None:
    a_job: Job = job(
        [pull("HE", "K1"), pull("HE", "K2")],
        head_ends=["HE"],
        controllers=[Controller(name="C1", head_end="HE")],
    )
    found = finding("unreadable-value", Level.REVIEW, "HE", CellRef("Controllers", 2, 1))
    assert verdicts(measured(a_job), found) == ([R, R], [R, R], [R, R])


@pytest.mark.parametrize(
    ("levels", "verdict"),
    [
        ([], Verdict.PASS),
        ([Level.NOTE], Verdict.PASS),
        ([Level.NOTE, Level.REVIEW], Verdict.REVIEW),
        ([Level.FAIL, Level.REVIEW, Level.NOTE], Verdict.FAIL),
    ],
)
def test_the_worst_level_is_the_verdict(levels: list[Level], verdict: Verdict) -> None:
    assert verdict_of(finding("reach", level, "K1") for level in levels) is verdict

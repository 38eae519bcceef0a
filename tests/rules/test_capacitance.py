"""Budget: EN 13757-2, 180 nF a segment (a manual quoting the user group's document, secondary)."""

from dataclasses import replace

import pytest

from auditor.job.model import CellRef, Job
from auditor.results.findings import Finding, Level
from tests.builders import SPEC, found, job, profile, pull

BUDGET = profile(run__capacitance="180 nF")
PAIR = replace(SPEC, capacitance_nf_per_m=0.1)  # 100 pF/m
FIX = "use cable of lower capacitance or move a branch to another port"


def about(level: Level, measured_nf: float | None, message: str, subject: str = "C1.1") -> Finding:
    return Finding(
        rule="capacitance",
        level=level,
        subject=subject,
        message=message,
        where=CellRef("Pulls", 2, 1),
        measured=None if measured_nf is None else pytest.approx(measured_nf),
        limit=180,
        unit="nF",
    )


def metres(*lengths_m: float | None, **more: object) -> Job:
    rows = [replace(pull("C1.1", f"K{n}"), length_m=length_m) for n, length_m in enumerate(lengths_m)]
    return job(rows, **({"cable": PAIR} | more))  # type: ignore[arg-type]


CASES: list[tuple[str, Job, list[Finding]]] = [
    (
        "fails: 2,000 m at 100 pF/m",
        metres(1200, 800),
        [about(Level.FAIL, 200, f"The cable of C1.1 has 200 nF, 20 nF over the limit of 180 nF; {FIX}")],
    ),
    ("passes: 1,000 m at 100 pF/m", metres(1000), []),
    (
        "exactly at the budget",
        metres(1000, 800),
        [
            about(
                Level.REVIEW,
                180,
                "The cable of C1.1 has 180 nF, 100 % of the limit of 180 nF, which leaves nothing for "
                "changes on site",
            )
        ],
    ),
    (
        "just below",
        metres(1000, 799),
        [
            about(
                Level.REVIEW,
                179.9,
                "The cable of C1.1 has 179.9 nF, 99.9 % of the limit of 180 nF, which leaves 0.1 nF for "
                "changes on site",
            )
        ],
    ),
    (
        "just above",
        metres(1000, 801),
        [about(Level.FAIL, 180.1, f"The cable of C1.1 has 180.1 nF, 0.1 nF over the limit of 180 nF; {FIX}")],
    ),
    *(
        (
            f"cannot judge: {gap}",
            a_job,
            [
                about(
                    Level.REVIEW,
                    None,
                    "The capacitance of C1.1 cannot be judged: the length of a pull or the capacitance of "
                    "its cable is not stated; state it in the pull schedule or the cable sheet",
                )
            ],
        )
        for gap, a_job in (
            ("a length is missing", metres(10, None)),
            (
                "the cable's capacitance is missing",
                metres(10, cable=replace(PAIR, capacitance_nf_per_m=None)),
            ),
        )
    ),
    ("empty job", job([]), []),
]


@pytest.mark.parametrize(("what", "a_job", "findings"), CASES, ids=[row[0] for row in CASES])
def test_capacitance(what: str, a_job: Job, findings: list[Finding]) -> None:
    assert found("capacitance", a_job, BUDGET) == findings


def test_without_a_budget_nothing_is_judged() -> None:
    assert found("capacitance", metres(99_999)) == []


def test_off_specification_cable_does_not_change_what_is_physics() -> None:
    assert found("capacitance", metres(1000, cable=replace(PAIR, shielded=True)), BUDGET) == []

"""Limits are common practice, no published source: 2,000 ft of cable in a run, 1,000 ft of reach."""

from dataclasses import replace

import pytest

from auditor.job.model import CellRef, Job
from auditor.results.findings import Finding, Level
from auditor.units import m_from_ft
from tests.builders import SPEC, found, job, profile, pull

FAIL, REVIEW = Level.FAIL, Level.REVIEW
THIN = replace(SPEC, gauge="18 AWG", area_mm2=0.82)
SHIELD_NOT_STATED = replace(SPEC, shielded=None)


def about(level: Level, measured_ft: float, limit_ft: float, message: str, subject: str = "C1.1") -> Finding:
    return Finding(
        rule="run-length",
        level=level,
        subject=subject,
        message=message,
        where=CellRef("Pulls", 2, 1),
        measured=pytest.approx(m_from_ft(measured_ft)),
        limit=pytest.approx(m_from_ft(limit_ft)),
        unit="m",
    )


def legs(*feet: float, **more: object) -> Job:
    """That many home runs on port C1.1."""
    return job([pull("C1.1", f"K{n}", length_ft) for n, length_ft in enumerate(feet)], **more)  # type: ignore[arg-type]


FIX = "move a branch to another port or shorten the route"
CASES: list[tuple[str, Job, list[Finding]]] = [
    (
        "fails: legs of 620, 480 and 901 ft",
        legs(620, 480, 901),
        [about(FAIL, 2001, 2000, f"C1.1 holds 2,001 ft of cable, 1 ft over the limit of 2,000 ft; {FIX}")],
    ),
    (
        "passes: legs of 620, 480 and 900 ft keep it exactly",
        legs(620, 480, 900),
        [
            about(
                REVIEW,
                2000,
                2000,
                "C1.1 holds 2,000 ft of cable, 100 % of the limit of 2,000 ft, which leaves nothing for "
                "changes on site",
            )
        ],
    ),
    (
        "a tenth of a foot over",
        legs(620, 480, 900.1),
        [
            about(
                FAIL,
                2000.1,
                2000,
                f"C1.1 holds 2,000.1 ft of cable, 0.1 ft over the limit of 2,000 ft; {FIX}",
            )
        ],
    ),
    (
        "a tenth of a foot left",
        legs(620, 480, 899.9),
        [
            about(
                REVIEW,
                1999.9,
                2000,
                "C1.1 holds 1,999.9 ft of cable, 99.9 % of the limit of 2,000 ft, which leaves 0.1 ft for "
                "changes on site",
            )
        ],
    ),
    (
        "2 mm over, which no one would measure",
        legs(620, 480, 900 + 0.002 / 0.3048),
        [
            about(
                FAIL,
                2000.00656,
                2000,
                f"C1.1 holds 2,000 ft of cable, just over the limit of 2,000 ft; {FIX}",
            )
        ],
    ),
    (
        "a 640 ft trunk that stars into three 360 ft legs leaves 280 ft",
        job([pull("C1.1", "S1", 640), *(pull("S1", f"K{n}", 360) for n in range(3))], splices=["S1"]),
        [],
    ),
    (
        "1,450 ft in line is no matter of run length",
        job([pull("C1.1", "K1", 950), pull("K1", "K2", 500)]),
        [],
    ),
    ("at nine tenths nothing is said", legs(900, 900), []),
    (
        "just above nine tenths",
        legs(900, 901),
        [
            about(
                REVIEW,
                1801,
                2000,
                "C1.1 holds 1,801 ft of cable, 90 % of the limit of 2,000 ft, which leaves 199 ft for "
                "changes on site",
            )
        ],
    ),
    (
        "off-specification cable halves the limit",
        legs(500, 501, cable=THIN),
        [
            about(
                FAIL,
                1001,
                1000,
                "C1.1 holds 1,001 ft of cable, 1 ft over the limit of 1,000 ft (50 % of the usual, since "
                f"cable CAB is off specification); {FIX}",
            )
        ],
    ),
    ("half the limit is kept", legs(450, 450, cable=THIN), []),
    (
        "cannot judge: passes only inside specification",
        legs(600, 500, cable=SHIELD_NOT_STATED),
        [
            about(
                REVIEW,
                1100,
                1000,
                "C1.1 holds 1,100 ft of cable, within the limit of 2,000 ft only if cable CAB is inside "
                "specification, 1,000 ft if not; state the cable's properties in the cable sheet",
            )
        ],
    ),
    ("not known, passes both ways", legs(450, 450, cable=SHIELD_NOT_STATED), []),
    (
        "not known, and nearly past the lower limit",
        legs(500, 500, cable=SHIELD_NOT_STATED),
        [
            about(
                REVIEW,
                1000,
                1000,
                "C1.1 holds 1,000 ft of cable, 100 % of the limit of 1,000 ft that holds unless cable CAB "
                "is inside specification; state the cable's properties in the cable sheet",
            )
        ],
    ),
    (
        "not known, fails both ways",
        legs(1000, 1001, cable=SHIELD_NOT_STATED),
        [about(FAIL, 2001, 2000, f"C1.1 holds 2,001 ft of cable, 1 ft over the limit of 2,000 ft; {FIX}")],
    ),
    (
        "a pull of unknown length makes it a lower bound",
        job([pull("C1.1", "K1", 2100), pull("K1", "K2", None)]),
        [
            about(
                FAIL,
                2100,
                2000,
                f"C1.1 holds at least 2,100 ft of cable, 100 ft over the limit of 2,000 ft; {FIX}",
            )
        ],
    ),
    (
        "spurs, splices and stubs to unknown ends count; an unlanded spare return does not",
        job(
            [
                pull("C1.1", "S1", 1000),
                pull("S1", "K1", 900),
                pull("S1", "?", 150),
                pull("K1", "C1.1", 900, landed=False),
            ]
        ),
        [about(FAIL, 2050, 2000, f"C1.1 holds 2,050 ft of cable, 50 ft over the limit of 2,000 ft; {FIX}")],
    ),
    (
        "a branch without a port is judged on the port plan",
        job([pull("HE", "K1", 2100)], head_ends=["HE"]),
        [],
    ),
    ("empty job", job([]), []),
]


@pytest.mark.parametrize(("what", "a_job", "findings"), CASES, ids=[row[0] for row in CASES])
def test_run_length(what: str, a_job: Job, findings: list[Finding]) -> None:
    assert found("run-length", a_job) == findings


def test_each_run_is_judged_on_its_own() -> None:
    rows = [pull("C1.1", "K1", 2001), pull("C1.2", "K2", 2000), pull("C2.1", "K3", 10)]
    assert [(f.level, f.subject) for f in found("run-length", job(rows))] == [
        (FAIL, "C1.1"),
        (REVIEW, "C1.2"),
    ]


def test_a_schedule_in_metres_is_told_in_metres() -> None:
    a_job = replace(job([replace(pull("C1.1", "K1"), length_m=610.0)]), length_unit="m")
    (finding,) = found("run-length", a_job)
    assert finding.message == f"C1.1 holds 610 m of cable, 0.4 m over the limit of 609.6 m; {FIX}"


def test_without_a_limit_nothing_is_judged() -> None:
    assert found("run-length", legs(9999), profile(run__cable=None)) == []

"""Limit: common practice, no published source: 1,000 ft from the port to the farthest device."""

from dataclasses import replace

import pytest

from auditor.job.model import CellRef, Job
from auditor.results.findings import Finding, Level
from auditor.units import m_from_ft
from tests.builders import SPEC, device, found, job, profile, pull

FAIL, REVIEW = Level.FAIL, Level.REVIEW
THIN = replace(SPEC, gauge="18 AWG", area_mm2=0.82)
FIX = "feed it from a port nearer to it or find a shorter route"


def about(
    level: Level, subject: str, row: int, measured_ft: float, message: str, limit_ft: float = 1000
) -> Finding:
    return Finding(
        rule="reach",
        level=level,
        subject=subject,
        message=message,
        where=CellRef("Devices", row, 1),
        measured=pytest.approx(m_from_ft(measured_ft)),
        limit=pytest.approx(m_from_ft(limit_ft)),
        unit="m",
    )


def line(*feet: float | None, **more: object) -> Job:
    """Devices K1, K2, … in line on port C1.1."""
    ends = ["C1.1", *(f"K{n}" for n in range(1, len(feet) + 1))]
    return job(
        [pull(near, far, length) for near, far, length in zip(ends, ends[1:], feet, strict=False)], **more
    )  # type: ignore[arg-type]


CASES: list[tuple[str, Job, list[Finding]]] = [
    (
        "fails: 900 ft and 150 ft in line",
        line(900, 150),
        [about(FAIL, "K2", 3, 1050, f"K2 is 1,050 ft from C1.1, 50 ft over the limit of 1,000 ft; {FIX}")],
    ),
    (
        "passes: 900 ft and 100 ft in line, exactly at the limit",
        line(900, 100),
        [
            about(
                REVIEW,
                "K2",
                3,
                1000,
                "K2 is 1,000 ft from C1.1, 100 % of the limit of 1,000 ft, which leaves nothing for "
                "changes on site",
            )
        ],
    ),
    (
        "a tenth of a foot over",
        line(900, 100.1),
        [
            about(
                FAIL, "K2", 3, 1000.1, f"K2 is 1,000.1 ft from C1.1, 0.1 ft over the limit of 1,000 ft; {FIX}"
            )
        ],
    ),
    (
        "1,450 ft in line fails on reach alone, at every device that is too far",
        line(950, 250, 250),
        [
            about(
                REVIEW,
                "K1",
                2,
                950,
                "K1 is 950 ft from C1.1, 95 % of the limit of 1,000 ft, which leaves 50 ft for changes on "
                "site",
            ),
            about(FAIL, "K2", 3, 1200, f"K2 is 1,200 ft from C1.1, 200 ft over the limit of 1,000 ft; {FIX}"),
            about(FAIL, "K3", 4, 1450, f"K3 is 1,450 ft from C1.1, 450 ft over the limit of 1,000 ft; {FIX}"),
        ],
    ),
    (
        "legs of 620, 480 and 900 ft",
        job([pull("C1.1", "K1", 620), pull("C1.1", "K2", 480), pull("C1.1", "K3", 900)]),
        [],
    ),
    (
        "a 640 ft trunk that stars into three 360 ft legs reaches 1,000 ft",
        job(
            [pull("C1.1", "S1", 640), *(pull("S1", f"K{n}", 360) for n in (1, 2, 3))],
            [device(f"K{n}") for n in (1, 2, 3)],
            splices=["S1"],
        ),
        [
            about(
                REVIEW,
                f"K{n}",
                n + 1,
                1000,
                f"K{n} is 1,000 ft from C1.1, 100 % of the limit of 1,000 ft, which leaves nothing for "
                "changes on site",
            )
            for n in (1, 2, 3)
        ],
    ),
    (
        "off-specification cable halves the reach",
        line(400, 101, cable=THIN),
        [
            about(
                FAIL,
                "K2",
                3,
                501,
                "K2 is 501 ft from C1.1, 1 ft over the limit of 500 ft (50 % of the usual, since cable CAB "
                f"is off specification); {FIX}",
                limit_ft=500,
            )
        ],
    ),
    (
        "cannot judge: passes only inside specification",
        line(600, cable=replace(SPEC, stranded=None)),
        [
            about(
                REVIEW,
                "K1",
                2,
                600,
                "K1 is 600 ft from C1.1, within the limit of 1,000 ft only if cable CAB is inside "
                "specification, 500 ft if not; state the cable's properties in the cable sheet",
                limit_ft=500,
            )
        ],
    ),
    (
        "cannot judge: no pull names its cable",
        job([pull("C1.1", "K1", 600, cable=None)]),
        [
            about(
                REVIEW,
                "K1",
                2,
                600,
                "K1 is 600 ft from C1.1, within the limit of 1,000 ft only if the unnamed cable is inside "
                "specification, 500 ft if not; state the cable's properties in the cable sheet",
                limit_ft=500,
            )
        ],
    ),
    (
        "beyond a pull of unknown length it is a lower bound",
        line(None, 1050),
        [
            about(
                FAIL,
                "K2",
                3,
                1050,
                f"K2 is at least 1,050 ft from C1.1, 50 ft over the limit of 1,000 ft; {FIX}",
            )
        ],
    ),
    (
        "in a loop the shortest way is a lower bound",
        job([pull("C1.1", "K1", 900), pull("K1", "K2", 150), pull("K2", "C1.1", 1100)]),
        [
            about(
                FAIL,
                "K2",
                3,
                1050,
                "K2 is at least 1,050 ft from C1.1 (the shortest way round the loop), 50 ft over the limit "
                f"of 1,000 ft; {FIX}",
            )
        ],
    ),
    (
        "from the nearer of two joined ports",
        job([pull("C1.1", "K1", 1100), pull("K1", "C1.2", 1050)]),
        [
            about(
                FAIL,
                "K1",
                2,
                1050,
                f"K1 is 1,050 ft from C1.1 or C1.2, 50 ft over the limit of 1,000 ft; {FIX}",
            )
        ],
    ),
    (
        "a branch without a port is judged by its reach too",
        job([pull("HE", "K1", 1001)], head_ends=["HE"]),
        [about(FAIL, "K1", 2, 1001, f"K1 is 1,001 ft from HE, 1 ft over the limit of 1,000 ft; {FIX}")],
    ),
    ("a splice and a stub without device are no reach", job([pull("C1.1", "S1", 1200)], splices=["S1"]), []),
    ("empty job", job([]), []),
]


@pytest.mark.parametrize(("what", "a_job", "findings"), CASES, ids=[row[0] for row in CASES])
def test_reach(what: str, a_job: Job, findings: list[Finding]) -> None:
    assert found("reach", a_job) == findings


def star(*feet: float | None) -> Job:
    return job(
        [pull("C1.1", "S1", 10), *(pull("S1", f"K{n}", length) for n, length in enumerate(feet))],
        [device(f"K{n}") for n in range(len(feet))],
        splices=["S1"],
    )


# Published limit of this kind: 300 m between the two devices farthest from each other, three legs of 100 m
# give 200 m (technical note «Cable length» of the trade body for IEC 62386).
BETWEEN: list[tuple[str, Job, list[tuple[Level, float, str]]]] = [
    ("a star of 100 m legs", star(328.084, 328.084, 328.084), []),
    (
        "just above",
        star(500, 484.4),
        [
            (
                FAIL,
                984.4,
                "K1 and K0 on C1.1 are 984.4 ft of cable apart, 0.1 ft over the limit of 984.3 ft; "
                "feed one of them from another port",
            )
        ],
    ),
    (
        "just below",
        star(500, 484.2),
        [
            (
                REVIEW,
                984.2,
                "K1 and K0 on C1.1 are 984.2 ft of cable apart, 99.9 % of the limit of 984.3 ft, "
                "which leaves 0.1 ft for changes on site",
            )
        ],
    ),
    (
        "a lower bound where a length is missing",
        star(600, 484.4, None),
        [
            (
                FAIL,
                1084.4,
                "K1 and K0 on C1.1 are at least 1,084.4 ft of cable apart, 100.1 ft over the limit of "
                "984.3 ft; feed one of them from another port",
            )
        ],
    ),
]


@pytest.mark.parametrize(("what", "a_job", "expected"), BETWEEN, ids=[row[0] for row in BETWEEN])
def test_distance_between_devices(what: str, a_job: Job, expected: list[tuple[Level, float, str]]) -> None:
    limits = profile(run__between_devices="300 m", run__reach=None)
    assert found("reach", a_job, limits) == [
        Finding(
            rule="reach",
            level=level,
            subject="C1.1",
            message=message,
            where=CellRef("Pulls", 2, 1),
            measured=pytest.approx(m_from_ft(apart_ft)),
            limit=300,
            unit="m",
        )
        for level, apart_ft, message in expected
    ]

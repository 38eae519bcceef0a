"""Limits: common practice, no published source: 50 devices on a port and 100 on a controller at 24 V,
60 and 120 at 36 V."""

from dataclasses import replace

import pytest

from auditor.job.model import CellRef, Controller, Job
from auditor.profile.load import load_profile
from auditor.results.findings import Finding, Level
from tests.builders import SPEC, device, found, job, pull

FAIL, REVIEW = Level.FAIL, Level.REVIEW
THIN = replace(SPEC, gauge="18 AWG", area_mm2=0.82)
FIX = "move a branch to another port or controller"
SHEET = CellRef("Controllers", 4, 1)


def about(
    level: Level, subject: str, count: int, limit: int, message: str, where: CellRef | None = None
) -> Finding:
    return Finding(
        rule="device-count",
        level=level,
        subject=subject,
        message=message,
        where=where or CellRef("Pulls", 2, 1),
        measured=count,
        limit=limit,
        unit="devices",
    )


def ports(*counts: int, **more: object) -> Job:
    """One device row with a quantity on each of the ports C1.1, C1.2, …"""
    rows = [pull(f"C1.{n}", f"K{n}") for n in range(1, len(counts) + 1)]
    return job(rows, [device(f"K{n}", quantity=count) for n, count in enumerate(counts, 1)], **more)  # type: ignore[arg-type]


CASES: list[tuple[str, Job, list[Finding]]] = [
    (
        "fails: 51 on a port",
        ports(51),
        [about(FAIL, "C1.1", 51, 50, f"C1.1 feeds 51 devices, 1 device over the limit of 50 devices; {FIX}")],
    ),
    ("passes: 45 on a port", ports(45), []),
    (
        "46 leave little",
        ports(46),
        [
            about(
                REVIEW,
                "C1.1",
                46,
                50,
                "C1.1 feeds 46 devices, 92 % of the limit of 50 devices, which leaves 4 devices for "
                "changes on site",
            )
        ],
    ),
    (
        "50 keep it exactly",
        ports(50),
        [
            about(
                REVIEW,
                "C1.1",
                50,
                50,
                "C1.1 feeds 50 devices, 100 % of the limit of 50 devices, which leaves nothing for changes "
                "on site",
            )
        ],
    ),
    (
        "three ports keep theirs and the controller does not",
        ports(40, 40, 21, controllers=[Controller(name="C1", ports=3, where=SHEET)]),
        [
            about(
                FAIL,
                "C1",
                101,
                100,
                f"C1 serves 101 devices, 1 device over the limit of 100 devices; {FIX}",
                SHEET,
            )
        ],
    ),
    (
        "100 on the controller keep it exactly",
        ports(40, 40, 20),
        [
            about(
                REVIEW,
                "C1",
                100,
                100,
                "C1 serves 100 devices, 100 % of the limit of 100 devices, which leaves nothing for "
                "changes on site",
            )
        ],
    ),
    (
        "off-specification cable halves the port's limit, not the controller's",
        ports(26, 22, cable=THIN),
        [
            about(
                FAIL,
                "C1.1",
                26,
                25,
                "C1.1 feeds 26 devices, 1 device over the limit of 25 devices (50 % of the usual, since "
                f"cable CAB is off specification); {FIX}",
            )
        ],
    ),
    (
        "cannot judge: passes only inside specification",
        ports(30, cable=replace(SPEC, conductors=None)),
        [
            about(
                REVIEW,
                "C1.1",
                30,
                25,
                "C1.1 feeds 30 devices, within the limit of 50 devices only if cable CAB is inside "
                "specification, 25 devices if not; state the cable's properties in the cable sheet",
            )
        ],
    ),
    (
        "a branch without a port is judged on the port plan",
        job([pull("HE", "K1")], [device("K1", quantity=51)], head_ends=["HE"]),
        [],
    ),
    ("empty job", job([]), []),
]


@pytest.mark.parametrize(("what", "a_job", "findings"), CASES, ids=[row[0] for row in CASES])
def test_device_count(what: str, a_job: Job, findings: list[Finding]) -> None:
    assert found("device-count", a_job) == findings


@pytest.mark.parametrize(
    ("name", "port", "controller"), [("two-wire-35w", 50, 100), ("two-wire-120w", 60, 120)]
)
def test_the_counts_of_both_supplies(name: str, port: int, controller: int) -> None:
    limits = load_profile(name)
    levels = {
        counts: [
            (f.level, f.subject) for f in found("device-count", ports(*counts), limits) if f.level is FAIL
        ]
        for counts in ((port,), (port + 1,), (port, port), (port, port, 1))
    }
    assert controller == 2 * port
    assert levels == {
        (port,): [],
        (port + 1,): [(FAIL, "C1.1")],
        (port, port): [],
        (port, port, 1): [(FAIL, "C1")],
    }


def test_the_base_profile_limits_no_count() -> None:
    assert found("device-count", ports(500), load_profile("two-wire")) == []

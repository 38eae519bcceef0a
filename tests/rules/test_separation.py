"""Limits: common practice, no published source: 12 in from parallel mains, crossings at 90 degrees, never
alongside loudspeaker cable. MIL-HDBK-1012/3 asks for the same: 1 ft from power cable, right angles."""

from dataclasses import replace

import pytest

from auditor.job.model import CellRef, Job, Pull, Unread
from auditor.results.findings import Finding, Level
from auditor.units import m_from_ft
from tests.builders import found, job, profile, pull

CLEAR = {"mains_parallel_m": m_from_ft(1), "mains_crossing_deg": 90.0, "loudspeaker_parallel": False}


def recorded(**more: object) -> Pull:
    """A pull of which all is recorded and kept, but what is said."""
    return pull("C1.1", "K1", **(CLEAR | more))  # type: ignore[arg-type]


def about(
    message: str, measured: float | None = None, limit: float | None = None, unit: str | None = None
) -> Finding:
    return Finding(
        rule="separation",
        level=Level.FAIL,
        subject="C1.1-K1",
        message=message,
        where=CellRef("Pulls", 2, 1),
        measured=None if measured is None else pytest.approx(measured),
        limit=None if limit is None else pytest.approx(limit),
        unit=unit,
    )


def too_near(inches: float, text: str) -> Finding:
    return about(
        f"Pull C1.1-K1 keeps {text} from parallel mains where 12 in is asked for; reroute the control "
        "cable, and ask whether local code wants more",
        measured=m_from_ft(inches / 12),
        limit=0.3048,
        unit="m",
    )


def askew(degrees: float) -> Finding:
    return about(
        f"Pull C1.1-K1 crosses mains at {degrees:g} degrees where 90 is asked for; reroute the control "
        "cable so that it crosses squarely",
        measured=degrees,
        limit=90,
        unit="deg",
    )


def not_recorded(which: str) -> Finding:
    return Finding(
        rule="separation",
        level=Level.NOTE,
        subject="job",
        message=f"The distance from mains and loudspeaker cable is not recorded for {which}; check it on "
        "site before "
        "the walls are closed",
    )


def left_blank(which: str, row: int) -> Finding:
    return Finding(
        rule="separation",
        level=Level.REVIEW,
        subject="job",
        message=f"No distance from mains is recorded for {which}, and others have one; write it down where mains runs "
        "alongside, or accept this where none does",
        where=CellRef("Pulls", row, 1),
    )


CASES: list[tuple[str, Job, list[Finding]]] = [
    ("passes: 12 in, 90 degrees, not alongside loudspeaker cable", job([recorded()]), []),
    ("fails: 6 in from parallel mains", job([recorded(mains_parallel_m=0.1524)]), [too_near(6, "6 in")]),
    ("a tenth of an inch too near", job([recorded(mains_parallel_m=0.30226)]), [too_near(11.9, "11.9 in")]),
    ("a tenth of an inch more than asked", job([recorded(mains_parallel_m=0.30734)]), []),
    ("fails: a crossing at 45 degrees", job([recorded(mains_crossing_deg=45.0)]), [askew(45)]),
    ("fails: a crossing at 135 degrees", job([recorded(mains_crossing_deg=135.0)]), [askew(135)]),
    ("just off square", job([recorded(mains_crossing_deg=89.5)]), [askew(89.5)]),
    (
        "alongside loudspeaker cable",
        job([recorded(loudspeaker_parallel=True)]),
        [about("Pull C1.1-K1 runs alongside loudspeaker cable; give it a route of its own")],
    ),
    (
        "all three at once",
        job([recorded(mains_parallel_m=0.0, mains_crossing_deg=45.0, loudspeaker_parallel=True)]),
        [
            too_near(0, "0 in"),
            askew(45),
            about("Pull C1.1-K1 runs alongside loudspeaker cable; give it a route of its own"),
        ],
    ),
    (
        "cannot judge: nothing is recorded",
        job([pull("C1.1", "K1"), pull("K1", "K2")]),
        [not_recorded("any pull")],
    ),
    (
        "cannot judge: recorded for some",
        job([recorded(), pull("K1", "K2"), pull("K1", "K3")]),
        [left_blank("2 pulls (K1-K2, K1-K3)", 3)],
    ),
    (
        "review: a blank beside others that have a distance",
        job([recorded(), pull("K1", "K2", mains_crossing_deg=90.0)]),
        [left_blank("pull K1-K2", 3)],
    ),
    (
        "a distance that is asked about or cannot be read is no blank",
        job(
            [
                recorded(),
                pull("K1", "K2", asked=frozenset({"mains_parallel_m"}), mains_crossing_deg=90.0),
                pull(
                    "K1",
                    "K3",
                    mains_crossing_deg=90.0,
                    unread=(
                        Unread(field="mains_parallel_m", text="?", reason="", where=CellRef("Pulls", 4, 5)),
                    ),
                ),
            ]
        ),
        [],
    ),
    ("what is recorded in part is judged in part", job([pull("C1.1", "K1", mains_crossing_deg=90.0)]), []),
    ("empty job", job([]), []),
]


@pytest.mark.parametrize(("what", "a_job", "findings"), CASES, ids=[row[0] for row in CASES])
def test_separation(what: str, a_job: Job, findings: list[Finding]) -> None:
    assert found("separation", a_job) == findings


def test_a_bus_whose_cable_may_share_with_mains_is_not_judged() -> None:
    """IEC 62386: not an extra-low-voltage circuit, it may share a sheath with mains (installation guide)."""
    assert found("separation", job([recorded(mains_parallel_m=0.0)]), profile(separation=None)) == []


def test_the_finding_speaks_of_the_cell_that_records_it_and_in_the_schedules_unit() -> None:
    cell = CellRef("Pulls", 2, 9)
    row = recorded(mains_parallel_m=0.15, cells={"mains_parallel_m": cell})
    (finding,) = found("separation", replace(job([row]), length_unit="m"))
    assert finding.where == cell
    assert finding.message.startswith(
        "Pull C1.1-K1 keeps 150 mm from parallel mains where 304.8 mm is asked for;"
    )


@pytest.mark.parametrize(("unit", "kept_m", "count"), [("m", 0.3, 0), ("m", 0.297, 1), ("ft", 0.3, 1)])
def test_twelve_inches_are_300_mm_in_a_schedule_in_metres(unit: str, kept_m: float, count: int) -> None:
    one = replace(job([recorded(mains_parallel_m=kept_m)]), length_unit=unit)
    assert len(found("separation", one)) == count

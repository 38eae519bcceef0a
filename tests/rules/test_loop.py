"""Number of loops: E - V + C, graph theory; that a run has none is the profile's `loops`."""

from dataclasses import replace

import pytest

from auditor.job.model import CellRef, Job
from auditor.results.findings import Finding, Level
from tests.builders import found, job, profile, pull


def about(subject: str, row: int, message: str) -> Finding:
    return Finding(
        rule="loop", level=Level.FAIL, subject=subject, message=message, where=CellRef("Pulls", row, 1)
    )


RING = [pull("C1.1", "K1"), pull("K1", "K2"), pull("K2", "K3"), pull("K3", "K1", 25)]

CASES: list[tuple[str, Job, list[Finding]]] = [
    (
        "fails: one loop of three pulls; the one is lifted without which no device is farther",
        job(RING),
        [
            about(
                "K3-K1",
                5,
                "Pulls K3-K1, K2-K3, K1-K2 close a loop on C1.1; lift pull K3-K1 (K3 to K1) or leave it "
                "unlanded as a spare return",
            )
        ],
    ),
    ("passes: the same without the last pull", job(RING[:3]), []),
    (
        "passes: the last pull is an unlanded spare return",
        job([*RING[:3], replace(RING[3], landed=False)]),
        [],
    ),
    (
        "two parallel pulls",
        job([pull("C1.1", "K1", 50, id="P1"), pull("C1.1", "K1", 40, id="P2")]),
        [
            about(
                "P1",
                2,
                "Pulls P1, P2 close a loop on C1.1; lift pull P1 (C1.1 to K1) or leave it unlanded as a "
                "spare return",
            )
        ],
    ),
    (
        "a pull that comes back to where it starts",
        job([pull("C1.1", "K1"), pull("K1", "K1")]),
        [about("K1-K1", 3, "Pull K1-K1 starts and ends at K1; lift it or correct its ends")],
    ),
    (
        "two loops are told one by one",
        job([*RING, pull("K2", "K4"), pull("K4", "K3", 100)]),
        [
            about(
                "K3-K1",
                5,
                "Pulls K3-K1, K2-K3, K1-K2 close a loop on C1.1; lift pull K3-K1 (K3 to K1) or leave it "
                "unlanded as a spare return",
            ),
            about(
                "K4-K3",
                7,
                "Pulls K4-K3, K2-K4, K2-K3 close a loop on C1.1; lift pull K4-K3 (K4 to K3) or leave it "
                "unlanded as a spare return",
            ),
        ],
    ),
    (
        "a pull that is listed twice closes no loop",
        job([pull("C1.1", "K1", id="P1"), pull("C1.1", "K1", id="P1")]),
        [],
    ),
    ("a path between two ports is no loop", job([pull("C1.1", "K1"), pull("K1", "C1.2")]), []),
    (
        "a pull of unknown length closes a loop too",
        job([pull("C1.1", "K1"), pull("K1", "K2"), pull("K2", "C1.1", None)]),
        [
            about(
                "K1-K2",
                3,
                "Pulls K1-K2, C1.1-K1, K2-C1.1 close a loop on C1.1; lift pull K1-K2 (K1 to K2) or leave "
                "it unlanded as a spare return",
            )
        ],
    ),
    ("empty job", job([]), []),
]


@pytest.mark.parametrize(("what", "a_job", "findings"), CASES, ids=[row[0] for row in CASES])
def test_loop(what: str, a_job: Job, findings: list[Finding]) -> None:
    assert found("loop", a_job) == findings


def test_a_bus_that_allows_loops() -> None:
    """ISO/IEC 14908-2 free topology allows them (transceiver guide, secondary)."""
    assert found("loop", job(RING), profile(loops="allowed")) == []

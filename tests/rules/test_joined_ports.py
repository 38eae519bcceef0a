"""No path joins two supplies: common practice; NEC (2020) 725.121(B) for power-limited ones (secondary)."""

from dataclasses import replace

import pytest

from auditor.job.model import CellRef, Job
from auditor.results.findings import Finding, Level
from tests.builders import found, job, pull


def about(subject: str, row: int, message: str) -> Finding:
    return Finding(
        rule="joined-ports",
        level=Level.FAIL,
        subject=subject,
        message=message,
        where=CellRef("Pulls", row, 1),
    )


PATH = [pull("C1.1", "K1"), pull("K1", "K2"), pull("K2", "C1.2", 30)]

CASES: list[tuple[str, Job, list[Finding]]] = [
    (
        "fails: C1.1-K1, K1-K2, K2-C1.2, lifted where the two feeds meet",
        job(PATH),
        [
            about(
                "K2-C1.2",
                4,
                "Pulls C1.1-K1, K1-K2, K2-C1.2 join C1.1 and C1.2; lift pull K2-C1.2 (K2 to C1.2) or leave "
                "it unlanded as a spare return",
            )
        ],
    ),
    (
        "passes: the last pull is an unlanded spare return",
        job([*PATH[:2], replace(PATH[2], landed=False)]),
        [],
    ),
    (
        "one pull from port to port",
        job([pull("C1.1", "C2.1")]),
        [
            about(
                "C1.1-C2.1",
                2,
                "Pull C1.1-C2.1 joins C1.1 and C2.1; lift pull C1.1-C2.1 (C1.1 to C2.1) or leave it "
                "unlanded as a spare return",
            )
        ],
    ),
    (
        "three ports are two joins, each with the two ports that it joins",
        job([pull("C1.1", "S", 5), pull("C1.2", "S", 6), pull("C2.1", "S", 7)], splices=["S"]),
        [
            about(
                "C1.2-S",
                3,
                "Pulls C1.2-S, C1.1-S join C1.2 and C1.1; lift pull C1.2-S (C1.2 to S) or leave it "
                "unlanded as a spare return",
            ),
            about(
                "C2.1-S",
                4,
                "Pulls C2.1-S, C1.1-S join C2.1 and C1.1; lift pull C2.1-S (C2.1 to S) or leave it "
                "unlanded as a spare return",
            ),
        ],
    ),
    (
        "a port and a head end",
        job([pull("C1.1", "K1"), pull("K1", "PANEL")], head_ends=["PANEL"]),
        [
            about(
                "K1-PANEL",
                3,
                "Pulls C1.1-K1, K1-PANEL join C1.1 and PANEL; lift pull K1-PANEL (K1 to PANEL) or leave it "
                "unlanded as a spare return",
            )
        ],
    ),
    ("two ports of their own", job([pull("C1.1", "K1"), pull("C1.2", "K2")]), []),
    ("empty job", job([]), []),
]


@pytest.mark.parametrize(("what", "a_job", "findings"), CASES, ids=[row[0] for row in CASES])
def test_joined_ports(what: str, a_job: Job, findings: list[Finding]) -> None:
    assert found("joined-ports", a_job) == findings

"""Bridges of the graph with the spare added; second opinion by networkx in tests/bus/test_topology.py."""

import itertools

import pytest

from auditor.job.model import CellRef, Job
from auditor.results.findings import Finding, Level
from tests.builders import found, job, pull


def about(subject: str, row: int, message: str) -> Finding:
    return Finding(
        rule="spare-return",
        level=Level.NOTE,
        subject=subject,
        message=f"Spare return {message}. Until then leave it unlanded",
        where=CellRef("Pulls", row, 1),
    )


LINE = [pull("C1.1", "K1"), pull("K1", "K2")]
SPARE = pull("K2", "C1.1", landed=False)
CASES: list[tuple[str, Job, list[Finding]]] = [
    (
        "passes: C1.1-K1, K1-K2 and the spare K2-C1.1, both pulls are protected",
        job([*LINE, SPARE]),
        [
            about(
                "K2-C1.1",
                4,
                "K2-C1.1, landed in an emergency, could feed what lies beyond C1.1-K1, K1-K2 if one of "
                "these were cut",
            )
        ],
    ),
    (
        "what it cannot save",
        job([*LINE, SPARE, pull("K1", "K3")]),
        [
            about(
                "K2-C1.1",
                4,
                "K2-C1.1, landed in an emergency, could feed what lies beyond C1.1-K1, K1-K2 if one of "
                "these were cut; a cut in K1-K3 would still leave the devices beyond it dead",
            )
        ],
    ),
    (
        "another run is not spoken of",
        job([*LINE, SPARE, pull("C1.2", "K4")]),
        [
            about(
                "K2-C1.1",
                4,
                "K2-C1.1, landed in an emergency, could feed what lies beyond C1.1-K1, K1-K2 if one of "
                "these were cut",
            )
        ],
    ),
    (
        "a spare that leads nowhere saves nothing",
        job([*LINE, pull("K2", "", landed=False, id="R1")]),
        [
            about(
                "R1",
                4,
                "R1, landed in an emergency, saves nothing; a cut in C1.1-K1, K1-K2 would still leave the "
                "devices beyond it dead",
            )
        ],
    ),
    ("no spare return, no word", job(LINE), []),
    ("empty job", job([]), []),
]


@pytest.mark.parametrize(("what", "a_job", "findings"), CASES, ids=[row[0] for row in CASES])
def test_spare_return(what: str, a_job: Job, findings: list[Finding]) -> None:
    assert found("spare-return", a_job) == findings


def test_a_long_list_is_cut_short() -> None:
    ends = ["C1.1", *(f"K{n}" for n in range(1, 16))]
    rows = [pull(near, far) for near, far in itertools.pairwise(ends)]
    (finding,) = found("spare-return", job([*rows, pull("K15", "C1.1", landed=False)]))
    assert "K10-K11, K11-K12 and 3 more if one of these were cut" in finding.message

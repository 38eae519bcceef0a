"""Bridges of the graph with the spare added; second opinion by networkx in tests/bus/test_topology.py."""

import itertools

import pytest

from auditor.audit import judge_as_planned
from auditor.job.model import CellRef, Job
from auditor.plans.make import make_plans
from auditor.plans.spares import MOST_CUTS
from auditor.profile.limits import Profile
from auditor.results.findings import Finding, Level
from auditor.rules import RULES
from tests.builders import device, job, measured, profile, pull


def planned(a_job: Job, limits: Profile | None = None) -> list[Finding]:
    seen = measured(a_job, limits)
    return list(RULES["spare-return"](seen, make_plans(seen, judge_as_planned)))


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
    assert planned(a_job) == findings


@pytest.mark.parametrize(
    ("count", "said"), [(12, "K10-K11, K11-K12 if one"), (15, "K10-K11, K11-K12 and 3 more if one")]
)
def test_a_long_list_is_cut_short(count: int, said: str) -> None:
    ends = ["C1.1", *(f"K{n}" for n in range(1, count + 1))]
    rows = [pull(near, far) for near, far in itertools.pairwise(ends)]
    (finding,) = planned(job([*rows, pull(ends[-1], "C1.1", landed=False)]))
    assert f"{said} of these were cut" in finding.message


def test_a_cut_that_the_spare_would_feed_past_a_limit_is_not_promised() -> None:
    """K2 is 20 ft from the port, and 20 + 100 = 120 ft by the spare to K1; the limit is 115 ft."""
    a_job = job([*LINE, pull("K2", "C1.1", 110, landed=False)])
    (finding,) = planned(a_job, profile(run__reach="115 ft"))
    assert finding.message == (
        "Spare return K2-C1.1, landed in an emergency, could feed what lies beyond K1-K2 if one of these were cut; "
        "with a cut in C1.1-K1 it would feed what lies beyond past a limit (reach). Until then leave it unlanded"
    )


def test_of_two_spares_the_one_that_keeps_the_limits_is_counted_on() -> None:
    spares = [pull("K2", "C1.1", 500, landed=False, id="R1"), pull("K2", "C1.2", 20, landed=False, id="R2")]
    (finding,) = planned(job([*LINE, *spares]), profile(run__reach="115 ft"))
    assert "could feed what lies beyond C1.1-K1, K1-K2 if one of these were cut. Until" in finding.message


def test_no_more_cuts_are_tried_than_are_said() -> None:
    ends = ["C1.1", *(f"K{n}" for n in range(1, MOST_CUTS + 3))]
    rows = [pull(near, far, 1) for near, far in itertools.pairwise(ends)]
    (finding,) = planned(job([*rows, pull(ends[-1], "C1.1", landed=False)]))
    assert (
        f"what a cut in K{MOST_CUTS}-K{MOST_CUTS + 1}, K{MOST_CUTS + 1}-K{MOST_CUTS + 2} leaves was not tried"
        in finding.message
    )


def test_a_spare_to_another_controller_counts_on_its_supply() -> None:
    """20 W fed from C2, which feeds 18 W already and has 35 W."""
    rows = [
        pull("C1.1", "K1"),
        pull("K1", "K2"),
        pull("C2.1", "K9"),
        pull("K2", "C2.2", landed=False, id="R1"),
    ]
    devices = [device("K1", 0.1), device("K2", 20.0), device("K9", 18.0)]
    (finding,) = planned(job(rows, devices))
    assert "past a limit (power)" in finding.message
    assert "could feed" not in finding.message


@pytest.mark.parametrize("first", ["reach", "power"])
def test_of_two_spares_that_break_as_many_limits_the_first_ones_is_said(first: str) -> None:
    """K1 and K2 are 500 ft from C1.1 by the one, the limit is 115 ft; by the other C2 has 38 W of 35 W."""
    spares = {
        "reach": pull("K2", "C1.1", 500, landed=False, id="R1"),
        "power": pull("K2", "C2.2", landed=False, id="R2"),
    }
    ordered = sorted(spares.items(), key=lambda item: item[0] != first)
    a_job = job(
        [*LINE, pull("C2.1", "K9"), *(spare for _, spare in ordered)],
        [device("K1", 0.1), device("K2", 20.0), device("K9", 18.0)],
    )
    (finding,) = planned(a_job, profile(run__reach="115 ft"))
    assert (
        f"with a cut in C1.1-K1, K1-K2 it would feed what lies beyond past a limit ({first})"
        in finding.message
    )

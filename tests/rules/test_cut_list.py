"""Reels of 500 and 1,000 ft, 3 ft at each end, 5 % waste: project convention (see the profile's sources)."""

from collections.abc import Iterable
from dataclasses import replace

import pytest

from auditor.audit import judge_as_planned
from auditor.job.model import CellRef, Job, Reel
from auditor.plans.better_buys import better_buys
from auditor.plans.cut_lists import cut_length_m, cut_lists, terms_of
from auditor.plans.plans import Plans
from auditor.results.findings import Finding, Level
from auditor.rules import RULES
from auditor.units import m_from_ft
from tests.builders import SPEC, job, measured, profile, pull


def cut_found(a_job: Job, **overrides: object) -> list[Finding]:
    seen = measured(a_job, profile(**overrides))
    return list(RULES["cut-list"](seen, Plans(cuts=cut_lists(seen))))


def about(
    subject: str, row: int, takes: str, takes_ft: float, longest_ft: float, cable: str = "cable CAB"
) -> Finding:
    return Finding(
        rule="cut-list",
        level=Level.REVIEW,
        subject=subject,
        message=f"Pull {subject} takes {takes} of {cable} with its allowances, the longest reel has "
        f"{longest_ft:,g} ft; order a "
        "longer reel, or splice where it can be reached and list two pulls",
        where=CellRef("Pulls", row, 1),
        measured=pytest.approx(m_from_ft(takes_ft)),
        limit=pytest.approx(m_from_ft(longest_ft)),
        unit="m",
    )


def home_run(feet: float | None, **more: object) -> Job:
    return job([pull("C1.1", "K1", feet)], **more)  # type: ignore[arg-type]


EXACT_FT = (1000 - 6) / 1.05  # with its waste and both allowances the whole reel

CASES: list[tuple[str, Job, list[Finding]]] = [
    (
        "review: 990 ft with 3 ft at each end and 5 % waste",
        home_run(990),
        [about("C1.1-K1", 2, "1,046 ft", 1046, 1000)],
    ),
    ("passes: 940 ft", home_run(940), []),
    ("exactly a reel", home_run(EXACT_FT), []),
    ("a tenth of a foot more", home_run(EXACT_FT + 0.1), [about("C1.1-K1", 2, "1,001 ft", 1001, 1000)]),
    (
        "only the pull that is too long",
        job([pull("C1.1", "K1", 400), pull("C1.1", "K2", 2000)]),
        [about("C1.1-K2", 3, "2,106 ft", 2106, 1000)],
    ),
    (
        "a spare return is cut too",
        job([pull("C1.1", "K1", 400), pull("K1", "C1.1", 990, landed=False)]),
        [about("K1-C1.1", 3, "1,046 ft", 1046, 1000)],
    ),
    (
        "cable that nobody names",
        job([pull("C1.1", "K1", 990, cable=None)]),
        [about("C1.1-K1", 2, "1,046 ft", 1046, 1000, "the unnamed cable")],
    ),
    ("the workbook's own reels", home_run(990, reels=(Reel(length_m=m_from_ft(1500)),)), []),
    (
        "the workbook's own allowances",
        home_run(990, allowance_per_end_m=0.0, waste=0.0),
        [],
    ),
    ("cannot judge: a pull of unknown length is told by missing-value", home_run(None), []),
    ("empty job", job([]), []),
]


@pytest.mark.parametrize(("what", "a_job", "findings"), CASES, ids=[row[0] for row in CASES])
def test_cut_list(what: str, a_job: Job, findings: list[Finding]) -> None:
    assert cut_found(a_job) == findings


@pytest.mark.parametrize(
    ("count", "said"),
    [
        (1, "1 pull without a length: P1"),
        (2, "2 pulls without a length: P1, P2"),
        (8, "8 pulls without a length: P1, P2, P3, P4, P5, P6, P7, P8"),
        (9, "9 pulls without a length: P1, P2, P3, P4, P5, P6, P7, P8 and more"),
    ],
)
def test_pulls_without_a_length_are_left_out_and_said(count: int, said: str) -> None:
    missing = [pull("K0", f"K{n}", None, id=f"P{n}") for n in range(1, count + 1)]
    assert cut_found(job([pull("C1.1", "K0", 100), *missing])) == [
        Finding(
            rule="cut-list",
            level=Level.NOTE,
            subject="CAB",
            message=f"The cut list of cable CAB leaves out {said}; fill them in before ordering",
        )
    ]


def test_what_is_cut_for_a_pull() -> None:
    """940 ft with 5 % waste and 3 ft at each end: 993 ft; 990 ft: 1,045.5 ft and so 1,046 ft."""
    terms = terms_of(job([]), profile())
    cut_ft = [cut_length_m(pull("C1.1", "K1", feet), terms, "ft") / m_from_ft(1) for feet in (940, 990)]
    assert cut_ft == pytest.approx([993, 1046])


@pytest.mark.parametrize(
    ("reserve", "fits"), [("6.9 ft", True), ("7 ft", True), ("7.1 ft", False), ("10 ft", False)]
)
def test_what_is_left_on_each_reel_counts(reserve: str, fits: bool) -> None:
    """940 ft takes 993 ft of a reel of 1,000 ft."""
    found = cut_found(home_run(940), cutting__reserve=reserve)
    assert fits is not bool(found)


def test_a_pull_too_long_beside_the_reserve_says_so() -> None:
    (finding,) = cut_found(home_run(940), cutting__reserve="10 ft")
    assert finding.message == (
        "Pull C1.1-K1 takes 993 ft of cable CAB with its allowances, the longest reel has 1,000 ft and holds 990 ft "
        "beside the reserve that is left on it; order a longer reel, or splice where it can be reached and list two "
        "pulls"
    )
    assert finding.limit == pytest.approx(m_from_ft(990))


def test_a_reserve_of_all_that_is_on_a_reel_is_said() -> None:
    (finding,) = cut_found(home_run(100), cutting__reserve="1000 ft")
    assert finding.message == (
        "No cut list for CAB: no reel that can be bought is longer than the 304.8 m that are left on each; give "
        "longer reels or a smaller reserve"
    )


def other_cable(second_ft: float, reels: tuple[Reel, ...] = ()) -> Job:
    """70 ft of 18 AWG, 80 ft to cut, before 200 ft and another pull of 16 AWG."""
    thin = replace(SPEC, name="TP-18", area_mm2=0.82, gauge="18 AWG")
    rows = [pull("C1.1", "K1", 70, cable="TP-18"), pull("K1", "K2", 200), pull("K2", "K3", second_ft)]
    return replace(job(rows, reels=reels), cables={"CAB": SPEC, "TP-18": thin})


SUITS = "Check that the fire rating of cable CAB suits the space: the local code and a licensed practitioner decide"


@pytest.mark.parametrize(
    ("a_job", "messages"),
    [
        (
            other_cable(62),
            [
                "80 ft of cable TP-18 for pull C1.1-K1 take a reel of 500 ft of their own and cut the limits of C1.1 to "
                "50 % of the usual; the offcut of 212 ft on reel R2 of cable CAB holds them: 500 ft less to buy, 500 ft "
                f"of both cables and not 1,000 ft. {SUITS}"
            ],
        ),
        (
            other_cable(62, (Reel(length_m=m_from_ft(500), price=90.5),)),
            [
                "80 ft of cable TP-18 for pull C1.1-K1 take a reel of 500 ft of their own and cut the limits of C1.1 to "
                "50 % of the usual; the offcut of 212 ft on reel R2 of cable CAB holds them: 500 ft less to buy, 500 ft "
                f"of both cables and not 1,000 ft, at a cost of 90.5 and not 181. {SUITS}"
            ],
        ),
        (
            other_cable(62, (Reel(length_m=m_from_ft(500), cable="TP-18", on_shelf=1),)),
            [
                "80 ft of cable TP-18 for pull C1.1-K1 cut the limits of C1.1 to 50 % of the usual; the offcut of 212 ft "
                f"on reel R2 of cable CAB holds them: nothing more to buy, 500 ft of both cables. {SUITS}"
            ],
        ),
        (other_cable(189), []),  # 79 ft are left
    ],
)
def test_where_a_better_cable_is_left_over(a_job: Job, messages: list[str]) -> None:
    seen = measured(a_job, profile())
    cuts = cut_lists(seen)
    plans = Plans(cuts=cuts, better_buys=better_buys(seen, cuts.lists, judge_as_planned))
    found = list(RULES["cut-list"](seen, plans))
    assert [(finding.level, finding.subject, finding.message) for finding in found] == [
        (Level.NOTE, "TP-18", message) for message in messages
    ]


@pytest.mark.parametrize("reels", [[], [{"length": "0 ft"}]])
def test_reels_that_nothing_can_be_planned_with_are_said_and_the_job_goes_on(reels: Iterable[object]) -> None:
    (finding,) = cut_found(home_run(100), cutting__reels=reels)
    assert (finding.rule, finding.level, finding.subject) == ("cut-list", Level.REVIEW, "job")
    assert finding.message.startswith("No cut list for CAB: ")

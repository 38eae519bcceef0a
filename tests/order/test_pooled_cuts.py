"""Only cable of one name, one specification and one unit is cut from the same reels."""

import itertools
from collections import Counter
from dataclasses import replace

import pytest

from auditor.order.pooled_cuts import pooled_cut_lists
from auditor.report.cable_names import named_apart
from auditor.results.audit_result import Audit, CutListResult, CutReel, ReelOffer, Status
from tests.report.audits import audit, pull

STRANDED = "16 AWG, 2 conductors, stranded, unshielded"
SOLID = "18 AWG, 2 conductors, solid, shielded"


def job(
    name: str, cable: str, spec: str = "", unit: str = "m", *, price: float | None = None, **terms: float
) -> Audit:
    """A job of one pull of 100 m, alone on a reel of 300 m."""
    reel = CutReel(reel="R1", length_m=300.0, pulls=("P1",), cut_m=(100.0,), offcut_m=200.0)
    cuts = CutListResult(
        cable=cable,
        spec=spec,
        length_unit=unit,
        status=Status.PROVEN,
        lower_bound=None,
        cost=price,
        bought_m=300.0,
        needed_m=100.0,
        reels=(reel,),
        uncut=("P8",),
        unmeasured=("P9",),
        offers=(ReelOffer(length_m=300.0, price=price),),
        **terms,  # type: ignore[arg-type]
    )
    return audit(job=name, cut_lists=(cuts,), pulls=(pull("P1", 4, cable=cable),), length_unit=unit)


def pooled(*jobs: Audit) -> list[tuple[str, int]]:
    """The name and the number of reels of each pooled cut list."""
    lists = pooled_cut_lists(named_apart(jobs), lambda audit, pull: f"{audit.job} {pull}")
    return [(cuts.cable, len(cuts.reels)) for cuts in lists]


def test_the_same_cable_is_cut_together_however_its_name_is_spelled() -> None:
    jobs = [job("A", "TP 16", STRANDED), job("B", "tp16", STRANDED), job("C", "TP 16", STRANDED)]
    assert pooled(*jobs) == [("TP 16", 1)]
    assert pooled(*reversed(jobs)) == [("TP 16", 1)]
    assert pooled(job("A", "TP-16"), job("B", "TP‑16")) == [("TP-16", 1)]


def test_one_name_for_two_cables_makes_two_lists_that_say_what_is_different() -> None:
    made = pooled(job("A", "TP16", STRANDED), job("B", "tp-16", SOLID), job("C", "TP16", STRANDED))
    assert made == [("TP16 (16 AWG, stranded, unshielded)", 1), ("TP16 (18 AWG, solid, shielded)", 1)]


def test_a_specification_that_is_part_of_another_is_told_in_full() -> None:
    assert pooled(job("A", "TP16", "16 AWG"), job("B", "TP16", "16 AWG, 600 V"), job("C", "TP16")) == [
        ("TP16 (16 AWG)", 1),
        ("TP16 (16 AWG, 600 V)", 1),
        ("TP16 (nothing stated)", 1),
    ]


def test_cable_scheduled_in_feet_and_in_metres_is_not_cut_together() -> None:
    assert pooled(job("A", "TP16", STRANDED, "m"), job("B", "TP16", STRANDED, "ft")) == [
        ("TP16 (lengths in ft)", 1),
        ("TP16 (lengths in m)", 1),
    ]


def test_names_are_never_given_twice() -> None:
    cables = itertools.product(("TP16", "tp 16"), ("", STRANDED, SOLID, "16 AWG"), ("ft", "m"))
    jobs = [job(str(number), *cable) for number, cable in enumerate(cables)]
    names = Counter(name for name, _ in pooled(*jobs))
    assert set(names.values()) == {1}
    assert len(names) == 8


def test_pulls_of_a_renamed_cable_follow_it() -> None:
    jobs = named_apart([job("A", "TP16", STRANDED), job("B", "TP16", SOLID)])
    assert [each.pulls[0].cable for each in jobs] == [each.cut_lists[0].cable for each in jobs]
    unnamed = job("C", "cable not stated")
    assert named_apart([unnamed])[0].pulls[0].cable == "cable not stated"


def test_a_pooled_list_keeps_what_its_lists_say() -> None:
    jobs = [job("A", "TP16", SOLID, price=90.0), job("B", "TP16", SOLID, price=80.0)]
    (made,) = pooled_cut_lists(jobs, lambda audit, pull: f"{audit.job} {pull}")
    assert (made.spec, made.length_unit) == (SOLID, "m")
    assert made.uncut == ("A P8", "B P8")
    assert made.unmeasured == ("A P9", "B P9")
    assert made.offers == (ReelOffer(length_m=300.0, price=80.0),)
    assert made.cost == pytest.approx(80)


def test_a_pooled_list_leaves_the_greatest_reserve_and_says_the_allowances_that_all_jobs_have() -> None:
    """Three pulls of 100 m fill a reel of 300 m, and with 1 m left on it they take two."""
    alike = {"waste": 0.05, "round_up_m": 0.5, "allowance_per_end_m": 1.0}
    jobs = [job(name, "TP16", **alike) for name in "AB"]
    (whole,) = pooled_cut_lists([*jobs, job("C", "TP16", **alike)], lambda audit, pull: f"{audit.job} {pull}")
    assert (len(whole.reels), whole.reserve_m, whole.waste) == (1, 0.0, 0.05)
    other = job("C", "TP16", reserve_m=1.0, waste=0.1, round_up_m=0.5, allowance_per_end_m=1.0)
    (left,) = pooled_cut_lists([*jobs, other], lambda audit, pull: f"{audit.job} {pull}")
    assert (len(left.reels), left.reserve_m) == (2, 1.0)
    assert (left.waste, left.round_up_m, left.allowance_per_end_m) == (None, 0.5, 1.0)


def test_the_runs_of_a_job_are_on_few_reels_of_a_pooled_list() -> None:
    """Two jobs with a run of 60 + 40 m each, cut together from reels of 100 m: each on a reel of its own."""

    def cut_apart(name: str) -> Audit:
        reels = tuple(
            CutReel(
                reel="R",
                length_m=100.0,
                pulls=(pulled,),
                cut_m=(cut_m,),
                offcut_m=100 - cut_m,
                runs=("C1.1",),
            )
            for pulled, cut_m in (("P1", 60.0), ("P2", 40.0))
        )
        cuts = replace(job(name, "TP16").cut_lists[0], reels=reels, offers=(ReelOffer(length_m=100.0),))
        return audit(job=name, cut_lists=(cuts,), pulls=(), length_unit="m")

    (made,) = pooled_cut_lists([cut_apart("A"), cut_apart("B")], lambda audit, pull: f"{audit.job} {pull}")
    assert sorted((reel.pulls, reel.runs) for reel in made.reels) == [
        (("A P1", "A P2"), ("A C1.1", "A C1.1")),
        (("B P1", "B P2"), ("B C1.1", "B C1.1")),
    ]


def test_reels_are_numbered_through_all_lists() -> None:
    lists = pooled_cut_lists([job("A", "X"), job("B", "Y")], lambda audit, pull: f"{audit.job} {pull}")
    assert [reel.reel for cuts in lists for reel in cuts.reels] == ["R1", "R2"]

"""Cut lists from jobs: what is cut for a pull, from which reels, and what a list says beside its cuts."""

import pytest

from auditor.calc.cuts.plan import ReelToBuy, StockReel
from auditor.job.model import Cable, Job, Pull, Reel
from auditor.plans.cut_lists import cut_length_m, cut_lists, reels_for, terms_of
from auditor.plans.plans import TooLong
from auditor.results.audit_result import CutListResult, CutReel, ReelOffer, Status
from auditor.units import m_from_ft
from tests.builders import SPEC, job, measured, profile, pull


def in_m(near: str, far: str, length_m: float | None, **more: object) -> Pull:
    return pull(near, far, None, **{"length_m": length_m} | more)


def as_long_as_pulled(pulls: list[Pull], **more: object) -> Job:
    """A job in metres with reels of 100 and 200 m; nothing is added to what is cut."""
    usual = {"reels": (Reel(length_m=100.0), Reel(length_m=200.0)), "waste": 0.0, "allowance_per_end_m": 0.0}
    return job(pulls, **usual | {"length_unit": "m"} | more)  # type: ignore[arg-type]


def test_each_cable_type_has_a_list_and_the_reels_are_numbered_through() -> None:
    """Two pulls of 150 m need a reel of 200 m each; 80 m of the other cable, one of 100 m."""
    rows = [
        in_m("C1.1", "K1", 150.0),
        in_m("K1", "K2", 80.0, cable="THIN"),
        in_m("K2", "K3", 150.0),
        in_m("K3", "K4", None),
        in_m("K4", "K5", 0.0),
        in_m("K5", "K6", None, cable="THIN"),
        in_m("K6", "K7", 10.0, cable=None),
    ]
    bus = measured(as_long_as_pulled(rows), profile(cutting__min_offcut="5 m"))
    offers = (ReelOffer(length_m=100.0, price=None), ReelOffer(length_m=200.0, price=None))
    usual = {"status": Status.PROVEN, "cost": None, "uncut": (), "offers": offers, "length_unit": "m"}

    def reel(name: str, length_m: float, pulled: str, cut_m: float, run: str = "C1.1") -> CutReel:
        offcut_m = pytest.approx(length_m - cut_m)
        return CutReel(
            reel=name,
            length_m=length_m,
            pulls=(pulled,),
            cut_m=(pytest.approx(cut_m),),
            offcut_m=offcut_m,
            on_shelf=False,
            runs=(run,),
        )

    named, thin, unnamed = cut_lists(bus).lists
    assert named == CutListResult(
        cable="CAB",
        lower_bound=400.0,
        bought_m=400.0,
        needed_m=pytest.approx(300.0),
        reels=(reel("R1", 200.0, "C1.1-K1", 150.0), reel("R2", 200.0, "K2-K3", 150.0)),
        spec="16 AWG, 2 conductors, stranded, unshielded, 82 pF/m, 600 V",
        unmeasured=("K3-K4", "K4-K5"),
        keep_from_m=5.0,
        waste=0.0,
        allowance_per_end_m=0.0,
        round_up_m=0.5,
        **usual,  # type: ignore[arg-type]
    )
    assert (thin.cable, thin.spec, thin.unmeasured) == ("THIN", "", ("K5-K6",))
    assert thin.reels == (reel("R3", 100.0, "K1-K2", 80.0),)
    assert unnamed.reels == (reel("R4", 100.0, "K6-K7", 10.0),)


def test_each_run_is_on_few_reels_a_spare_return_with_its_run() -> None:
    """Runs of 60 + 40 m and of 50 + 50 m: a reel of 100 m each, though 60 + 40 of two runs would do as well. What
    nothing feeds is a run of no name."""
    reels = (Reel(length_m=100.0),)
    rows = [in_m("C1.1", "K1", 60.0), in_m("C1.2", "K3", 50.0), in_m("K3", "K4", 50.0)]
    spare = in_m("K1", "C1.1", 40.0, landed=False)
    loose = in_m("K7", "K8", 100.0)
    (result,) = cut_lists(measured(as_long_as_pulled([*rows, spare, loose], reels=reels))).lists
    assert sorted(reel.runs for reel in result.reels) == [("",), ("C1.1", "C1.1"), ("C1.2", "C1.2")]
    assert result.offcut_given_up_m == 0


def test_the_branches_of_a_head_end_are_runs_of_their_own() -> None:
    rows = [in_m("HE", "K1", 60.0), in_m("HE", "K2", 60.0), in_m("K1", "K3", 40.0), in_m("K2", "K4", 40.0)]
    a_job = as_long_as_pulled(rows, reels=(Reel(length_m=100.0),), head_ends=["HE"])
    (result,) = cut_lists(measured(a_job)).lists
    assert sorted(reel.runs for reel in result.reels) == [
        ("branch HE-K1 of HE",) * 2,
        ("branch HE-K2 of HE",) * 2,
    ]


def test_a_cable_without_a_list_takes_no_number_of_a_reel_and_the_others_are_cut() -> None:
    rows = [in_m("C1.1", "K1", 10.0, cable="THIN"), in_m("K1", "K2", 10.0)]
    a_job = as_long_as_pulled(rows, reels=(Reel(length_m=100.0, cable="CAB"),))
    found = cut_lists(measured(a_job, profile(cutting__reels=[])))
    assert [(each.cable, each.reels[0].reel) for each in found.lists] == [("CAB", "R1")]
    assert [problem.partition(":")[0] for problem in found.problems] == ["No cut list for THIN"]


def test_a_row_that_repeats_a_pull_is_not_cut_and_a_spare_return_is() -> None:
    rows = [in_m("C1.1", "K1", 10.0, id="P1"), in_m("C1.1", "K1", 10.0, id="P1")]
    spare = in_m("K1", "C1.1", 20.0, id="R1", landed=False)
    (result,) = cut_lists(measured(as_long_as_pulled([*rows, spare]))).lists
    assert result.needed_m == pytest.approx(30.0)


@pytest.mark.parametrize(
    ("length_m", "stated", "cut_m"),
    [
        (100.0, {}, 100 * 1.1 + 2 * 0.5),  # the profile's: 10 % and 0.5 m at each end
        (100.0, {"waste": 0.0}, 101.0),
        (100.0, {"allowance_per_end_m": 0.0}, 110.0),
        (100.0, {"waste": 0.25, "allowance_per_end_m": 2.0}, 129.0),
        (10.0, {"waste": 0.0, "allowance_per_end_m": 0.0}, 10.0),  # whole tenths of a millimetre stay
        (10.00004, {"waste": 0.0, "allowance_per_end_m": 0.0}, 10.0001),
        (10.00006, {"waste": 0.0, "allowance_per_end_m": 0.0}, 10.0001),
    ],
)
def test_what_is_cut_is_the_length_with_waste_and_two_allowances_rounded_up(
    length_m: float, stated: dict[str, float], cut_m: float
) -> None:
    limits = profile(
        cutting__waste=0.1, cutting__allowance_per_end="0.5 m", cutting__round_up={"ft": "0 ft", "m": "0 m"}
    )
    terms = terms_of(job([], **stated), limits)  # type: ignore[arg-type]
    found_m = [cut_length_m(in_m("C1.1", "K1", length_m), terms, unit) for unit in ("ft", "m")]
    assert found_m == [pytest.approx(cut_m, rel=0, abs=1e-8)] * 2


@pytest.mark.parametrize(
    ("length_ft", "cut_ft"),
    [(40, 48), (41, 50), (40.9, 49), (20, 27), (100, 111), (0.5, 7)],  # 48, 49.05, 48.945, 27, 111, 6.525
)
def test_a_schedule_in_feet_is_cut_in_whole_feet(length_ft: float, cut_ft: int) -> None:
    terms = terms_of(job([]), profile())  # 5 % waste and 3 ft at each end
    assert cut_length_m(pull("C1.1", "K1", length_ft), terms, "ft") == pytest.approx(m_from_ft(cut_ft))


@pytest.mark.parametrize(
    ("length_m", "step", "cut_m"),
    [
        (10.0, "0.5 m", 12.5),
        (10.01, "0.5 m", 13.0),
        (10.4, "1 m", 13.0),
        (10.0, "0.1 m", 12.5),
        (10.01, "0.1 m", 12.6),
    ],
)  # 10 % waste and 0.75 m at each end: 12.5, 12.511, 12.94
def test_a_schedule_in_metres_is_cut_in_half_metres_or_as_the_profile_says(
    length_m: float, step: str, cut_m: float
) -> None:
    limits = profile(cutting__waste=0.1, cutting__allowance_per_end="0.75 m", cutting__round_up={"m": step})
    terms = terms_of(job([]), limits)
    assert cut_length_m(in_m("C1.1", "K1", length_m), terms, "m") == pytest.approx(cut_m)


def test_what_is_left_on_each_reel_is_bought_and_part_of_its_offcut() -> None:
    """60 m and 40 m fill a reel of 100 m; with 5 m left on it they take one of 200 m."""
    rows = [in_m("C1.1", "K1", 60.0), in_m("K1", "K2", 40.0)]
    (full,) = cut_lists(measured(as_long_as_pulled(rows))).lists
    (left,) = cut_lists(measured(as_long_as_pulled(rows), profile(cutting__reserve="5 m"))).lists
    assert [(full.bought_m, full.reserve_m), (left.bought_m, left.reserve_m)] == [(100.0, 0.0), (200.0, 5.0)]
    assert [reel.offcut_m for reel in (*full.reels, *left.reels)] == pytest.approx([0.0, 100.0])


SHORT, LONG = Reel(length_m=100.0), Reel(length_m=200.0, price=80.0)
LEFT = Reel(length_m=60.0, on_shelf=2)
OFFERED = {"cutting__reels": [{"length": "500 m", "price": 9.0}, {"length": "70 m", "on_shelf": 1}]}


@pytest.mark.parametrize(
    ("reels", "sizes", "shelf"),
    [
        ((), [(500.0, 9.0)], [(70.0, 1)]),
        ((SHORT, LONG), [(100.0, None), (200.0, 80.0)], [(70.0, 1)]),
        ((LEFT,), [(500.0, 9.0)], [(60.0, 2), (70.0, 1)]),  # the shelf alone leaves what can be bought
        ((SHORT, LEFT), [(100.0, None)], [(60.0, 2), (70.0, 1)]),
        ((Reel(length_m=100.0, cable="CAB"),), [(100.0, None)], [(70.0, 1)]),
        ((Reel(length_m=100.0, cable="THIN"), Reel(length_m=60.0, cable="THIN", on_shelf=2)), [(500.0, 9.0)], [(70.0, 1)]),
        ((Reel(length_m=None), Reel(length_m=None, on_shelf=1)), [(500.0, 9.0)], [(70.0, 1)]),
        ((Reel(length_m=100.0, on_shelf=0),), [(500.0, 9.0)], [(70.0, 1)]),  # none of it lies there
    ],
)  # fmt: skip
def test_the_workbooks_reels_are_bought_else_the_profiles_and_the_shelves_of_both_are_used(
    reels: tuple[Reel, ...], sizes: list[tuple[float, float | None]], shelf: list[tuple[float, int]]
) -> None:
    assert reels_for("CAB", job([], reels=reels), profile(**OFFERED)) == (
        tuple(ReelToBuy(length_m=length_m, price=price) for length_m, price in sizes),
        tuple(StockReel(length_m=length_m, count=count) for length_m, count in shelf),
    )


def test_a_reel_of_the_profile_for_another_cable_is_not_offered() -> None:
    reels = [{"length": "500 m", "cable": "THIN"}, {"length": "70 m", "cable": "CAB", "on_shelf": 1}]
    assert reels_for("CAB", job([]), profile(cutting__reels=reels)) == (
        (),
        (StockReel(length_m=70.0, count=1),),
    )


@pytest.mark.parametrize(
    ("reels", "longest_m"),
    [((LONG, SHORT), 200.0), ((SHORT, Reel(length_m=300.0, on_shelf=1)), 300.0)],
)
def test_a_pull_that_is_too_long_is_compared_with_the_longest_reel_bought_or_not(
    reels: tuple[Reel, ...], longest_m: float
) -> None:
    rows = [in_m("C1.1", "K1", 10.0), in_m("K1", "K2", 400.0)]
    a_job = as_long_as_pulled(rows, reels=reels)
    too_long = cut_lists(measured(a_job)).too_long["CAB"]
    assert too_long == (
        TooLong(pull=a_job.pulls[1], name="K1-K2", cut_m=pytest.approx(400.0), longest_m=longest_m),
    )


def test_what_a_list_costs_is_known_only_with_prices_and_the_shelf_is_among_the_offers() -> None:
    rows = [in_m("C1.1", "K1", 50.0), in_m("K1", "K2", 190.0)]
    (result,) = cut_lists(measured(as_long_as_pulled(rows, reels=(LONG, LEFT)))).lists
    assert (result.cost, result.bought_m) == (80.0, 200.0)
    assert result.offers == (
        ReelOffer(length_m=200.0, price=80.0),
        ReelOffer(length_m=60.0, on_shelf=2),
    )
    assert [(reel.length_m, reel.on_shelf) for reel in result.reels] == [(60.0, True), (200.0, False)]


def test_a_cable_of_the_job_in_feet_is_described_in_feet() -> None:
    cable = Cable(**{name: getattr(SPEC, name) for name in ("area_mm2", "capacitance_nf_per_m")}, name="CAB")
    (result,) = cut_lists(measured(job([pull("C1.1", "K1", 10)], cable=cable))).lists
    assert (result.spec, result.length_unit) == ("1.31 mm², 25 pF/ft", "ft")
    assert result.keep_from_m == pytest.approx(m_from_ft(25))  # the profile's

"""Pulls of another cable that the offcut of a better one holds: said only where cutting again shows it."""

from collections.abc import Iterable
from dataclasses import replace

import pytest

from auditor.audit import judge_as_planned
from auditor.job.model import Cable, Job, Pull, Reel
from auditor.plans.better_buys import MOST_TRIED, better_buys
from auditor.plans.cut_lists import cut_lists
from auditor.plans.plans import BetterBuy
from auditor.units import m_from_ft
from tests.builders import SPEC, job, measured, profile, pull

TP16, TP18 = replace(SPEC, name="TP-16"), replace(SPEC, name="TP-18", area_mm2=0.82, gauge="18 AWG")
TP14 = replace(SPEC, name="TP-14", area_mm2=2.08, gauge="14 AWG")


def scheduled(pulls: Iterable[Pull], *cables: Cable, **more: object) -> Job:
    return replace(job(pulls, **more), cables={cable.name: cable for cable in cables})  # type: ignore[arg-type]


def rows(
    second_ft: float = 62, short_ft: float = 70, short: str = "TP-18", long: str = "TP-16"
) -> list[Pull]:
    """A run of 70 ft of one cable, then 200 ft and another pull of the other: 80 ft, 216 ft and 72 ft to cut."""
    return [
        pull("C1.1", "K1", short_ft, cable=short),
        pull("K1", "K2", 200, cable=long),
        pull("K2", "K3", second_ft, cable=long),
    ]


def buys(a_job: Job, **limits: object) -> tuple[BetterBuy, ...]:
    bus = measured(a_job, profile(**limits))
    return better_buys(bus, cut_lists(bus).lists, judge_as_planned)


def test_a_little_of_an_inferior_cable_goes_to_the_offcut_of_the_better_one() -> None:
    """80 ft take a reel of 500 ft; 500 - 216 - 72 = 212 ft are left on the other. In all 500 ft and not 1,000 ft."""
    (buy,) = buys(scheduled(rows(), TP16, TP18))
    assert (buy.cable, buy.better, buy.pulls, buy.runs) == ("TP-18", "TP-16", ("C1.1-K1",), ("C1.1",))
    assert buy.length_m == pytest.approx(m_from_ft(80))
    assert buy.bought_m == pytest.approx((m_from_ft(1000), m_from_ft(500)))
    assert (buy.cost, buy.all_of_it, buy.own_reels) == (None, True, 1)
    assert buy.reel is not None
    assert (buy.reel.reel, buy.reel.offcut_m) == ("R2", pytest.approx(m_from_ft(212)))


@pytest.mark.parametrize(
    ("second_ft", "limits", "said"),
    [
        (188.5, {}, True),  # 204 ft cut, 80 ft left
        (189, {}, False),  # 205 ft cut, 79 ft left
        (62, {"cutting__reserve": "132 ft"}, True),  # 212 ft, of which 80 ft may be cut
        (62, {"cutting__reserve": "133 ft"}, False),
    ],
)
def test_the_offcut_must_be_long_enough_beside_the_reserve(
    second_ft: float, limits: dict[str, object], said: bool
) -> None:
    assert bool(buys(scheduled(rows(second_ft), TP16, TP18), **limits)) is said


def test_offcuts_that_only_together_are_as_long_do_not_hold_it() -> None:
    """Two pulls of 430 ft of the better cable, 458 ft cut, leave 42 ft on each of two reels of 500 ft."""
    pulls = [
        pull("C1.1", "K1", 70, cable="TP-18"),
        *(pull("K1", f"K{n}", 430, cable="TP-16") for n in (2, 3)),
    ]
    only_500 = {"cutting__reels": ["500 ft"]}
    assert buys(scheduled(pulls, TP16, TP18), **only_500) == ()
    apart = [replace(pulls[0], length_m=m_from_ft(20)), *pulls[1:]]  # 27 ft
    assert len(buys(scheduled(apart, TP16, TP18), **only_500)) == 1


@pytest.mark.parametrize(
    ("better", "poorer", "said"),
    [
        (replace(TP16, capacitance_nf_per_m=None), TP18, False),  # not known to be to specification
        (replace(TP16, insulation_v=300.0), TP18, False),  # off specification itself
        (TP16, Cable(name="TP-18"), False),  # nothing is known of the other
        (TP16, replace(TP14, name="TP-18"), False),  # the other is thicker, and to specification
        (replace(TP14, name="TP-16"), replace(SPEC, name="TP-18"), True),  # the thicker one may stand for it
        (TP16, replace(TP18, insulation_v=1000.0), False),
        (TP16, replace(TP18, fire_rating="plenum"), True),  # one is not stated
        (replace(TP16, fire_rating="riser"), replace(TP18, fire_rating="plenum"), False),
        (replace(TP16, fire_rating="Plenum"), replace(TP18, fire_rating="plenum"), True),
    ],
)
def test_the_better_cable_is_known_to_be_no_worse(better: Cable, poorer: Cable, said: bool) -> None:
    assert bool(buys(scheduled(rows(), better, poorer))) is said


def test_a_fire_rating_that_is_not_asked_for_is_no_better_cable() -> None:
    a_job = scheduled(rows(), replace(TP16, fire_rating="riser"), TP18)
    assert [len(buys(a_job, cable__fire_ratings=[mark])) for mark in ("riser", "plenum")] == [1, 0]


ON_SHELF = (Reel(length_m=m_from_ft(500), cable="TP-18", on_shelf=1),)


def test_where_nothing_less_is_bought_the_limits_must_be_whole_again() -> None:
    """The inferior cable lies on the shelf. A run that another cable derates too stays derated."""
    (buy,) = buys(scheduled(rows(), TP16, TP18, reels=ON_SHELF))
    assert (buy.runs, buy.own_reels) == (("C1.1",), 0)
    assert buy.bought_m == pytest.approx((m_from_ft(500), m_from_ft(500)))
    thin = replace(TP18, name="TP-20", area_mm2=0.52, gauge="20 AWG")
    too = [*rows(), pull("K3", "K4", 400, cable="TP-20")]
    assert buys(scheduled(too, TP16, TP18, thin, reels=ON_SHELF)) == ()


def test_a_run_that_another_cable_derates_too_is_not_said_to_be_mended() -> None:
    thin = replace(TP18, name="TP-20", area_mm2=0.52, gauge="20 AWG")
    too = [*rows(), pull("K3", "K4", 400, cable="TP-20")]
    (buy,) = buys(scheduled(too, TP16, TP18, thin))
    assert (buy.cable, buy.runs) == ("TP-18", ())
    assert buy.bought_m == pytest.approx((m_from_ft(1000), m_from_ft(500)))


def test_where_both_cables_have_prices_the_costs_are_told() -> None:
    reels = (
        Reel(length_m=m_from_ft(500), cable="TP-16", price=110.0),
        Reel(length_m=m_from_ft(250), cable="TP-18", price=30.0),
    )
    (buy,) = buys(scheduled(rows(), TP16, TP18, reels=reels))
    assert buy.cost == pytest.approx((140, 110))
    unpriced = (reels[0], replace(reels[1], price=None))
    (buy,) = buys(scheduled(rows(), TP16, TP18, reels=unpriced))
    assert buy.cost is None


def test_the_pulls_of_one_run_may_go_where_there_is_no_room_for_all() -> None:
    """160 ft of the inferior cable on C1.2 do not go on the 212 ft beside the 80 ft of C1.1; these alone do."""
    two = [*rows(), pull("C1.2", "K8", 140, cable="TP-18")]
    (buy,) = buys(scheduled(two, TP16, TP18))
    assert (buy.pulls, buy.runs, buy.all_of_it) == (("C1.1-K1",), ("C1.1",), False)
    assert buy.bought_m == pytest.approx((m_from_ft(1000), m_from_ft(1000)))


def test_pulls_without_a_length_may_need_the_offcut() -> None:
    unknown = pull("K3", "K4", None, cable="TP-16")
    assert buys(scheduled([*rows(), unknown], TP16, TP18)) == ()


def test_a_move_that_breaks_a_limit_is_not_said() -> None:
    """342 ft of 25 pF/ft and 25 pF/ft; with 5 pF/ft for the inferior cable the move takes 332 ft * 25 pF/ft = 8.3 nF."""
    little = replace(TP18, capacitance_nf_per_m=0.0164)  # 5 pF/ft
    a_job = scheduled(rows(), TP16, little)
    assert [len(buys(a_job, run__capacitance=limit)) for limit in ("9 nF", "8 nF")] == [1, 0]


def test_no_offcut_is_given_away_twice_and_few_moves_are_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    thin = [replace(TP18, name=f"THIN-{n}") for n in range(9)]
    pulls = [*rows()[1:], *(pull("C1.1", f"D{n}", 70, cable=each.name) for n, each in enumerate(thin))]
    pulls[0] = replace(pulls[0], near="C1.1")
    assert len(buys(scheduled(pulls, TP16, *thin))) == 1
    tried: list[object] = []
    monkeypatch.setattr("auditor.plans.better_buys._tried", lambda *move: tried.append(move))
    assert buys(scheduled(pulls, TP16, *thin)) == ()
    assert len(tried) == MOST_TRIED

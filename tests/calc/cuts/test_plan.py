import math

import pytest

from auditor.calc.cuts.plan import Piece, ReelToBuy, StockReel, cut_list
from auditor.errors import PlanError
from auditor.units import m_from_ft


def pieces(*lengths_m):
    return [Piece(id=f"P{n}", length_m=length) for n, length in enumerate(lengths_m, 1)]


def sizes(*lengths_m):
    return [ReelToBuy(length_m=length) for length in lengths_m]


def laid_out(plan):
    return [([piece.id for piece in reel.pieces], reel.length_m, reel.on_shelf) for reel in plan.reels]


def test_the_metres_bought_count_where_nothing_has_a_price():
    plan = cut_list(pieces(90, 60, 40), sizes(100, 200))
    assert (plan.status, plan.priced, plan.cost, plan.bought_m, plan.needed_m) == (
        "proven",
        False,
        200,
        200,
        190,
    )
    assert laid_out(plan) == [(["P1", "P2", "P3"], 200, False)]  # one reel rather than two of the same sum


def test_prices_decide_where_they_are_given():
    dear_long = [ReelToBuy(length_m=100, price=50), ReelToBuy(length_m=200, price=120)]
    plan = cut_list(pieces(90, 60, 40), dear_long)
    assert (plan.status, plan.cost, [reel.length_m for reel in plan.reels]) == ("proven", 100, [100, 100])


def test_a_size_without_a_price_counts_at_the_dearest_known_price_per_metre():
    plan = cut_list(pieces(90), [ReelToBuy(length_m=100), ReelToBuy(length_m=200, price=120)])
    assert plan.cost == 60
    assert plan.assumed == (
        "no price is given for reels of 100 m: counted at the dearest price per metre known",
    )


def test_of_one_length_the_cheapest_is_bought():
    offers = [ReelToBuy(length_m=100, price=60), ReelToBuy(length_m=100), ReelToBuy(length_m=100, price=55.5)]
    assert cut_list(pieces(80), offers).cost == 55.5


def test_the_shelf_costs_nothing_and_comes_first():
    plan = cut_list(pieces(50, 45), sizes(100), [StockReel(length_m=60, name="L1", count=2)])
    assert (plan.cost, plan.bought_m) == (0, 0)
    assert [(reel.name, reel.on_shelf) for reel in plan.reels] == [("L1", True), ("L1", True)]


def test_a_leftover_that_saves_no_reel_stays_on_the_shelf():
    plan = cut_list(pieces(90, 50, 50), sizes(200), [StockReel(length_m=60, name="L1")])
    assert laid_out(plan) == [(["P1", "P2", "P3"], 200, False)]


def test_a_pull_longer_than_any_reel_is_left_out_and_named():
    plan = cut_list(pieces(250, 90), sizes(100, 200))
    assert plan.uncut == ("P1",)
    assert laid_out(plan) == [(["P2"], 100, False)]


def test_only_the_shelf_can_hold_a_pull_longer_than_what_is_sold():
    plan = cut_list(pieces(250, 40), sizes(100), [StockReel(length_m=300, name="drum")])
    assert laid_out(plan) == [(["P1", "P2"], 300, True)]
    assert (plan.uncut, plan.cost) == ((), 0)


def test_a_reel_has_its_longest_piece_first():
    plan = cut_list(pieces(30, 50, 10), sizes(100))
    assert [piece.length_m for piece in plan.reels[0].pieces] == [50, 30, 10]
    assert plan.reels[0].offcut_m == 10


def test_pieces_that_add_up_to_the_reel_fit_in_any_unit():
    thirds = [m_from_ft(1000 / 3)] * 3
    assert len(cut_list(pieces(*thirds), sizes(m_from_ft(1000))).reels) == 1
    assert len(cut_list(pieces(500.0, 500.001), sizes(1000)).reels) == 2


def test_the_waste_is_gathered_on_one_reel():
    plan = cut_list(pieces(60, 50, 40, 30), sizes(100))
    assert sorted(reel.offcut_m for reel in plan.reels) == [0, 20]


def test_a_reel_holds_its_length_without_the_reserve():
    assert [len(cut_list(pieces(60, 30), sizes(100), reserve_m=left).reels) for left in (10, 10.001)] == [
        1,
        2,
    ]
    plan = cut_list(pieces(60, 30), sizes(100), reserve_m=10)
    assert (plan.bought_m, [reel.offcut_m for reel in plan.reels]) == (100, [10])


def test_a_reel_on_the_shelf_keeps_its_reserve_too():
    shelf = [StockReel(length_m=60, name="L1"), StockReel(length_m=8, name="L2")]
    plan = cut_list(pieces(50, 5), sizes(100), shelf, reserve_m=10)
    assert [(reel.name, reel.offcut_m) for reel in plan.reels] == [("", 45)]
    assert cut_list(pieces(50), sizes(100), shelf, reserve_m=10).bought_m == 0


def test_a_size_that_is_all_reserve_is_not_bought_and_a_pull_too_long_beside_it_is_left_out():
    plan = cut_list(pieces(95, 4), sizes(10, 100), reserve_m=10)
    assert (plan.uncut, [reel.length_m for reel in plan.reels]) == (("P1",), [100])


def test_nothing_to_cut():
    plan = cut_list([], sizes(100))
    assert (plan.status, plan.reels, plan.cost, plan.uncut) == ("proven", (), 0, ())


@pytest.mark.parametrize(
    ("reels", "stock", "lengths", "sentence"),
    [
        ([], [], [10], "no reel sizes are given, so nothing can be cut; give at least one length of reel"),
        (sizes(0), [], [10], "a reel of 0 m cannot be cut; give it a length above 0"),
        (
            sizes(100),
            [StockReel(length_m=-5)],
            [10],
            "a reel of -5 m cannot be cut; give it a length above 0",
        ),
        (
            [ReelToBuy(length_m=100, price=-1)],
            [],
            [10],
            "the reel of 100 m has a price of -1; give one above 0 or none",
        ),
        (sizes(100), [], [0], "pull P1 is 0 m long and cannot be cut; give it a length above 0"),
        (sizes(100), [], [math.nan], "pull P1 is nan m long and cannot be cut; give it a length above 0"),
    ],
)
def test_what_cannot_be_planned_is_said_in_one_sentence(reels, stock, lengths, sentence):
    with pytest.raises(PlanError) as refusal:
        cut_list(pieces(*lengths), reels, stock)
    assert str(refusal.value) == sentence


@pytest.mark.parametrize("reserve_m", [100, -1, math.nan])
def test_a_reserve_that_leaves_nothing_to_cut_is_refused(reserve_m):
    with pytest.raises(
        PlanError, match=r"no reel that can be bought is longer than the .* m that are left on each"
    ):
        cut_list(pieces(10), sizes(100), reserve_m=reserve_m)


def test_without_time_there_is_still_a_plan_with_its_bound():
    lengths = [400.0 + n * 0.37 for n in range(200)]
    plan = cut_list(pieces(*lengths), sizes(1000), time_limit_s=0.0)
    assert sum(len(reel.pieces) for reel in plan.reels) == 200
    assert 0 < plan.lower_bound <= plan.cost

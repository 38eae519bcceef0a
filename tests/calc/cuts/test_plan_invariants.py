"""What holds for every cut list, and small ones against every way to cut."""

import math
from collections import Counter

from hypothesis import given, settings
from hypothesis import strategies as st

from auditor.calc.cuts.cover import least_cover
from auditor.calc.cuts.plan import Piece, ReelToBuy, StockReel, cut_list
from auditor.calc.cuts.problem import CutProblem, PlanValue, ReelKind
from auditor.calc.ports.share_bound import share_bound

lengths = st.integers(1, 400).map(lambda tenths: tenths / 10)
reel_sizes = st.lists(
    st.builds(
        ReelToBuy,
        length_m=st.integers(15, 60).map(float),
        price=st.none() | st.integers(1, 60).map(float),
    ),
    min_size=1,
    max_size=3,
)
shelves = st.lists(
    st.builds(StockReel, length_m=st.integers(3, 70).map(float), name=st.just("L"), count=st.integers(1, 2)),
    max_size=2,
)


def named(some):
    return [Piece(id=f"P{n}", length_m=length) for n, length in enumerate(some)]


@settings(max_examples=150, derandomize=True, deadline=None)
@given(st.lists(lengths, max_size=30), reel_sizes, shelves)
def test_every_pull_is_on_one_reel_and_pieces_and_offcut_are_the_reel(some, reels, stock):
    pieces = named(some)
    plan = cut_list(pieces, reels, stock, time_limit_s=0.5)
    placed = [piece.id for reel in plan.reels for piece in reel.pieces]
    assert sorted(placed + list(plan.uncut)) == sorted(piece.id for piece in pieces)
    for reel in plan.reels:
        used = math.fsum(piece.length_m for piece in reel.pieces)
        assert math.isclose(used + reel.offcut_m, reel.length_m, abs_tol=1e-4)
        assert reel.pieces == tuple(sorted(reel.pieces, key=lambda p: -p.length_m))
    assert plan.lower_bound <= plan.cost + 1e-9
    on_shelf = Counter(reel.length_m for reel in plan.reels if reel.on_shelf)
    there = Counter(reel.length_m for reel in stock for _ in range(reel.count))
    assert on_shelf <= there
    longest = max([reel.length_m for reel in [*reels, *stock]])
    assert all(p.length_m > max(r.length_m for r in reels) for p in pieces if p.id in plan.uncut)
    assert all(p.id in plan.uncut for p in pieces if p.length_m > longest + 1e-4)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(st.lists(lengths, max_size=40), reel_sizes, shelves)
def test_the_same_input_gives_the_same_plan(some, reels, stock):
    if (plan := cut_list(named(some), reels, stock)).status == "proven":
        assert cut_list(named(some), reels, stock) == plan


def cheapest(pieces, kinds, shelf):
    """(cost, reels) by trying every reel for every piece, given by its length."""
    best = (math.inf, 0)

    def place(at, opened, cost, left):
        nonlocal best
        if (cost, len(opened)) >= best:
            return
        if at == len(pieces):
            best = (cost, len(opened))
            return
        for n, room in enumerate(opened):
            if room >= pieces[at]:
                place(at + 1, [*opened[:n], room - pieces[at], *opened[n + 1 :]], cost, left)
        for length, price in kinds:
            if length >= pieces[at]:
                place(at + 1, [*opened, length - pieces[at]], cost + price, left)
        for n, length in enumerate(left):
            if length >= pieces[at] and length not in left[:n]:
                place(at + 1, [*opened, length - pieces[at]], cost, [*left[:n], *left[n + 1 :]])

    place(0, [], 0, shelf)
    return best


@settings(max_examples=120, derandomize=True, deadline=None)
@given(
    st.lists(st.integers(1, 20), min_size=1, max_size=7),
    st.lists(
        st.tuples(st.integers(20, 45), st.integers(1, 50)), min_size=1, max_size=3, unique_by=lambda k: k[0]
    ),
    st.lists(st.integers(2, 30), max_size=2),
    st.integers(0, 5),
)
def test_small_cut_lists_cost_as_little_as_every_way_to_cut(some, kinds, shelf, reserve):
    reels = [ReelToBuy(length_m=float(length + reserve), price=float(price)) for length, price in kinds]
    stock = [StockReel(length_m=float(length + reserve)) for length in shelf]
    plan = cut_list(named(float(length) for length in some), reels, stock, reserve_m=float(reserve))
    assert plan.status == "proven"
    assert all(reel.offcut_m >= reserve for reel in plan.reels)
    assert (plan.cost, plan.reels_bound) == cheapest(sorted(some, reverse=True), kinds, shelf)
    assert len(plan.reels) == plan.reels_bound


@settings(max_examples=150, derandomize=True, deadline=None)
@given(st.lists(st.integers(1, 50), min_size=1, max_size=7))
def test_the_share_bound_is_never_above_the_fewest_bins(sizes):
    fewest = cheapest(sorted(sizes, reverse=True), [(50, 1)], [])[0]
    assert -(-sum(sizes) // 50) <= share_bound(sizes, 50) <= fewest


@settings(max_examples=100, derandomize=True, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(5, 30), st.integers(1, 9)), min_size=1, max_size=3, unique_by=lambda k: k[0]
    ),
    st.integers(1, 12),
    st.integers(0, 12),
)
def test_the_least_cover_is_the_cheapest_sum_of_reels(kinds, count, above):
    cutting = CutProblem({1: count}, tuple(ReelKind(length, cost) for length, cost in kinds))
    cover = least_cover(cutting, PlanValue(above, 10**6))
    values = {(0, 0): 0}  # (cost, reels) -> greatest length
    for _ in range(count + 13):
        for (cost, reels), length in list(values.items()):
            for more, price in kinds:
                key, reach = (cost + price, reels + 1), length + min(more, count)
                if cost + price <= above + 9 * count + 9:
                    values[key] = max(values.get(key, 0), reach)
    assert cover is not None
    assert cover.value == min(v for v, length in values.items() if length >= count and v[0] > above)

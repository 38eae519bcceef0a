"""Groups on few reels: small cut lists against every way to cut, and what holds for all."""

import random
import time
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from auditor.calc.cuts.group_fill import GroupFill
from auditor.calc.cuts.grouped import Cut, GroupedReel, pairs, with_groups
from auditor.calc.cuts.grouping import fewer_reels_a_group
from auditor.calc.cuts.plan import Piece, ReelToBuy, StockReel, cut_list
from auditor.calc.cuts.problem import CutProblem, FilledReel, ReelKind

small_pieces = st.lists(st.tuples(st.integers(1, 20), st.sampled_from("abc")), min_size=1, max_size=7)
small_kinds = st.lists(
    st.tuples(st.integers(20, 45), st.integers(1, 50)), min_size=1, max_size=2, unique_by=lambda kind: kind[0]
)


def named(cuts):
    return [Piece(id=f"P{n}", length_m=float(length), group=group) for n, (length, group) in enumerate(cuts)]


def plan_pairs(plan):
    return sum(len({piece.group for piece in reel.pieces}) for reel in plan.reels)


def best_of_all(cuts, kinds, shelf):
    """(cost, reels, pairs, -longest offcut) by trying every reel for every piece."""
    values = []

    def place(at, opened, cost, left):
        if at == len(cuts):
            groups = sum(len(there) for _, there in opened)
            values.append((cost, len(opened), groups, -max(room for room, _ in opened)))
            return
        length, group = cuts[at]
        for n, (room, there) in enumerate(opened):
            if room >= length:
                place(at + 1, [*opened[:n], (room - length, there | {group}), *opened[n + 1 :]], cost, left)
        for size, price in kinds:
            if size >= length:
                place(at + 1, [*opened, (size - length, {group})], cost + price, left)
        for n, size in enumerate(left):
            if size >= length and size not in left[:n]:
                place(at + 1, [*opened, (size - length, {group})], cost, [*left[:n], *left[n + 1 :]])

    place(0, [], 0, shelf)
    return min(values)


@settings(max_examples=80, derandomize=True, deadline=None)
@given(small_pieces, small_kinds, st.lists(st.integers(2, 30), max_size=1))
def test_small_cut_lists_are_the_best_of_every_way_to_cut(cuts, kinds, shelf):
    reels = [ReelToBuy(length_m=float(length), price=float(price)) for length, price in kinds]
    stock = [StockReel(length_m=float(length)) for length in shelf]
    plan = cut_list(named(cuts), reels, stock)
    cost, count, groups, full = best_of_all(cuts, kinds, shelf)
    assert (plan.cost, len(plan.reels), plan_pairs(plan)) == (cost, count, groups)
    assert max(reel.offcut_m for reel in plan.reels) == pytest.approx(-full, abs=1e-3)


def test_two_runs_that_fit_a_reel_each_are_not_mixed():
    """Without groups 60 with 40 and 50 with 50; the runs a (60, 40) and b (50, 50) keep a reel each."""
    plan = cut_list(named([(60, "a"), (50, "b"), (40, "a"), (50, "b")]), [ReelToBuy(length_m=100.0)])
    assert sorted([piece.group for piece in reel.pieces] for reel in plan.reels) == [["a", "a"], ["b", "b"]]


def test_what_the_groups_cost_in_offcut_is_said():
    """On two reels of 100 four pieces of 30 and two of 20: an offcut of 40 where groups do not matter (30, 30, 20
    and 20 are a whole reel). The groups of 80 each leave 20 on each reel."""
    groups = [(30, "a"), (30, "a"), (20, "a"), (30, "b"), (30, "b"), (20, "b")]
    plan = cut_list(named(groups), [ReelToBuy(length_m=100.0)])
    assert (plan_pairs(plan), max(reel.offcut_m for reel in plan.reels)) == (2, 20)
    assert plan.offcut_given_up_m == pytest.approx(20)
    loose = cut_list(named([(length, "") for length, _ in groups]), [ReelToBuy(length_m=100.0)])
    assert (max(reel.offcut_m for reel in loose.reels), loose.offcut_given_up_m) == (40, 0)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 400), st.sampled_from("abcdefgh")), min_size=1, max_size=60),
    st.integers(40, 90),
)
def test_groups_change_neither_the_cost_nor_the_reels_and_never_need_more_pairs(cuts, size):
    sizes = [ReelToBuy(length_m=float(size)), ReelToBuy(length_m=2.0 * size)]
    tenths = [(length / 10, group) for length, group in cuts]
    loose = cut_list(named([(length, "") for length, _ in tenths]), sizes, time_limit_s=1.0)
    plan = cut_list(named(tenths), sizes, time_limit_s=1.0)
    group_of = {piece.id: piece.group for piece in named(tenths)}
    if loose.status == plan.status == "proven":
        assert (plan.cost, len(plan.reels)) == (loose.cost, len(loose.reels))
        assert plan_pairs(plan) <= sum(len({group_of[p.id] for p in reel.pieces}) for reel in loose.reels)
    assert Counter(piece.id for reel in plan.reels for piece in reel.pieces) == Counter(list(group_of))
    assert plan.offcut_given_up_m >= 0


@settings(max_examples=80, derandomize=True, deadline=None)
@given(
    st.dictionaries(
        st.sampled_from("abcd"), st.lists(st.integers(1, 15), min_size=1, max_size=3), min_size=1
    ),
    st.integers(5, 40),
    st.integers(0, 2),
)
def test_a_reel_is_filled_as_full_as_every_choice_of_pieces_can_with_so_many_parts(groups, room, parts):
    cuts = [Cut(length, group) for group, lengths in groups.items() for length in lengths]
    fullest = 0
    for chosen in range(2 ** len(cuts)):
        taken = [cut for n, cut in enumerate(cuts) if chosen >> n & 1]
        of = Counter(cut.group for cut in taken)
        used = sum(cut.length for cut in taken)
        if used <= room and sum(count < len(groups[group]) for group, count in of.items()) <= parts:
            fullest = max(fullest, used)
    made = GroupFill(room, groups, 2).fullest(parts)
    assert sum(cut.length for cut in made) == fullest
    assert not Counter(made) - Counter(cuts)
    of = Counter(cut.group for cut in made)
    assert sum(count < len(groups[group]) for group, count in of.items()) <= parts


def random_plan(reels, groups, seed):
    """A plan with the reels full to within 10 of 1,000, its pieces of groups by chance."""
    chance = random.Random(seed)
    plan, cuts = [], []
    for _ in range(reels):
        left, lengths = 1000, []
        while left > 300:
            lengths.append(chance.randint(50, 250))
            left -= lengths[-1]
        lengths.append(left - chance.randint(0, 10))
        plan.append(FilledReel(0, tuple(sorted(lengths, reverse=True))))
        cuts += [Cut(length, f"g{chance.randrange(groups)}") for length in lengths]
    return with_groups(plan, cuts)


@pytest.mark.parametrize(("reels", "groups"), [(12, 10), (60, 40)])
def test_a_plan_of_many_reels_gets_at_most_two_thirds_of_the_pairs_and_the_same_every_time(reels, groups):
    plan = random_plan(reels, groups, seed=reels)
    cuts = Counter(cut for reel in plan for cut in reel.cuts)
    demand = Counter(cut.length for reel in plan for cut in reel.cuts)
    cutting = CutProblem(dict(sorted(demand.items(), reverse=True)), (ReelKind(1000, 1),))
    made = fewer_reels_a_group(cutting, plan, time.perf_counter() + 600)
    assert len(made) <= len(plan)
    assert pairs(made) <= pairs(plan) * 2 / 3
    assert Counter(cut for reel in made for cut in reel.cuts) == cuts
    assert all(reel.used <= 1000 for reel in made)
    assert made == fewer_reels_a_group(cutting, plan, time.perf_counter() + 600)


def test_without_time_a_plan_stays_as_it_is():
    plan = random_plan(6, 4, seed=1)
    demand = Counter(cut.length for reel in plan for cut in reel.cuts)
    cutting = CutProblem(dict(demand), (ReelKind(1000, 1),))
    assert fewer_reels_a_group(cutting, plan, time.perf_counter() - 1) == plan


def test_one_reel_and_one_group_are_left_alone():
    cutting = CutProblem({30: 2}, (ReelKind(100, 1),))
    alone = [GroupedReel(0, (Cut(30, "a"), Cut(30, "b")))]
    assert fewer_reels_a_group(cutting, alone, time.perf_counter() + 1) is alone

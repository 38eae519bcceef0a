"""Cutting stock instances whose optimum is printed somewhere, or follows from how they are made."""

import random
from itertools import pairwise

import pytest

from auditor.calc.cuts.plan import Piece, ReelToBuy, cut_list
from auditor.calc.ports.share_bound import share_bound
from tests.calc.cuts.instances import Instance, instances

# The 5,600 mm paper machine with 13 widths. Data and "best known solution uses 73 rolls": the encyclopedia
# article "Cutting stock problem", quoted by the cutting-stock sample of a general-purpose solver library.
PAPER_MACHINE = {
    1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20,
    2000: 10, 2050: 12, 2100: 14, 2140: 16, 2150: 18, 2200: 20,
}  # fmt: skip

# Stock 100, widths and demand: the model library of a modelling language, gallery "Cutting stock", after
# Gilmore and Gomory 1961. The optimum of 453 is computed (LP bound 452.25), not printed there.
FOUR_WIDTHS = {45: 97, 36: 610, 31: 395, 14: 211}


def pieces(lengths: list[float]) -> list[Piece]:
    return [Piece(id=f"P{n}", length_m=length) for n, length in enumerate(lengths)]


def widths(demand: dict[int, int], unit: float = 1.0) -> list[float]:
    return [width * unit for width, count in demand.items() for _ in range(count)]


def first_fit_decreasing(lengths: list[int], capacity: int) -> int:
    """The textbook heuristic, to show that an instance is not solved by it."""
    rooms: list[int] = []
    for length in sorted(lengths, reverse=True):
        at = next((n for n, room in enumerate(rooms) if room >= length), None)
        if at is None:
            rooms.append(capacity - length)
        else:
            rooms[at] -= length
    return len(rooms)


def test_paper_machine_needs_73_rolls_where_first_fit_decreasing_needs_82():
    lengths = [int(width) for width in widths(PAPER_MACHINE)]
    assert (len(lengths), sum(lengths)) == (219, 407_160)
    assert first_fit_decreasing(lengths, 5600) == 82
    plan = cut_list(pieces(widths(PAPER_MACHINE, 0.001)), [ReelToBuy(length_m=5.6)])
    assert (plan.status, len(plan.reels), plan.reels_bound) == ("proven", 73, 73)
    assert plan.bought_m - plan.needed_m == pytest.approx(1.640, abs=1e-9)  # 0.401 % waste


def test_four_widths_need_453_rolls():
    plan = cut_list(pieces(widths(FOUR_WIDTHS)), [ReelToBuy(length_m=100)])
    assert (plan.status, len(plan.reels), plan.lower_bound) == ("proven", 453, 45_300)


def triplets(seed: int, reels: int) -> list[int]:
    """Three pieces a reel of 1,000, all between a quarter and a half, so no other way but threes.

    The construction of the "t" sets of E. Falkenauer, A hybrid grouping genetic algorithm for bin packing,
    Journal of Heuristics 2 (1996) 5-30 (from memory); these are our own instances, not his.
    """
    chance, made = random.Random(seed), list[int]()
    while len(made) < 3 * reels:
        first = chance.randint(380, 490)
        second = chance.randint((1000 - first) // 2 - 60, (1000 - first) // 2)
        third = 1000 - first - second
        if second > 250 and third < 500:
            made += [first, second, third]
    chance.shuffle(made)
    return made


@pytest.mark.parametrize(("seed", "reels"), [(1, 20), (3, 20), (4, 20), (5, 20), (1, 40), (2, 40), (1, 83)])
def test_triplets_need_a_third_as_many_reels_as_pieces(seed, reels):
    lengths = triplets(seed, reels)
    assert first_fit_decreasing(lengths, 1000) > reels
    plan = cut_list(pieces([float(length) for length in lengths]), [ReelToBuy(length_m=1000)])
    assert (plan.status, len(plan.reels)) == ("proven", reels)


@pytest.mark.parametrize(("seed", "reels", "cuts"), [(1, 12, 3), (2, 25, 4), (3, 60, 5), (4, 200, 6)])
def test_reels_cut_up_without_waste_are_found_again(seed, reels, cuts):
    """Optimum by construction: no plan is shorter than the pieces themselves."""
    chance, lengths = random.Random(seed), list[float]()
    for _ in range(reels):
        marks = sorted({0, 1000, *chance.sample(range(20, 980, 5), cuts - 1)})
        lengths += [float(b - a) for a, b in pairwise(marks)]
    plan = cut_list(pieces(lengths), [ReelToBuy(length_m=1000)])
    assert (plan.status, len(plan.reels), plan.needed_m) == ("proven", reels, reels * 1000)


def test_pieces_over_half_a_reel_go_alone():
    lengths = [float(n) for n in range(501, 541)]
    plan = cut_list(pieces(lengths), [ReelToBuy(length_m=1000)])
    assert (plan.status, len(plan.reels)) == ("proven", 40)
    assert share_bound([int(length) for length in lengths], 1000) == 40


@pytest.mark.parametrize("instance", instances(), ids=lambda each: each.name)
def test_no_plan_beats_a_bound_and_no_bound_the_best_that_is_printed(instance: Instance) -> None:
    plan = instance.plan(seconds=0.3)
    cut = sorted(piece.id for reel in plan.reels for piece in reel.pieces)
    assert cut == sorted(f"P{n}" for n in range(len(instance.lengths)))
    bins = len(plan.reels)
    by_material = sum(instance.lengths) / instance.capacity
    assert bins >= instance.bins(plan.lower_bound) - 1e-6 >= 0
    assert bins >= by_material - 1e-9
    if instance.best_known is not None:
        assert instance.bins(plan.lower_bound) <= instance.best_known + 1e-6
        assert bins >= (instance.best_known if plan.status == "proven" else by_material)
    if instance.name.startswith("t") and plan.status == "proven":
        assert bins == len(instance.lengths) / 3  # built with three pieces to a reel and no offcut

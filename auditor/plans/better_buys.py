"""Pulls of a second or an inferior cable that the offcuts of a better one hold, tried by cutting again."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cache
from itertools import islice

from auditor.bus.cables import SAME_AREA, UNNAMED, CableState
from auditor.bus.measure import Bus
from auditor.calc.cuts.plan import CutListPlan, Piece, ReelToBuy, StockReel, cut_list
from auditor.plans.plans import BetterBuy
from auditor.profile.limits import CableSpec
from auditor.results.audit_result import CutListResult, CutReel
from auditor.results.judged import Judge

MOST_TRIED = 6  # cut lists that are cut again for it of one job; project convention
SECONDS = 2.0  # project convention: time limit of each
SAME = 1e-6  # costs and metres nearer than this are the same

_Failures = Callable[[], set[tuple[str, str]]]  # what the job fails as scheduled
_Move = tuple[
    CutListResult, CutListResult, frozenset[str]
]  # cut lists of both cables, names of pulls that move


def better_buys(bus: Bus, lists: Sequence[CutListResult], judge: Judge) -> tuple[BetterBuy, ...]:
    """What would be bought less, or which limits would not be cut, with some pulls in a better cable.

    A move is given when the better cable's list, cut again with these pulls, buys no more than before, the job
    judged so breaks no limit that it did not break, and either less is bought in all or a run is no longer derated.
    Of each cable one move at most, so that no offcut is given away twice.
    """
    found: list[BetterBuy] = []
    before = cache(
        lambda: judge(bus.job, bus.profile).failures()
    )  # asked for only where a move breaks a limit
    for move in islice(_moves(bus, lists), MOST_TRIED):
        taken = {name for each in found for name in (each.cable, each.better)}
        if not taken & {move[0].cable, move[1].cable} and (buy := _tried(bus, move, judge, before)):
            found.append(buy)
    return tuple(found)


def _moves(bus: Bus, lists: Sequence[CutListResult]) -> Iterator[_Move]:
    """Moves for which the better cable has enough left, and more of its own to cut: all pulls of a cable, then those
    of one derated run."""
    whole = [cuts for cuts in lists if not cuts.uncut and not cuts.unmeasured and cuts.reels]
    for poorer in whole:
        for better in whole:
            if poorer is not better and _is_better(bus, bus.cables[better.cable], bus.cables[poorer.cable]):
                for pulls in _pulls_to_move(bus, poorer):
                    left_m = sum(_left_m(reel, better) for reel in better.reels)
                    if _length_m(poorer, pulls) <= min(left_m, better.needed_m):
                        yield poorer, better, pulls


def _pulls_to_move(bus: Bus, cuts: CutListResult) -> list[frozenset[str]]:
    everything = frozenset(pull for reel in cuts.reels for pull in reel.pulls)
    of_runs = [
        frozenset(
            pull
            for reel in cuts.reels
            for pull, run in zip(reel.pulls, reel.runs, strict=True)
            if run == state.run.name
        )
        for state in bus.runs
        if state.off_spec == (cuts.cable,)
    ]
    return [everything, *sorted((pulls for pulls in of_runs if pulls != everything), key=sorted)]


def _is_better(bus: Bus, better: CableState, poorer: CableState) -> bool:
    """Whether a cable is known to be to specification and nothing that is stated of the other is better."""
    if better.off_spec is not False or poorer.off_spec is None or UNNAMED in (better.name, poorer.name):
        return False
    has, other, spec = better.cable, poorer.cable, bus.profile.cable
    at_least = (
        (has.area_mm2, other.area_mm2, 1 - SAME_AREA),
        (has.insulation_v, other.insulation_v, 1.0),
        (has.conductors, None if spec.conductors else other.conductors, 1.0),
        (has.shielded, None if spec.shielded is not None else other.shielded, 1.0),
    )
    return all(
        stated is None or (value is not None and value >= stated * part) for value, stated, part in at_least
    ) and _fire_rating_as_good(spec, has.fire_rating, other.fire_rating)


def _fire_rating_as_good(spec: CableSpec, has: str | None, other: str | None) -> bool:
    """Of two different marks none is taken for the better one; one that is not stated is to be checked."""
    wanted = {each.casefold() for each in spec.fire_ratings}
    same = has is None or other is None or has.casefold() == other.casefold()
    return same and not (wanted and has is not None and has.casefold() not in wanted)


def _tried(bus: Bus, move: _Move, judge: Judge, before: _Failures) -> BetterBuy | None:
    """What a move comes to, each list cut again and the job judged again; None: it is not worth it."""
    poorer, better, pulls = move
    moved = [piece for piece in _pieces(poorer) if piece.id in pulls]
    with_them = _cut_again(better, [*_pieces(better), *moved])
    left = _cut_again(poorer, [piece for piece in _pieces(poorer) if piece.id not in pulls])
    if with_them.uncut or with_them.cost > _cost(better) + SAME or left.cost > _cost(poorer) + SAME:
        return None
    relieved = _relieved_runs(bus, better.cable, pulls, judge, before)
    saves = with_them.cost + SAME < _cost(better) or left.cost + SAME < _cost(poorer)
    if relieved is None or not (saves or relieved):
        return None
    length_m = _length_m(poorer, pulls)
    holding = [reel for reel in better.reels if _left_m(reel, better) + SAME >= length_m]
    priced = poorer.cost is not None and better.cost is not None
    return BetterBuy(
        cable=poorer.cable,
        better=better.cable,
        pulls=tuple(piece.id for piece in moved),
        length_m=length_m,
        all_of_it=len(moved) == len(_pieces(poorer)),
        runs=relieved,
        reel=min(holding, key=lambda reel: reel.offcut_m, default=None),
        bought_m=(poorer.bought_m + better.bought_m, left.bought_m + with_them.bought_m),
        cost=(_cost(poorer) + _cost(better), left.cost + with_them.cost) if priced else None,
        own_reels=sum(not reel.on_shelf for reel in poorer.reels),
    )


def _cut_again(cuts: CutListResult, pieces: Sequence[Piece]) -> CutListPlan:
    sizes = [
        ReelToBuy(length_m=each.length_m, price=each.price) for each in cuts.offers if each.on_shelf is None
    ]
    shelf = [StockReel(length_m=each.length_m, count=each.on_shelf) for each in cuts.offers if each.on_shelf]
    return cut_list(pieces, sizes, shelf, SECONDS, reserve_m=cuts.reserve_m)


def _pieces(cuts: CutListResult) -> list[Piece]:
    return [
        Piece(id=pull, length_m=cut_m, group=run)
        for reel in cuts.reels
        for pull, cut_m, run in zip(reel.pulls, reel.cut_m, reel.runs, strict=True)
    ]


def _cost(cuts: CutListResult) -> float:
    """As a plan counts it: money where a size has a price, else metres bought."""
    return cuts.bought_m if cuts.cost is None else cuts.cost


def _length_m(cuts: CutListResult, pulls: frozenset[str]) -> float:
    return sum(piece.length_m for piece in _pieces(cuts) if piece.id in pulls)


def _left_m(reel: CutReel, cuts: CutListResult) -> float:
    return max(0.0, reel.offcut_m - cuts.reserve_m)


def _relieved_runs(
    bus: Bus, better: str, pulls: frozenset[str], judge: Judge, before: _Failures
) -> tuple[str, ...] | None:
    """The runs that are no longer derated with these pulls in the better cable; None: a limit is broken by it."""
    job = bus.job
    names = bus.pull_names
    changed = tuple(replace(pull, cable=better) if names[id(pull)] in pulls else pull for pull in job.pulls)
    trial = judge(replace(job, pulls=changed), bus.profile)
    broken = trial.failures()
    if broken and broken - before():
        return None
    after = {state.run.name: state for state in trial.bus.runs}
    return tuple(
        state.run.shown
        for state in bus.runs
        if state.derated and state.run.name in after and after[state.run.name].derated is False
    )

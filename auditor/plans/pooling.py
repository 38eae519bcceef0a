"""The cut lists of many jobs as one: what is cut for all of them from reels bought together."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from auditor.calc.cutlist import Piece, ReelSize, StockReel, cut_list
from auditor.findings import Audit, CutListResult, ReelOffer
from auditor.plans.cut_lists import cut_list_result

SECONDS = 10.0  # project convention: time limit of one pooled cut list


def pooled_cut_lists(audits: Iterable[Audit], name: Callable[[Audit, str], str]) -> tuple[CutListResult, ...]:
    """One cut list a cable type over all jobs.

    Parameters
    ----------
    name : what a job's pull is called in a list over many jobs

    Returns
    -------
    cut lists in the order of the cables' names. A size is offered when one job offers it, at the lowest
    price that a job states; the shelf is one shelf, seen by every job, so its greatest count holds.
    """
    pieces: dict[str, list[Piece]] = defaultdict(list)
    offers: dict[str, list[ReelOffer]] = defaultdict(list)
    overlong: dict[str, list[str]] = defaultdict(list)
    for audit in audits:
        for cuts in audit.cut_lists:
            offers[cuts.cable] += cuts.offers
            overlong[cuts.cable] += [name(audit, pull) for pull in cuts.uncut]
            pieces[cuts.cable] += [
                Piece(id=name(audit, pull), length_m=cut_m)
                for reel in cuts.reels
                for pull, cut_m in zip(reel.pulls, reel.cut_m, strict=True)
            ]
    results, first_reel = [], 1
    for cable in sorted(pieces):
        sizes, shelf = _together(offers[cable])
        plan = cut_list(pieces[cable], sizes, shelf, SECONDS)
        names = [piece.id for piece in pieces[cable]]
        result = cut_list_result(
            cable, plan, {each: each for each in names}, first_reel, tuple(overlong[cable])
        )
        offers_together = (
            *(ReelOffer(length_m=size.length_m, price=size.price) for size in sizes),
            *(ReelOffer(length_m=reel.length_m, on_shelf=reel.count) for reel in shelf),
        )
        results.append(replace(result, offers=offers_together))
        first_reel += len(plan.reels)
    return tuple(results)


def _together(offers: Sequence[ReelOffer]) -> tuple[list[ReelSize], list[StockReel]]:
    prices: dict[float, float | None] = {}
    shelf: dict[float, int] = defaultdict(int)
    for offer in offers:
        length_m = round(offer.length_m, 6)
        if offer.on_shelf is not None:
            shelf[length_m] = max(shelf[length_m], offer.on_shelf)
            continue
        known = [price for price in (prices.get(length_m), offer.price) if price is not None]
        prices[length_m] = min(known, default=None)
    sizes = [ReelSize(length_m=length_m, price=price) for length_m, price in sorted(prices.items())]
    return sizes, [StockReel(length_m=length_m, count=count) for length_m, count in sorted(shelf.items())]

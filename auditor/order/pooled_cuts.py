"""The cut lists of many jobs as one: what is cut for all of them from reels bought together."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from auditor.calc.cuts.plan import Piece, ReelToBuy, StockReel, cut_list
from auditor.plans.cut_lists import cut_list_result
from auditor.results.audit_result import Audit, CutListResult, ReelOffer

SECONDS = 10.0  # project convention: time limit of one pooled cut list


def pooled_cut_lists(audits: Iterable[Audit], name: Callable[[Audit, str], str]) -> tuple[CutListResult, ...]:
    """One cut list over all jobs for what may be bought together: cable of one name, one stated
    specification and one length unit.

    Parameters
    ----------
    audits : jobs that spell a cable's name alike where they mean the same
    name : what a job's pull is called in a list over many jobs

    Returns
    -------
    cut lists in the order of the cables' names. A size is offered when one job offers it, at the lowest
    price that a job states; the shelf is one shelf, seen by every job, so its greatest count holds, and on
    each reel the greatest reserve of the jobs is left. Cuts are as long as each job has them. A run of a job
    is on few reels.
    """
    alike: dict[tuple[str, str, str], list[tuple[Audit, CutListResult]]] = defaultdict(list)
    for audit in audits:
        for cuts in audit.cut_lists:
            alike[cuts.cable, cuts.spec, cuts.length_unit].append((audit, cuts))
    results: list[CutListResult] = []
    for _, lists in sorted(alike.items()):
        results.append(_pooled_list(lists, name, first_reel=1 + sum(len(each.reels) for each in results)))
    return tuple(results)


def _pooled_list(
    lists: Sequence[tuple[Audit, CutListResult]], name: Callable[[Audit, str], str], *, first_reel: int
) -> CutListResult:
    """Cut lists of one cable as one."""
    pieces = [
        Piece(id=name(audit, pull), length_m=cut_m, group=name(audit, run))
        for audit, cuts in lists
        for reel in cuts.reels
        for pull, cut_m, run in zip(reel.pulls, reel.cut_m, reel.runs or ("",) * len(reel.pulls), strict=True)
    ]
    sizes, shelf = _offers_together([offer for _, cuts in lists for offer in cuts.offers])
    uncut = tuple(name(audit, pull) for audit, cuts in lists for pull in cuts.uncut)
    reserve_m = max(cuts.reserve_m for _, cuts in lists)
    plan = cut_list(pieces, sizes, shelf, SECONDS, reserve_m=reserve_m)
    first = lists[0][1]
    result = cut_list_result(first.cable, plan, {each.id: each.id for each in pieces}, first_reel, uncut)
    return replace(
        result,
        spec=first.spec,
        length_unit=first.length_unit,
        unmeasured=tuple(name(audit, pull) for audit, cuts in lists for pull in cuts.unmeasured),
        keep_from_m=min(cuts.keep_from_m for _, cuts in lists),
        waste=_same(cuts.waste for _, cuts in lists),
        allowance_per_end_m=_same(cuts.allowance_per_end_m for _, cuts in lists),
        round_up_m=_same(cuts.round_up_m for _, cuts in lists),
        reserve_m=reserve_m,
        offers=(
            *(ReelOffer(length_m=size.length_m, price=size.price) for size in sizes),
            *(ReelOffer(length_m=reel.length_m, on_shelf=reel.count) for reel in shelf),
        ),
    )


def _same(values: Iterable[float | None]) -> float | None:
    """The value that all lists have; None: they differ."""
    first, *others = dict.fromkeys(values)
    return None if others else first


def _offers_together(offers: Sequence[ReelOffer]) -> tuple[list[ReelToBuy], list[StockReel]]:
    prices: dict[float, float | None] = {}
    shelf: dict[float, int] = defaultdict(int)
    for offer in offers:
        length_m = round(offer.length_m, 6)
        if offer.on_shelf is not None:
            shelf[length_m] = max(shelf[length_m], offer.on_shelf)
            continue
        known = [price for price in (prices.get(length_m), offer.price) if price is not None]
        prices[length_m] = min(known, default=None)
    sizes = [ReelToBuy(length_m=length_m, price=price) for length_m, price in sorted(prices.items())]
    return sizes, [StockReel(length_m=length_m, count=count) for length_m, count in sorted(shelf.items())]

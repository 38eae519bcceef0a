"""A job's pulls by cable type, with their allowances, as cut lists."""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from auditor.bus.cables import UNNAMED, spec_text
from auditor.bus.measure import Bus
from auditor.calc.cuts.plan import CutListPlan, Piece, ReelToBuy, StockReel, cut_list
from auditor.errors import PlanError
from auditor.job.model import Job, Pull, Reel
from auditor.plans.plans import CutLists, TooLong
from auditor.profile.limits import Cutting, Profile, ReelSize
from auditor.results.audit_result import CutListResult, CutReel, ReelOffer, Status

STEP_M = 0.0001  # project convention: lengths to cut are whole tenths of a millimetre
SECONDS = 5.0  # project convention: time limit of one cut list; after it the best found is given


def cut_lists(bus: Bus) -> CutLists:
    """One cut list a cable type, spare returns included, each run on few reels; nothing is cut for a row that
    repeats a pull."""
    lists: list[CutListResult] = []
    cutting, runs = terms_of(bus.job, bus.profile), _run_of_end(bus)
    too_long, problems = {}, []
    first_reel = 1
    for cable, pulls in _pulls_to_cut(bus).items():
        sizes, shelf = reels_for(cable, bus.job, bus.profile)
        cut_m = [cut_length_m(pull, cutting, bus.job.length_unit) for pull in pulls]
        pieces = [
            Piece(id=str(index), length_m=length_m, group=runs.get(pull.near) or runs.get(pull.far, ""))
            for index, (pull, length_m) in enumerate(zip(pulls, cut_m, strict=True))
        ]
        try:
            plan = cut_list(pieces, sizes, shelf, SECONDS, reserve_m=cutting.reserve_m)
        except PlanError as problem:
            problems.append(f"No cut list for {cable}: {problem}")
            continue
        names = {str(index): bus.pull_names[id(pull)] for index, pull in enumerate(pulls)}
        result = cut_list_result(cable, plan, names, first_reel)
        lists.append(_with_terms(result, bus, cutting, sizes, shelf))
        longest_m = max([size.length_m for size in sizes] + [reel.length_m for reel in shelf])
        too_long[cable] = tuple(
            TooLong(
                pull=pulls[index],
                name=names[str(index)],
                cut_m=cut_m[index],
                longest_m=longest_m,
                reserve_m=cutting.reserve_m,
            )
            for index in map(int, plan.uncut)
        )
        first_reel += len(plan.reels)
    return CutLists(lists=tuple(lists), too_long=too_long, problems=tuple(problems))


def _run_of_end(bus: Bus) -> dict[str, str]:
    """End -> the run that it stands in; of an end without a port where several runs start, none."""
    names: dict[str, set[str]] = defaultdict(set)
    for state in bus.runs:
        for pull in state.run.pulls:
            names[pull.near].add(state.run.name)
            names[pull.far].add(state.run.name)
    return {end: min(found) for end, found in names.items() if len(found) == 1}


def terms_of(job: Job, profile: Profile) -> Cutting:
    """How a job's pulls are cut: as the profile says, the waste and the allowance as the workbook states them."""
    usual = profile.cutting
    allowance_m = job.allowance_per_end_m
    return replace(
        usual,
        waste=usual.waste if job.waste is None else job.waste,
        allowance_per_end_m=usual.allowance_per_end_m if allowance_m is None else allowance_m,
    )


def cut_length_m(pull: Pull, cutting: Cutting, length_unit: str) -> float:
    """What is cut for one pull [m]: its length with waste, and the allowance at each end, rounded up to whole
    steps of the length unit, or to `STEP_M`, of which a foot and an inch are whole numbers."""
    step_m = cutting.round_up_m[length_unit] or STEP_M
    needed_m = (pull.length_m or 0.0) * (1 + cutting.waste) + 2 * cutting.allowance_per_end_m
    return math.ceil(needed_m / step_m - 1e-6) * step_m


def reels_for(cable: str, job: Job, profile: Profile) -> tuple[tuple[ReelToBuy, ...], tuple[StockReel, ...]]:
    """The reels of one cable type: the workbook's, else the profile's; the shelf's of both."""
    stated = [reel for reel in job.reels if reel.cable in (None, cable)]
    offered = [reel for reel in profile.cutting.reels if reel.cable in (None, cable)]
    return _to_buy(stated) or _to_buy(offered), _on_shelf([*stated, *offered])


def _to_buy(reels: Iterable[Reel | ReelSize]) -> tuple[ReelToBuy, ...]:
    return tuple(
        ReelToBuy(length_m=reel.length_m, price=reel.price)
        for reel in reels
        if reel.length_m is not None and reel.on_shelf is None
    )


def _on_shelf(reels: Iterable[Reel | ReelSize]) -> tuple[StockReel, ...]:
    return tuple(
        StockReel(length_m=reel.length_m, count=reel.on_shelf)
        for reel in reels
        if reel.length_m is not None and reel.on_shelf
    )


def _with_terms(
    result: CutListResult,
    bus: Bus,
    cutting: Cutting,
    sizes: Sequence[ReelToBuy],
    shelf: Sequence[StockReel],
) -> CutListResult:
    """A cut list with its allowances, what the job states of its cable, the reels offered, the pulls left out."""
    job, cable = bus.job, result.cable
    return replace(
        result,
        offers=(
            *(ReelOffer(length_m=size.length_m, price=size.price) for size in sizes),
            *(ReelOffer(length_m=reel.length_m, on_shelf=reel.count) for reel in shelf),
        ),
        spec=spec_text(job.cables[cable], job.length_unit) if cable in job.cables else "",
        length_unit=job.length_unit,
        unmeasured=tuple(
            bus.pull_names[id(pull)]
            for pull in job.pulls
            if not pull.length_m and (pull.cable or UNNAMED) == cable
        ),
        keep_from_m=cutting.min_offcut_m,
        waste=cutting.waste,
        allowance_per_end_m=cutting.allowance_per_end_m,
        round_up_m=cutting.round_up_m[job.length_unit],
        reserve_m=cutting.reserve_m,
    )


def _pulls_to_cut(bus: Bus) -> dict[str, list[Pull]]:
    """The pulls with a length by cable type, without the rows that state a pull again."""
    left_out = {id(pull) for pull in bus.topology.repeated_pulls}
    by_cable: dict[str, list[Pull]] = defaultdict(list)
    for pull in bus.job.pulls:
        if pull.length_m and id(pull) not in left_out:
            by_cable[pull.cable or UNNAMED].append(pull)
    return by_cable


def cut_list_result(
    cable: str, plan: CutListPlan, names: Mapping[str, str], first_reel: int, uncut: tuple[str, ...] = ()
) -> CutListResult:
    """A plan as a result.

    Parameters
    ----------
    names : the plan's piece -> what it is called
    first_reel : number of the plan's first reel
    uncut : names of pieces that were too long before the plan was made
    """
    return CutListResult(
        cable=cable,
        status=Status(plan.status),
        lower_bound=plan.lower_bound,
        cost=plan.cost if plan.priced else None,
        bought_m=plan.bought_m,
        needed_m=plan.needed_m,
        offcut_given_up_m=plan.offcut_given_up_m,
        reels=tuple(_reel_results(plan, names, first_reel)),
        uncut=(*uncut, *(names[piece] for piece in plan.uncut)),
    )


def _reel_results(plan: CutListPlan, names: Mapping[str, str], first_reel: int) -> Iterable[CutReel]:
    for number, reel in enumerate(plan.reels, first_reel):
        yield CutReel(
            reel=f"R{number}",
            length_m=reel.length_m,
            pulls=tuple(names[piece.id] for piece in reel.pieces),
            cut_m=tuple(piece.length_m for piece in reel.pieces),
            offcut_m=reel.offcut_m,
            on_shelf=reel.on_shelf,
            runs=tuple(piece.group for piece in reel.pieces),
        )

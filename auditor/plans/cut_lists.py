"""A job's pulls by cable type, with their allowances, as cut lists."""

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from auditor.bus.cables import UNNAMED, spec_text
from auditor.calc.cuts.plan import CutListPlan, Piece, ReelSize, StockReel, cut_list
from auditor.errors import PlanError
from auditor.job.model import Job, Pull
from auditor.profile.limits import Profile
from auditor.results.audit_result import CutListResult, CutReel, ReelOffer, Status

STEP_M = 0.0001  # project convention: lengths to cut are whole tenths of a millimetre
SECONDS = 5.0  # project convention: time limit of one cut list; after it the best found is given


def cut_lists(
    job: Job, profile: Profile, repeated: Sequence[Pull] = ()
) -> tuple[tuple[CutListResult, ...], tuple[str, ...]]:
    """One cut list a cable type, spare returns included.

    Parameters
    ----------
    repeated : rows that state a pull again, for which nothing is cut

    Returns
    -------
    the cut lists in the order of the cables' first pulls, and sentences on what stopped others
    """
    results, problems = [], []
    named = pull_names(job)
    first_reel = 1
    for cable, pulls in _by_cable(job, repeated).items():
        try:
            plan = _plan(cable, pulls, job, profile)
        except PlanError as problem:
            problems.append(f"No cut list for {cable}: {problem}")
            continue
        names = {str(index): named[id(pull)] for index, pull in enumerate(pulls)}
        result = cut_list_result(cable, plan, names, first_reel)
        results.append(
            replace(
                result,
                offers=_offers(cable, job, profile),
                spec=spec_text(job.cables[cable], job.length_unit) if cable in job.cables else "",
                length_unit=job.length_unit,
                unmeasured=_unmeasured(cable, job, named),
                keep_from_m=profile.cutting.min_offcut_m,
            )
        )
        first_reel += len(plan.reels)
    return tuple(results), tuple(problems)


def pull_names(job: Job) -> dict[int, str]:
    """What each pull, known by its identity, is called where its name must be its own: its id; where
    others have the same id, with its ends; where they have those too, with its row."""
    count = Counter(pull.id for pull in job.pulls)
    names: dict[int, str] = {}
    taken: set[str] = set()
    for pull in job.pulls:
        name = pull.id if count[pull.id] == 1 else f"{pull.id} ({pull.near} to {pull.far})"
        if name in taken:
            name = f"{name}, {pull.where.sheet} row {pull.where.row}"
        names[id(pull)] = name
        taken.add(name)
    return names


def cut_length_m(pull: Pull, job: Job, profile: Profile) -> float:
    """What is cut for one pull [m]: its length with waste, and the allowance at each end, rounded up to
    `STEP_M`, of which a foot and an inch are whole numbers."""
    allowance_m = job.allowance_per_end_m
    if allowance_m is None:
        allowance_m = profile.cutting.allowance_per_end_m
    waste = profile.cutting.waste if job.waste is None else job.waste
    return math.ceil(((pull.length_m or 0.0) * (1 + waste) + 2 * allowance_m) / STEP_M - 1e-6) * STEP_M


def reels_for(cable: str, job: Job, profile: Profile) -> tuple[tuple[ReelSize, ...], tuple[StockReel, ...]]:
    """The reels of one cable type: the workbook's, else the profile's; the shelf's of both."""
    rows = [reel for reel in job.reels if reel.length_m is not None and reel.cable in (None, cable)]
    offered = [reel for reel in profile.cutting.reels if reel.cable in (None, cable)]
    sizes = [(reel.length_m, reel.price) for reel in rows if reel.on_shelf is None]
    sizes = sizes or [(reel.length_m, reel.price) for reel in offered if reel.on_shelf is None]
    shelf = [(reel.length_m, reel.on_shelf) for reel in rows if reel.on_shelf]
    shelf += [(reel.length_m, reel.on_shelf) for reel in offered if reel.on_shelf]
    return (
        tuple(ReelSize(length_m=length_m or 0.0, price=price) for length_m, price in sizes),
        tuple(StockReel(length_m=length_m or 0.0, count=count or 0) for length_m, count in shelf),
    )


def _offers(cable: str, job: Job, profile: Profile) -> tuple[ReelOffer, ...]:
    sizes, shelf = reels_for(cable, job, profile)
    return (
        *(ReelOffer(length_m=size.length_m, price=size.price) for size in sizes),
        *(ReelOffer(length_m=reel.length_m, on_shelf=reel.count) for reel in shelf),
    )


def _unmeasured(cable: str, job: Job, named: Mapping[int, str]) -> tuple[str, ...]:
    return tuple(
        named[id(pull)] for pull in job.pulls if not pull.length_m and (pull.cable or UNNAMED) == cable
    )


def _by_cable(job: Job, repeated: Sequence[Pull]) -> dict[str, list[Pull]]:
    left_out = {id(pull) for pull in repeated}
    by_cable: dict[str, list[Pull]] = defaultdict(list)
    for pull in job.pulls:
        if pull.length_m and id(pull) not in left_out:
            by_cable[pull.cable or UNNAMED].append(pull)
    return by_cable


def _plan(cable: str, pulls: Sequence[Pull], job: Job, profile: Profile) -> CutListPlan:
    sizes, shelf = reels_for(cable, job, profile)
    pieces = [
        Piece(id=str(index), length_m=cut_length_m(pull, job, profile)) for index, pull in enumerate(pulls)
    ]
    return cut_list(pieces, sizes, shelf, SECONDS)


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
        reels=tuple(_reels(plan, names, first_reel)),
        uncut=(*uncut, *(names[piece] for piece in plan.uncut)),
    )


def _reels(plan: CutListPlan, names: Mapping[str, str], first_reel: int) -> Iterable[CutReel]:
    for number, reel in enumerate(plan.reels, first_reel):
        yield CutReel(
            reel=f"R{number}",
            length_m=reel.length_m,
            pulls=tuple(names[piece.id] for piece in reel.pieces),
            cut_m=tuple(piece.length_m for piece in reel.pieces),
            offcut_m=reel.offcut_m,
            on_shelf=reel.on_shelf,
        )


def reel_of_pull(lists: Iterable[CutListResult]) -> Mapping[tuple[str, str], str]:
    """(cable, the pull's name) -> the reel that it is cut from."""
    return {
        (result.cable, pull): reel.reel for result in lists for reel in result.reels for pull in reel.pulls
    }

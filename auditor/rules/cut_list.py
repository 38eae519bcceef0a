"""cut-list: every pull can be cut in one piece from a reel that can be had.

What it checks
    Each pull, with its waste and its allowance at both ends, rounded up as the profile says, against what
    the longest reel holds beside the reserve that is left on it; which pulls have no length and are left out;
    and whether the reels that the profile or the workbook states can be planned with at all.

    A note says where pulls of a second or an inferior cable could be cut from what is left of a better one:
    cable that is to specification as the schedule states it, and in nothing that is stated worse (gauge,
    insulation, shield, fire rating). Both lists are cut again and the job is judged again before it is said:
    the better cable buys no more than before, no limit is broken that was not, and either less is bought in all
    or a run's limits are no longer cut. At most 6 such moves are tried of a job, none of more than is cut of the
    better cable, and one is said of each cable.

Why
    A pull that is longer than every reel needs a joint in a wall, which nobody finds again. A little of another
    cable takes a reel of its own, and off-specification cable cuts the limits of the whole run.

Source
    The profile's `cutting` and its source, or the workbook's reel sheet.

Fails
    Nothing by itself. Review: a pull of 990 ft with 3 ft at each end and 5 % waste, 1,045.5 ft and so 1,046
    whole feet, from reels of 1,000 ft. Note: a pull of 70 ft of 18 AWG, 80 ft with its allowances, takes a reel of
    500 ft of its own, while 212 ft of 16 AWG to specification are left on another: 500 ft less to buy, and the run
    is not derated.

Passes
    A pull of 940 ft with the same allowances, 993 ft; not with a reserve of 10 ft on each reel. No note where 79 ft
    of the better cable are left for the 80 ft.

To fix
    Order a longer reel, or put a splice where it can be reached and list two pulls. Before pulls go to another
    cable, check that its fire rating suits the space: the local code and a licensed practitioner decide.
"""

from collections.abc import Iterator

from auditor.bus.cables import cable_text
from auditor.bus.measure import Bus
from auditor.job.listing import names_text
from auditor.plans.plans import BetterBuy, Plans, TooLong
from auditor.results.findings import Finding, Level, Scope
from auditor.rules.comparison import usual_part
from auditor.units import length_text, number_text

NAME = "cut-list"
SCOPE = Scope.ROW | Scope.CABLE | Scope.JOB
NAMED = 8  # project convention: more names than this do not help a reader


def check(bus: Bus, plans: Plans) -> Iterator[Finding]:
    cuts = plans.cuts
    for each in cuts.lists:
        for pull in cuts.too_long[each.cable]:
            yield _too_long(pull, each.cable, bus.job.length_unit)
        if each.unmeasured:
            names = names_text(each.unmeasured, NAMED, rest="more")
            message = (
                f"The cut list of {cable_text(each.cable)} leaves out {len(each.unmeasured)} "
                f"pull{'s' * (len(each.unmeasured) != 1)} without a length: {names}; fill them in before "
                "ordering"
            )
            yield Finding(rule=NAME, level=Level.NOTE, subject=each.cable, message=message)
    for buy in plans.better_buys:
        yield _better_buy(buy, bus)
    for problem in cuts.problems:
        yield Finding(rule=NAME, level=Level.REVIEW, subject=bus.job.name, message=problem)


def _too_long(found: TooLong, cable: str, length_unit: str) -> Finding:
    holds_m = found.longest_m - found.reserve_m
    longest = f"the longest reel has {length_text(found.longest_m, length_unit)}"
    if found.reserve_m:
        longest += f" and holds {length_text(holds_m, length_unit)} beside the reserve that is left on it"
    message = (
        f"Pull {found.name} takes {length_text(found.cut_m, length_unit)} of {cable_text(cable)} with its "
        f"allowances, {longest}; order a longer reel, or splice where it can be reached and list two pulls"
    )
    return Finding(
        rule=NAME,
        level=Level.REVIEW,
        subject=found.name,
        message=message,
        where=found.pull.cells.get("length_m", found.pull.where),
        measured=found.cut_m,
        limit=holds_m,
        unit="m",
    )


def _better_buy(buy: BetterBuy, bus: Bus) -> Finding:
    unit = bus.job.length_unit
    pulls = names_text(buy.pulls, NAMED, rest="more")
    reel = buy.reel
    holding = (
        f"what is left on the reels of {cable_text(buy.better)}"
        if reel is None
        else f"the offcut of {length_text(reel.offcut_m, unit)} on reel {reel.reel} of {cable_text(buy.better)}"
    )
    message = (
        f"{length_text(buy.length_m, unit)} of {cable_text(buy.cable)} for pull{'s' * (len(buy.pulls) != 1)} {pulls} "
        f"{' and '.join(_effects(buy, bus))}; {holding} holds them: {_less_text(buy, unit)}. Check that the fire "
        f"rating of {cable_text(buy.better)} suits the space: the local code and a licensed practitioner decide"
    )
    return Finding(
        rule=NAME,
        level=Level.NOTE,
        subject=buy.cable,
        message=message,
        where=bus.cables[buy.cable].cable.where,
    )


def _effects(buy: BetterBuy, bus: Bus) -> Iterator[str]:
    """What the pulls cost in their own cable."""
    before_m, after_m = buy.bought_m
    if before_m > after_m and buy.all_of_it and buy.own_reels == 1:
        yield f"take a reel of {length_text(before_m - after_m, bus.job.length_unit)} of their own"
    elif before_m > after_m:
        yield f"take {length_text(before_m - after_m, bus.job.length_unit)} of reels of their own"
    if buy.runs:
        yield f"cut the limits of {', '.join(buy.runs)} to {usual_part(bus)}"
    if before_m <= after_m and not buy.runs:
        yield "cost more than they need to"


def _less_text(buy: BetterBuy, unit: str) -> str:
    """What is bought with the pulls in the better cable, and as scheduled."""
    before, after = (length_text(each, unit) for each in buy.bought_m)
    text = f"nothing more to buy, {after} of both cables"
    if buy.bought_m[0] > buy.bought_m[1]:
        less = length_text(buy.bought_m[0] - buy.bought_m[1], unit)
        text = f"{less} less to buy, {after} of both cables and not {before}"
    if buy.cost is not None:
        text += f", at a cost of {number_text(buy.cost[1], 2)} and not {number_text(buy.cost[0], 2)}"
    return text

"""Two buildings in one workbook: the same tags in both, each with its own controllers and its own sheets."""

from dataclasses import replace

from tests.offices.design import Port
from tests.offices.draft import Draft
from tests.offices.truth import Truth

SHARE = 0.025  # of the offices
OF_BOTH = frozenset(("cables", "controllers", "legend", "splices", "reels"))  # stand once
APART = 100  # added to the numbers of the second building's controllers
WORSE = ("pass", "review", "fail")


def second(draft: Draft) -> Draft | None:
    """The draft of another building in the same office's hand; None where it could not be told apart."""
    ports, rng = draft.ports, draft.rng("second building")
    design = draft.again(rng) if rng.random() < SHARE else None
    alike = ports.alone or ports.controllers_lettered or draft.power_style.where == "legend"
    by_sheet = any(table.context for table in draft.tables())
    if design is None or alike or by_sheet or design.cables_stated != draft.design.cables_stated:
        return None
    name = draft.design.cables[0].name
    pulls = tuple(replace(pull, cable=name) for pull in design.pulls)
    design = replace(design, pulls=pulls, cables=draft.design.cables)
    other = replace(
        draft, design=design, ports=replace(ports, first=ports.first + 4), sheets=[], habits=[], asks=[]
    )
    other.write(other)
    return other


def joined(draft: Draft, other: Draft) -> None:
    """The sheets of the second building behind those of the first, each with its building's name."""
    for each, number in ((draft, "A"), (other, "B")):
        house = draft.say("house", n=number)
        for sheet in each.sheets:
            if sheet.tables and not {table.kind for table in sheet.tables} & OF_BOTH:
                sheet.lines = [[house], *sheet.lines]
                own = sheet.name if len(house) + len(sheet.name) < 31 else sheet.name[-20:]
                sheet.name = each.free_name(f"{house} {own}")
                for table in sheet.tables:
                    table.context["job"] = house
    _list_splices(draft, other)
    own = [sheet for sheet in other.sheets if any("job" in table.context for table in sheet.tables)]
    draft.sheets += own
    draft.asks = [*draft.asks, *other.asks, "two jobs"]
    draft.habits.append("two jobs in one workbook")


def _list_splices(draft: Draft, other: Draft) -> None:
    """The one list of splices of both buildings: a name such as X1 is known by a list only."""
    mine, theirs = (
        next((s for s in each.sheets if any(t.kind == "splices" for t in s.tables)), None)
        for each in (draft, other)
    )
    if theirs is None:
        return
    if mine is None:
        draft.sheets.append(theirs)
        return
    listed = {row.values[0] for row in mine.tables[0].rows}
    mine.tables[0].rows += [row for row in theirs.tables[0].rows if row.values[0] not in listed]


def both(one: Truth, other: Truth) -> Truth:
    """The truths of two buildings as one: all runs, the worse verdict, all fails."""
    runs = tuple(replace(run, port=Port(run.port.controller + APART, run.port.number)) for run in other.runs)
    return replace(
        one,
        runs=one.runs + runs,
        verdict=max((one.verdict, other.verdict), key=WORSE.index),
        fails=one.fails | other.fails,
        may_fail=one.may_fail | other.may_fail,
        other=one.other and replace(one.other, runs=one.other.runs + runs),
    )

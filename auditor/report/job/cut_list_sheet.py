"""The crew's sheet: reel by reel, pulls in cutting order with their marks from the reel's start.

One heading serves the cut lists of all cables: it stays in sight and is printed on every page.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from auditor.job.field_words import UNNAMED_CABLE
from auditor.job.listing import names_text
from auditor.report.page.look import Cell, Column, Look
from auditor.report.page.page import Page
from auditor.report.words import BRIEF_CAUTION, capital, plural, status_text
from auditor.results.added_sheets import CUT_LIST
from auditor.results.audit_result import Audit, CutListResult, CutReel, PullResult, Status
from auditor.results.findings import Verdict
from auditor.units import LENGTH_TOLERANCE_M, length_text, number_text

_WIDTHS = (8, 8, 26, 18, 18, 34, 12, 12, 12, 12)
_HEADING = 3  # its row, from 0
_NAMED = 60  # pulls that a sentence names
_JOBS_NAMED = 3
NOT_YET = "not yet"  # stands in the place of the tick of a pull that must not be cut
_FILL_IN = "Fill the lengths in with their unit and audit again before ordering or cutting."


def cut_list_sheet(sheet: Any, look: Look, audit: Audit) -> None:
    """Writes the sheet: a block a cable type."""
    pulls = {pull.name or pull.id: pull for pull in audit.pulls}
    write_cut_lists(
        sheet,
        look,
        CUT_LIST.title_of(audit.job),
        audit.cut_lists,
        pulls,
        _pulls_without_list(audit),
        rules="The reels are for this job alone: where an order is placed for several jobs, its own cut lists rule.",
        warning=warning_text([audit], pulls),
    )


def warning_text(audits: Sequence[Audit], pulls: Mapping[str, PullResult]) -> str:
    """What a crew must know before it cuts: that a job fails, and that pulls are marked; empty: neither."""
    failing = [audit.job for audit in audits if audit.verdict is Verdict.FAIL]
    held = sum(bool(pull.hold) for pull in pulls.values())
    marked = (
        f"{plural(held, 'pull')} marked «{NOT_YET}» must not be cut before the schedule is corrected."
        if held
        else ""
    )
    if not failing:
        return marked
    names = names_text(failing, _JOBS_NAMED, rest="others")
    fails = (
        f"The audit of {names} says fail: ask whoever planned it before cutting, lengths and ends may change."
    )
    return f"{fails} {marked}".strip()


def _pulls_without_list(audit: Audit) -> dict[str, list[PullResult]]:
    """Cables that have no cut list, with their pulls."""
    listed = {cut_list.cable for cut_list in audit.cut_lists}
    found: dict[str, list[PullResult]] = {}
    for pull in audit.pulls:
        if (cable := pull.cable or UNNAMED_CABLE) not in listed:
            found.setdefault(cable, []).append(pull)
    return found


def write_cut_lists(
    sheet: Any,
    look: Look,
    title: str,
    cut_lists: Sequence[CutListResult],
    pulls: Mapping[str, PullResult],
    unlisted: Mapping[str, Sequence[PullResult]] | None = None,
    *,
    rules: str,
    warning: str,
) -> None:
    """Cut lists one below the other.

    Parameters
    ----------
    pulls : what is known of each pull that a reel names; a pull may be missing
    unlisted : cables without a cut list, with their pulls
    rules : which list holds where another one names reels too
    warning : what to know before anything is cut; may be empty
    """
    page = Page(sheet, look, _WIDTHS, freeze=_HEADING + 1, repeat=(_HEADING, _HEADING))
    page.title(title)
    told = (
        "Marks count from the reel's outer end. Measure on site before cutting, and check that the cable's fire rating "
        f"is the one that each space asks for; tick each pull when it is cut and labelled. "
        f"{_allowances_text(cut_lists, look)}{rules}"
    )
    page.paragraph(1, told, muted=True)
    if warning:
        page.paragraph(2, warning, strong=True)
    columns = _columns(look)
    page.heading(_HEADING, columns)
    row = _HEADING + 1
    for cut_list in cut_lists:
        row = _write_cable(page, columns, cut_list, pulls, row) + 1
    for cable, own in (unlisted or {}).items():
        page.section(row, _cable_heading(cable))
        row = page.paragraph(row + 1, _unlisted_text(own), strong=True) + 1
    page.finish(page.paragraph(row, BRIEF_CAUTION, muted=True) - 1)


def _allowances_text(cut_lists: Sequence[CutListResult], look: Look) -> str:
    """What the cut lengths have more than the scheduled ones, said once; empty where it is not one for all."""
    terms = {(each.waste, each.allowance_per_end_m, each.round_up_m, each.reserve_m) for each in cut_lists}
    if len(terms) != 1:
        return ""
    waste, per_end_m, round_up_m, reserve_m = terms.pop()
    added = [
        f"{number_text(100 * waste)} % for waste" if waste else "",
        f"{length_text(per_end_m, look.unit)} at each end" if per_end_m else "",
    ]
    told = " and ".join(part for part in added if part)
    told = f"Cut lengths are the scheduled ones with {told}" if told else "Cut lengths are the scheduled ones"
    rounded = f", rounded up to the next {length_text(round_up_m, look.unit)}" if round_up_m else ""
    reserve = f"; {length_text(reserve_m, look.unit)} stay on each reel in reserve" if reserve_m else ""
    return f"{told}{rounded}{reserve}. "


def _columns(look: Look) -> Sequence[Column]:
    return (
        Column("Cut", "box"),
        Column("Reel"),
        Column("Pull", "wrap"),
        Column("From", "wrap"),
        Column("To", "wrap"),
        Column("Room, route, note", "wrap"),
        Column(f"Scheduled ({look.unit})", "length"),
        Column(f"{CUT_LIST.sign} ({look.unit})", "length"),
        Column(f"From mark ({look.unit})", "length"),
        Column(f"To mark ({look.unit})", "length"),
    )


def _write_cable(
    page: Page, columns: Sequence[Column], cut_list: CutListResult, pulls: Mapping[str, PullResult], row: int
) -> int:
    """One cable's reels; gives the row below them."""
    look = page.look
    page.section(row, _cable_heading(cut_list.cable))
    row = page.paragraph(row + 1, _plan_text(cut_list, look))
    if cut_list.uncut:
        row = page.paragraph(
            row, f"No reel is long enough for {names_text(cut_list.uncut, _NAMED)}", strong=True
        )
    if cut_list.unmeasured:
        told = (
            "Not on this list, since a length or its unit is missing: "
            f"{names_text(cut_list.unmeasured, _NAMED)}. {_FILL_IN}"
        )
        row = page.paragraph(row, told, strong=True)
    rows: list[Sequence[Cell]] = []
    strong = []
    for reel in cut_list.reels:
        strong.append(len(rows))
        rows += _reel_rows(reel, cut_list.cable, pulls, look, cut_list.keep_from_m)
    return page.table(row - 1, columns, rows, strong=frozenset(strong), headed=False).below


def _about_text(pull: PullResult) -> str | None:
    """Why a pull must not be cut yet, then what the schedule says of it."""
    hold = f"{NOT_YET}: {pull.hold}" if pull.hold else None
    spare = None if pull.landed else "spare return, leave unlanded"
    return " · ".join(filter(None, (hold, spare, pull.room, pull.route, pull.note))) or None


def _plan_text(cut_list: CutListResult, look: Look) -> str:
    bought, needed = length_text(cut_list.bought_m, look.unit), length_text(cut_list.needed_m, look.unit)
    shelf = sum(reel.on_shelf for reel in cut_list.reels)
    buy = plural(len(cut_list.reels) - shelf, "reel")
    from_shelf = f", {plural(shelf, 'reel')} from the shelf" if shelf else ""
    cost = f", cost {number_text(cut_list.cost, 2)}" if cut_list.cost is not None else ""
    plan = f"{buy} to buy, {bought}{from_shelf}, for {needed} of cuts{cost}. {status_text(cut_list.status)}"
    return f"{_held_text(cut_list)}{plan}{_bound_text(cut_list, look)}{_together_text(cut_list, look)}"


def _together_text(cut_list: CutListResult, look: Look) -> str:
    """What it costs to keep the pulls of a run on few reels."""
    if not cut_list.offcut_given_up_m:
        return ""
    shorter = length_text(cut_list.offcut_given_up_m, look.unit)
    return f" The pulls of a run are kept on few reels; for that the longest offcut is {shorter} shorter than it could be."


def _held_text(cut_list: CutListResult) -> str:
    """How many of the cable's pulls the plan speaks of, where it is not all of them."""
    missing, held = len(cut_list.uncut + cut_list.unmeasured), sum(len(reel.pulls) for reel in cut_list.reels)
    if not missing:
        return ""
    of_them = f" For the {held:,}: " if held else " "
    return f"Holds {held:,} of {plural(held + missing, 'pull')}; those not on it are named below.{of_them}"


def _cable_heading(cable: str) -> str:
    return capital(cable) if cable.startswith(UNNAMED_CABLE) else f"Cable {cable}"


def _unlisted_text(pulls: Sequence[PullResult]) -> str:
    names = names_text([pull.name or pull.id for pull in pulls], _NAMED)
    if any(pull.length_m for pull in pulls):
        return f"No cut list; the findings say why. Pulls: {names}."
    return f"No cut list, since no pull of it has a length with its unit: {names}. {_FILL_IN}"


def _bound_text(cut_list: CutListResult, look: Look) -> str:
    if cut_list.lower_bound is None or cut_list.status is Status.PROVEN:
        return ""
    if cut_list.cost is not None:
        return f" No plan costs less than {number_text(cut_list.lower_bound, 2)}."
    return f" No plan buys less than {length_text(cut_list.lower_bound, look.unit)}."


def _reel_rows(
    reel: CutReel, cable: str, pulls: Mapping[str, PullResult], look: Look, keep_from_m: float
) -> list[Sequence[Cell]]:
    """The reel's own line, which names its cable on whatever page it stands, then its pulls in cutting
    order."""
    source = "from the shelf" if reel.on_shelf else "new"
    what = f"{length_text(reel.length_m, look.unit)} of {cable}, {source}"
    count = plural(len(reel.pulls), "pull")
    word = "scrap" if 0 < reel.offcut_m < keep_from_m - LENGTH_TOLERANCE_M else "offcut"
    left = f"{word} {length_text(reel.offcut_m, look.unit)}"
    rows: list[Sequence[Cell]] = [(None, reel.reel, what, count, None, None, None, None, left, None)]
    mark_m = 0.0
    for name, cut_m in zip(reel.pulls, reel.cut_m, strict=True):
        pull = pulls.get(name)
        about = (pull.near, pull.far, _about_text(pull), pull.length_m) if pull else (None,) * 4
        tick = NOT_YET if pull and pull.hold else None
        rows.append((tick, reel.reel, name, *about, cut_m, mark_m, mark_m + cut_m))
        mark_m += cut_m
    return rows

"""The order over many jobs: what to buy, per job, what pooling saves, and the pooled cut lists."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import count
from typing import Any

from auditor.order.lines import OrderLine, controllers_to_order, usual_unit
from auditor.order.savings_sheet import savings_sheet
from auditor.report.buying import Buying, reels_bought
from auditor.report.cable_names import cable_kind, with_spec
from auditor.report.job.cut_list_sheet import warning_text, write_cut_lists
from auditor.report.page.look import Cell, Column, Live, Look, clean, letter
from auditor.report.page.page import Page
from auditor.report.words import plural
from auditor.results.audit_result import Audit, CutListResult, PullResult
from auditor.results.findings import Verdict
from auditor.units import length_text

_ORDER_WIDTHS = (12, 34, 44, 11, 13, 14)
_HEAD = 4  # of the sheet per job; that of the order stands below its warnings
_LONGEST = 31 - len("Cut ")  # characters of a cable in the name of its sheet
_TAKEN = ("Order", "Per job", "Pooling")


def pooled_name(audit: Audit, pull: str) -> str:
    """What a pull, given by its id, is called in a cut list over many jobs."""
    return f"{audit.job}: {pull}"


def write_order(
    audits: Sequence[Audit],
    pooled: Sequence[CutListResult],
    lines: Sequence[OrderLine],
    *,
    pulls: Mapping[str, PullResult] | None = None,
    warnings: Sequence[str] = (),
) -> bytes:
    """The order workbook.

    Parameters
    ----------
    audits : the jobs, in the order wanted
    pooled : a cut list a kind of cable over all jobs, its pulls named by `pooled_name`
    lines : what is ordered
    pulls : name in `pooled` -> pull; made with `pooled_name` where not given
    warnings : sentences for the head of the order

    Returns
    -------
    the workbook; lengths in the unit of most jobs, reels and cut lists in that of their schedules; the
    same input gives the same bytes
    """
    from auditor.report.page.sheet import RowBook

    workbook = RowBook()
    look = Look(workbook, usual_unit(audits))
    _write_order_lines(workbook.add_worksheet("Order"), look, len(audits), lines, warnings)
    _write_per_job(workbook.add_worksheet("Per job"), look, audits)
    if pooled:
        apart = Buying()
        for audit in audits:
            apart.add_cut_lists(audit.cut_lists)
        savings_sheet(workbook.add_worksheet("Pooling"), look, apart, pooled)
    if pulls is None:
        pulls = {pooled_name(audit, pull.name or pull.id): pull for audit in audits for pull in audit.pulls}
    looks = {look.unit: look} | {
        unit: Look(workbook, unit) for unit in sorted({each.length_unit for each in pooled} - {look.unit})
    }
    jobs = Counter(kind for audit in audits for kind in {cable_kind(cuts) for cuts in audit.cut_lists})
    owner = {pooled_name(audit, pull.name or pull.id): id(audit) for audit in audits for pull in audit.pulls}
    names = _sheet_names([cut_list.cable for cut_list in pooled])
    for name, cut_list in zip(names, pooled, strict=True):
        title = f"Cut list over {plural(jobs[cable_kind(cut_list)], 'job')}: {with_spec(cut_list)}"
        own = {pull: pulls[pull] for reel in cut_list.reels for pull in reel.pulls if pull in pulls}
        holding = {owner[pull] for pull in own}
        write_cut_lists(
            workbook.add_worksheet(name),
            looks[cut_list.length_unit],
            title,
            [cut_list],
            own,
            rules="The reels are shared by the jobs: this list rules, not the cut lists in their workbooks.",
            warning=warning_text([audit for audit in audits if id(audit) in holding], own),
        )
    return workbook.content()


def _write_order_lines(
    sheet: Any, look: Look, jobs: int, lines: Sequence[OrderLine], warnings: Sequence[str]
) -> None:
    head = 3 + len(warnings)
    page = Page(sheet, look, _ORDER_WIDTHS, freeze=head + 1, repeat=(head, head))
    page.title(f"Order for {plural(jobs, 'job')}")
    page.text(1, 0, "Fill in or change quantities and unit prices: amounts and the total follow.", look.muted)
    for row, warning in enumerate(warnings, 2):
        page.paragraph(row, warning, strong=True)
    columns = (
        Column("Kind"),
        Column("Item", "wrap"),
        Column("Size", "wrap"),
        Column("Quantity", "count"),
        Column("Unit price", "money"),
        Column("Amount", "money"),
    )
    rows: list[Sequence[Cell]] = [_line_cells(line, head + 2 + index) for index, line in enumerate(lines)]
    cells = f"F{head + 2}:F{max(head + 2, head + 1 + len(lines))}"
    amounts = [line.amount for line in lines if line.amount is not None]
    total = Live(f'=IF(COUNT({cells})=0,"",SUM({cells}))', round(sum(amounts), 6) if amounts else "")
    rows.append(("Total", "of what has a price", None, None, None, total))
    block = page.table(head, columns, rows, strong=frozenset((len(lines),)))
    note = (
        "Quantities come from schedules, not from the site: measure long pulls before ordering. Check that each "
        "item is approved for the place where it is laid, the fire rating of cable (riser, plenum) included; local "
        "codes and a licensed practitioner decide."
    )
    page.finish(page.paragraph(block.below + 1, note) - 1)


def _line_cells(line: OrderLine, row: int) -> tuple[Cell, ...]:
    amount = Live(f'=IF(E{row}="","",D{row}*E{row})', "" if line.amount is None else round(line.amount, 6))
    return (line.kind, line.item, line.size or None, line.quantity, line.unit_price, amount)


def _job_columns(unit: str, priced: bool) -> list[tuple[Column, float]]:
    """The columns per job, with their widths [characters]; costs only where there are prices."""
    return [
        (Column("Job", "wrap"), 30),
        (Column("Cable", "wrap"), 26),
        (Column(f"Needed ({unit})", "length"), 12),
        (Column("Reels", "wrap"), 30),
        (Column(f"To buy ({unit})", "length"), 12),
        *([(Column("Cost", "money"), 12.0)] if priced else []),
        (Column("Controllers scheduled", "count"), 12),
        (Column("Controllers needed", "count"), 12),
        (Column("Controllers ordered", "count"), 12),
        (Column("Ordered as", "wrap"), 13),
    ]


def _write_per_job(sheet: Any, look: Look, audits: Sequence[Audit]) -> None:
    priced = any(cuts.cost is not None for audit in audits for cuts in audit.cut_lists)
    columns, widths = zip(*_job_columns(look.unit, priced), strict=True)
    page = Page(sheet, look, widths, freeze=_HEAD + 1, repeat=(_HEAD, _HEAD))
    page.title("Per job")
    page.text(1, 0, "Each job cut on its own: what it would buy if it were ordered alone.", look.muted)
    rows = [row for audit in audits for row in _job_rows(audit, look.unit, priced)]
    block = page.table(_HEAD, columns, rows)
    last = max(block.first, block.last)
    for offset, column in enumerate(columns):
        if column.kind not in ("length", "money", "count"):
            continue
        known = [value for row in rows if isinstance(value := row[offset], int | float)]
        value = sum(look.length(each) for each in known) if column.kind == "length" else sum(known)
        cells = f"{letter(offset + 1)}{block.first + 1}:{letter(offset + 1)}{last + 1}"
        formula = f'=IF(COUNT({cells})=0,"",SUBTOTAL(109,{cells}))'
        style = look.body("money" if column.kind == "money" else "count", strong=True)
        page.cell(_HEAD - 1, offset, Live(formula, round(value, 6) if known else ""), style)
    page.cell(_HEAD - 1, 0, "Sum of the rows shown", look.body("text", strong=True))
    sheet.autofilter(block.head, 0, last, len(columns) - 1)
    page.finish(last)


def _job_rows(audit: Audit, unit: str, priced: bool) -> list[tuple[Cell, ...]]:
    """A row a cable; the job's controllers stand in its first row only, so that sums are right."""
    numbers = _controller_cells(audit)
    rows: list[tuple[Cell, ...]] = []
    for cut_list in audit.cut_lists:
        sizes = reels_bought(cut_list)
        reels = ", ".join(
            f"{number} × {length_text(length_m, cut_list.length_unit)}" for length_m, number in sizes
        )
        without = "from the shelf" if cut_list.reels else "no reel is long enough"
        bought_m = sum(length_m * number for length_m, number in sizes)
        cost = (cut_list.cost,) if priced else ()
        here = numbers if not rows else (None,) * len(numbers)
        rows.append((audit.job, cut_list.cable, cut_list.needed_m, reels or without, bought_m, *cost, *here))
    told = "unreadable" if audit.verdict is Verdict.UNREADABLE else "no cut list"
    return rows or [(audit.job, told, None, None, None, *((None,) if priced else ()), *numbers)]


def _controller_cells(audit: Audit) -> tuple[Cell, ...]:
    """Scheduled, needed, ordered, and for which of the two reasons so many."""
    controllers = audit.controllers
    if controllers is None or audit.verdict is Verdict.UNREADABLE:
        return (None, None, None, None)
    basis = "needed" if controllers.needed is not None else "scheduled"
    return (controllers.scheduled, controllers.needed, controllers_to_order(audit), basis)


def _sheet_names(cables: Sequence[str]) -> list[str]:
    """A sheet name a cable: at most 31 characters, none that is forbidden, none twice. Where what tells
    cables of one name apart does not fit, they are numbered; their sheets' titles name them in full."""
    taken = {name.lower() for name in _TAKEN}
    long = {_bare_name(cable) for cable in cables if len(clean(cable)) > _LONGEST}
    names = []
    for cable in cables:
        wanted = _bare_name(cable) if _bare_name(cable) in long else cable
        bare = re.sub(r"[\[\]:*?/\\']", "-", clean(wanted)).strip() or "cable"
        numbered = (_shortened(bare, f" ({number})" if number > 1 else "") for number in count(1))
        name = next(name for name in numbered if name.lower() not in taken)
        taken.add(name.lower())
        names.append(name)
    return names


def _bare_name(cable: str) -> str:
    """A cable's name without what tells it apart."""
    return cable.partition(" (")[0]


def _shortened(bare: str, number: str) -> str:
    room = _LONGEST - len(number)
    return f"Cut {bare if len(bare) <= room else bare[: room - 1].strip() + '…'}{number}"

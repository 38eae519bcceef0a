"""The order over many jobs: what to buy, per job, what pooling saves, and the pooled cut lists."""

import re
from collections.abc import Mapping, Sequence
from itertools import count
from typing import Any

from auditor.findings import Audit, CutListResult, PullResult, Verdict
from auditor.report.buying import Buying
from auditor.report.cut_list_sheet import write_cut_lists
from auditor.report.grid import Page
from auditor.report.look import Cell, Column, Live, Look, clean
from auditor.report.order_lines import OrderLine, Prices, order_lines, usual_unit
from auditor.report.pooling import pooling_sheet
from auditor.report.words import plural
from auditor.units import length_text

_HEAD = 4
_ORDER = (24, 34, 22, 11, 13, 14)
_PER_JOB = (30, 20, 12, 32, 12, 12, 12, 12)
_TAKEN = ("Order", "Per job", "Pooling")


def pooled_name(audit: Audit, pull: str) -> str:
    """What a pull, given by its id, is called in a cut list over many jobs."""
    return f"{audit.job}: {pull}"


def write_order(
    audits: Sequence[Audit],
    pooled: Sequence[CutListResult],
    *,
    pulls: Mapping[str, PullResult] | None = None,
    prices: Prices | None = None,
    connectors_per_end: int = 0,
) -> bytes:
    """The order workbook.

    Parameters
    ----------
    audits : the jobs, in the order wanted
    pooled : a cut list a cable type over all jobs, its pulls named by `pooled_name`
    pulls : name in `pooled` -> pull; made with `pooled_name` where not given

    Returns
    -------
    the workbook; lengths in the unit of most jobs; the same input gives the same bytes
    """
    from auditor.report.sheet import RowBook

    workbook = RowBook()
    look = Look(workbook, usual_unit(audits))
    lines = order_lines(audits, pooled, prices=prices, connectors_per_end=connectors_per_end, unit=look.unit)
    _order(workbook.add_worksheet("Order"), look, audits, lines)
    _per_job(workbook.add_worksheet("Per job"), look, audits)
    if pooled:
        apart = Buying()
        for audit in audits:
            apart.add_cut_lists(audit.cut_lists)
        pooling_sheet(workbook.add_worksheet("Pooling"), look, apart, pooled)
    if pulls is None:
        pulls = {pooled_name(audit, pull.id): pull for audit in audits for pull in audit.pulls}
    names = _sheet_names([cut_list.cable for cut_list in pooled])
    for name, cut_list in zip(names, pooled, strict=True):
        title = f"Cut list over {plural(len(audits), 'job')}: {cut_list.cable}"
        write_cut_lists(workbook.add_worksheet(name), look, title, [cut_list], pulls)
    return workbook.content()


def _order(sheet: Any, look: Look, audits: Sequence[Audit], lines: Sequence[OrderLine]) -> None:
    page = Page(sheet, look, _ORDER, freeze=_HEAD + 1, repeat=(_HEAD, _HEAD))
    page.title(f"Order for {plural(len(audits), 'job')}")
    page.text(1, 0, "Fill in or change quantities and unit prices: amounts and the total follow.", look.muted)
    page.text(2, 0, _warning(audits), look.format(bold=True))
    columns = (
        Column("Kind"),
        Column("Item"),
        Column("Size"),
        Column("Quantity", "count"),
        Column("Unit price", "money"),
        Column("Amount", "money"),
    )
    rows: list[Sequence[Cell]] = [_line(line, _HEAD + 2 + index) for index, line in enumerate(lines)]
    cells = f"F{_HEAD + 2}:F{max(_HEAD + 2, _HEAD + 1 + len(lines))}"
    amounts = [line.amount for line in lines if line.amount is not None]
    total = Live(f'=IF(COUNT({cells})=0,"",SUM({cells}))', round(sum(amounts), 6) if amounts else "")
    rows.append(("Total of what has a price", None, None, None, None, total))
    block = page.table(_HEAD, columns, rows, strong=frozenset((len(lines),)))
    note = (
        "Quantities come from schedules, not from the site: measure long pulls before ordering. Check that each "
        "item is approved for the place where it is laid; local codes and a licensed practitioner decide."
    )
    page.finish(page.paragraph(block.below + 1, note) - 1)


def _line(line: OrderLine, row: int) -> tuple[Cell, ...]:
    amount = Live(f'=IF(E{row}="","",D{row}*E{row})', "" if line.amount is None else round(line.amount, 6))
    return (line.kind, line.item, line.size or None, line.quantity, line.unit_price, amount)


def _warning(audits: Sequence[Audit]) -> str:
    unreadable = sum(audit.verdict is Verdict.UNREADABLE for audit in audits)
    fails = sum(audit.verdict is Verdict.FAIL for audit in audits)
    parts = [
        f"{plural(fails, 'job')} with verdict fail: mend the schedule before ordering for it"
        if fails
        else "",
        f"{plural(unreadable, 'job')} unreadable: nothing is ordered for it" if unreadable else "",
    ]
    return ". ".join(part for part in parts if part)


def _per_job(sheet: Any, look: Look, audits: Sequence[Audit]) -> None:
    page = Page(sheet, look, _PER_JOB, freeze=_HEAD + 1, repeat=(_HEAD, _HEAD))
    page.title("Per job")
    page.text(1, 0, "Each job cut on its own: what it would buy if it were ordered alone.", look.muted)
    unit = look.unit
    columns = (
        Column("Job", "wrap"),
        Column("Cable", "wrap"),
        Column(f"Needed ({unit})", "length"),
        Column("Reels", "wrap"),
        Column(f"To buy ({unit})", "length"),
        Column("Cost", "money"),
        Column("Controllers scheduled", "count"),
        Column("Controllers needed", "count"),
    )
    rows = [row for audit in audits for row in _job_rows(audit, unit)]
    block = page.table(_HEAD, columns, rows)
    last = max(block.first, block.last)
    for offset in (2, 4, 5, 6, 7):
        known = [value for row in rows if isinstance(value := row[offset], int | float)]
        letter = chr(65 + offset)
        value = sum(look.length(each) for each in known) if offset in (2, 4) else sum(known)
        cells = f"{letter}{block.first + 1}:{letter}{last + 1}"
        formula = f'=IF(COUNT({cells})=0,"",SUBTOTAL(109,{cells}))'
        style = look.body("money" if offset == 5 else "count", strong=True)
        page.cell(_HEAD - 1, offset, Live(formula, round(value, 6) if known else ""), style)
    page.cell(_HEAD - 1, 0, "Sum of the rows shown", look.body("text", strong=True))
    sheet.autofilter(block.head, 0, last, len(columns) - 1)
    page.finish(last)


def _job_rows(audit: Audit, unit: str) -> list[tuple[Cell, ...]]:
    """A row a cable; the job's controllers stand in its first row only, so that sums are right."""
    controllers = audit.controllers
    numbers = (controllers.scheduled, controllers.needed) if controllers else (None, None)
    rows: list[tuple[Cell, ...]] = []
    for cut_list in audit.cut_lists:
        buying = Buying()
        buying.add_cut_lists([cut_list])
        sizes = buying.reels_of(cut_list.cable, on_shelf=False)
        reels = ", ".join(f"{number} × {length_text(length_m, unit)}" for length_m, number in sizes)
        bought_m = buying.bought_m(cut_list.cable)
        here = numbers if not rows else (None, None)
        rows.append(
            (
                audit.job,
                cut_list.cable,
                cut_list.needed_m,
                reels or "from the shelf",
                bought_m,
                cut_list.cost,
                *here,
            )
        )
    told = "unreadable" if audit.verdict is Verdict.UNREADABLE else "no cut list"
    return rows or [(audit.job, told, None, None, None, None, *numbers)]


def _sheet_names(cables: Sequence[str]) -> list[str]:
    """A sheet name a cable: at most 31 characters, none that is forbidden, none twice."""
    taken = {name.lower() for name in _TAKEN}
    names = []
    for cable in cables:
        bare = re.sub(r"[\[\]:*?/\\']", "-", clean(cable)).strip() or "cable"
        wanted = (f"Cut {bare}" + (f" ({number})" if number else "") for number in count())
        name = next(name for each in wanted if (name := _short(each)).lower() not in taken)
        taken.add(name.lower())
        names.append(name)
    return names


def _short(name: str) -> str:
    """31 characters, keeping a number at the end."""
    head, mark, tail = name.rpartition(" (")
    if len(name) <= 31 or not (mark and tail[:-1].isdigit()):
        return name[:31].strip()
    return head[: 31 - len(mark + tail)].strip() + mark + tail

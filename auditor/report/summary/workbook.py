"""`summary.xlsx`: all jobs of a run, their findings, power budgets and what to buy."""

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

from auditor.report.page.look import Block, Column, Live, Look
from auditor.report.page.page import Page
from auditor.report.summary.rows import MOST_PER_RULE, SummaryRows
from auditor.report.summary.tables import BUDGETS, CABLE_IS, FINDINGS, JOBS, QUESTIONS, SummaryTable
from auditor.report.summary.to_buy import to_buy_sheet
from auditor.report.words import BRIEF_CAUTION, plural
from auditor.results.findings import Verdict
from auditor.results.job_summary import JobSummary

_HEAD = 4  # row of the headings, from 0; the row above it holds the totals


def write_summary(jobs: Iterable[JobSummary], *, copies: Mapping[str, str] | None = None) -> bytes:
    """The summary workbook of a run, jobs in the order given.

    Parameters
    ----------
    jobs : read once, one at a time; what is kept of each is what its rows show
    copies : file of the job -> the annotated copy's path relative to the summary, "/" between
        folders; a job without one gets no link

    Returns
    -------
    the workbook; the same input gives the same bytes. Lengths are in the unit of most jobs.
    """
    gathered = SummaryRows({} if copies is None else copies)  # may be filled while the jobs are read
    for job in jobs:
        gathered.add(job)
    from auditor.report.page.sheet import RowBook

    workbook = RowBook()
    look = Look(workbook, gathered.unit)
    _write_jobs(workbook.add_worksheet(JOBS.name), look, gathered)
    cap = (
        f"At most {MOST_PER_RULE} findings of one rule in one job, without what follows from another finding; "
        "results.jsonl holds them all."
    )
    _write_table(
        workbook.add_worksheet(FINDINGS.name),
        look,
        FINDINGS,
        gathered.findings.rows,
        cap,
        gathered.findings.left_out,
    )
    if (asked := gathered.questions()).rows:
        told = "What the jobs ask, each question of a folder once."
        sheet = workbook.add_worksheet(QUESTIONS.name)
        _write_table(sheet, look, QUESTIONS, asked.rows, told, asked.left_out)
    told = (
        "All devices drawing at once, a line a run. The supply's figures are those of the whole "
        "controller. A blank is not known; sums are at least so much."
    )
    _write_table(
        workbook.add_worksheet(BUDGETS.name),
        look,
        BUDGETS,
        gathered.budgets.rows,
        told,
        gathered.budgets.left_out,
    )
    to_buy_sheet(
        workbook.add_worksheet("To buy"),
        look,
        gathered.buying,
        jobs=JOBS,
        last_row=_HEAD + len(gathered.jobs.rows),
    )
    return workbook.content()


def _write_jobs(sheet: Any, look: Look, gathered: SummaryRows) -> None:
    rows = gathered.jobs.rows
    page = _write_table(
        sheet,
        look,
        JOBS,
        rows,
        f"{plural(len(rows), 'job')} audited. {BRIEF_CAUTION}",
        gathered.jobs.left_out,
    )
    verdicts = Counter(str(row[0]) for row in rows)
    cells = f"$A${_HEAD + 2}:$A${max(_HEAD + 2, _HEAD + 1 + len(rows))}"
    for column, verdict in enumerate(reversed(Verdict)):
        formula = Live(f'=COUNTIF({cells},"{verdict}")&" {verdict}"', f"{verdicts[verdict]} {verdict}")
        page.cell(2, column, formula, look.format(bold=True))
    _write_at_least(page, rows)


def _write_at_least(page: Page, rows: list[Any]) -> None:
    """The word beside the sum of the cable, where a row shown has it."""
    letter, offset = JOBS.letter(CABLE_IS), JOBS.offset(CABLE_IS)
    cells = f"{letter}{_HEAD + 2}:{letter}{max(_HEAD + 2, _HEAD + 1 + len(rows))}"
    word = "at least" if any(row[offset] for row in rows) else ""
    formula = Live(f'=IF(SUBTOTAL(103,{cells})>0,"at least","")', word)
    page.cell(_HEAD - 1, offset, formula, page.look.body("wrap", strong=True, indented=True))


def _write_table(
    sheet: Any, look: Look, kind: SummaryTable, rows: list[Any], told: str, left_out: int
) -> Page:
    """A sheet that is one table: totals above the headings follow the filter."""
    page = Page(sheet, look, kind.widths, freeze=_HEAD + 1, repeat=(_HEAD, _HEAD))
    page.title(kind.name)
    more = f" {left_out:,} more rows do not fit on a sheet; results.jsonl holds them." if left_out else ""
    page.text(1, 0, told + more, look.muted)
    columns = [Column(header.format(unit=look.unit), shown) for header, _, shown in kind.columns]
    block = page.table(_HEAD, columns, rows)
    _write_totals(page, kind, block, rows)
    sheet.autofilter(block.head, 0, max(block.first, block.last), len(columns) - 1)
    page.finish(max(block.first, block.last))
    return page


def _write_totals(page: Page, kind: SummaryTable, block: Block, rows: list[Any]) -> None:
    for offset, (header, _, shown) in enumerate(kind.columns):
        if header not in kind.summed:
            continue
        values = [row[offset] for row in rows if isinstance(row[offset], int | float)]
        if shown == "length":
            values = [page.look.length(value) for value in values]
        letter = chr(65 + offset)
        cells = f"{letter}{block.first + 1}:{letter}{max(block.first, block.last) + 1}"
        formula = f'=IF(COUNT({cells})=0,"",SUBTOTAL(109,{cells}))'
        style = page.look.body(shown, strong=True, number_format="#,##0" if shown == "length" else None)
        page.cell(_HEAD - 1, offset, Live(formula, sum(values) if values else ""), style)
    if kind.summed:
        page.cell(_HEAD - 1, kind.summed_label, "Sum of the rows shown", page.look.body("text", strong=True))

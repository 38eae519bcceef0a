"""The sheets that are added to a job's workbook, in a workbook of their own to be taken over."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from auditor.report.identity import identity
from auditor.report.job.audit_sheet import LimitRow, audit_sheet
from auditor.report.job.cut_list_sheet import cut_list_sheet
from auditor.report.job.port_plan_sheet import changes_something, port_plan_sheet
from auditor.report.job.power_budget import LiveRows, power_budget_sheet
from auditor.report.job.questions_sheet import has_questions, questions_sheet
from auditor.report.job.reach_sheet import reach_sheet
from auditor.report.job.run_blocks import run_blocks
from auditor.report.job.run_rows import facts_of
from auditor.report.page.look import Look
from auditor.report.words import CAUTIONS
from auditor.results.added_sheets import (
    ADDED_SHEETS,
    AUDIT,
    CUT_LIST,
    PORT_PLAN,
    POWER_BUDGET,
    QUESTIONS,
    REACH,
)
from auditor.results.audit_result import Audit

WANTED_NAMES = tuple(each.name for each in ADDED_SHEETS)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobPages:
    """What the sheets of one job are made of.

    names : wanted name -> the name that is free in the job's workbook
    limits : the profile's limits and assumptions with their sources
    cautions : paragraphs
    live : device tables whose watts the power budget adds up by formula
    """

    audit: Audit
    names: Mapping[str, str] = field(default_factory=dict)
    limits: Sequence[LimitRow] = ()
    cautions: Sequence[str] = CAUTIONS
    live: Sequence[LiveRows] = ()


def sheets_of(jobs: Sequence[JobPages]) -> dict[str, bytes]:
    """The added sheets of the jobs of one workbook, as `job_sheets`."""
    from auditor.report.page.sheet import RowBook

    workbook = RowBook()
    audits = [job.audit for job in jobs]
    if has_questions(audits):
        name = jobs[0].names.get(QUESTIONS.name, QUESTIONS.name)
        questions_sheet(
            workbook.add_worksheet(name), Look(workbook, audits[0].length_unit, identity(audits[0])), audits
        )
    for job in jobs:
        if job.audit.tables or not has_questions(audits):
            _add_sheets(workbook, job)
    return workbook.parts()


def job_sheets(
    audit: Audit,
    names: Mapping[str, str] | None = None,
    *,
    limits: Sequence[LimitRow] = (),
    cautions: Sequence[str] = CAUTIONS,
    live: Sequence[LiveRows] = (),
) -> dict[str, bytes]:
    """The added sheets of one job, as the parts of a workbook. A sheet that would be empty is left out.

    Parameters
    ----------
    names : wanted name -> the name that is free in the job's workbook
    limits : the profile's limits and assumptions with their sources
    cautions : paragraphs; the shipped ones where none are given
    live : device tables whose watts the power budget adds up by formula

    Returns
    -------
    name of the part -> its bytes; the same input gives the same bytes
    """
    return sheets_of([JobPages(audit=audit, names=names or {}, limits=limits, cautions=cautions, live=live)])


def _add_sheets(workbook: Any, job: JobPages) -> None:
    audit = job.audit
    look = Look(workbook, audit.length_unit, identity(audit))
    free = {name: job.names.get(name, name) for name in WANTED_NAMES}
    audit_sheet(
        workbook.add_worksheet(free[AUDIT.name]),
        look,
        audit,
        limits=job.limits,
        cautions=job.cautions,
        questions=free[QUESTIONS.name],
    )
    if audit.runs:
        power_budget_sheet(workbook.add_worksheet(free[POWER_BUDGET.name]), look, audit, live=job.live)
    facts = facts_of(audit)
    if blocks := run_blocks(audit, facts):
        reach_sheet(workbook.add_worksheet(free[REACH.name]), look, audit, blocks, facts)
    if changes_something(audit.port_plan):
        port_plan_sheet(workbook.add_worksheet(free[PORT_PLAN.name]), look, audit, audit.port_plan)
    if audit.cut_lists:
        cut_list_sheet(workbook.add_worksheet(free[CUT_LIST.name]), look, audit)

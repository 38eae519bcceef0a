"""The sheet that says what was found in a job, and on what the audit stands."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from auditor.job.acceptances import BY_HEADING, FINDING_HEADING, KEY_HEADING, WHY_HEADING
from auditor.report.job.acceptance_cells import (
    ACCEPTANCE_WIDTHS,
    acceptance_cells,
    hide_keys,
    mark_to_accept,
)
from auditor.report.job.questions_sheet import questions_link
from auditor.report.job.reading import WIDTHS, write_reading
from auditor.report.page.look import Block, Cell, Column, Link, Look, link_to, quoted
from auditor.report.page.page import Page
from auditor.report.words import capital, controllers_text, plural, run_text, verdict_text
from auditor.results.added_sheets import AUDIT, QUESTIONS
from auditor.results.audit_result import Audit
from auditor.results.findings import Finding, Level, causes_first, consequences
from auditor.units import LENGTH_M

MOST_PER_RULE = 200  # findings of one rule that the sheet lists; the rest is counted
_TOP = 6
_LINK_COLUMNS = (0, 1, 2, 3, 4, 6)  # «Limits and sources» runs on over the empty cell behind it


@dataclass(frozen=True, slots=True)
class LimitRow:
    """One limit or assumption of the profile, in words."""

    name: str
    value: str
    source: str


def audit_sheet(
    sheet: Any,
    look: Look,
    audit: Audit,
    *,
    limits: Sequence[LimitRow],
    cautions: Sequence[str],
    questions: str = QUESTIONS.name,
) -> None:
    """Writes the whole sheet: verdict, runs, findings, how the workbook was read, limits, cautions.

    Parameters
    ----------
    questions : the name of the sheet on which the job's questions are answered
    """
    page = Page(sheet, look, (*WIDTHS, *ACCEPTANCE_WIDTHS), freeze=3)
    hide_keys(sheet, look, len(WIDTHS) + 2)
    starts = {"Runs": _TOP}
    row = _write_runs(page, audit, _TOP)
    starts["Findings"] = row
    row = _write_findings(page, audit, row)
    starts[AUDIT.sign] = row
    row = write_reading(page, audit, row)
    if limits:
        starts["Limits and sources"] = row
        row = _write_limits(page, limits, row)
    starts["Cautions"] = row
    page.section(row, "Cautions")
    for caution in cautions:
        row = page.paragraph(row + 1, caution) - 1
    _write_head(page, audit, starts, questions)
    page.finish(row)


def finding_rows(audit: Audit) -> Mapping[tuple[str, int], int]:
    """Where the first finding about a row of the workbook stands on the audit sheet, or the cause under which
    it is folded, or where its kind is counted that is too long to be listed.

    Returns
    -------
    (sheet, row) of the workbook -> row of the audit sheet, from 1
    """
    first = _findings_start(audit) + 3  # the section's title and the heading come before it
    rows: dict[tuple[str, int], int] = {}
    listed, left_out = _listed_findings(audit)
    folded = set(_folded(listed))
    shown = 0
    for index, finding in enumerate(listed):
        shown = shown if index in folded else index
        if finding.where is not None:
            rows.setdefault((finding.where.sheet, finding.where.row), first + shown)
    counted = {rule: first + len(listed) + index for index, rule in enumerate(left_out)}
    for finding in audit.findings if counted else ():
        if finding.where is not None and finding.rule in counted:
            rows.setdefault((finding.where.sheet, finding.where.row), counted[finding.rule])
    return rows


def _findings_start(audit: Audit) -> int:
    return _TOP + 3 + max(1, len(audit.runs))  # title, heading and an empty row


def _write_head(page: Page, audit: Audit, starts: Mapping[str, int], questions: str) -> None:
    look = page.look
    page.title(AUDIT.title_of(audit.job))
    page.text(1, 0, audit.verdict, look.body("verdict"))
    page.mark_words(Block(1, 1, 1), 0, "verdict")
    page.text(1, 1, verdict_text(audit), look.format(bold=True, indent=1))
    for column, (title, row) in zip(_LINK_COLUMNS, starts.items(), strict=False):
        target = f"internal:{quoted(page.name)}!A{row + 1}"
        page.cell(2, column, Link(title, target), look.link)
    profile = f"Profile {audit.profile or 'not known'}"
    page.text(3, 0, f"{profile}: {audit.profile_chosen}" if audit.profile_chosen else profile)
    if audit.open_questions:
        page.cell(3, len(WIDTHS) - 1, questions_link(questions, len(audit.open_questions)), look.link)
    if audit.controllers is not None:
        page.text(4, 0, capital(controllers_text(audit.controllers)))


def _write_runs(page: Page, audit: Audit, row: int) -> int:
    page.section(row, "Runs")
    columns = (
        Column("Verdict", "verdict"),
        Column("Run"),
        Column(f"Total cable ({page.look.unit})", "length"),
        Column(f"Reach ({page.look.unit})", "length"),
        Column("Devices", "count"),
        Column("Watts", "one"),
        Column("Lowest volts", "two"),
        Column("Limits and margin", "wrap"),
    )
    rows: list[Sequence[Cell]] = [
        (
            run.verdict,
            run.name,
            run.cable_m,
            run.reach_m,
            run.devices,
            run.power_w,
            run.min_voltage_v,
            run_text(run, page.look.unit),
        )
        for run in audit.runs
    ]
    none = (None, "no run was found", None, None, None, None, None, None)
    return page.table(row + 1, columns, rows or [none]).below + 1


def _listed_findings(audit: Audit) -> tuple[list[Finding], dict[str, int]]:
    """Findings worst first, each with what follows from it, at most MOST_PER_RULE of a rule, and how many each
    rule left out."""
    seen: dict[str, int] = {}
    listed = []
    for finding in causes_first(audit.findings):
        seen[finding.rule] = seen.get(finding.rule, 0) + 1
        if seen[finding.rule] <= MOST_PER_RULE:
            listed.append(finding)
    return listed, {rule: count - MOST_PER_RULE for rule, count in seen.items() if count > MOST_PER_RULE}


def _folded(listed: Sequence[Finding]) -> Iterator[int]:
    """Which of the findings stand folded under their cause."""
    behind = consequences(listed)
    yield from (index for index, finding in enumerate(listed) if finding.id in behind)


def _write_findings(page: Page, audit: Audit, row: int) -> int:
    page.section(row, "Findings")
    listed, left_out = _listed_findings(audit)
    folded = list(_folded(listed))
    told = (
        ["What follows from a finding is folded under it; the sign beside its row opens it"] if folded else []
    )
    told += (
        [f"{plural(audit.ways_untried, 'way')} to mend not tried: more may follow"]
        if audit.ways_untried
        else []
    )
    page.text(row, 2, ". ".join(told), page.look.muted)
    columns = (
        Column("Level", "level"),
        Column("Subject", "wrap"),
        Column("Rule"),
        Column("Where"),
        Column("Measured", "figure"),
        Column("Limit", "figure"),
        Column("Unit"),
        Column(FINDING_HEADING, "wrap"),
        Column(BY_HEADING, "wrap"),
        Column(WHY_HEADING, "wrap"),
        Column(KEY_HEADING),
    )
    rows = [(*finding_cells(each, page.look.unit), *acceptance_cells(each)) for each in listed]
    rows += [
        (
            Level.NOTE,
            None,
            rule,
            *[None] * 4,
            f"and {count:,} more of {rule}: see the verdicts beside the tables",
            None,
            None,
            None,
        )
        for rule, count in left_out.items()
    ]
    none = (*[None] * 7, "Nothing to report.", None, None, None)
    block = page.table(row + 1, columns, rows or [none])
    page.sheet.autofilter(block.head, 0, block.last, len(columns) - 1)
    page.sheet.fold(block.first + index for index in folded)
    mark_to_accept(page, block, len(WIDTHS))
    return block.below + 1


def finding_cells(finding: Finding, unit: str) -> tuple[Cell, ...]:
    """Level, subject, rule, place, measured value, limit, unit and sentence of one finding."""
    factor = LENGTH_M[unit] if finding.unit == "m" else 1.0
    return (
        finding.level,
        finding.subject,
        finding.rule,
        link_to(finding.where) if finding.where else None,
        None if finding.measured is None else round(finding.measured / factor, 6),
        None if finding.limit is None else round(finding.limit / factor, 6),
        unit if finding.unit == "m" else finding.unit,
        f"{finding.message}. Not accepted: {finding.refused}" if finding.refused else finding.message,
    )


def _write_limits(page: Page, limits: Sequence[LimitRow], row: int) -> int:
    """A paragraph for each source, with the limits that rest on it."""
    page.section(row, "Limits and sources")
    by_source: dict[str, list[str]] = {}
    for limit in limits:
        by_source.setdefault(limit.source, []).append(f"{limit.name} {limit.value}")
    row += 1
    for source, names in by_source.items():
        row = page.paragraph(row, f"{capital(source)}: {'; '.join(names)}.")
    return row + 1

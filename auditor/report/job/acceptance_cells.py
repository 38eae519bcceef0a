"""The cells beside the findings in which a review is accepted."""

from typing import Any

from auditor.job.acceptances import NO_FAIL, TO_ANSWER, FindingRecord, print_of
from auditor.report.page.look import TO_FILL, Block, Cell, Look, letter
from auditor.report.page.page import Page
from auditor.results.findings import Finding, Level

ACCEPTANCE_WIDTHS = (16, 26, 8)  # of the columns: who accepts it, why, and the hidden record


def acceptance_cells(finding: Finding) -> tuple[Cell, ...]:
    """Who accepts a finding and why, as typed or to be typed, and the record for the next reading."""
    typed = finding.typed
    record = FindingRecord(
        id=finding.id,
        subject=finding.subject,
        measured=finding.measured,
        limit=finding.limit,
        said=print_of(typed.by, typed.because) if typed else "",
        source=typed.source if typed else "",
        accepted=typed.measured if typed else None,
        accepted_limit=typed.limit if typed else None,
    )
    if typed is not None:
        return typed.by or None, typed.because or None, record.text()
    return _instead(finding), None, record.text()


def _instead(finding: Finding) -> str | None:
    """What stands in the cell of a finding that cannot be accepted."""
    if finding.level is Level.FAIL:
        return NO_FAIL
    return TO_ANSWER if finding.level is Level.REVIEW and finding.question else None


def mark_to_accept(page: Page, block: Block, first: int) -> None:
    """The two cells of a review that can be accepted are shown to be filled in, also after a sort."""
    if block.last < block.first:
        return
    row = block.first + 1
    fill = page.look.workbook.add_format({"bg_color": TO_FILL})
    rule = f'=AND($A{row}="{Level.REVIEW.value}",${letter(first + 1)}{row}<>"{TO_ANSWER}")'
    page.sheet.conditional_format(
        block.first, first, block.last, first + 1, {"type": "formula", "criteria": rule, "format": fill}
    )


def hide_keys(sheet: Any, look: Look, column: int) -> None:
    """The records are not for reading."""
    sheet.set_column(column, column, ACCEPTANCE_WIDTHS[-1], look.muted, {"hidden": True})

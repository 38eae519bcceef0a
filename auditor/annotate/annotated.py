"""A workbook and its audit to the annotated copy: `report/job` says what, the modules here say where."""

from collections.abc import Sequence
from dataclasses import dataclass

from auditor.annotate import MadeFrom, Remark, Workbook
from auditor.annotate.columns import Placed
from auditor.intake.formats.read import read_book
from auditor.profile.limits import Profile
from auditor.profile.text import limit_rows
from auditor.report.job.audit_sheet import LimitRow
from auditor.report.job.columns import added_columns, columns_together, port_offset
from auditor.report.job.power_budget import LiveRows
from auditor.report.job.sheets import WANTED_NAMES, JobPages, sheets_of
from auditor.report.rebuilt import rebuilt
from auditor.report.words import CAUTIONS
from auditor.results.added_sheets import QUESTIONS
from auditor.results.audit_result import Audit


@dataclass(frozen=True, slots=True)
class Audited:
    """A job's audit and the profile that judged it."""

    audit: Audit
    profile: Profile


def annotated_copy(
    workbook: Workbook,
    jobs: Sequence[Audited],
    source: MadeFrom | None = None,
    remarks: Sequence[Remark] = (),
) -> tuple[bytes, tuple[str, ...]]:
    """The estimator's workbook with our columns and sheets, its package patched in place; the object is
    used up.

    Parameters
    ----------
    source : the file that the copy is made from
    remarks : what was typed in earlier copies; `workbook.lost` has those that found no place

    Returns
    -------
    the copy, and sentences to be said about it: tables beside which nothing could be written

    Raises
    ------
    UnusableFileError : not a workbook that can be patched; one sentence says why
    """
    wanted = {id(job): {name: _of_part(name, job.audit.part) for name in WANTED_NAMES} for job in jobs}
    free = workbook.free_sheet_names(
        list(dict.fromkeys(name for names in wanted.values() for name in names.values()))
    )
    names = {id(job): {name: free[own] for name, own in wanted[id(job)].items()} for job in jobs}
    columns = columns_together(added_columns(job.audit, names[id(job)]) for job in jobs)
    columns = workbook.with_remarks(columns, [each for each in remarks if not each.title])
    placed, not_placed = workbook.placed(columns)
    live = _live(placed) if len(jobs) == 1 else ()  # ports of two jobs may have one name
    sheets = sheets_of(
        [
            JobPages(
                audit=job.audit,
                names=names[id(job)],
                limits=_limits(job.profile),
                cautions=_cautions(job.profile),
                live=live,
            )
            for job in jobs
        ]
    )
    said = (*workbook.cautions(), *(each.reason for each in not_placed))
    return workbook.annotate(columns, sheets, source, [each for each in remarks if each.title]), said


def _of_part(name: str, part: str | None) -> str:
    """One sheet of questions serves all jobs of a workbook."""
    return f"{name} {part}" if part and name != QUESTIONS.name else name


def _cautions(profile: Profile) -> tuple[str, ...]:
    """Ours, and what the profile says of its own bus."""
    return (*CAUTIONS, *((profile.note,) if profile.note else ()))


def _limits(profile: Profile) -> list[LimitRow]:
    return [LimitRow(name=what, value=value, source=source) for what, value, source in limit_rows(profile)]


def workbook_rebuilt(content: bytes, name: str) -> tuple[Workbook, str]:
    """A new .xlsx with the cells of a file that cannot be patched in place, and a sentence that says so.

    Parameters
    ----------
    name : the file's name, for messages
    """
    book = read_book(content, name)
    new = f".{book.format.value} files cannot be annotated in place: the copy is a new .xlsx with its cells"
    return Workbook(rebuilt(book.sheets)), new


def _live(placed: Sequence[Placed]) -> Sequence[LiveRows]:
    """The device tables that the power budget can add up with a formula."""
    found = []
    for each in placed:
        table, offset = each.added.table, port_offset(each.added)
        if offset is not None and "power_w" in table.columns and table.plain_power_rows:
            found.append(
                LiveRows(
                    table=table,
                    port_column=each.first + offset,
                    plain_rows=table.plain_power_rows,
                    power_w_per_unit=table.power_w_per_unit,
                )
            )
    return found

"""What the summary keeps of each job: the rows that it will show, lengths still in metres."""

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from pathlib import PurePosixPath

from auditor.job.answers import THIS_FOLDER, USE_HEADING
from auditor.report.buying import Buying
from auditor.report.job.audit_sheet import finding_cells
from auditor.report.page.look import LAST_ROW, Cell, Lines, Link, clean, finite
from auditor.report.words import by_controller, capital, growth_text, most_used, plural, supply_of
from auditor.results.added_sheets import QUESTIONS as ADDED_QUESTIONS
from auditor.results.audit_result import QuestionResult, RunResult
from auditor.results.findings import Finding, Level, consequences
from auditor.results.job_summary import JobSummary

MOST_PER_RULE = 20  # findings of one rule in one job that the summary lists
_ROOM = LAST_ROW - 100  # rows of a sheet that are left for a table

_SAFE_PATH = re.compile(r"(?!/)(?!.*(?:^|/)\.{1,2}(?:/|$))[^\x00-\x1f:\\#%?*|\"<>]{2,200}")


@dataclass(slots=True)
class SheetRows:
    """Rows of one sheet, no more than a sheet holds."""

    rows: list[Sequence[Cell]] = field(default_factory=list)
    left_out: int = 0

    def extend(self, rows: Iterable[Sequence[Cell]]) -> None:
        for row in rows:
            if len(self.rows) < _ROOM:
                self.rows.append(row)
            else:
                self.left_out += 1


@dataclass(slots=True)
class _Asked:
    """A question that jobs of one folder ask."""

    folder: str
    question: QuestionResult
    file: str  # of the first of these jobs
    jobs: int = 0


class SummaryRows:
    """The rows of all jobs."""

    def __init__(self, copies: Mapping[str, str]) -> None:
        self.jobs, self.findings, self.budgets = SheetRows(), SheetRows(), SheetRows()
        self.buying = Buying()
        self._asked: dict[
            tuple[str, str], _Asked
        ] = {}  # folder and id of the question, once for all its jobs
        self._copies = copies
        self._units: Counter[str] = Counter()

    @property
    def unit(self) -> str:
        """The unit of most jobs, feet where there are as many of each."""
        return most_used(self._units)

    def add(self, job: JobSummary) -> None:
        self._units[job.length_unit] += 1
        self.jobs.extend([_job_row(job, self._copies.get(job.file))])
        self.findings.extend(_finding_rows(job))
        self.budgets.extend(_budget_rows(job))
        self.buying.add(job)
        folder = PurePosixPath(job.file).parent.as_posix()
        for one in (each for each in job.questions if not each.waits):
            asked = self._asked.setdefault((folder, one.id), _Asked(folder, one, job.file))
            asked.jobs += 1

    def questions(self) -> SheetRows:
        """Each question of each folder once, those first that most jobs ask."""
        rows = SheetRows()
        asked = sorted(self._asked.values(), key=lambda each: -each.jobs)
        rows.extend(_asked_row(each, self._copies.get(each.file)) for each in asked)
        return rows


def _is_safe(path: str) -> bool:
    """A path below the summary's own folder, of characters that a link can hold as they are."""
    return _SAFE_PATH.fullmatch(path) is not None and clean(path) == path


def _link(text: str, copy: str | None) -> Cell:
    return Link(text, f"external:{copy}") if copy and _is_safe(copy) else text


def _asked_row(asked: _Asked, copy: str | None) -> Sequence[Cell]:
    one = asked.question
    where = "in its copy" if asked.jobs == 1 else f"in one copy, with «{USE_HEADING}»: {THIS_FOLDER}"
    once = f"{asked.jobs:,} jobs of this folder ask the same: answer once" if asked.jobs > 1 else "Answer it"
    return (
        asked.jobs,
        "" if asked.folder == "." else asked.folder,
        capital(one.sentence),
        Lines(tuple(choice.answer for choice in one.choices)),
        _link(asked.file, copy),
        f"{once} on the sheet «{ADDED_QUESTIONS.name}», {where}",
    )


def _job_row(job: JobSummary, copy: str | None) -> Sequence[Cell]:
    worst = job.worst()
    controllers = job.controllers
    return (
        job.verdict,
        job.job,
        _link(job.file, copy),
        job.problem or (worst.message if worst else None),
        job.profile,
        job.profile_chosen,
        len(job.runs),
        job.device_count,
        job.cable_m,
        _cable_is(job),
        controllers.scheduled if controllers else None,
        controllers.needed if controllers else None,
        job.rows_read - job.rows_left_out,
        job.rows_left_out,
    )


def _cable_is(job: JobSummary) -> str | None:
    """What the sum of the lengths leaves out; None where it is the whole."""
    if not job.pulls_without_length:
        return None
    told = f"{plural(job.pulls_without_length, 'pull')} without a length or its unit"
    return told if job.cable_m is None else f"at least: {told}"


def _finding_rows(job: JobSummary) -> Iterable[Sequence[Cell]]:
    """Findings worst first, without what follows from another; of each rule at most MOST_PER_RULE, then how many
    more."""
    behind = consequences(job.findings)
    own = (finding for finding in job.findings if finding.id not in behind)
    ordered = sorted(own, key=lambda finding: (-finding.level.severity, finding.rule))
    for (level, rule), group in groupby(ordered, key=lambda finding: (finding.level, finding.rule)):
        found = list(group)
        yield from (_finding_row(job, finding) for finding in found[:MOST_PER_RULE])
        if len(found) > MOST_PER_RULE:
            yield _left_out_row(job, level, rule, len(found) - MOST_PER_RULE)


def _finding_row(job: JobSummary, finding: Finding) -> Sequence[Cell]:
    level, subject, rule, _, measured, limit, unit, message = finding_cells(finding, job.length_unit)
    where = finding.where
    sheet, cell = (where.sheet, where.a1) if where else (None, None)
    return (
        level,
        job.job,
        rule,
        subject,
        sheet,
        cell,
        measured,
        limit,
        unit,
        message,
        finding.accepted,
        job.file,
    )


def _left_out_row(job: JobSummary, level: Level, rule: str, count: int) -> Sequence[Cell]:
    text = f"and {count:,} more of {rule}: see the annotated copy"
    return (level, job.job, rule, None, None, None, None, None, None, text, None, job.file)


def _budget_rows(job: JobSummary) -> Iterable[Sequence[Cell]]:
    for controller, runs in by_controller(job.runs).items():
        watts = [finite(run.power_w if run.supplied_w is None else run.supplied_w) for run in runs]
        known = [each for each in watts if each is not None] if None not in watts else []
        supply = supply_of(job.supplies, controller)
        limit_w = supply.power_w if supply and controller is not None else None
        draws_w = sum(known) if known and controller is not None else None
        yield from (_budget_row(job, run, draws_w, limit_w) for run in runs)


def _budget_row(
    job: JobSummary, run: RunResult, draws_w: float | None, limit_w: float | None
) -> Sequence[Cell]:
    return (
        run.verdict,
        job.job,
        run.name,
        run.devices,
        run.power_w,
        run.limits.power_w,
        run.loss_w,
        run.min_voltage_v,
        run.min_voltage_at,
        draws_w,
        limit_w,
        draws_w / limit_w if draws_w is not None and limit_w else None,
        growth_text(run),
    )

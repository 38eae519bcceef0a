"""Audit many workbooks: annotated copies, a summary and `results.jsonl`."""

import os
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from auditor.batch.copies import KnownCopies
from auditor.batch.find import Found, find_jobs
from auditor.batch.lines import WorkbookDone, do_workbook, workbook_done
from auditor.batch.output import RESULTS, SUMMARY, WholeFile, locked, prepare, refuse_places
from auditor.batch.pool import Pool
from auditor.batch.summary_file import write_summary_file
from auditor.batch.tally import Batch
from auditor.batch.work import Outcome, Task, do, headings_files, layout_files, unreadable
from auditor.batch.worker import Bounds, Lost
from auditor.errors import AuditorError, OutputError, StoppedError
from auditor.results.audit_result import Audit
from auditor.results.job_summary import JobSummary, job_summary

__all__ = [
    "RESULTS",
    "SUMMARY",
    "Batch",
    "Bounds",
    "Options",
    "Progress",
    "audits_only",
    "check",
    "passed_over",
]


Result = TypeVar("Result")


@dataclass(frozen=True, slots=True, kw_only=True)
class Options:
    profile: str | None = None
    overrides: Mapping[str, object] = field(default_factory=dict)  # profile field -> value, for this run
    cables: Mapping[str, str] = field(default_factory=dict)  # cable type -> what stands for it in this run
    workers: int = 0  # 0: one a core
    bounds: Bounds = field(default_factory=Bounds)


# How many are done, of how many, and the next job in the order of names; None: a job is done before its
# turn.
Progress = Callable[[int, int, JobSummary | None], None]


def check(paths: Sequence[Path], out: Path, options: Options, progress: Progress) -> Batch:
    """Audit every workbook below the paths and write everything into the out folder.

    What cannot be written once the work has begun ends it, and `Batch.unfinished` says so. Jobs are read in
    processes of their own and told in the order of their names; nothing of a job is kept but what the
    summary shows.

    Raises
    ------
    AuditorError : a path that is not there, an out folder that cannot be written, no workbook at all
    StoppedError : the user stopped it; the copies written so far are whole
    """
    jobs, skipped = _jobs(paths, out)
    folders = {(out / job.output).parent for job in jobs}
    refuse_places(out, folders, {job.path.parent for job in jobs})
    prepare(out)
    batch = Batch(skipped, len(jobs))
    try:
        with locked(out, folders):
            try:
                _write(jobs, out, options, progress, batch)
            except OutputError as problem:  # no room on the disk
                batch.unfinished = f"{problem}; make room and run it again"
    except KeyboardInterrupt:
        raise StoppedError(
            f"stopped: {batch.jobs} of {batch.total} jobs are done and their annotated copies are whole; "
            f"{RESULTS} and {SUMMARY} were not written; run it again for the rest"
        ) from None
    return batch


def audits_only(paths: Sequence[Path], options: Options, progress: Progress) -> list[Audit]:
    """Audit every workbook below the paths and write nothing."""
    jobs, skipped = _jobs(paths, None)

    def show(done: int, total: int, outcome: Outcome | None) -> None:
        _tell(progress, done, total, map(job_summary, outcome.audits) if outcome else None)

    outcomes = _in_order(jobs, _Tasks(None, options, jobs, skipped), do, _lost, show)
    return [audit for outcome in outcomes for audit in outcome.audits]


def passed_over(paths: Sequence[Path]) -> tuple[Found, ...]:
    """What lies below the paths and is no job, with the reason."""
    return tuple(item for item in find_jobs(paths, None) if item.skipped)


def _jobs(paths: Sequence[Path], out: Path | None) -> tuple[list[Found], tuple[Found, ...]]:
    found = find_jobs(paths, out)
    jobs = [item for item in found if not item.skipped]
    passed_over = tuple(item for item in found if item.skipped)
    if not jobs:
        places = ", ".join(str(path) for path in paths)
        why = "".join(f"; {item.name} is {item.skipped}" for item in passed_over[:3])
        raise AuditorError(
            f"no workbook found in {places}; looked for spreadsheets such as .xlsx, .xls, .ods, .csv{why}"
        )
    return jobs, passed_over


def _write(jobs: Sequence[Found], out: Path, options: Options, progress: Progress, batch: Batch) -> None:
    from auditor.report.summary.workbook import write_summary

    def show(done: int, total: int, workbook: WorkbookDone | None) -> None:
        _tell(progress, done, total, (job.summary for job in workbook.jobs) if workbook else None)

    def lost(task: Task, reason: str) -> WorkbookDone:
        return workbook_done(_lost(task, reason))

    copies: dict[str, str] = {}
    work = _in_order(jobs, _Tasks(out, options, jobs, batch.skipped), do_workbook, lost, show)
    with WholeFile(out / RESULTS) as results, closing(work) as workbooks:  # workers end before the file does

        def summaries() -> Iterator[JobSummary]:
            for found, workbook in zip(jobs, workbooks, strict=True):
                if workbook.written:
                    copies[found.name] = Path(workbook.written).relative_to(out).as_posix()
                for job in batch.add(workbook, found):
                    results.write((job.line + "\n").encode("utf-8", "replace"))
                    yield job.summary

        content = write_summary(summaries(), copies=copies)
        summary, said = write_summary_file(out / SUMMARY, content)
    batch.said += said
    for wanted, written in ((RESULTS, results.path), (SUMMARY, summary)):
        if written.name != wanted:
            batch.said.append(f"{wanted} is open in another program; this run's is {written.name}")


def _tell(progress: Progress, done: int, total: int, summaries: Iterable[JobSummary] | None) -> None:
    for summary in (None,) if summaries is None else summaries:
        progress(done, total, summary)


def _in_order(
    jobs: Sequence[Found],
    tasks: "_Tasks",
    work: Callable[[Task], Result],
    lost: Callable[[Task, str], Result],
    show: Callable[[int, int, Result | None], None],
) -> Generator[Result]:
    """Results in the order of the jobs, whatever the order in which workers finish.

    Parameters
    ----------
    work : a module's function, called in the workers
    lost : the result of a task whose worker ended, with the reason
    show : called as `Progress` is
    """
    pool: Pool[Task, Result] = Pool(
        work, min(tasks.options.workers or _cores(), len(jobs)), tasks.options.bounds
    )
    early: dict[int, Result] = {}
    told = 0
    with closing(pool.results(tasks.of(job) for job in jobs)) as results:
        for done, (place, came) in enumerate(results, 1):
            early[place] = lost(tasks.of(jobs[place]), came.reason) if isinstance(came, Lost) else came
            if told not in early:
                show(done, len(jobs), None)
            while told in early:
                result = early.pop(told)
                told += 1
                show(done, len(jobs), result)
                yield result


class _Tasks:
    """The tasks of a run; without an out folder no copies are written.

    Parameters
    ----------
    jobs, skipped : all jobs of the run, and what lies among them and is none
    """

    def __init__(
        self, out: Path | None, options: Options, jobs: Sequence[Found] = (), skipped: Sequence[Found] = ()
    ) -> None:
        self.options = options
        self._out = out
        self._copies = KnownCopies(out, jobs, skipped)
        self._beside: dict[Path, tuple[tuple[str, ...], tuple[str, ...]]] = {}

    def of(self, job: Found) -> Task:
        folder = job.path.parent
        if folder not in self._beside:
            self._beside[folder] = tuple(map(str, layout_files(folder))), headings_files(folder)
        layouts, headings = self._beside[folder]
        return Task(
            path=str(job.path),
            name=job.name,
            output=str(self._out / job.output) if self._out else "",
            profile=self.options.profile,
            overrides=self.options.overrides,
            cables=self.options.cables,
            layouts=layouts,
            headings=headings,
            beside=tuple(map(str, self._copies.beside(job))),
            folder_answers=self._copies.folder_answers(job),
        )


def _lost(task: Task, reason: str) -> Outcome:
    """The outcome of a workbook whose worker ended."""
    return unreadable(task, f"{task.file_name}: the file {reason}")


def _cores() -> int:
    affinity = getattr(os, "sched_getaffinity", None)
    return len(affinity(0)) if affinity else os.cpu_count() or 1

"""Many workbooks in, annotated copies, a summary and `results.jsonl` out; a bad file stays alone."""

import json
import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from auditor.batch.find import Found, find_jobs
from auditor.batch.output import locked, prepare, write_whole
from auditor.batch.pool import Bounds, Lost, Pool
from auditor.batch.work import Outcome, Task, do, unreadable
from auditor.errors import AuditorError
from auditor.findings import Audit, Verdict, record

RESULTS = "results.jsonl"
SUMMARY = "summary.xlsx"


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """What a run over many workbooks came to."""

    audits: tuple[Audit, ...]
    skipped: tuple[Found, ...]
    said: tuple[str, ...] = ()

    def count(self, verdict: Verdict) -> int:
        return sum(audit.verdict is verdict for audit in self.audits)

    @property
    def exit_code(self) -> int:
        """0 all pass or review, 1 a job fails, 3 a job was unreadable or a rule of ours crashed."""
        if any(audit.verdict is Verdict.UNREADABLE or audit.crashed for audit in self.audits):
            return 3
        return 1 if self.count(Verdict.FAIL) else 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Options:
    profile: str | None = None
    overrides: Mapping[str, object] = field(default_factory=dict)  # profile field -> value, for this run
    cables: Mapping[str, str] = field(default_factory=dict)  # cable type -> what stands for it in this run
    workers: int = 0  # 0: one a core
    bounds: Bounds = field(default_factory=Bounds)


Progress = Callable[[int, int, Outcome], None]  # done, of how many, the outcome


def check(paths: Sequence[Path], out: Path, options: Options, progress: Progress) -> Batch:
    """Audit every workbook below the paths and write everything into the out folder.

    Parameters
    ----------
    progress : called in the order of the jobs' names, once a job

    Raises
    ------
    AuditorError : a path that is not there, an out folder that cannot be written, no workbook at all
    """
    jobs, skipped = _jobs(paths, out)
    prepare(out)
    with locked(out):
        outcomes = list(_outcomes(jobs, out, options, progress))
        batch = Batch(
            audits=tuple(outcome.audit for outcome in outcomes),
            skipped=skipped,
            said=tuple(
                f"{outcome.audit.file}: {sentence}" for outcome in outcomes for sentence in outcome.said
            ),
        )
        _write_results(batch.audits, out)
        _write_summary(outcomes, out)
    return batch


def audits_only(paths: Sequence[Path], options: Options, progress: Progress) -> list[Audit]:
    """Audit every workbook below the paths and write nothing."""
    jobs, _ = _jobs(paths, None)
    return [outcome.audit for outcome in _outcomes(jobs, None, options, progress)]


def _jobs(paths: Sequence[Path], out: Path | None) -> tuple[list[Found], tuple[Found, ...]]:
    found = find_jobs(paths, out)
    jobs = [item for item in found if not item.skipped]
    if not jobs:
        places = ", ".join(str(path) for path in paths)
        raise AuditorError(
            f"no workbook found in {places}; looked for spreadsheets such as .xlsx, .xls, .ods, .csv"
        )
    return jobs, tuple(item for item in found if item.skipped)


def _outcomes(
    jobs: Sequence[Found], out: Path | None, options: Options, progress: Progress
) -> Iterator[Outcome]:
    """Outcomes in the order of the jobs, whatever the order in which workers finish; no copies without
    an out folder."""
    tasks = [
        Task(
            path=str(job.path),
            name=job.name,
            output=str(out / job.output) if out else "",
            profile=options.profile,
            overrides=options.overrides,
            cables=options.cables,
        )
        for job in jobs
    ]
    pool: Pool[Task, Outcome] = Pool(do, options.workers or os.cpu_count() or 1, options.bounds)
    early: dict[int, Outcome] = {}
    done = 0
    for place, result in pool.results(tasks):
        name = tasks[place].name
        early[place] = (
            unreadable(name, f"{Path(name).name} {result.reason}") if isinstance(result, Lost) else result
        )
        while done in early:
            outcome = early.pop(done)
            done += 1
            progress(done, len(tasks), outcome)
            yield outcome


def _write_results(audits: Sequence[Audit], out: Path) -> None:
    lines = (json.dumps(record(audit), ensure_ascii=False, allow_nan=False) for audit in audits)
    write_whole(out / RESULTS, "".join(line + "\n" for line in lines).encode("utf-8", "replace"))


def _write_summary(outcomes: Sequence[Outcome], out: Path) -> None:
    from auditor.report.summary import write_summary

    copies = {outcome.audit.file: outcome.written for outcome in outcomes if outcome.written}
    relative = {name: Path(path).relative_to(out).as_posix() for name, path in copies.items()}
    write_whole(out / SUMMARY, write_summary([outcome.audit for outcome in outcomes], copies=relative))

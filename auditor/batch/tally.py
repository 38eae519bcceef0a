"""What a run adds up to, counted while the jobs come: no job is kept."""

from collections import Counter
from dataclasses import dataclass, field

from auditor.batch.find import Found
from auditor.batch.lines import JobDone, WorkbookDone, with_finding
from auditor.results.findings import Finding, Level, Verdict
from auditor.results.job_summary import JobSummary


@dataclass(slots=True)
class Batch:
    """What a run over many workbooks came to."""

    skipped: tuple[Found, ...]
    total: int  # jobs to be done; a workbook that is not read yet counts as one
    verdicts: Counter[Verdict] = field(default_factory=Counter)
    profiles: Counter[tuple[str, str]] = field(default_factory=Counter)  # name, why it was chosen
    incomplete: int = 0  # jobs on which a rule of ours crashed, or whose copy could not be written
    unfinished: str = ""  # why there are no results and no summary
    said: list[str] = field(default_factory=list)
    _first: dict[str, str] = field(default_factory=dict)  # sha256 -> the first file with these bytes

    def add(self, done: WorkbookDone, found: Found) -> list[JobDone]:
        """Count a workbook's jobs; gives them with the findings that can only be made beside the others."""
        jobs = [self._counted(job, found, done.not_written) for job in done.jobs]
        self.total += len(jobs) - 1
        self.said += [f"{found.name}: {sentence}" for sentence in done.said]
        return jobs

    def _counted(self, done: JobDone, found: Found, not_written: bool) -> JobDone:
        job = done.summary
        self.verdicts[job.verdict] += 1
        self.incomplete += bool(job.crashed or not_written)
        if job.profile:
            self.profiles[job.profile, job.profile_chosen] += 1
        if found.seems_open:
            message = "The workbook seems to be open in another program: what was saved last was audited"
            done = self._with_note(done, "file", message)
        if first := self._same_before(job):
            message = (
                f"Byte for byte the same workbook as {first}: sums over all jobs count it twice; remove one"
            )
            done = self._with_note(done, "double-entry", message)
        return done

    def _same_before(self, job: JobSummary) -> str:
        """The first file with the same bytes; empty where this is it, or the job could not be read."""
        if not job.sha256 or job.verdict is Verdict.UNREADABLE:
            return ""
        first = self._first.setdefault(job.sha256, job.file)
        return "" if first == job.file else first

    def _with_note(self, done: JobDone, rule: str, message: str) -> JobDone:
        """The job with a note, which the console says too."""
        self.said.append(f"{done.summary.file}: {message[0].lower()}{message[1:]}")
        finding = Finding(rule=rule, level=Level.NOTE, subject=done.summary.job, message=message)
        return with_finding(done, finding)

    @property
    def jobs(self) -> int:
        """Jobs that are done."""
        return self.verdicts.total()

    @property
    def exit_code(self) -> int:
        """0 all pass or review, 1 a job fails, 3 a job was unreadable, a rule of ours crashed or something
        was not written."""
        if self.verdicts[Verdict.UNREADABLE] or self.incomplete or self.unfinished:
            return 3
        return 1 if self.verdicts[Verdict.FAIL] else 0

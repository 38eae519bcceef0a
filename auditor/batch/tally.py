"""What a run adds up to, counted while the jobs come: no job is kept."""

from collections import Counter
from dataclasses import dataclass, field

from auditor.batch.find import Found
from auditor.batch.lines import with_finding
from auditor.batch.work import Outcome
from auditor.results.findings import Finding, Level, Verdict


@dataclass(slots=True)
class Batch:
    """What a run over many workbooks came to."""

    skipped: tuple[Found, ...]
    total: int  # jobs to be done
    verdicts: Counter[Verdict] = field(default_factory=Counter)
    profiles: Counter[tuple[str, str]] = field(default_factory=Counter)  # name, why it was chosen
    incomplete: int = 0  # jobs on which a rule of ours crashed, or whose copy could not be written
    unfinished: str = ""  # why there are no results and no summary
    said: list[str] = field(default_factory=list)
    _first: dict[str, str] = field(default_factory=dict)  # sha256 -> the first file with these bytes

    def add(self, outcome: Outcome, job: Found) -> Outcome:
        """Count a job; gives its outcome with what can only be said beside the other jobs."""
        audit = outcome.audit
        self.verdicts[audit.verdict] += 1
        self.incomplete += bool(audit.crashed or outcome.not_written)
        if audit.profile:
            self.profiles[audit.profile, audit.profile_chosen] += 1
        if job.seems_open:
            message = "The workbook seems to be open in another program: what was saved last was audited"
            outcome = self._noted(outcome, "file", message)
        counts = audit.sha256 and audit.verdict is not Verdict.UNREADABLE
        first = self._first.setdefault(audit.sha256, audit.file) if counts else audit.file
        if first != audit.file:
            message = (
                f"Byte for byte the same workbook as {first}: sums over all jobs count it twice; remove one"
            )
            outcome = self._noted(outcome, "double-entry", message)
        self.said += [f"{audit.file}: {sentence}" for sentence in outcome.said]
        return outcome

    def _noted(self, outcome: Outcome, rule: str, message: str) -> Outcome:
        self.said.append(f"{outcome.audit.file}: {message[0].lower()}{message[1:]}")
        finding = Finding(rule=rule, level=Level.NOTE, subject=outcome.audit.job, message=message)
        return with_finding(outcome, finding)

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

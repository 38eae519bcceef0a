"""What a batch keeps of a job once its result is written: rows are counted, not kept."""

from dataclasses import dataclass

from auditor.job.field_words import UNNAMED_CABLE
from auditor.results.audit_result import (
    Audit,
    ControllersResult,
    CutListResult,
    QuestionResult,
    RunResult,
    SupplyResult,
)
from auditor.results.findings import Finding, Level, Verdict, causes_first


@dataclass(frozen=True, slots=True, kw_only=True)
class JobSummary:
    """What the summary workbook and the console show of one job. Fields named as in `Audit` are the same."""

    job: str
    part: str | None = None
    file: str
    sha256: str
    profile: str | None
    profile_chosen: str
    verdict: Verdict
    problem: str | None
    runs: tuple[RunResult, ...]
    controllers: ControllersResult | None
    findings: tuple[Finding, ...]
    questions: tuple[QuestionResult, ...] = ()  # the open ones
    cut_lists: tuple[CutListResult, ...]
    supplies: tuple[SupplyResult, ...]
    length_unit: str
    rows_read: int
    rows_left_out: int
    crashed: tuple[str, ...]
    device_count: int
    cable_m: float | None  # of all pulls whose length is known; None: no length is
    pulls_without_length: int
    unlisted_pulls: int  # of cable that has no cut list
    unlisted_without_length: int  # of these

    def worst(self) -> Finding | None:
        """The finding that the job's line shows: the first of the worst, a cause before what follows from it, notes
        and accepted ones left out."""
        judged = [each for each in self.findings if each.level is not Level.NOTE and each.accepted is None]
        return next(iter(causes_first(judged)), None)


def job_summary(audit: Audit) -> JobSummary:
    """The summary of an audit."""
    lengths_m = [pull.length_m for pull in audit.pulls if pull.length_m is not None]
    listed = {cut_list.cable for cut_list in audit.cut_lists}
    unlisted = [pull for pull in audit.pulls if (pull.cable or UNNAMED_CABLE) not in listed]
    return JobSummary(
        job=audit.job,
        part=audit.part,
        file=audit.file,
        sha256=audit.sha256,
        profile=audit.profile,
        profile_chosen=audit.profile_chosen,
        verdict=audit.verdict,
        problem=audit.problem,
        runs=audit.runs,
        controllers=audit.controllers,
        findings=audit.findings,
        questions=audit.open_questions,
        cut_lists=audit.cut_lists,
        supplies=audit.supplies,
        length_unit=audit.length_unit,
        rows_read=audit.rows_read,
        rows_left_out=audit.rows_left_out,
        crashed=audit.crashed,
        device_count=sum(device.quantity for device in audit.devices),
        cable_m=sum(lengths_m) if lengths_m else None,
        pulls_without_length=len(audit.pulls) - len(lengths_m),
        unlisted_pulls=len(unlisted),
        unlisted_without_length=sum(pull.length_m is None for pull in unlisted),
    )

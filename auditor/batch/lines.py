"""A job's line of `results.jsonl`, and what is kept of the job once the line is written."""

import json
import math
from dataclasses import dataclass, replace
from typing import Any

from auditor.batch.work import Outcome, Task, do
from auditor.results.accepted import with_ids
from auditor.results.findings import Finding
from auditor.results.job_summary import JobSummary, job_summary
from auditor.results.record import finding_record, record

_BREAKS = {ord(char): f"\\u{ord(char):04x}" for char in "\x85\u2028\u2029"}  # line ends to some readers


@dataclass(frozen=True, slots=True, kw_only=True)
class JobDone:
    """What is kept of one job: small."""

    summary: JobSummary
    line: str  # of `results.jsonl`


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkbookDone:
    """What came of one workbook, as it goes back to the parent process."""

    jobs: tuple[JobDone, ...]
    written: str  # path of the annotated copy
    not_written: bool  # an annotated copy was wanted and there is none
    said: tuple[str, ...]  # sentences for the console


def do_workbook(task: Task) -> WorkbookDone:
    """Work on one workbook and give the summaries and the lines of its jobs."""
    return workbook_done(do(task))


def workbook_done(outcome: Outcome) -> WorkbookDone:
    """The summaries and the lines of one workbook's outcome."""
    jobs = (JobDone(summary=job_summary(audit), line=_line(record(audit))) for audit in outcome.audits)
    return WorkbookDone(
        jobs=tuple(jobs), written=outcome.written, not_written=outcome.not_written, said=outcome.said
    )


def with_finding(done: JobDone, finding: Finding) -> JobDone:
    """One more finding, in the summary and in the line."""
    (finding,) = with_ids([finding], done.summary.part, done.summary.findings)
    data = json.loads(done.line)
    data["findings"].append(finding_record(finding))
    summary = replace(done.summary, findings=(*done.summary.findings, finding))
    return replace(done, summary=summary, line=_line(data))


def _line(data: dict[str, Any]) -> str:
    try:
        text = json.dumps(data, ensure_ascii=False, allow_nan=False)
    except ValueError:
        text = json.dumps(_finite(data), ensure_ascii=False, allow_nan=False)
    return text.translate(_BREAKS)


def _finite(value: Any) -> Any:
    """The data with null for figures without a finite value: JSON has no infinity."""
    if isinstance(value, dict):
        return {key: _finite(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_finite(each) for each in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value

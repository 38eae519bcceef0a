"""The summary workbook of whole audits."""

from collections.abc import Iterable, Mapping

from auditor.report.summary.workbook import write_summary
from auditor.results.audit_result import Audit
from auditor.results.job_summary import job_summary


def summary_of(audits: Iterable[Audit], *, copies: Mapping[str, str] | None = None) -> bytes:
    return write_summary(map(job_summary, audits), copies=copies)

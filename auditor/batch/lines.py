"""A job's line of `results.jsonl`, and what is kept of its audit once the line is written."""

import json
import math
from dataclasses import replace
from typing import Any

from auditor.batch.work import Outcome, Task, do
from auditor.report.cable_names import NOT_STATED
from auditor.results.audit_result import Audit, PullResult
from auditor.results.findings import Finding
from auditor.results.record import record

_BREAKS = {ord(char): f"\\u{ord(char):04x}" for char in "\x85\u2028\u2029"}  # line ends to some readers


def do_briefly(task: Task) -> Outcome:
    """`do`, and the result as its line: what goes back to the parent process is small."""
    return briefly(do(task))


def briefly(outcome: Outcome) -> Outcome:
    """The outcome with its line; of the audit, what the summary and the console show."""
    return replace(outcome, audit=_brief(outcome.audit), line=_line(record(outcome.audit)))


def with_finding(outcome: Outcome, finding: Finding) -> Outcome:
    """One more finding, in the audit and in its line."""
    data = json.loads(outcome.line)
    extra = replace(outcome.audit, findings=(finding,))
    data["findings"] += record(extra)["findings"]
    audit = replace(outcome.audit, findings=(*outcome.audit.findings, finding))
    return replace(outcome, audit=audit, line=_line(data))


def _brief(audit: Audit) -> Audit:
    """Devices as one, with the number of all; pulls likewise, but for those that the summary counts apart."""
    return replace(
        audit,
        devices=tuple(
            replace(device, quantity=sum(each.quantity for each in audit.devices))
            for device in audit.devices[:1]
        ),
        pulls=_brief_pulls(audit),
        port_plan=None,
        tables=(),
    )


def _brief_pulls(audit: Audit) -> tuple[PullResult, ...]:
    """Pulls of known length on a cut list as one of their whole length; the others are few."""
    listed = {cuts.cable for cuts in audit.cut_lists}
    whole: list[float] = []
    kept: list[PullResult] = []
    for pull in audit.pulls:
        if pull.length_m is not None and (pull.cable or NOT_STATED) in listed:
            if not whole:
                kept.insert(0, pull)
            whole.append(pull.length_m)
        else:
            kept.append(replace(pull, why="", where=None))
    return (replace(kept[0], length_m=sum(whole)), *kept[1:]) if whole else tuple(kept)


def _line(data: dict[str, Any]) -> str:
    try:
        text = json.dumps(data, ensure_ascii=False, allow_nan=False)
    except ValueError:
        text = json.dumps(_finite(data), ensure_ascii=False, allow_nan=False)
    return text.translate(_BREAKS)


def _finite(value: Any) -> Any:
    """JSON has no infinity: a figure without a finite value is not known."""
    if isinstance(value, dict):
        return {key: _finite(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_finite(each) for each in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value

"""What if: a profile limit, a reel size or a cable changed for one look, no workbook touched."""

import json
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from auditor.bus.cables import TO_SPECIFICATION, to_specification
from auditor.errors import AuditorError, UnusableFileError
from auditor.job.model import Job, TableKind
from auditor.profile.limits import Profile
from auditor.results.audit_result import Audit
from auditor.results.record import record
from auditor.units import length_text

STATED = {  # a profile's field -> what a schedule states instead of it: a column, or a kind of table
    "controller.supply_power": "supply_power_w",
    "controller.supply_voltage": "supply_voltage_v",
    "controller.ports": "ports",
    "device.min_voltage": "min_voltage_v",
    "device.load": "load",
    "cutting.reels": TableKind.REELS.value,
}
_PERCENT = re.compile(r"(\d+(?:\.\d+)?)\s*%")
_LISTED = 12  # findings of a job that go, and that come; the rest is counted


@dataclass(frozen=True, slots=True, kw_only=True)
class Changes:
    """What is tried: profile fields laid over, and cable types that stand for others."""

    fields: Mapping[str, object] = field(default_factory=dict)
    cables: Mapping[str, str] = field(default_factory=dict)  # cable of the job -> what it is replaced by


def parse_changes(texts: Iterable[str]) -> Changes:
    """`KEY=VALUE` texts.

    KEY is a profile field (`run.cable=1800 ft`, `cutting.reels=500 ft, 1000 ft`), or `cable` and the
    name of a cable type (`cable TP-18=TP-16`, `cable TP-18=to specification`).

    Raises
    ------
    AuditorError : no `=`, or nothing before it
    """
    fields: dict[str, object] = {}
    cables: dict[str, str] = {}
    for text in texts:
        key, equals, value = (part.strip().strip("'\"") for part in text.partition("="))
        if not equals or not key:
            raise AuditorError(
                f"--try {text!r}: wanted KEY=VALUE, such as run.cable='1800 ft', cutting.reels='1000 ft' or "
                "'cable TP-18=to specification'"
            )
        if key.startswith("cable "):
            cables[key.removeprefix("cable ").strip()] = value
        else:
            fields[key] = _value_of(key, value)
    return Changes(fields=fields, cables=cables)


def changed(job: Job, profile: Profile, cables: Mapping[str, str]) -> Job:
    """The job with cable types replaced; a cable that the job does not have changes nothing.

    Raises
    ------
    UnusableFileError : the job has nothing of the name that a cable is to be replaced with
    """
    for old, new in cables.items():
        if new == TO_SPECIFICATION:
            known = {**job.cables, old: to_specification(old, profile)}
            job = replace(job, cables=known)
        elif new in job.cables:
            pulls = tuple(replace(pull, cable=new) if pull.cable == old else pull for pull in job.pulls)
            job = replace(job, pulls=pulls)
        elif old in job.cables or any(pull.cable == old for pull in job.pulls):
            known_names = ", ".join(job.cables) or "none"
            raise UnusableFileError(
                f"--try cable {old}: {job.name} has no cable {new!r} to replace it with (it has "
                f"{known_names}); '{TO_SPECIFICATION}' is another answer"
            )
    return job


def comparison(before: Sequence[Audit], after: Sequence[Audit], changes: Changes) -> Iterator[str]:
    """A line a job: what the change does to verdict, findings, controllers and cable; below it the
    findings that go and those that come, and why a change does nothing."""
    for old, new in zip(before, after, strict=True):
        problem = old.problem or new.problem
        if problem:
            yield f"{old.file}: {problem}"
            continue
        parts = [
            _change_text("verdict", old.verdict.value, new.verdict.value),
            _change_text("findings that count", str(_count_of_findings(old)), str(_count_of_findings(new))),
            _change_text("controllers", _controllers_text(old), _controllers_text(new)),
            _change_text("cable bought", _bought_text(old), _bought_text(new)),
        ]
        yield f"{old.file}: {'; '.join(parts)}"
        gone, come = (
            _findings_that_count(old) - _findings_that_count(new),
            _findings_that_count(new) - _findings_that_count(old),
        )
        yield from (
            f"    {word:<5} {each}"
            for word, found in (("gone", gone), ("new", come))
            for each in _finding_lines(found)
        )
        yield from (f"    {each}" for each in _without_effect(old, new, changes))


def _without_effect(old: Audit, new: Audit, changes: Changes) -> Iterator[str]:
    """What the schedule states itself, and that nothing changes."""
    for key, stated in ((key, STATED[key]) for key in changes.fields if key in STATED):
        sheets = [table.sheet for table in old.tables if stated in (*table.columns, table.kind.value)]
        if sheets:
            yield f"{key}: the schedule states its own on the sheet {' and '.join(dict.fromkeys(sheets))}, which counts there"
    if record(old) == record(new):
        yield "no effect: no figure of this job changes"


def _findings_that_count(audit: Audit) -> Counter[tuple[str, str, str]]:
    """Level, rule and subject of the findings that count."""
    return Counter(
        (finding.level.value, finding.rule, finding.subject)
        for finding in audit.findings
        if finding.level.severity > 0
    )


def _finding_lines(found: Counter[tuple[str, str, str]]) -> Iterator[str]:
    each = sorted(found.elements())
    yield from (f"{level:<7} {rule}: {subject}" for level, rule, subject in each[:_LISTED])
    if len(each) > _LISTED:
        yield f"and {len(each) - _LISTED:,} more"


def _value_of(key: str, value: str) -> object:
    if key == "cutting.reels":
        return [{"length": length.strip()} for length in value.split(",")]
    if percent := _PERCENT.fullmatch(value):
        return float(percent[1]) / 100
    try:
        return json.loads(value)
    except ValueError:
        return value


def _change_text(what: str, old: str, new: str) -> str:
    return f"{what} {old}" if old == new else f"{what} {old} -> {new}"


def _count_of_findings(audit: Audit) -> int:
    return sum(finding.level.severity > 0 for finding in audit.findings)


def _controllers_text(audit: Audit) -> str:
    needed = audit.controllers.needed if audit.controllers else None
    return "not known" if needed is None else str(needed)


def _bought_text(audit: Audit) -> str:
    return length_text(sum(cuts.bought_m for cuts in audit.cut_lists), audit.length_unit, 0)

"""Findings with their ids, and reviews that somebody accepts."""

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import chain, count

from auditor.job.acceptances import Acceptance
from auditor.job.checksums import id_of
from auditor.results.attribution import verdict_of
from auditor.results.audit_result import Audit
from auditor.results.findings import Finding, Level
from auditor.units import length_text, number_text

Acceptances = Mapping[str, Acceptance]  # id of a finding -> its acceptance
NO_ACCEPTANCES: Acceptances = {}
RULE = "acceptance"  # of what is to be said of an acceptance whose review is not found any more
_WAS = ". It was: "
_FIGURES = re.compile(r"[\d.,]*\d")
_SAME = 1e-6  # a change within this share of a figure is none; project convention
_LEAST = frozenset({"V"})  # units of which less is worse; of all others more is


def with_ids(findings: Iterable[Finding], part: str | None, known: Iterable[Finding] = ()) -> list[Finding]:
    """The findings, each with an id that stays while figures and rows change.

    Parameters
    ----------
    part : which job of a workbook that holds several
    known : findings of the same job that have theirs
    """
    taken = {each.id for each in known}
    found = []
    for each in findings:
        id_ = _id_of(each, part)
        numbered = chain((id_,), (f"{id_}-{number}" for number in count(2)))
        found.append(replace(each, id=next(one for one in numbered if one not in taken)))
        taken.add(found[-1].id)
    return found


def with_findings(
    audit: Audit, findings: Iterable[Finding], acceptances: Acceptances = NO_ACCEPTANCES
) -> Audit:
    """The audit with further findings, which count for its verdict unless they are accepted."""
    more = with_acceptances(with_ids(findings, audit.part, audit.findings), acceptances, audit.length_unit)
    verdict = max(audit.verdict, verdict_of(more), key=lambda each: each.severity)
    return replace(audit, findings=(*audit.findings, *more), verdict=verdict)


def with_left_acceptances(audits: Sequence[Audit], acceptances: Acceptances) -> list[Audit]:
    """The audits with what is to be said of acceptances whose findings are not there any more.

    Parameters
    ----------
    audits : of the jobs of one workbook
    """
    known = {each.id for audit in audits for each in audit.findings}
    left = [each for id_, each in acceptances.items() if id_ not in known and each.message]
    names = {name for audit in audits for name in _names(audit)} if left else set()
    first, *rest = audits
    told = list(_not_found(left, names))
    verdict = max(first.verdict, verdict_of(told), key=lambda each: each.severity)
    return (
        [replace(first, findings=(*first.findings, *told), verdict=verdict), *rest] if told else list(audits)
    )


def _id_of(finding: Finding, part: str | None) -> str:
    words = finding.unit or "" if finding.measured is not None else _FIGURES.sub("#", finding.message)
    return id_of(finding.rule, (finding.rule, finding.subject, part or "", words))


def with_acceptances(
    findings: Iterable[Finding], acceptances: Acceptances, length_unit: str
) -> list[Finding]:
    """The findings with what was typed beside them: accepted, or why not."""
    return [_with_acceptance(each, acceptances, length_unit) for each in findings]


def _with_acceptance(finding: Finding, acceptances: Acceptances, length_unit: str) -> Finding:
    typed = acceptances.get(finding.id)
    if typed is None:
        return finding
    refused = _refused(finding, typed, length_unit)
    return replace(finding, typed=typed, refused=refused, accepted=None if refused else typed.words)


def _refused(finding: Finding, typed: Acceptance, length_unit: str) -> str:
    """Why an acceptance does not count, in a clause; empty: it does."""
    if finding.level is Level.FAIL:
        return "a fail cannot be accepted"
    if finding.level is Level.NOTE:
        return "a note needs no acceptance"
    if finding.question is not None:
        return "it asks; answer it on the sheet of questions"
    return typed.fault or _worse(finding, typed, length_unit)


def _worse(finding: Finding, typed: Acceptance, length_unit: str) -> str:
    then, now = typed.measured, finding.measured
    if then is None or (now is not None and not _is_worse(finding, then, now, typed.limit)):
        return ""
    figure = "no figure" if now is None else _text(now, finding, length_unit)
    return f"it was accepted at {_text(then, finding, length_unit)} and is {figure} now; mend it, or accept it in other words"


def _is_worse(finding: Finding, then: float, now: float, limit_then: float | None) -> bool:
    sign = -1 if finding.unit in _LEAST else 1
    moved = sign * (now - then)
    limit = finding.limit
    if limit is not None and limit_then is not None:
        moved = max(moved, moved - sign * (limit - limit_then))
    return moved > _SAME * abs(then)


def _text(value: float, finding: Finding, length_unit: str) -> str:
    if finding.unit == "m":
        return length_text(value, length_unit)
    return f"{number_text(value, 2)} {finding.unit or ''}".rstrip()


def _not_found(gone: Iterable[Acceptance], names: Collection[str]) -> Iterator[Finding]:
    """A note where the review is settled; a review where its subject is gone."""
    for each in gone:
        there, was = each.subject in names, each.message.rpartition(_WAS)[2]
        told = "is not found any more" if there else f"is not found any more, nor is {each.subject!r}"
        message = f"What {each.by or 'somebody'} accepted {told}; clear the two cells beside it{_WAS}{was}"
        yield Finding(
            rule=RULE,
            level=Level.NOTE if there else Level.REVIEW,
            subject=each.subject,
            message=message,
            id=each.id,
            typed=each,
        )


def _names(audit: Audit) -> Iterator[str]:
    """The names of all that a job holds."""
    yield audit.job
    yield from (device.tag for device in audit.devices)
    for run in audit.runs:
        yield from (run.name, run.controller or "")
    for pull in audit.pulls:
        yield from (pull.id, pull.near, pull.far, pull.cable or "")

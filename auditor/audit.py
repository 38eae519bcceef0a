"""One job and one profile in, one audit out. No file, no clock, no global.

job -> bus (measured) -> plans -> findings (judged) -> verdicts (attributed) -> audit
"""

import logging
from collections.abc import Iterator
from dataclasses import replace

from auditor.bus.measure import Bus, measure
from auditor.causes.prove import with_causes
from auditor.job.model import Job, Remark
from auditor.plans.make import make_plans
from auditor.plans.plans import Plans
from auditor.profile.limits import Profile
from auditor.results.accepted import NO_ACCEPTANCES, Acceptances, with_acceptances, with_ids
from auditor.results.assemble import audit_result
from auditor.results.attribution import Attribution
from auditor.results.audit_result import Audit
from auditor.results.findings import Finding, Level
from auditor.results.judged import Judged
from auditor.results.outcomes import question_result
from auditor.rules import RULES, SCOPES
from auditor.rules.voltage import further_remedies

log = logging.getLogger(__name__)


def audit(job: Job, profile: Profile, acceptances: Acceptances = NO_ACCEPTANCES) -> Audit:
    """Audit one job against one profile, with its port plan, its cut lists and what would mend it.

    Parameters
    ----------
    acceptances : reviews that somebody accepts, by the id of the finding

    A rule that raises is a bug of ours: it becomes a finding that names the rule, the other rules go
    on, and the job is not a pass.
    """
    bus = measure(job, profile)
    plans = make_plans(bus, judge_as_planned)
    judged = judge(bus, plans)
    judged = replace(judged, findings=tuple(with_ids((*judged.findings, *_profile_note(bus)), job.part)))
    judged, untried = _with_causes(judged)
    accepted = with_acceptances(judged.findings, acceptances, job.length_unit)
    judged = replace(judged, findings=tuple(accepted))
    asked = (*job.questions, *job.answered)
    questions = tuple(question_result(each, job, profile, judge_as_planned) for each in asked)
    return replace(audit_result(Attribution(judged), plans), questions=questions, ways_untried=untried)


def _with_causes(judged: Judged) -> tuple[Judged, int]:
    """The job with what its findings follow from, and how many ways to mend were not tried."""
    try:
        found, untried = with_causes(judged, judge_as_planned)
    except Exception:
        log.exception("causes could not be sought on job %s", judged.bus.job.name)
        return replace(judged, crashed=(*judged.crashed, "causes")), 0
    return replace(judged, findings=found), untried


def judge_as_planned(job: Job, profile: Profile) -> Judged:
    """Measure and judge a job as a plan would have it: the same rules, no further plan."""
    return judge(measure(job, profile), Plans())


def judge(bus: Bus, plans: Plans) -> Judged:
    """All that the reader and the rules find, sorted by level, worst first, in the rules' order."""
    crashed = list(plans.crashed)
    findings = sorted(_all_findings(bus, plans, crashed), key=lambda finding: -finding.level.severity)
    return Judged(bus=bus, findings=tuple(findings), scopes=SCOPES, crashed=tuple(crashed))


def _all_findings(bus: Bus, plans: Plans, crashed: list[str]) -> Iterator[Finding]:
    yield from map(_remark_finding, bus.job.remarks)
    for name, check in RULES.items():
        try:
            yield from list(check(bus, plans))
        except Exception:
            log.exception("rule %s raised on job %s", name, bus.job.name)
            crashed.append(name)
            message = (
                f"The rule {name} could not be run on this job, a fault of the auditor; check it by hand"
            )
            yield Finding(rule=name, level=Level.REVIEW, subject=bus.job.name, message=message)
    yield from further_remedies(bus, plans)


def _profile_note(bus: Bus) -> Iterator[Finding]:
    """What the profile itself says of its bus, such as how it has to be wired."""
    if bus.profile.note:
        message = f"Of the profile {bus.profile.name}: {bus.profile.note.rstrip('.')}"
        yield Finding(rule="profile", level=Level.NOTE, subject=bus.job.name, message=message)


def _remark_finding(remark: Remark) -> Finding:
    """What the reader remarked, as a finding."""
    return Finding(
        rule=remark.rule,
        level=Level(remark.level),
        subject=remark.subject,
        message=remark.message,
        question=remark.question.id if remark.question else None,
        where=remark.where,
    )

"""The tool: one job and one profile in, one audit out. No file, no clock, no global.

job -> bus (measured) -> plans -> rules -> findings -> verdicts -> audit
"""

import logging
from collections.abc import Iterator
from dataclasses import replace

from auditor.bus.measure import Bus, measure
from auditor.job.model import Job
from auditor.plans.cut_lists import cut_lists
from auditor.plans.mending import with_mending
from auditor.plans.ports import plan_ports
from auditor.profile.limits import Profile
from auditor.results.assemble import audit_result
from auditor.results.audit_result import Audit
from auditor.results.findings import Finding, Level
from auditor.rules import RULES

_OUR_FAULT = "it could not be made, a fault of the auditor; plan it by hand"
log = logging.getLogger(__name__)


def audit(job: Job, profile: Profile) -> Audit:
    """Audit one job against one profile, with its port plan, its cut lists and what would mend it.

    A rule that raises is a bug of ours: it becomes a finding that names the rule, the other rules go
    on, and the job is not a pass.
    """
    seen = _planned(measure(job, profile))
    findings, crashed = _found(seen)
    return audit_result(seen, *_mended(seen, findings, crashed))


def reaudit(job: Job, profile: Profile) -> Audit:
    """Audit a job as a plan would have it: the same rules, no further plan."""
    seen = measure(job, profile)
    return audit_result(seen, *_found(seen))


def _mended(
    seen: Bus, findings: tuple[Finding, ...], crashed: tuple[str, ...]
) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """The findings with what mends the runs; as they are, and the rule named as crashed, if that raised."""
    try:
        return with_mending(seen, findings, reaudit), crashed
    except Exception:
        log.exception("what mends the voltages raised on job %s", seen.job.name)
        return findings, (*crashed, "voltage")


def _planned(seen: Bus) -> Bus:
    """The bus with its cut lists and its port plan; a plan that raises is a bug of ours and is said."""
    try:
        cuts, problems = cut_lists(seen.job, seen.profile, seen.topology.repeated_pulls)
        seen = replace(seen, cut_lists=cuts, plan_problems=problems)
    except Exception:
        log.exception("the cut list raised on job %s", seen.job.name)
        seen = replace(
            seen, plan_problems=(f"No cut list: {_OUR_FAULT}",), crashed=(*seen.crashed, "cut-list")
        )
    try:
        ports = plan_ports(seen, reaudit)
        return replace(
            seen,
            needed=ports.controllers,
            port_plan=ports.plan,
            suggested_port=ports.suggested_port,
            port_problems=ports.problems,
        )
    except Exception:
        log.exception("the port plan raised on job %s", seen.job.name)
        return replace(
            seen, port_problems=(f"No port plan: {_OUR_FAULT}",), crashed=(*seen.crashed, "port-plan")
        )


def _found(seen: Bus) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """Findings, and the names of rules that crashed."""
    crashed = list(seen.crashed)
    return tuple(_findings(seen, crashed)), tuple(crashed)


def _findings(seen: Bus, crashed: list[str]) -> Iterator[Finding]:
    yield from (
        Finding(
            rule=remark.rule,
            level=Level(remark.level),
            subject=remark.subject,
            message=remark.message,
            where=remark.where,
        )
        for remark in seen.job.remarks
    )
    for name, check in RULES.items():
        try:
            yield from list(check(seen))
        except Exception:
            log.exception("rule %s raised on job %s", name, seen.job.name)
            crashed.append(name)
            message = (
                f"The rule {name} could not be run on this job, a fault of the auditor; check it by hand"
            )
            yield Finding(rule=name, level=Level.REVIEW, subject=seen.job.name, message=message)

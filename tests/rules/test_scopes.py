"""What a rule states as the scope of its findings is what their subjects are."""

from pathlib import Path

import pytest

from auditor.audit import judge, judge_as_planned
from auditor.bus.cables import UNNAMED
from auditor.bus.measure import Bus, measure
from auditor.intake import read_job
from auditor.plans.make import make_plans
from auditor.profile.load import DEFAULT, load_profile
from auditor.results.findings import Scope
from auditor.rules import SCOPES

SAMPLES = sorted((Path(__file__).parent.parent.parent / "sample_workbooks").rglob("*.xlsx"))


def kinds(bus: Bus, subject: str) -> Scope:
    """All that a name stands for in a job."""
    job = bus.job
    runs = {name for state in bus.runs for name in (state.run.name, *state.run.sources)}
    rows = {device.tag for device in job.devices} | {pull.id for pull in job.pulls}
    named = {
        Scope.ROW: rows | set(bus.pull_names.values()),
        Scope.ROWS_RUN: {pull.id for pull in job.pulls},
        Scope.RUN: runs,
        Scope.CONTROLLER: job.controllers.keys() | job.head_ends,
        Scope.CABLE: bus.cables.keys() | {UNNAMED},
        Scope.JOB: {job.name},
    }
    return Scope(sum(kind.value for kind, names in named.items() if subject in names))


@pytest.mark.parametrize("path", SAMPLES, ids=[path.stem for path in SAMPLES])
def test_every_finding_of_a_rule_is_within_its_scope(path: Path) -> None:
    job = read_job(path.read_bytes(), path.name)
    bus = measure(job, load_profile(job.profile_name or DEFAULT))
    remarked = {(remark.rule, remark.message) for remark in job.remarks}
    findings = [
        finding
        for finding in judge(bus, make_plans(bus, judge_as_planned)).findings
        if (finding.rule, finding.message) not in remarked and SCOPES[finding.rule] != Scope.ANY
    ]
    outside = [
        (finding.rule, finding.subject)
        for finding in findings
        if not kinds(bus, finding.subject) & SCOPES[finding.rule]
    ]
    assert outside == []

"""The ways to mend that are thought of for a typed job."""

from auditor.audit import judge
from auditor.bus.measure import measure
from auditor.causes.mends import Mend, possible_mends
from auditor.job.model import Job
from auditor.plans.plans import Plans
from tests.builders import profile, pull

FEED = pull("C1.1", "K1", id="P1")


def mends(a_job: Job) -> list[Mend]:
    bus = measure(a_job, profile())
    found = possible_mends(bus, judge(bus, Plans()).findings)
    for finding in {id(each.finding): each.finding for each in found}.values():
        ranks = [each.rank for each in found if each.finding is finding]
        assert ranks == list(range(len(ranks)))
    return found


def mends_of(a_job: Job, rule: str, subject: str) -> list[Mend]:
    return [each for each in mends(a_job) if (each.finding.rule, each.finding.subject) == (rule, subject)]


def ways(a_job: Job, rule: str, subject: str) -> list[str]:
    return [each.way for each in mends_of(a_job, rule, subject)]

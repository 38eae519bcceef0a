"""What is found in a job: verdicts, levels and findings."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import Flag, StrEnum, auto

from auditor.job.acceptances import Acceptance
from auditor.job.model import CellRef

DARK = "unfed"  # the rule of what no port feeds


class Verdict(StrEnum):
    PASS = "pass"
    REVIEW = "review"  # could not be judged in full, or keeps a limit only just
    FAIL = "fail"
    UNREADABLE = "unreadable"

    @property
    def severity(self) -> int:
        return _SEVERITY[self]


class Level(StrEnum):
    NOTE = "note"  # said, does not change a verdict
    REVIEW = "review"
    FAIL = "fail"

    @property
    def severity(self) -> int:
        return _SEVERITY[self]


class Scope(Flag):
    """What the findings of a rule count for. A rule states all kinds that it has; its subjects say which."""

    ROW = auto()  # the row of the device or pull that the subject names
    ROWS_RUN = auto()  # the whole run of the pull in that row
    RUN = auto()  # the run that the subject names
    CONTROLLER = auto()  # all runs of the controller that the subject names
    CABLE = auto()  # all runs that hold the cable type that the subject names
    JOB = auto()  # the job, no row
    PORT_PLAN = auto()  # also a port plan: none is offered in whose judgement the rule fails
    ANY = ROW | RUN | CONTROLLER | CABLE | JOB


_SEVERITY: dict[str, int] = {each: place for kind in (Verdict, Level) for place, each in enumerate(kind)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing found in a job, in one sentence that says what to do."""

    rule: str
    level: Level
    subject: str  # a tag, a pull's id, or `controller.port`
    message: str
    measured: float | None = None
    limit: float | None = None
    unit: str | None = None
    question: str | None = None  # id of the question that it asks
    id: str = field(
        default="", compare=False
    )  # from the rule, the subject and what is measured or said: the same from run to run
    because: tuple[str, ...] = ()  # ids of the findings that it follows from
    accepted: str | None = None  # who accepts the review and why; None: nobody
    typed: Acceptance | None = None  # what stands in the cells beside it; not recorded
    refused: str = ""  # why that does not count, a clause; not recorded
    where: CellRef | None = None


def fault_of(finding: Finding) -> str:
    """What is wrong, without what to do about it: a message says both, a semicolon between."""
    return finding.message.partition("; ")[0]


def causes_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings worst first, each with what follows from it right behind it, worst first too."""
    findings = tuple(findings)
    behind = consequences(findings)
    following: dict[str, list[Finding]] = {}
    for each in findings:
        if each.id in behind:
            following.setdefault(behind[each.id], []).append(each)
    groups = [(each, *_worst_first(following.get(each.id, ()))) for each in findings if each.id not in behind]
    groups.sort(key=lambda group: -max(each.level.severity for each in group))
    return tuple(each for group in groups for each in group)


def consequences(findings: Iterable[Finding]) -> Mapping[str, str]:
    """Id of a finding that follows from another -> the id of its first cause, one that is listed and that
    nobody accepts."""
    findings = tuple(findings)
    causes = {each.id for each in findings if each.accepted is None}
    found = {each.id: next((id_ for id_ in each.because if id_ in causes), "") for each in findings}
    return {id_: cause for id_, cause in found.items() if cause}


def _worst_first(findings: Iterable[Finding]) -> list[Finding]:
    return sorted(findings, key=lambda finding: -finding.level.severity)


def worst_verdict(verdicts: Iterable[Verdict]) -> Verdict:
    return max(verdicts, key=lambda verdict: verdict.severity, default=Verdict.PASS)

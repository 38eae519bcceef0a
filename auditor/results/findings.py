"""What is found in a job: verdicts, levels and findings."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from auditor.job.model import CellRef


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
    where: CellRef | None = None


def worst_verdict(verdicts: Iterable[Verdict]) -> Verdict:
    return max(verdicts, key=lambda verdict: verdict.severity, default=Verdict.PASS)

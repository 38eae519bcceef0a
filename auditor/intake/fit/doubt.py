"""A doubt in a reading: what is asked, and how an answer changes the job."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from auditor.intake.said import asked, untried
from auditor.job.model import CellRef, Choice, Job, Question, TableKind

LEAST_PULLS = 3
MOST_NAMED = 4
YES, NO = "yes", "no"
OTHER_ENDS = "a layout says which columns hold the ends of each pull"
OTHER_LIST = "a layout says which table is the device list"
SCHEDULES = (TableKind.PULLS, TableKind.COMBINED)


@dataclass(frozen=True, slots=True)
class Doubt:
    """What is asked, and how an answer changes the job; one that confirms the reading changes nothing."""

    question: Question
    settled: Callable[[Job, str], Job] = lambda job, _: job
    until_answered: Callable[[Job], Job] | None = None  # the job without what is in doubt; None: all of it is


def question_of(
    what: str, job: Job, sentence: str, answers: Sequence[Choice], where: CellRef | None = None
) -> Question:
    """The question of a doubt.

    Parameters
    ----------
    where : the cell that it speaks of; None: that of the first pull
    """
    at = where or next((pull.where for pull in job.pulls), None)
    return asked(what, sorted(_sheets(job)), sentence, answers, at)


def _sheets(job: Job) -> set[str]:
    return {pull.where.sheet for pull in job.pulls} or {table.sheet for table in job.tables}


def other_columns(answer: str = NO) -> Choice:
    return untried(answer, OTHER_ENDS)


def most(bound: tuple[float, float], job: Job) -> float:
    return max(bound[0], bound[1] * len(job.devices))


def ends_stand(job: Job) -> str:
    """The columns that gave the ends, as the subject of a sentence."""
    table = next((table for table in job.tables if table.kind in SCHEDULES), None)
    if table is None:
        return "two columns of a table without headings are"
    if "chain" in table.columns and "near" not in table.columns:
        return f"the chains of {table.sheet!r} are"
    return f"two columns of {table.sheet!r} are"


def named(names: Iterable[str]) -> str:
    listed = list(names)
    more = f" and {len(listed) - MOST_NAMED} more" if len(listed) > MOST_NAMED else ""
    return ", ".join(listed[:MOST_NAMED]) + more


def without_lengths(job: Job) -> Job:
    """The job of which no length is known until a question is answered."""
    return replace(
        job,
        pulls=tuple(replace(pull, length_m=None, asked=pull.asked | {"length_m"}) for pull in job.pulls),
    )

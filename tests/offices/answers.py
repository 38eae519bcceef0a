"""An answerer that knows the truth: how few answers to a reading's questions make it right."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from auditor.audit import audit
from auditor.errors import UnusableFileError
from auditor.intake import read_jobs
from auditor.job.model import Job, Question
from auditor.profile.load import load_profile
from auditor.results.record import record
from tests.offices.judge import RIGHT, Record, judge
from tests.offices.office import Office

MOST_ANSWERS = 2
PROFILE = "two-wire-35w"

Answers = Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reached:
    """What came of an office: how it is read unasked, and with the fewest answers that make it right."""

    kind: str  # right, asked or wrong before any answer
    why: str
    needed: int | None  # answers until it is right; None: it is not right after the most that are given
    answers: Mapping[str, str] = field(default_factory=dict)
    asked: tuple[str, ...] = ()  # the sentences of the first reading


def reached(made: Office) -> Reached:
    """Read an office, answer what is asked, at most two questions, as someone who knows the truth."""
    jobs = _read(made, {})
    kind, why = judge(_records(jobs), made.truth)
    asked = tuple(one.sentence for one in _questions(jobs))
    if kind == RIGHT:
        return Reached(kind=kind, why="", needed=0, asked=asked)
    for answers in _sets(made, jobs):
        return Reached(kind=kind, why=why, needed=len(answers), answers=answers, asked=asked)
    return Reached(kind=kind, why=why, needed=None, asked=asked)


def _sets(made: Office, jobs: Sequence[Job]) -> Iterator[Answers]:
    """Sets of answers with which the office is right: the smallest first."""
    tried: list[Answers] = [{}]
    read: dict[int, Sequence[Job]] = {0: jobs}
    for _ in range(MOST_ANSWERS):
        longer: list[Answers] = []
        for index, answers in enumerate(tried):
            of = read[index] if index in read else _read(made, answers)
            for one, answer, then in _steps(made, of, answers):
                more = {**answers, one.id: answer}
                if judge(_records(then), made.truth)[0] == RIGHT:
                    yield more
                longer.append(more)
        tried = [dict(pairs) for pairs in dict.fromkeys(tuple(sorted(each.items())) for each in longer)]
        read = {}


def _steps(
    made: Office, jobs: Sequence[Job], answers: Answers
) -> Iterator[tuple[Question, str, Sequence[Job]]]:
    """Each answer that can be given now, and the jobs that it leads to."""
    for one in _questions(jobs):
        for choice in one.choices:
            if not choice.tried:
                continue
            own = choice.reading if len(jobs) == 1 else None
            yield one, choice.answer, [own] if own else _read(made, {**answers, one.id: choice.answer})


def _questions(jobs: Sequence[Job]) -> list[Question]:
    return list({one.id: one for job in jobs for one in job.questions}.values())


def _read(made: Office, answers: Answers) -> list[Job]:
    try:
        return read_jobs(made.data, made.name, answers=answers)
    except UnusableFileError:
        return []


def _records(jobs: Sequence[Job]) -> list[Record]:
    """The lines of results of these jobs; of none that of a workbook that cannot be read. What each answer leads to
    is not told: each is tried here."""
    profile = load_profile(PROFILE)
    lines = [record(audit(replace(job, questions=()), profile)) for job in jobs]
    return lines or [_UNREADABLE]


_UNREADABLE: Record = {"verdict": "unreadable", "problem": "not read", "runs": [], "findings": []}

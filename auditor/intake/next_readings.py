"""Answers that only lead to another question, read together with the likeliest answer to that one."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from auditor.intake.readings import Read, tried_with
from auditor.intake.said import Answers
from auditor.job.model import Choice, Job, Question

MOST_NEXT = 4  # answers of one workbook that are read on

Following = Mapping[
    tuple[str, str], tuple[str, Job]
]  # (question, answer) -> the next answer, the job with both


def with_next(jobs: Sequence[Job], read: Read, answers: Answers) -> list[Job]:
    """The jobs, each answer that asks for another one with the job that the likeliest of those leads to.

    Parameters
    ----------
    jobs : with their questions, and the reading of each answer
    read : reads the workbook with these answers
    """
    left = MOST_NEXT
    found: list[Job] = []
    for job in jobs:
        following = _following(job, read, answers, left)
        left -= len(following)
        own = tuple(_with_following(one, following) for one in job.questions)
        found.append(replace(job, questions=own) if following else job)
    return found


def _following(job: Job, read: Read, answers: Answers, most: int) -> Following:
    found: dict[tuple[str, str], tuple[str, Job]] = {}
    for one in job.questions:
        for choice in one.choices:
            then = _closing(choice.reading) if choice.reading is not None else None
            likeliest = next((each.answer for each in then.choices if each.tried), "") if then else ""
            if then is None or not likeliest or then.id in (one.id, *answers) or len(found) >= most:
                continue
            reading = tried_with(read, {**answers, one.id: choice.answer, then.id: likeliest}).get(job.part)
            if reading is not None:
                found[one.id, choice.answer] = likeliest, reading
    return found


def _closing(job: Job) -> Question | None:
    """The question without whose answer nothing of a job is judged."""
    return next((remark.question for remark in job.remarks if remark.closes and remark.question), None)


def _with_following(one: Question, following: Following) -> Question:
    return replace(one, choices=tuple(_with_next(one, choice, following) for choice in one.choices))


def _with_next(one: Question, choice: Choice, following: Following) -> Choice:
    answer, reading = following.get((one.id, choice.answer), ("", None))
    return replace(choice, next_answer=answer, next_reading=reading)

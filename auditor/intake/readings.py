"""The same workbook read once more for each answer to a question, so that the audit can tell what it changes."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from auditor.errors import UnusableFileError
from auditor.intake.said import Answers, reading
from auditor.job.model import Choice, Job, Question, Remark

MOST_READINGS = 8  # of one workbook beside its own
MOST_NEXT = 4  # answers that only lead to another question, read with the likeliest answer to that one too
MOST_ROWS = 5_000  # a larger workbook is read once

Read = Callable[[Answers], Sequence[Job]]
Readings = Mapping[tuple[str, str], Mapping[str | None, Job]]  # (question, answer) -> part -> job
Following = Mapping[tuple[str, str], tuple[str, Mapping[str | None, Job]]]  # the next answer, and the jobs with both


def with_questions(jobs: Sequence[Job], read: Read, answers: Answers) -> list[Job]:
    """The jobs with their questions, each once, and with the job that each answer leads to.

    Parameters
    ----------
    read : reads the workbook with these answers
    """
    own = [_questions_of(job) for job in jobs]
    wanted = list(
        dict.fromkeys((one.id, c.answer) for each in own for one in each for c in one.choices if c.tried)
    )
    small = sum(job.rows_read for job in jobs) <= MOST_ROWS
    tried = wanted[: MOST_READINGS if small else 0]
    readings = {(one, answer): _read(read, {**answers, one: answer}) for one, answer in tried}
    following = {} if not small else _following(readings, read, answers)
    said = [_left_untried(len(tried), len(wanted))] if len(tried) < len(wanted) else []
    return [
        replace(job, remarks=(*job.remarks, *said), questions=tuple(_questions(job, each, readings, following)))
        for job, each in zip(jobs, own, strict=True)
    ]


def _questions_of(job: Job) -> list[Question]:
    """Each question once; first those without whose answer nothing is judged."""
    first = sorted(job.remarks, key=lambda remark: not remark.closes)
    return list({one.id: one for remark in reversed(first) if (one := remark.question)}.values())[::-1]


def _read(read: Read, answers: Answers) -> Mapping[str | None, Job]:
    try:
        return {job.part: job for job in read(answers)}
    except UnusableFileError:
        return {}


def _following(readings: Readings, read: Read, answers: Answers) -> Following:
    """(question, answer) -> the likeliest answer to the question that it leads to, and the jobs with both."""
    found: dict[tuple[str, str], tuple[str, Mapping[str | None, Job]]] = {}
    for (one, answer), jobs in readings.items():
        then = next((each for job in jobs.values() if (each := _closing(job)) is not None and each.id != one), None)
        likeliest = next((each.answer for each in then.choices if each.tried), None) if then else None
        if then is None or likeliest is None or then.id in answers or len(found) == MOST_NEXT:
            continue
        found[one, answer] = likeliest, _read(read, {**answers, one: answer, then.id: likeliest})
    return found


def _closing(job: Job) -> Question | None:
    """The question without whose answer nothing of a job is judged."""
    return next((remark.question for remark in job.remarks if remark.closes and remark.question), None)


def _questions(
    job: Job, own: Sequence[Question], readings: Readings, following: Following
) -> Iterator[Question]:
    for one in own:
        yield replace(
            one, choices=tuple(_choice(job, one, each, readings, following) for each in one.choices)
        )


def _choice(job: Job, one: Question, choice: Choice, readings: Readings, following: Following) -> Choice:
    key = one.id, choice.answer
    likeliest, jobs = following.get(key, ("", {}))
    return replace(
        choice,
        reading=readings.get(key, {}).get(job.part),
        next_answer=likeliest,
        next_reading=jobs.get(job.part),
    )


def _left_untried(tried: int, wanted: int) -> Remark:
    message = (
        f"what an answer leads to was tried for {tried} of the {wanted} answers to the questions; of the others it is "
        "said how they are read"
    )
    return reading("questions", message)

"""The same workbook read once more for each answer to a question, so that the audit can tell what it changes."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from auditor.errors import UnusableFileError
from auditor.intake.said import Answers, reading
from auditor.job.model import Choice, Job, Question, Remark

MOST_READINGS = 8  # of one workbook beside its own
MOST_ROWS = 5_000  # a larger workbook is read once

Read = Callable[[Answers], Sequence[Job]]
Readings = Mapping[tuple[str, str], Mapping[str | None, Job]]  # (question, answer) -> part -> job


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
    said = [_left_untried(len(tried), len(wanted))] if len(tried) < len(wanted) else []
    return [
        replace(job, remarks=(*job.remarks, *said), questions=tuple(_questions(job, each, readings)))
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


def _questions(job: Job, own: Sequence[Question], readings: Readings) -> Iterator[Question]:
    for one in own:
        yield replace(one, choices=tuple(_choice(job, one, each, readings) for each in one.choices))


def _choice(job: Job, one: Question, choice: Choice, readings: Readings) -> Choice:
    return replace(choice, reading=readings.get((one.id, choice.answer), {}).get(job.part))


def _left_untried(tried: int, wanted: int) -> Remark:
    message = (
        f"what an answer leads to was tried for {tried} of the {wanted} answers to the questions; of the others it is "
        "said how they are read"
    )
    return reading("questions", message)

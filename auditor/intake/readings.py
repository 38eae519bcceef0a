"""The same workbook read once more for each answer to a question, so that the audit can tell what it changes."""

import logging
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace

from auditor.errors import UnusableFileError
from auditor.intake.said import Answers, reading
from auditor.job.model import Choice, Job, Question, Remark

log = logging.getLogger(__name__)

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
    readings = {(one, answer): tried_with(read, {**answers, one: answer}) for one, answer in tried}
    said = [_left_untried(len(tried), len(wanted))] if len(tried) < len(wanted) else []
    answered = _answered(own, read, answers, small)
    return [
        replace(
            job,
            remarks=(*job.remarks, *said),
            questions=in_order([_with_readings(job, one, readings) for one in each], _closing(job)),
            answered=tuple(answered.get(job.part, ())),
        )
        for job, each in zip(jobs, own, strict=True)
    ]


def _closing(job: Job) -> frozenset[str]:
    """The questions without whose answers nothing is judged."""
    return frozenset(remark.question.id for remark in job.remarks if remark.closes and remark.question)


def in_order(questions: Sequence[Question], closing: Collection[str] = frozenset()) -> tuple[Question, ...]:
    """Open questions, those first whose answers settle most; one that an earlier one may settle waits.

    Parameters
    ----------
    closing : ids of those without whose answers nothing is judged; they come before the others
    """
    settles = {one.id: _settled_by(one, questions) for one in questions}
    ordered = sorted(questions, key=lambda one: (one.id not in closing, -len(settles[one.id])))
    found: list[Question] = []
    for one in ordered:
        waits = any(one.id in settles[each.id] for each in found if not each.waits)
        found.append(replace(one, waits=waits))
    return tuple(sorted(found, key=lambda one: one.waits))


def _settled_by(one: Question, questions: Sequence[Question]) -> frozenset[str]:
    """The questions that are not asked any more in a reading that an answer leads to."""
    others = frozenset(each.id for each in questions) - {one.id}
    readings = [choice.reading for choice in one.choices if choice.reading]
    asked = [frozenset(each.id for each in _questions_of(reading)) for reading in readings]
    return frozenset(other for other in others if any(other not in each for each in asked))


def _answered(
    own: Sequence[Sequence[Question]], read: Read, answers: Answers, small: bool
) -> dict[str | None, list[Question]]:
    """Part of the workbook -> the questions whose answers were obeyed: without them they are asked."""
    given = [one for one in answers if not any(one == each.id for asked in own for each in asked)]
    plain = tried_with(read, {}) if len(given) > MOST_READINGS or (given and not small) else {}
    found: dict[str | None, list[Question]] = {}
    for one in given:
        without = plain or tried_with(read, {each: answer for each, answer in answers.items() if each != one})
        for part, job in without.items():
            asked = (replace(each, answer=answers[one]) for each in _questions_of(job) if each.id == one)
            found.setdefault(part, []).extend(asked)
    return found


def _questions_of(job: Job) -> list[Question]:
    """Each question once; first those without whose answer nothing is judged."""
    first = sorted(job.remarks, key=lambda remark: not remark.closes)
    return list({one.id: one for remark in reversed(first) if (one := remark.question)}.values())[::-1]


def tried_with(read: Read, answers: Answers) -> Mapping[str | None, Job]:
    """The jobs as answers that nobody gave have them read, by their part; none where they cannot be read."""
    try:
        return {job.part: job for job in read(answers)}
    except UnusableFileError:
        return {}
    except Exception:  # a bug of ours: what the answer leads to is not said, the job itself is read
        log.exception("a workbook cannot be read with answers to its questions")
        return {}


def _with_readings(job: Job, one: Question, readings: Readings) -> Question:
    return replace(one, choices=tuple(_choice(job, one, each, readings) for each in one.choices))


def _choice(job: Job, one: Question, choice: Choice, readings: Readings) -> Choice:
    return replace(choice, reading=readings.get((one.id, choice.answer), {}).get(job.part))


def _left_untried(tried: int, wanted: int) -> Remark:
    message = (
        f"what an answer leads to was tried for {tried} of the {wanted} answers to the questions; of the others it is "
        "said how they are read"
    )
    return reading("questions", message)

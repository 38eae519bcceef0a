"""What the reader says beside the job: what was read how, and what a person must decide."""

from collections.abc import Mapping, Sequence

from auditor.job.checksums import id_of
from auditor.job.model import CellRef, Choice, Question, Remark

Answers = Mapping[str, str]  # id of a question -> the answer that is obeyed
NO_ANSWERS: Answers = {}
MOST_CHOICES = 5
LIST_OF_PULLS, LIST_OF_DEVICES, LIST_OF_POWERS = "list-of-pulls", "list-of-devices", "list-of-powers"
SPLICES = "they are splices"  # an answer: ends of pulls that no list has


def reading(subject: str, message: str, where: CellRef | None = None) -> Remark:
    """How something was read, to be known: a note."""
    return Remark(rule="reading", level="note", subject=subject, message=message, where=where)


def question(subject: str, message: str, where: CellRef | None) -> Remark:
    """What could be meant otherwise than it was read: a review until somebody has corrected it."""
    return Remark(rule="unreadable-value", level="review", subject=subject, message=message, where=where)


def choices(*pairs: tuple[str, str]) -> tuple[Choice, ...]:
    """Answers of which each can be obeyed, with how the workbook is read then."""
    return tuple(Choice(answer=answer, leads_to=leads_to) for answer, leads_to in pairs)


def untried(answer: str, leads_to: str) -> Choice:
    """An answer with which nothing can be read yet, and what it does."""
    return Choice(answer=answer, leads_to=leads_to, tried=False)


def asked(
    what: str, names: Sequence[str], sentence: str, answers: Sequence[Choice], where: CellRef | None
) -> Question:
    """A question that an answer settles.

    Parameters
    ----------
    what : what is asked, in lower case with hyphens; with `names` it makes the id
    names : of what it is asked: the sheet, the heading; no numbers of rows
    """
    spelled = (" ".join(name.split()).casefold() for name in names)
    return Question(
        id=id_of(what, spelled), sentence=sentence, choices=tuple(answers)[:MOST_CHOICES], where=where
    )


def chosen(one: Question, answers: Answers) -> str | None:
    """The answer that was given and can be obeyed; None: there is none, or it is no choice any more."""
    answer = answers.get(one.id)
    return next((each.answer for each in one.choices if each.tried and each.answer == answer), None)


def to_decide(
    one: Question, subject: str, answers: Answers = NO_ANSWERS, then: str = "", *, message: str = ""
) -> Remark:
    """The question as a review; once it is answered, a note of the answer.

    Parameters
    ----------
    then : what stands behind the sentence in the finding: how it is read meanwhile, where it can be corrected
    message : the whole finding, where it is no question
    """
    answer = chosen(one, answers)
    if answer is not None:
        return reading(subject, f"{one.sentence} Answered: {answer}", one.where)
    message = message or f"{one.sentence} {then}".rstrip()
    return Remark(
        rule="unreadable-value",
        level="review",
        subject=subject,
        message=message,
        where=one.where,
        question=one,
    )

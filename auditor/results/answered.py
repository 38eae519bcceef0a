"""Audits of one workbook with the answers that people typed: which were obeyed, and why others were not."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from auditor.job.answers import Answer, same_words
from auditor.results.accepted import with_findings
from auditor.results.audit_result import Audit, QuestionResult
from auditor.results.findings import Finding, Level

_LONGEST = 120  # characters of an answer in a sentence
_NONE = "it is none of the answers; choose one of the list"


def with_answers(audits: Sequence[Audit], answers: Mapping[str, Answer]) -> list[Audit]:
    """The audits, each question with what its answer cell holds, and a finding on each answer not obeyed.

    Parameters
    ----------
    audits : of the jobs of one workbook
    answers : question -> what was typed
    """
    asked = {one.id for audit in audits for one in audit.questions}
    left = tuple(answer for one, answer in answers.items() if one not in asked and answer.text)
    return [_with_answers(audit, answers, left) for audit in audits]


def _with_answers(audit: Audit, answers: Mapping[str, Answer], left: Sequence[Answer]) -> Audit:
    questions = tuple(_with_answer(one, answers.get(one.id)) for one in audit.questions)
    troubled = (_finding(audit, one) for one in questions if one.typed and one.typed.trouble)
    unasked = (_left_finding(audit, each) for each in left)
    told = replace(audit, questions=questions, left_answers=tuple(left))
    return with_findings(told, (*troubled, *unasked))


def _with_answer(one: QuestionResult, answer: Answer | None) -> QuestionResult:
    if answer is None or one.answered is not None or not answer.text or answer.trouble:
        return replace(one, typed=answer)
    choice = next((each for each in one.choices if same_words(each.answer, answer.text)), None)
    trouble = f"nothing can be read with it yet: {choice.leads_to}" if choice else _NONE
    return replace(one, typed=replace(answer, trouble=trouble))


def _finding(audit: Audit, one: QuestionResult) -> Finding:
    """A review, as the question itself is one."""
    assert one.typed is not None
    what = f"The answer «{_short(one.typed.text)}»" if one.typed.text else "The answer"
    message = f"{what} to «{one.sentence}» is not used: {one.typed.trouble}"
    return Finding(
        rule="unreadable-value", level=Level.REVIEW, subject=audit.job, message=message, question=one.id
    )


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}…"


def _left_finding(audit: Audit, answer: Answer) -> Finding:
    message = (
        f"The answer «{_short(answer.text)}» is kept and not used: «{answer.sentence}» is not asked any more"
    )
    return Finding(rule="reading", level=Level.NOTE, subject=audit.job, message=message)

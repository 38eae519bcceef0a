"""What became of the answers that people typed: obeyed, not to be obeyed with its reason, or not asked any more."""

from dataclasses import replace

import pytest

from auditor.job.answers import Answer
from auditor.results.answered import with_answers
from auditor.results.audit_result import Audit, ChoiceResult, QuestionResult
from auditor.results.findings import Level, Verdict

CHOICES = (
    ChoiceResult(answer="ft", leads_to="feet"),
    ChoiceResult(answer="a list", leads_to="a layout says which", tried=False),
)
OPEN = QuestionResult(id="unit-00000000", sentence="ft or m?", choices=CHOICES)
TYPED = Answer(id=OPEN.id, sentence=OPEN.sentence, choices=("ft", "a list"), text="ft")


def job(*questions: QuestionResult, name: str = "a") -> Audit:
    return Audit(job=name, profile="p", verdict=Verdict.PASS, questions=questions)


@pytest.mark.parametrize(
    ("one", "typed", "trouble"),
    [
        (replace(OPEN, answered="ft"), TYPED, ""),
        (OPEN, replace(TYPED, text=""), ""),
        (OPEN, replace(TYPED, text="both"), "it is none of the answers; choose one of the list"),
        (OPEN, replace(TYPED, text="A  list"), "nothing can be read with it yet: a layout says which"),
        (OPEN, replace(TYPED, text="", trouble="copies differ"), "copies differ"),
    ],
    ids=["obeyed", "nothing", "none of the choices", "not to be read with", "in trouble before"],
)
def test_an_answer_that_is_not_obeyed_is_a_review_with_its_reason(
    one: QuestionResult, typed: Answer, trouble: str
) -> None:
    (audit,) = with_answers([job(one)], {one.id: typed})
    (question,) = audit.questions
    assert question.typed is not None
    assert (question.typed.trouble, question.typed.text) == (trouble, typed.text)
    told = [
        (each.level, each.question, each.message.partition("is not used: ")[2]) for each in audit.findings
    ]
    assert told == ([(Level.REVIEW, one.id, trouble)] if trouble else [])
    assert audit.verdict is (Verdict.REVIEW if trouble else Verdict.PASS)


def test_an_answer_that_no_job_of_the_workbook_asks_for_is_kept_and_said() -> None:
    audits = with_answers(
        [job(), job(OPEN, name="b")], {OPEN.id: TYPED, "qty-00000000": replace(TYPED, id="qty-00000000")}
    )
    for audit in audits:
        assert [each.id for each in audit.left_answers] == ["qty-00000000"]
        assert [each.level for each in audit.findings if "is not asked any more" in each.message] == [
            Level.NOTE
        ]
    assert with_answers([job(OPEN)], {}) == [job(OPEN)]


def test_what_is_said_of_an_answer_that_is_not_used() -> None:
    typed = replace(TYPED, text="both")
    (audit,) = with_answers([job(OPEN)], {OPEN.id: typed})
    (found,) = audit.findings
    assert (found.rule, found.subject) == ("unreadable-value", "a")
    assert found.message == (
        "The answer «both» to «ft or m?» is not used: it is none of the answers; choose one of the list"
    )
    (audit,) = with_answers([job(OPEN)], {OPEN.id: replace(typed, text="", trouble="copies differ")})
    assert [each.message for each in audit.findings] == [
        "The answer to «ft or m?» is not used: copies differ"
    ]


@pytest.mark.parametrize(
    ("text", "shown"),
    [("m" * 120, "m" * 120), ("m" * 120 + "i", "m" * 120 + "…")],
    ids=["120 characters", "121 characters"],
)
def test_a_long_answer_is_cut_in_a_sentence(text: str, shown: str) -> None:
    (audit,) = with_answers([job()], {OPEN.id: replace(TYPED, text=text)})
    (found,) = audit.findings
    assert (found.rule, found.subject, found.level) == ("reading", "a", Level.NOTE)
    assert found.message == (f"The answer «{shown}» is kept and not used: «ft or m?» is not asked any more")


def test_of_a_question_that_is_not_asked_any_more_and_was_not_answered_nothing_is_said() -> None:
    assert with_answers([job()], {OPEN.id: replace(TYPED, text="")}) == [job()]

"""Questions in the order of what their answers settle; those that another answer would settle wait."""

from collections.abc import Sequence

import pytest

from auditor.intake import read_jobs
from auditor.intake.readings import in_order
from auditor.job.model import Choice, Job, Question, Remark
from tests.intake.test_questions import ANSWERED, Case, question_of


def question(what: str, *leaves: Sequence[str]) -> Question:
    """A question; for each answer the questions that its reading asks then."""
    readings = [Job(name="j", remarks=tuple(map(remark, each))) for each in leaves]
    choices = tuple(Choice(answer=str(n), leads_to="x", reading=each) for n, each in enumerate(readings))
    return Question(id=what, sentence=f"{what}?", choices=choices)


def remark(what: str) -> Remark:
    one = Question(id=what, sentence=f"{what}?", choices=())
    return Remark(rule="unreadable-value", level="review", subject=what, message="m", question=one)


@pytest.mark.parametrize(
    ("questions", "order"),
    [
        ([question("a", ["b"], ["b"]), question("b", ["a"], ["a"])], [("a", False), ("b", False)]),
        ([question("a", ["b"], ["b"]), question("b", [], ["a"])], [("b", False), ("a", True)]),
        (
            [question("a"), question("b", ["a", "c"], ["a"]), question("c", ["b"], ["a", "b"])],
            [("b", False), ("a", False), ("c", True)],
        ),
        (
            [question("a", ["c"]), question("b", ["a", "c"], ["a"]), question("c", ["a", "b"])],
            [("a", False), ("c", False), ("b", True)],
        ),
    ],
    ids=[
        "none settles another",
        "the second settles the first",
        "one waits",
        "who waits settles nothing yet",
    ],
)
def test_what_settles_most_comes_first(questions: list[Question], order: list[tuple[str, bool]]) -> None:
    assert [(one.id, one.waits) for one in in_order(questions)] == order


def test_without_whose_answer_nothing_is_judged_comes_before_all() -> None:
    questions = [question("a", [], ["b"]), question("b", ["a"], ["a"])]
    assert [(one.id, one.waits) for one in in_order(questions, {"b"})] == [("b", False), ("a", False)]


@pytest.mark.parametrize("case", ANSWERED.values(), ids=ANSWERED)
def test_an_obeyed_answer_stays_with_its_question(case: Case) -> None:
    data, what, _, wanted = case
    one = question_of(data, what)
    for answer in wanted:
        (job,) = read_jobs(data, "a.xlsx", answers={one.id: answer, "unit-ffffffff": "m"})
        assert [(each.id, each.answer) for each in job.answered] == [(one.id, answer)]
        assert [each.answer for each in job.answered[0].choices] == [each.answer for each in one.choices]

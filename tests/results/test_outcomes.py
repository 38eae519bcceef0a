"""What an answer leads to is told by the run in which the readings differ."""

from collections.abc import Mapping
from dataclasses import replace

import pytest

from auditor.audit import audit
from auditor.job.model import Choice, Job, Question, Remark
from auditor.results.record import record
from tests.builders import device, job, profile, pull

SHORT = job([pull("C1.1", "K1", 800), pull("K1", "K2", 10), pull("C1.2", "K3", 20)])
LONG = job([pull("C1.1", "K1", 1256), pull("K1", "K2", 10), pull("C1.2", "K3", 20)])
UNKNOWN = job([pull("C1.1", "K1", None), pull("K1", "K2", 10), pull("C1.2", "K3", 20)])
STRONG = job(SHORT.pulls, [device("K1", 2.0), device("K2"), device("K3")])
OTHER_PORT = job([pull("C1.1", "K1", 800), pull("K1", "K2", 10)])


def closed(one: Question) -> Job:
    remark = Remark(
        rule="unreadable-value", level="review", subject="x", message="m", closes=True, question=one
    )
    return Job(name="j", remarks=(remark,))


NEXT = Question(id="unit-00000001", sentence="feet or metres?", choices=())
AGAIN = Question(id="length-00000000", sentence="which?", choices=())


def leads_to(readings: Mapping[str, Job | None]) -> list[str]:
    choices = tuple(
        Choice(answer=name, leads_to=f"{name} counts", reading=each) for name, each in readings.items()
    )
    one = Question(id="length-00000000", sentence="which?", choices=choices)
    (asked,) = audit(replace(job([]), questions=(one,)), profile()).questions
    return [choice.leads_to for choice in asked.choices]


@pytest.mark.parametrize(
    ("readings", "told"),
    [
        (
            {"A": LONG, "B": SHORT},
            [
                "A counts: C1.1 holds 1,266 ft of cable and fails",
                "B counts: C1.1 holds 810 ft of cable and passes",
            ],
        ),
        ({"A": SHORT, "B": SHORT}, [f"{each} counts: no figure changes, no run fails" for each in "AB"]),
        (
            {"A": SHORT, "B": STRONG},
            ["A counts: C1.1 draws 0.2 W and passes", "B counts: C1.1 draws 2.1 W and passes"],
        ),
        (
            {"A": UNKNOWN, "B": SHORT},
            [
                "A counts: the cable of C1.1 is not known, it is to review",
                "B counts: C1.1 holds 810 ft of cable and passes",
            ],
        ),
        ({"A": LONG, "B": None}, ["A counts: C1.1 holds 1,266 ft of cable and fails", "B counts"]),
        (
            {"A": SHORT, "B": OTHER_PORT},
            [
                "A counts: C1.2 holds 20 ft of cable and passes",
                "B counts: there is no run C1.2, no run fails",
            ],
        ),
        (
            {"A": closed(NEXT), "B": closed(AGAIN)},
            [
                "A counts: then it is asked: feet or metres?",
                "B counts: another question has to be answered too",
            ],
        ),
    ],
    ids=["cable", "nothing", "power", "not known", "one reading", "a run less", "still asked"],
)
def test_what_differs_is_told(readings: Mapping[str, Job | None], told: list[str]) -> None:
    assert leads_to(readings) == told


def outcomes(readings: Mapping[str, Job | None]) -> list[str]:
    choices = tuple(Choice(answer=name, leads_to="so read", reading=each) for name, each in readings.items())
    one = Question(id="length-00000000", sentence="which?", choices=choices)
    (asked,) = audit(replace(job([]), questions=(one,)), profile()).questions
    return [choice.outcome for choice in asked.choices]


def test_the_outcome_alone_is_short() -> None:
    assert outcomes({"A": LONG, "B": SHORT}) == [
        "C1.1 holds 1,266 ft of cable and fails",
        "C1.1 holds 810 ft of cable and passes",
    ]
    assert outcomes({"A": closed(NEXT), "B": None}) == ["then another question is asked", "so read"]


def test_behind_the_next_question_stands_what_its_likeliest_answer_leads_to() -> None:
    choice = Choice(answer="A", leads_to="so read", reading=closed(NEXT), next_answer="ft", next_reading=LONG)
    one = Question(
        id="length-00000000", sentence="which?", choices=(choice, Choice(answer="B", leads_to="no"))
    )
    (asked,) = audit(replace(job([]), questions=(one,)), profile()).questions
    told = "with 'ft' C1.1 holds 1,266 ft of cable and fails"
    assert asked.choices[0].leads_to == f"so read: then it is asked: feet or metres?; {told}"
    assert asked.choices[0].outcome == f"then another question is asked; {told}"


def test_a_question_is_a_finding_too_and_both_have_its_id() -> None:
    one = Question(
        id="length-00000000",
        sentence="which?",
        choices=tuple(Choice(answer=each, leads_to=f"{each} counts") for each in "AB"),
        where=SHORT.pulls[0].where,
    )
    remark = Remark(
        rule="unreadable-value", level="review", subject="x", message="which? A is read", question=one
    )
    data = record(audit(replace(SHORT, remarks=(remark,), questions=(one,)), profile()))
    assert data["questions"] == [
        {
            "id": "length-00000000",
            "sentence": "which?",
            "choices": [{"answer": "A", "leads_to": "A counts"}, {"answer": "B", "leads_to": "B counts"}],
            "answered": None,
            "sheet": "Pulls",
            "cell": "A2",
        }
    ]
    assert [finding["level"] for finding in data["findings"] if finding["question"] == one.id] == ["review"]

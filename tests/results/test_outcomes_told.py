"""By which run and which figure an answer is told, and what is told where other questions are open."""

import re
from dataclasses import replace

import pytest

from auditor.audit import audit
from auditor.job.model import Choice, Job, Question, Remark
from auditor.results.audit_result import ChoiceResult
from tests.builders import SPEC, device, job, profile, pull

NEXT = Question(id="unit-00000001", sentence="feet or metres?", choices=())
AGAIN = Question(id="length-00000000", sentence="which?", choices=())


def asks(question: Question | None, a_job: Job, *, closes: bool = False) -> Job:
    remark = Remark(
        rule="unreadable-value", level="note", subject="x", message="m", closes=closes, question=question
    )
    return replace(a_job, remarks=(remark,))


def choices_of(*choices: Choice) -> tuple[ChoiceResult, ...]:
    one = replace(AGAIN, choices=choices)
    (asked,) = audit(replace(job([]), questions=(one,)), profile()).questions
    return asked.choices


def told(*readings: Job | None) -> list[str]:
    """The outcome of each reading beside the others."""
    return [
        each.outcome
        for each in choices_of(
            *(
                Choice(answer=name, leads_to="so read", reading=one)
                for name, one in zip("ABC", readings, strict=False)
            )
        )
    ]


def runs(first_ft: float | None, second_ft: float | None = 20, *, cross_ft: float | None = None) -> Job:
    """C1.1 feeds K1 and C1.2 feeds K2; a run past 1,000 ft fails, one past 900 ft is to review."""
    return job([pull("C1.1", "K1", first_ft), pull("C1.2", "K2", second_ft, mains_parallel_m=cross_ft)])


ONE_MORE = job([*runs(100).pulls, pull("C2.1", "K3", 30)])


@pytest.mark.parametrize(
    ("one", "other", "of_one", "of_other"),
    [
        (
            job([pull("C1.1", "K1", 100)], [device("K1")]),
            job([pull("C1.1", "K1", 100)], [device("K1", 0.05, quantity=2)]),
            "C1.1 has 1 device and passes",
            "C1.1 has 2 devices and passes",
        ),
        (
            job([pull("C1.1", "K1", 100), pull("C1.1", "K2", 50)]),
            job([pull("C1.1", "K1", 75), pull("C1.1", "K2", 75)]),
            "C1.1 reaches 100 ft and passes",
            "C1.1 reaches 75 ft and passes",
        ),
        (
            job([pull("C1.1", "K1", 100)], [device("K1", None)]),
            job([pull("C1.1", "K1", 100)], [device("K1", 1.25)]),
            "the power of C1.1 is not known, it is to review",
            "C1.1 draws 1.2 W and passes",
        ),
        (
            runs(100),
            runs(100, cross_ft=0.001),
            "C1.2 passes",
            "C1.2 fails",
        ),
        (
            job([pull("PANEL", "K1", 100, id="A")], head_ends=["PANEL"]),
            job([pull("PANEL", "K1", 200, id="A")], head_ends=["PANEL"]),
            "branch A holds 100 ft of cable and passes",
            "branch A holds 200 ft of cable and passes",
        ),
    ],
    ids=["devices", "reach", "power", "verdict", "branch"],
)
def test_the_first_figure_that_differs_is_told(one: Job, other: Job, of_one: str, of_other: str) -> None:
    assert told(one, other) == [of_one, of_other]
    assert told(other, one) == [of_other, of_one]


def test_the_lowest_voltage_is_told_to_two_places_or_as_not_known() -> None:
    """With 3 W far away and 2 W near the port the voltage is lower than the other way round."""
    pulls = [pull("C1.1", "K1", 30), pull("K1", "K2", 310)]
    far, near = (job(pulls, [device("K1", a), device("K2", b)]) for a, b in ((2.0, 3.0), (3.0, 2.0)))
    thin = replace(far, cables={"CAB": replace(SPEC, area_mm2=0.02, gauge=None)})
    low, high = told(far, near)
    figures = [re.fullmatch(r"C1\.1 falls to (2\d\.\d\d) V and passes", each) for each in (low, high)]
    assert all(figures)
    assert float(figures[0][1]) < float(figures[1][1])  # type: ignore[index]
    assert told(far, thin)[1] == "the lowest voltage of C1.1 is not known, it fails"


# --- which run ----------------------------------------------------------------------------------------


def test_of_one_reading_the_worst_run_is_told_by_its_cable() -> None:
    assert told(runs(100, 1256), None)[0] == "C1.2 holds 1,256 ft of cable and fails"
    assert told(runs(1256, 100), None)[0] == "C1.1 holds 1,256 ft of cable and fails"


def test_how_many_other_runs_fail() -> None:
    assert told(runs(1100, 1256), runs(1100, 20)) == [
        "C1.2 holds 1,256 ft of cable and fails, 2 of 2 runs fail",
        "C1.2 holds 20 ft of cable and passes, 1 of 2 runs fail",
    ]
    assert told(runs(1100), runs(1100)) == ["no figure changes, 1 of 2 runs fail"] * 2


def test_of_runs_that_differ_the_worst_in_any_reading_is_told_of_each() -> None:
    assert told(runs(100, 300), runs(1256, 400)) == [
        "C1.1 holds 100 ft of cable and passes",
        "C1.1 holds 1,256 ft of cable and fails",
    ]
    assert told(runs(100, 300), runs(120, 1256)) == [
        "C1.2 holds 300 ft of cable and passes",
        "C1.2 holds 1,256 ft of cable and fails",
    ]


def test_a_run_that_is_there_is_told_before_one_that_is_not() -> None:
    failing = replace(ONE_MORE, pulls=(*ONE_MORE.pulls[:2], pull("C2.1", "K3", 1256)))
    assert told(runs(120), failing)[0] == "C1.1 holds 120 ft of cable and passes"
    assert told(runs(100), ONE_MORE) == [
        "there is no run C2.1, no run fails",
        "C2.1 holds 30 ft of cable and passes",
    ]
    assert told(runs(1100), replace(ONE_MORE, pulls=(runs(1100).pulls[0], *ONE_MORE.pulls[1:])))[0] == (
        "there is no run C2.1, 1 of 2 runs fail"
    )


def test_of_three_readings_one_that_differs_is_enough() -> None:
    assert told(runs(100), runs(100), runs(200)) == [
        "C1.1 holds 100 ft of cable and passes",
        "C1.1 holds 100 ft of cable and passes",
        "C1.1 holds 200 ft of cable and passes",
    ]


def test_a_reading_without_runs_is_no_other_one_to_compare_with() -> None:
    empty = job([])
    assert told(runs(100), empty) == ["C1.1 holds 100 ft of cable and passes", "no run is found"]
    assert told(runs(100), runs(100), empty)[:2] == ["no figure changes, no run fails"] * 2


# --- open questions -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("question", "closes", "outcome"),
    [
        (NEXT, True, "then another question is asked"),
        (AGAIN, True, "another question has to be answered too"),
        (None, True, "no run is found"),
        (NEXT, False, "no run is found"),
    ],
)
def test_a_reading_that_finds_no_run_tells_the_question_that_closes_it(
    question: Question | None, closes: bool, outcome: str
) -> None:
    assert told(asks(question, job([]), closes=closes), None)[0] == outcome


def test_where_no_figure_changes_a_question_that_comes_up_is_told() -> None:
    both = choices_of(
        Choice(answer="A", leads_to="A counts", reading=asks(NEXT, runs(100))),
        Choice(answer="B", leads_to="B counts", reading=asks(AGAIN, runs(100))),
        Choice(answer="C", leads_to="C counts", reading=asks(None, runs(100))),
    )
    assert [each.leads_to for each in both] == [
        "A counts: then it is asked: feet or metres?",
        "B counts: no figure changes, no run fails",
        "C counts: no figure changes, no run fails",
    ]


def test_where_a_figure_changes_it_is_told_before_a_question() -> None:
    assert told(asks(NEXT, runs(100)), runs(200))[0] == "C1.1 holds 100 ft of cable and passes"
    assert told(asks(NEXT, runs(100)), None)[0] == "C1.1 holds 100 ft of cable and passes"


def test_a_next_answer_that_leads_to_no_run_is_not_told() -> None:
    closed = asks(NEXT, job([]), closes=True)
    (first, _) = choices_of(
        Choice(answer="A", leads_to="so read", reading=closed, next_answer="ft", next_reading=job([])),
        Choice(answer="B", leads_to="no"),
    )
    assert (first.outcome, first.leads_to) == (
        "then another question is asked",
        "so read: then it is asked: feet or metres?",
    )


def test_a_next_answer_is_told_only_where_the_question_comes_up() -> None:
    choice = Choice(
        answer="A", leads_to="so read", reading=runs(100), next_answer="ft", next_reading=runs(200)
    )
    (first, _) = choices_of(choice, Choice(answer="B", leads_to="no"))
    assert first.outcome == "C1.1 holds 100 ft of cable and passes"


def test_an_answer_with_which_nothing_can_be_read_says_so() -> None:
    first, second = choices_of(
        Choice(answer="A", leads_to="a layout says which", tried=False), Choice(answer="B", leads_to="no")
    )
    assert (first.leads_to, first.outcome, first.tried) == (
        "a layout says which",
        "a layout says which",
        False,
    )
    assert second.tried

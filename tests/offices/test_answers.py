"""Offices that are asked about: few answers make them right, each choice does what it says, and none is a crash."""

from functools import cache

import pytest

from auditor.errors import UnusableFileError
from auditor.intake import read_jobs
from auditor.intake.asking.questions import NONE
from auditor.job.model import Job
from tests.offices.answers import MOST_ANSWERS, Reached, reached
from tests.offices.judge import ASKED, RIGHT
from tests.offices.office import Office, office

SEEDS = range(7000, 7032)
LEAST_RIGHT = 0.85  # of these offices after two answers
PARTS = 8


@cache
def seen(part: int) -> tuple[tuple[Office, Reached], ...]:
    made = [office(seed) for seed in SEEDS[part::PARTS]]
    return tuple((each, reached(each)) for each in made)


def test_two_answers_make_nearly_all_of_them_right() -> None:
    everything = [each for part in range(PARTS) for _, each in seen(part)]
    right = [each for each in everything if each.needed is not None]
    unasked = [each for each in right if each.kind == RIGHT]
    assert len(right) >= LEAST_RIGHT * len(everything)
    assert len(right) > len(unasked)


@pytest.mark.parametrize("part", range(PARTS))
def test_each_choice_leads_to_the_reading_that_was_built_for_it(part: int) -> None:
    for made, found in seen(part):
        if found.kind == ASKED:
            for job in read_jobs(made.data, made.name):
                _lead_to_what_was_built(made, job)


def _lead_to_what_was_built(made: Office, job: Job) -> None:
    for one in job.questions:
        for choice in one.choices:
            if choice.reading is not None:
                jobs = read_jobs(made.data, made.name, answers={one.id: choice.answer})
                (own,) = [each for each in jobs if each.part == job.part]
                assert (own.pulls, own.devices, own.ports) == (
                    choice.reading.pulls,
                    choice.reading.devices,
                    choice.reading.ports,
                )


@pytest.mark.parametrize("part", range(PARTS))
def test_answers_that_contradict_each_other_are_no_crash(part: int) -> None:
    """The last choices of all questions at once, and the choices of one question given to another."""
    for made, found in seen(part):
        if found.kind != ASKED:
            continue
        jobs = read_jobs(made.data, made.name)
        questions = [one for job in jobs for one in job.questions]
        texts = [choice.answer for one in questions for choice in one.choices] or ["no answer"]
        for shift in range(min(len(texts), 6)):
            answers = {one.id: texts[(number + shift) % len(texts)] for number, one in enumerate(questions)}
            _read_or_refused(made, answers)
            _read_or_refused(made, {f"other-{number}": text for number, text in enumerate(texts[shift:])})


def _read_or_refused(made: Office, answers: dict[str, str]) -> None:
    try:
        jobs = read_jobs(made.data, made.name, answers=answers)
    except UnusableFileError:
        jobs = []  # «none of them» is among the answers
        assert NONE in answers.values()
    assert all(job.pulls or any(remark.level == "review" for remark in job.remarks) for job in jobs)


def test_no_more_answers_are_given_than_a_person_would_give() -> None:
    assert {each.needed for part in range(PARTS) for _, each in seen(part)} <= {
        None,
        *range(MOST_ANSWERS + 1),
    }

"""What the gate asks has answers that open it, and one that mends the job mends it."""

import itertools
from dataclasses import replace

import pytest

from auditor.intake.fit.doubt import YES
from auditor.intake.fit.doubts import FROM_PORT, ONCE, SPLICES, START
from auditor.intake.fit.gate import gated
from auditor.job.model import Job, Question
from auditor.units import m_from_ft
from tests.builders import device, job, pull
from tests.intake.fit.test_gate import LENGTHS_FT, MISREAD, read_as, rows


def question_of(job: Job) -> Question:
    (one,) = (remark.question for remark in job.remarks if remark.question)
    return one


def answered(job: Job, *words: str) -> Job:
    """The job once each question is answered with the first of the words with which a choice begins."""
    answers: dict[str, str] = {}
    while closing := [one.question for one in gated(job, (), answers).remarks if one.level == "review"]:
        (one,) = closing
        assert one is not None
        assert one.id not in answers
        answers[one.id] = next(
            c.answer for word in words for c in one.choices if c.tried and c.answer.startswith(word)
        )
    return gated(job, (), answers)


@pytest.mark.parametrize("what", MISREAD)
def test_what_closes_the_gate_has_answers_that_say_what_they_do(what: str) -> None:
    make, said = MISREAD[what]
    one = question_of(gated(read_as(make())))
    assert said in one.sentence
    assert one.sentence.endswith("?")
    assert 2 <= len(one.choices) <= 5
    assert len({choice.answer for choice in one.choices}) == len(one.choices)
    assert all(choice.leads_to for choice in one.choices)


@pytest.mark.parametrize("what", MISREAD)
def test_the_reading_that_is_confirmed_is_judged_as_it_is(what: str) -> None:
    read = read_as(MISREAD[what][0]())
    opened = answered(read, YES, "neither", "CAB is an end", "of its own pull")
    assert (opened.pulls, opened.devices, opened.splices) == (read.pulls, read.devices, read.splices)
    assert opened.remarks
    assert {remark.level for remark in opened.remarks} == {"note"}


def test_a_list_that_was_read_twice_is_counted_once() -> None:
    twice = read_as([*rows(), *(replace(p, id=f"{p.id} again") for p in rows())])
    assert [pull.id for pull in answered(twice, ONCE).pulls] == [pull.id for pull in rows()]


def test_lengths_that_count_from_the_port_are_what_each_pull_adds() -> None:
    per_chain = len(LENGTHS_FT)
    counted = [
        replace(p, length_m=m_from_ft(sum(LENGTHS_FT[: number % per_chain + 1])))
        for number, p in enumerate(rows())
    ]
    found = [pull.length_m for pull in answered(read_as(counted), FROM_PORT).pulls]
    assert found == pytest.approx([pull.length_m for pull in rows()])
    falling = [replace(counted[0], length_m=1e3), *counted[1:]]
    assert answered(read_as(falling), FROM_PORT).pulls[1].length_m is None


def test_ends_in_no_list_may_be_splices() -> None:
    strange = read_as([replace(p, far=f"Room {i}") for i, p in enumerate(rows())])
    found = answered(strange, SPLICES, YES)
    assert {f"Room {number}" for number in range(len(rows()))} <= found.splices


def test_ends_without_a_list_of_devices_may_all_be_splices() -> None:
    found = answered(replace(read_as(rows()), devices=()), SPLICES)
    assert len(found.pulls) == len(rows())
    assert {pull.far for pull in rows()} <= found.splices


def test_lengths_that_rise_on_every_branch_have_the_same_answers() -> None:
    ends = ["C1.1", *(f"K{number}" for number in range(1, 7))]
    chain = [pull(*hop, length_m=10.0 * n) for n, hop in enumerate(itertools.pairwise(ends), 1)]
    read = job(chain, [device(end) for end in ends[1:]])
    assert [each.length_m for each in answered(read, FROM_PORT).pulls] == [10.0] * len(chain)
    assert answered(read, "of its own pull").pulls == read.pulls


def test_an_end_may_be_where_the_runs_start() -> None:
    ends = [f"K{number}" for number in range(1, 8)]
    chain = [pull("RACK", end) for end in ends[:3]] + [pull(*hop) for hop in itertools.pairwise(ends[2:])]
    read = job(chain, [device(end) for end in ends], splices=["RACK"])
    assert not read.ports
    found = answered(read, f"{START}RACK")
    assert (found.head_ends, found.splices) == (frozenset({"RACK"}), frozenset())

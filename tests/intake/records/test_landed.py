"""Which pulls are laid but not joined: said by the status, or by a clear note, never by a word in passing."""

import pytest

from auditor.intake import read_job
from auditor.job.model import CellRef, Job
from tests.intake.workbooks import PULLS, job_workbook


def job_with(heading: str, text: object) -> Job:
    pulls = [[*PULLS[0], heading], [*PULLS[1], text], *PULLS[2:]]
    return read_job(job_workbook(pulls=pulls), "a.xlsx")


@pytest.mark.parametrize(
    "text",
    [
        "spare", "Spare return", "Spare return, do not terminate", "SPARE - coiled", "not landed", "Unlanded", "leave unlanded", "do not land",
        "Do not terminate at C1", "Return to C1.1; leave unlanded", "spare return of P2", "réserve", "nicht aufgelegt", "sin conectar",
    ],
)  # fmt: skip
def test_a_clear_note_is_taken_and_said_with_its_cell(text: str) -> None:
    job = job_with("Notes", text)
    assert [pull.landed for pull in job.pulls] == [False, True, True]
    assert [(r.level, r.subject, r.message, r.where) for r in job.remarks] == [
        ("note", "P1", f"P1 is taken as laid but not joined: its note says {text!r}", CellRef("Pulls", 2, 6))
    ]


@pytest.mark.parametrize(
    "text",
    [
        "not a spare return", "run beside spare return of floor 2", "Spare 2 m of slack at each end", "no spare", "do not leave unlanded",
        "spare parts in the rack", "is not to be left unlanded", "Reserve 2 m at each end",
    ],
)  # fmt: skip
def test_a_word_in_passing_unlands_nothing(text: str) -> None:
    job = job_with("Notes", text)
    assert [pull.landed for pull in job.pulls] == [True, True, True]
    assert [(r.level, r.where) for r in job.remarks] in ([], [("note", CellRef("Pulls", 2, 6))])


@pytest.mark.parametrize(
    "text", ["spare return", "Spare", "not landed", "do not terminate", "Spare - unlanded", "Reserve"]
)
def test_a_status_unlands_without_more_ado(text: str) -> None:
    job = job_with("Status", text)
    assert (job.pulls[0].landed, job.remarks) == (False, ())


@pytest.mark.parametrize(
    "text", ["landed", "Both ends landed", "Terminated", "new", "connected", "-", "OK", "yes"]
)
def test_a_status_that_says_landed(text: str) -> None:
    job = job_with("Status", text)
    assert (job.pulls[0].landed, job.remarks) == (True, ())


@pytest.mark.parametrize("text", ["hold", "not a spare return", "beside spare return"])
def test_a_status_that_is_not_known_is_for_review(text: str) -> None:
    job = job_with("Status", text)
    assert job.pulls[0].landed
    assert [(r.rule, r.level, r.message, r.where) for r in job.remarks] == [
        (
            "unreadable-value",
            "review",
            f"the status {text!r} is not known, the pull is taken as landed; write 'landed' or 'spare return'",
            CellRef("Pulls", 2, 6),
        )
    ]


@pytest.mark.parametrize("text", ["future", "Existing"])
def test_a_status_of_rows_that_may_be_another_job_s_is_one_question(text: str) -> None:
    pulls = [[*PULLS[0], "Status"], *([*row, text] for row in PULLS[1:])]
    for job in (job_with("Status", text), read_job(job_workbook(pulls=pulls), "a.xlsx")):
        (asked,) = job.remarks
        assert (asked.level, asked.where) == ("review", CellRef("Pulls", 2, 6))
        assert f"marked {text!r}: " in asked.message
        assert all(pull.landed for pull in job.pulls)


def test_one_remark_for_a_word_that_many_rows_hold() -> None:
    pulls = [[*PULLS[0], "Status"], *([*row, "hold"] for row in PULLS[1:])]
    remarks = read_job(job_workbook(pulls=pulls), "a.xlsx").remarks
    assert [(r.message, r.where) for r in remarks] == [
        (
            "the status 'hold' of 3 rows is not known, the pulls are taken as landed; write 'landed' or 'spare return'",
            CellRef("Pulls", 2, 6),
        )
    ]


@pytest.mark.parametrize(
    ("heading", "text", "landed"),
    [("Landed", "no", False), ("Landed", "x", True), ("Spare", "yes", False), ("Spare", "no", True)],
)
def test_a_column_of_yes_and_no(heading: str, text: str, landed: bool) -> None:
    job = job_with(heading, text)
    assert (job.pulls[0].landed, job.remarks) == (landed, ())


def test_a_purpose_is_no_status() -> None:
    assert job_with("Purpose", "lighting bus").remarks == ()


def test_a_status_against_a_note_is_for_review() -> None:
    pulls = [[*PULLS[0], "Status", "Notes"], [*PULLS[1], "landed", "spare return"], *PULLS[2:]]
    job = read_job(job_workbook(pulls=pulls), "a.xlsx")
    assert (job.pulls[0].landed, [(r.level, r.where) for r in job.remarks]) == (
        False,
        [("review", CellRef("Pulls", 2, 7))],
    )

"""Blank ends of pulls in a list of devices with their feeds."""

from typing import Any

from auditor.intake import read_job
from auditor.job.model import Job
from tests.intake.workbooks import workbook

HEADS = ["Point", "W", "Fed from", "Mark at start", "Mark at end", "Length (m)"]
ROWS: list[list[Any]] = [
    ["K1", 0.35, "C1.1", 500, 477, 23],
    ["S1", 0.25, None, 477, 454, 23],
    ["S2", 0.25, None, 454, 434, 20],
    ["S3", 0.25, "S1", 300, 286, 14],
    ["S4", 0.25, None, 286, 270, 16],
]


def job_of(rows: list[list[Any]]) -> Job:
    return read_job(workbook({"List": rows}), "a.xlsx")


def test_marks_that_go_on_say_that_a_blank_is_the_device_above() -> None:
    job = job_of([HEADS, *ROWS])
    near = {pull.far: pull.near for pull in job.pulls}
    assert near == {"K1": "C1.1", "S1": "K1", "S2": "S1", "S3": "S1", "S4": "S3"}
    assert not any(remark.closes for remark in job.remarks)


def test_blanks_without_marks_are_asked_about() -> None:
    job = job_of([[row[i] for i in (0, 1, 2, 5)] for row in (HEADS, *ROWS)])
    (closing,) = (remark for remark in job.remarks if remark.closes)
    assert closing.question is not None
    assert "blank in 3 rows" in closing.message
    assert len(closing.question.choices) == 2

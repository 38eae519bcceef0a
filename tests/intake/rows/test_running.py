"""Distances from the port beside the lengths: they tell what a ditto mark means, and contradict ends."""

from collections.abc import Sequence
from typing import Any

import pytest

from auditor.intake import read_job
from auditor.job.model import Job
from tests.intake.workbooks import workbook

HEAD = ["Tag", "From", "Length (m)", "Distance from port (m)", "Power (W)"]


def job_of(*rows: Sequence[Any]) -> Job:
    return read_job(workbook({"List": [HEAD, *rows]}), "a.xlsx")


def feeds(job: Job) -> list[str]:
    return [pull.near for pull in job.pulls]


@pytest.mark.parametrize("mark", ['"', "do.", ""])
def test_marks_stand_for_the_row_above_where_only_so_the_distances_add_up(mark: str) -> None:
    rows = [["K1", "C1.1", 10, 10, 1], *([f"K{n}", mark, 10, 10 * n, 1] for n in range(2, 6))]
    assert feeds(job_of(*rows)) == ["C1.1", "K1", "K2", "K3", "K4"]


def test_marks_stand_for_the_same_end_where_the_distances_say_so() -> None:
    rows = [["K1", "C1.1", 10, 10, 1], *([f"K{n}", '"', 10 + n, 10 + n, 1] for n in range(2, 6))]
    assert feeds(job_of(*rows)) == ["C1.1"] * 5


def test_ends_that_the_distances_contradict_are_asked_about() -> None:
    chain = [["K1", "C1.1", 10, 10, 1], *([f"K{n}", "C1.1", 10, 10 * n, 1] for n in range(2, 7))]
    job = job_of(*chain)
    assert not job.pulls
    assert any(remark.closes and "adds up to" in remark.message for remark in job.remarks)


def test_a_few_wrong_distances_do_not_stop_the_job() -> None:
    chain = [[f"K{n}", f"K{n - 1}" if n > 1 else "C1.1", 10, 10 * n + (n == 9), 1] for n in range(1, 10)]
    assert len(job_of(*chain).pulls) == 9

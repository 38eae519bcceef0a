"""A row's total power against its quantity times the power of each."""

import pytest

from auditor.intake import read_job
from auditor.job.model import CellRef, Job, Remark
from tests.intake.workbooks import job_workbook


def job_of(*rows: tuple[object, object, object], total: str = "Total W") -> Job:
    devices = [["Tag", "Qty", "Watts each", total]]
    return read_job(job_workbook([*devices, *([f"K{i}", *row] for i, row in enumerate(rows, 1))]), "a.xlsx")


def reviews(job: Job) -> list[Remark]:
    return [remark for remark in job.remarks if remark.level == "review"]


def test_a_total_that_contradicts_quantity_times_power_is_for_review() -> None:
    assert reviews(job_of((1, 10, 10), (3, 2.5, 25))) == [
        Remark(
            rule="unreadable-value",
            level="review",
            subject="K2",
            message="the total of 25 W is not 3 x 2.5 W; correct one of them",
            where=CellRef("Devices", 3, 4),
        )
    ]


@pytest.mark.parametrize(
    "row",
    [
        (3, 2.5, 7.5),
        (3, 0.33, 1),
        (100, 1.01, 102),
        (None, 4, 4),
        (2, 1, None),
        (2, None, 10),
        (2, 1, "see note"),
        (1, 0.02, 0.07),
    ],
)
def test_agrees_is_rounded_or_cannot_be_compared(row: tuple[object, object, object]) -> None:
    job = job_of(row)
    assert reviews(job) == []
    assert job.devices[0].unread == ()


@pytest.mark.parametrize("row", [(1, 0.02, 0.08), (100, 1, 101.1), (None, 4, 8)])
def test_just_beyond_rounding(row: tuple[object, object, object]) -> None:
    assert [remark.subject for remark in reviews(job_of(row))] == ["K1"]


def test_a_quantity_that_cannot_be_read_is_not_taken_as_one() -> None:
    job = job_of((0, 0.3, 0))
    assert (reviews(job), [unread.field for unread in job.devices[0].unread]) == ([], ["quantity"])


def test_more_than_five_are_one_question() -> None:
    (only,) = reviews(job_of(*[(2, 10, 10)] * 6))
    assert only.where == CellRef("Devices", 1, 4)
    assert (
        only.message
        == "the total of 10 W is not 2 x 10 W in row 2, and so in 5 more rows; correct one of them"
    )
    assert len(reviews(job_of(*[(2, 10, 10)] * 5))) == 5


def test_totals_in_another_unit_are_compared_in_watts() -> None:
    assert reviews(job_of((2, 1, 2000), total="Total (mW)")) == []

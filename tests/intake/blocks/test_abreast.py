"""Tables that stand side by side under one row of headings."""

from collections.abc import Sequence
from typing import Any

from auditor.intake import read_job
from auditor.job.model import Job
from tests.intake.workbooks import workbook

Row = Sequence[Any]


def read(rows: Sequence[Row]) -> Job:
    return read_job(workbook({"Bus": rows}), "a.xlsx")


def pulls(job: Job) -> set[tuple[str, str, float | None]]:
    return {(pull.near, pull.far, pull.length_m) for pull in job.pulls}


FED = ["Device", "Fed from", "Metres", "W"]


def test_two_branches_beside_each_other_with_a_sum_below_each() -> None:
    below = [
        ["Cable type", "Gauge", "Cores", "Screen", "Notes"],
        ["BC", "16 AWG", 2, "unshielded", "stranded"],
    ]
    rows = [
        ["Branch 1", "", "", "", "", "Branch 2"],
        [*FED, "", *FED],
        ["K1", "C1.1", 10, 1, "", "T1", "K2", 30, 2],
        ["K2", "K1", 20, 1, "", "T2", "T1", 40, 2],
        ["K3", "K2", 25, 1, "", "Total", "", 70, 4],
        ["Total", "", 55, 3],
        [],
        *below,
    ]
    job = read(rows)
    assert pulls(job) == {
        ("C1.1", "K1", 10), ("K1", "K2", 20), ("K2", "K3", 25), ("K2", "T1", 30), ("T1", "T2", 40),
    }  # fmt: skip
    totals = [remark.message for remark in job.remarks if "own total" in remark.message]
    assert len(totals) == 2
    assert all(message.endswith("agrees with the rows read") for message in totals)


def test_groups_of_headings_that_come_again_without_a_gap() -> None:
    head = ["From", "To", "m"]
    rows = [[*head, *head], ["C1.1", "K1", 10, "C1.2", "T1", 30], ["K1", "K2", 20, "T1", "T2", 40]]
    assert pulls(read(rows)) == {("C1.1", "K1", 10), ("K1", "K2", 20), ("C1.2", "T1", 30), ("T1", "T2", 40)}

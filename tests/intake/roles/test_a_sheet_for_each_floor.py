"""One list a floor, under headings that are not all the same."""

from typing import Any

from auditor.intake import read_job
from auditor.job.model import Job
from tests.intake.workbooks import workbook

HEADS = ["Room", "Device", "Fed from", "Length (m)", "Power (mW)"]
FIRST = [
    HEADS,
    ["101", "101-P", "C1.1", 25, 300],
    ["101", "101-T", "101-P", 7, 500],
    ["102", "102-P", "101-P", 9, 300],
    ["102", "102-T", "102-P", 4, 500],
]
GROUND: list[list[Any]] = [
    ["Desk", "REC-P", "C1.2", 24, 300],
    ["Bar", "BAR-P", "REC-P", 11, 300],
    ["Bar", "BAR-T", "BAR-P", 7, 500],
    ["Store", "STO-S", "BAR-P", 10, 250],
]


def job_of(second: list[list[Any]]) -> Job:
    return read_job(workbook({"First": FIRST, "Ground": second}), "a.xlsx")


def test_a_floor_whose_tags_hold_no_digit_is_read() -> None:
    job = job_of([["Zone", *HEADS[1:]], *GROUND])
    assert [device.tag for device in job.devices][4:] == [row[1] for row in GROUND]
    assert not any(remark.closes for remark in job.remarks)


def test_a_floor_that_is_headed_as_the_others_and_not_read_is_asked_about() -> None:
    nameless = [[room, "sensor", None, length, power] for room, _, _, length, power in GROUND]
    job = job_of([["Zone", *HEADS[1:]], *nameless])
    (closing,) = (remark for remark in job.remarks if remark.closes)
    assert closing.where is not None
    assert closing.where.sheet == "Ground"

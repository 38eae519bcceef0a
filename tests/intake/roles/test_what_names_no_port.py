"""Columns that look like ports, ends or places on a port and are none."""

from typing import Any

from auditor.intake import read_job
from auditor.job.model import Job
from tests.intake.workbooks import workbook

TAGS = ["D001", "D002", "D003", "D004", "D005", "D006"]
DEVICES: list[list[Any]] = [["Tag", "Power (W)"], *([tag, 0.5] for tag in TAGS)]


def job_of(rows: list[list[Any]], devices: list[list[Any]] = DEVICES) -> Job:
    return read_job(workbook({"Pulls": rows, "Devices": devices}), "a.xlsx")


def test_hops_to_the_previous_one_make_a_chain_on_one_port() -> None:
    rows = [["Port", "Drop no.", "Tag", "To previous (ft)"]]
    rows += [["RACK-1_P1", number, tag, 10 + number * 13 % 30] for number, tag in enumerate(TAGS, 1)]
    job = job_of(rows)
    assert [(pull.near, pull.far) for pull in job.pulls][1:3] == [("D001", "D002"), ("D002", "D003")]
    assert list(job.ports) == ["RACK-1.1"]


def test_a_finish_is_no_end() -> None:
    rows: list[list[Any]] = [["Mark", "Load (W)", "Fed from", "Length (ft)", "Finish"]]
    feeds = ["C1.1", "D001", "D002", "D002", "D004", "D004"]
    rows += [[tag, 0.5, near, 20, "black"] for tag, near in zip(TAGS, feeds, strict=True)]
    job = read_job(workbook({"Schedule": rows}), "a.xlsx")
    assert not any("black" in (pull.near, pull.far) for pull in job.pulls)


def test_remarks_before_the_number_on_a_port_name_no_port() -> None:
    rows: list[list[Any]] = [
        ["Length (m)", "Wire type", "Remarks", "Drop no.", "Panel", "Device", "Terminal"]
    ]
    remarks = ["see detail 4", "check on site"]
    rows += [
        [7, "BUS 2x1.5", remarks[n % 2], n % 3 + 1, "LCP-1", tag, 1 + n // 3] for n, tag in enumerate(TAGS)
    ]
    job = job_of(rows)
    assert not any("BUS" in port or "site" in port for port in job.ports)

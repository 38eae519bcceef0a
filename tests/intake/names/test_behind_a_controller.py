"""A port by any word behind a controller that a list names."""

import pytest

from auditor.intake import read_job
from auditor.job.model import Job
from tests.intake.workbooks import workbook


def job_of(words: str) -> Job:
    controllers = [["Controller", "Location", "Ports"], ["Q1", "Cellar", 2], ["Q2", "Attic", 2]]
    pulls = [
        ["From", "To", "Length (m)"],
        [f"Q1 {words} 1", "A-TE01", 10],
        ["A-TE01", "A-TE02", 12],
        [f"Q1 {words} 2", "B-TE01", 9],
        [f"Q2 {words} 1", "B-TE02", 8],
    ]
    devices = [["Tag", "Power (W)"], *([tag, 0.5] for tag in ("A-TE01", "A-TE02", "B-TE01", "B-TE02"))]
    return read_job(workbook({"Heads": controllers, "Devices": devices, "Pulls": pulls}), "a.xlsx")


@pytest.mark.parametrize("words", ["usc.", "leg", "way"])
def test_a_number_behind_a_listed_controller_is_its_port(words: str) -> None:
    job = job_of(words)
    assert sorted(job.ports) == ["Q1.1", "Q1.2", "Q2.1"]
    assert not any(remark.closes for remark in job.remarks)


def test_a_number_behind_a_listed_word_is_one_of_its_counted_ports() -> None:
    controllers = [["Controller", "Location", "Ports"], ["DOME", "Rack", 2], ["HUT", "Wall", 1]]
    pulls = [
        ["From", "To", "Length (m)"],
        ["DOME:1", "A1", 10],
        ["DOME:2", "A2", 12],
        ["HUT:1", "A3", 9],
        ["A3", "HUT-7", 9],
    ]
    devices = [["Tag", "Power (W)"], *([tag, 0.5] for tag in ("A1", "A2", "A3", "HUT-7"))]
    job = read_job(workbook({"Heads": controllers, "Devices": devices, "Pulls": pulls}), "a.xlsx")
    assert sorted(job.ports) == ["DOME.1", "DOME.2", "HUT.1"]
    assert job.pulls[-1].far == "HUT-7"

"""A column of numbers under the same text as its end names the port, whatever its own word is."""

import pytest

from auditor.intake import read_job
from tests.intake.workbooks import workbook


@pytest.mark.parametrize("word", ["Point", "Spot"])
def test_points_of_a_controller_are_its_ports(word: str) -> None:
    pulls = [
        ["", "FROM", "", "TARGET", "", ""],
        ["Pull", "Tag", word, "Tag", word, "Distance (ft)"],
        ["P-1", "C1", 1, "KP-101", "X1", 25],
        ["P-2", "KP-101", "X2", "KP-102", "X1", 55],
        ["P-3", "C1", 2, "KP-103", "X1", 49],
        ["P-4", "KP-103", "X2", "KP-104", "X1", 58],
    ]
    devices = [["Tag", "Power (W)"], *([f"KP-10{number}", 0.5] for number in range(1, 5))]
    job = read_job(workbook({"Pulls": pulls, "Devices": devices}), "a.xlsx")
    assert sorted(job.ports) == ["C1.1", "C1.2"]

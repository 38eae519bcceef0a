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


def test_a_slip_at_a_device_s_terminal_is_no_port_of_a_head_end() -> None:
    pulls = [
        ["Origin tag", "From port", "Destination device", "To terminal", "Length (ft)"],
        ["PNL-1", "bus 1", "rl/1/01", "A", 30],
        ["rl/1/01", "B", "dm/1/02", "A", 11],
        ["dm/1/02", "B", "dm/1/2i", "A", 12],
        ["PNL-1", "bus 2", "rl/1/03", "A", 31],
    ]
    tags = ["RL/1/01", "DM/1/02", "RL/1/03", "DM/1/21"]
    devices = [["Tag", "Power (W)"], *([tag, 0.5] for tag in tags)]
    job = read_job(workbook({"Pulls": pulls, "Devices": devices}), "a.xlsx")
    assert not [port for port in job.ports if "dm" in port]

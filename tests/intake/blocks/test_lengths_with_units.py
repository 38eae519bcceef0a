"""Ports as columns whose lengths carry their unit: a length in the first row is no heading of those below it."""

from auditor.intake import read_job
from tests.intake.workbooks import workbook


def test_the_first_device_below_each_port_is_read() -> None:
    pulls = [
        ["C1_P1", "", "C1_P2", ""],
        ["Device", "Section", "Device", "from previous"],
        ["KP01", "16.5 m", "KP04", "17 m"],
        ["KP02", "5.5 m", "KP05", "4 m"],
        ["KP03", "10.5 m", "KP06", "16 m"],
    ]
    devices = [["Tag", "Power (W)"], *([f"KP0{number}", 0.5] for number in range(1, 7))]
    job = read_job(workbook({"Pulls": pulls, "Devices": devices}), "a.xlsx")
    assert [(pull.near, pull.far) for pull in job.pulls] == [
        ("C1.1", "KP01"),
        ("KP01", "KP02"),
        ("KP02", "KP03"),
        ("C1.2", "KP04"),
        ("KP04", "KP05"),
        ("KP05", "KP06"),
    ]
    assert [pull.length_m for pull in job.pulls] == [16.5, 5.5, 10.5, 17, 4, 16]

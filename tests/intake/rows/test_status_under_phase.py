"""A phase or a building as a heading over the rows' status: what is deleted does not count."""

import pytest

from auditor.intake import read_job
from tests.intake.workbooks import workbook

PULLS = [
    ["From", "To", "Length (m)"],
    ["C1.1", "KP-1", 10],
    ["KP-1", "KP-2", 12],
    ["KP-2", "KP-3", 8],
]


@pytest.mark.parametrize("word", ["DELETED", "void", "superseded"])
def test_a_device_deleted_by_its_phase_is_left_out(word: str) -> None:
    devices = [
        ["Tag", "Power (W)", "Phase"],
        *([f"KP-{number}", 0.5, ""] for number in (1, 2, 3)),
        ["SH-990", 0.5, word],
    ]
    job = read_job(workbook({"Devices": devices, "Pulls": PULLS}), "a.xlsx")
    assert [device.tag for device in job.devices] == ["KP-1", "KP-2", "KP-3"]


def test_a_pull_deleted_by_its_phase_is_left_out() -> None:
    devices = [["Tag", "Power (W)"], *([f"KP-{number}", 0.5] for number in (1, 2, 3))]
    pulls = [[*PULLS[0], "Phase"], *([*row, ""] for row in PULLS[1:]), ["KP-3", "SH-990", 9, "DELETED"]]
    job = read_job(workbook({"Devices": devices, "Pulls": pulls}), "a.xlsx")
    assert [pull.far for pull in job.pulls] == ["KP-1", "KP-2", "KP-3"]


def test_the_names_of_phases_leave_nothing_out() -> None:
    devices = [
        ["Tag", "Power (W)", "Phase"],
        ["KP-1", 0.5, "Phase 1"],
        ["KP-2", 0.5, "Phase 1"],
        ["KP-3", 0.5, "Phase 2"],
    ]
    job = read_job(workbook({"Devices": devices, "Pulls": PULLS}), "a.xlsx")
    assert len(job.devices) == 3

"""Rows of sums that say so in one word."""

import pytest

from auditor.intake import read_job
from tests.intake.workbooks import PULLS, workbook


@pytest.mark.parametrize("word", ["All", "Alle", "Tous", "Todos", "Tutti", "Alles"])
def test_a_row_for_all_devices_is_none(word: str) -> None:
    devices = [["Tag", "Room", "Power (W)"], ["K1", "Hall", 0.8], ["K2", "Bar", 1.2], ["T3", "Gym", 0.5]]
    job = read_job(workbook({"Devices": [*devices, [word, None, 2.5]], "Pulls": PULLS}), "a.xlsx")
    assert [device.tag for device in job.devices] == ["K1", "K2", "T3"]
    assert any("row 5 left out: totals" in remark.message for remark in job.remarks)

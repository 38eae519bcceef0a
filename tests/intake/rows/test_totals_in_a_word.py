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


@pytest.mark.parametrize("label", ["All points", "Bus load", "Fern House and yard"])
def test_a_row_that_adds_up_the_rows_above_is_a_total(label: str) -> None:
    """Whatever its label says; its number is the sum and its name is unlike the tags."""
    devices = [["Point", "Room", "Draws (W)"], ["K1", "Hall", 0.8], ["K2", "Bar", 1.2], ["T3", "Gym", 0.5]]
    job = read_job(workbook({"Devices": [*devices, [label, None, 2.5]], "Pulls": PULLS}), "a.xlsx")
    assert [device.tag for device in job.devices] == ["K1", "K2", "T3"]


def test_a_device_that_draws_what_the_others_do_together_is_no_total() -> None:
    devices = [["Point", "Room", "Draws (W)"], ["K1", "Hall", 0.8], ["K2", "Bar", 1.2], ["T3", "Gym", 0.5]]
    job = read_job(workbook({"Devices": [*devices, ["T4", "Gym", 2.5]], "Pulls": PULLS}), "a.xlsx")
    assert [device.tag for device in job.devices] == ["K1", "K2", "T3", "T4"]

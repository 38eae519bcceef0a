"""Headings that come again within a list, without the text above several columns."""

from tests.intake.workbooks import job_of


def test_the_lower_row_of_a_heading_comes_again() -> None:
    devices = [
        ["", "", "Place", "", "Electrical"],
        ["Line", "Description", "Floor", "Tag", "Power (W)"],
        [1, "Keypad", "1", "KP-1", 0.3],
        [2, "Keypad", "1", "KP-2", 0.3],
        ["Line", "Description", "Floor", "Tag", "Power (W)"],
        [3, "Thermostat", "2", "TH-3", 0.6],
    ]
    pulls = [["From", "To", "Length (m)"], ["CPU-1.1", "KP-1", 9], ["KP-1", "KP-2", 8], ["KP-2", "TH-3", 7]]
    assert [device.tag for device in job_of({"Devices": devices, "Pulls": pulls}).devices] == ["KP-1", "KP-2", "TH-3"]  # fmt: skip

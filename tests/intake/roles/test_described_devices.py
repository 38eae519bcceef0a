"""Short tags that look like names of boxes: their description says that they are devices."""

from auditor.intake import read_job
from tests.intake.workbooks import workbook

PULLS = [
    ["From", "To", "Length (m)"],
    ["C1.1", "T1", 15],
    *([f"T{number}", f"T{number + 1}", 9] for number in range(1, 7)),
]


def test_tags_described_as_devices_are_no_boxes() -> None:
    devices = [
        ["Mark", "Description", "Floor", "Room", "Symbol"],
        *([f"T{number}", "Thermostat", "1", "Hall", "T3"] for number in range(1, 8)),
    ]
    kinds = [["Type", "Description", "Power (W)"], ["T3", "Thermostat", 0.5], ["T4", "Keypad", 0.8]]
    job = read_job(workbook({"Apparatus": devices, "Pulls": PULLS, "Types": kinds}), "a.xlsx")
    assert [device.tag for device in job.devices] == [f"T{number}" for number in range(1, 8)]


def test_names_described_as_boxes_stay_boxes() -> None:
    boxes = [
        ["Mark", "Description", "Room"],
        *([f"T{number}", "Junction box", "Hall"] for number in range(1, 8)),
    ]
    devices = [["Tag", "Power (W)"], ["KP-1", 0.5]]
    pulls = [*PULLS, ["T7", "KP-1", 5]]
    job = read_job(workbook({"Marks": boxes, "Pulls": pulls, "Devices": devices}), "a.xlsx")
    assert [device.tag for device in job.devices] == ["KP-1"]

"""A list without headings whose first row holds words that head lists elsewhere."""

from tests.intake.workbooks import ends_of, job_of

PULLS = [["From", "To", "Length (m)"], ["C1.1", "KP-101", 9], ["KP-101", "TH-102", 8], ["TH-102", "OS-103", 7], ["OS-103", "TH-104", 7]]  # fmt: skip
LEGEND = [
    ["Type", "Description", "Load (W)"],
    ["A", "Keypad", 0.3],
    ["C", "Thermostat", 0.6],
    ["D", "Sensor", 0.2],
]


def test_the_first_row_is_a_device_too() -> None:
    devices = [
        ["KP-101", "Keypad", "Level 1", "Office", "A"],
        ["TH-102", "Thermostat", "Level 1", "Office", "C"],
        ["OS-103", "Sensor", "Level 1", "Hall", "D"],
        ["TH-104", "Thermostat", "Level 1", "Hall", "C"],
    ]
    job = job_of({"Devices": devices, "Pulls": PULLS, "Legend": LEGEND})
    assert [device.power_w for device in job.devices] == [0.3, 0.6, 0.2, 0.6]
    assert len(ends_of(job)) == 4


def test_a_sheet_named_as_a_head_end_has_the_ports() -> None:
    devices = [["Tag", "Power (W)"], ["KP-101", 0.3], ["TH-102", 0.6], ["OS-103", 0.2]]
    pulls = [
        ["From", "To", "Length (m)"],
        ["line 1", "KP-101", 9],
        ["KP-101", "TH-102", 8],
        ["line 2", "OS-103", 7],
    ]
    assert sorted(job_of({"Devices": devices, "Head end A": pulls}).ports) == ["Head end A.1", "Head end A.2"]

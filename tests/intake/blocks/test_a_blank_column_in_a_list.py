"""A blank column that parts one list in two, its right part without names of its own."""

import itertools

from tests.intake.workbooks import ends_of, job_of


def test_what_feeds_stands_behind_a_blank_column() -> None:
    rows = [
        ["Device ID", "Description", "Room", "", "Power (W)", "Fed from", "Length (ft)", "Cable"],
        ["SH-101", "Shade motor", "Store", "", 0.6, "CPU-1.1", 17, "L2"],
        ["TH-102", "Thermostat", "Bar", "", 0.4, "SH-101", 20, "L2"],
        ["KP-103", "Keypad", "Bar", "", 0.3, "TH-102", 16, "L2"],
    ]
    job = job_of({"Bus": rows})
    assert ends_of(job) == [("CPU-1.1", "SH-101"), ("SH-101", "TH-102"), ("TH-102", "KP-103")]
    assert [device.power_w for device in job.devices] == [0.6, 0.4, 0.3]


def test_powers_stand_behind_a_blank_column_beside_initials() -> None:
    devices = [
        ["Tag", "Room", "Qty", "", "Power (W)", "By"],
        ["KP-1", "Hall", 1, "", 0.3, ""],
        ["KP-2", "Hall", 1, "", 0.4, "RM"],
        ["KP-3", "Bar", 1, "", 0.5, ""],
    ]
    pulls = [["From", "To", "Length (m)"], ["CPU-1.1", "KP-1", 9], ["KP-1", "KP-2", 8], ["KP-2", "KP-3", 7]]
    assert [device.power_w for device in job_of({"D": devices, "P": pulls}).devices] == [0.3, 0.4, 0.5]


def test_codes_behind_a_blank_column_are_no_tags_of_another_list() -> None:
    devices = [
        ["Device tag", "Description", "Storey", "", "Area", "Pcs", "Code"],
        ["SH_1", "Shade motor", 1, "", "Bar", 1, "SH-1"],
        ["SH_2", "Shade motor", 1, "", "Bar", 2, "SH-1"],
        ["SH_3", "Shade motor", 1, "", "Hall", 1, "SH-1"],
        ["TH_4", "Thermostat", 1, "", "Hall", 2, "TH-1"],
    ]
    ends = ["CPU-1.1", "SH_1", "SH_2", "SH_3", "TH_4"]
    pulls = [["From", "To", "Length (m)"], *([near, far, 9] for near, far in itertools.pairwise(ends))]
    legend = [["Code", "Description", "Load (mW)"], ["SH-1", "Shade motor", 180], ["TH-1", "Thermostat", 300]]
    job = job_of({"Devices": devices, "Pulls": pulls, "Types": legend})
    assert [(device.quantity, device.power_w) for device in job.devices] == [
        (1, 0.18),
        (2, 0.18),
        (1, 0.18),
        (2, 0.3),
    ]

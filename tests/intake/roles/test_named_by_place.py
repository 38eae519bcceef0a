"""Columns whose headings say something else, named by where they stand: a controller before its ports."""

import pytest

from tests.intake.workbooks import ends_of, job_of

DEVICES = [["Tag", "Power (W)"], ["KP-1", 0.3], ["KP-2", 0.3], ["TH-1", 0.6], ["TH-2", 0.6]]


@pytest.mark.parametrize("heading", ["Depot", "Head end", "Verteiler"])
def test_names_before_ports_where_no_near_end_stands_are_controllers(heading: str) -> None:
    pulls = [
        ["Pull", heading, "Output", "From device", "To device", "Length (m)"],
        ["W1", "Alpha", 1, "", "KP-1", 21],
        ["W2", "", "", "KP-1", "KP-2", 9],
        ["W3", "Alpha", 2, "", "TH-1", 33],
        ["W4", "", "", "TH-1", "TH-2", 12],
    ]
    job = job_of({"Devices": DEVICES, "Pulls": pulls})
    assert ends_of(job) == [("Alpha.1", "KP-1"), ("KP-1", "KP-2"), ("Alpha.2", "TH-1"), ("TH-1", "TH-2")]


@pytest.mark.parametrize(
    "headings",
    [
        ["Schrank", "Raum", "Ausgänge", "Speisung (W)"],
        ["Armoire", "Emplacement", "Ports", "Alimentation (W)"],
        ["Head end", "Location", "Ports", "Rating"],
    ],
)
def test_a_list_of_ports_names_its_controllers_first(headings: list[str]) -> None:
    panels = [headings, ["MCP-A", "Hall", 2, 35], ["MCP-B", "Bar", 2, 35]]
    pulls = [
        ["Device A", "Terminal A", "Device B", "Terminal B", "Length (m)"],
        ["MCP-A", "Output 1", "KP-1", "", 21],
        ["KP-1", "", "KP-2", "", 9],
        ["MCP-B", "Output 1", "TH-1", "", 33],
        ["TH-1", "", "TH-2", "", 12],
    ]
    job = job_of({"Devices": DEVICES, "Pulls": pulls, "Panels": panels})
    assert [device.tag for device in job.devices] == ["KP-1", "KP-2", "TH-1", "TH-2"]
    assert sorted(job.ports) == ["MCP-A.1", "MCP-B.1"]


def test_numbers_between_controller_and_port_are_slots() -> None:
    pulls = [
        ["Pull", "Panel", "Bay", "Output", "From device", "To device", "Length (m)"],
        ["W1", "Alpha-1", 1, 1, "", "KP-1", 21],
        ["W2", "", "", "", "KP-1", "KP-2", 9],
        ["W3", "Alpha-1", 2, 1, "", "TH-1", 33],
        ["W4", "", "", "", "TH-1", "TH-2", 12],
    ]
    job = job_of({"Devices": DEVICES, "Pulls": pulls})
    assert len(job.ports) == 2
    assert {pull.near for pull in job.pulls} == {*job.ports, "KP-1", "TH-1"}


def test_a_drawing_before_a_whole_port_is_no_controller() -> None:
    rows = [
        ["Device", "From previous (m)", "Sequence", "Sheet", "Output"],
        ["KP-1", 21, 1, "E-201", "CPU-1 port 1"],
        ["KP-2", 9, 2, "E-202", "CPU-1 port 1"],
        ["TH-1", 33, 1, "E-201", "CPU-1 port 2"],
        ["TH-2", 12, 2, "E-202", "CPU-1 port 2"],
    ]
    job = job_of({"Devices": DEVICES, "Order": rows})
    assert ends_of(job) == [("CPU-1.1", "KP-1"), ("KP-1", "KP-2"), ("CPU-1.2", "TH-1"), ("TH-1", "TH-2")]


def test_heights_are_no_ports() -> None:
    devices = [
        ["Tag", "No.", "Power (W)", "Plan", "Height (cm)"],
        ["KP-1", 1, 0.3, "E-201", 44],
        ["KP-2", 1, 0.3, "E-201", 48],
        ["TH-1", 2, 0.6, "E-202", 44],
        ["TH-2", 1, 0.6, "E-202", 48],
    ]
    pulls = [["From", "To", "Length (m)"], ["C1.1", "KP-1", 9], ["KP-1", "KP-2", 8], ["KP-2", "TH-1", 7], ["TH-1", "TH-2", 6]]  # fmt: skip
    job = job_of({"Devices": devices, "Pulls": pulls})
    (asked,) = [remark.message for remark in job.remarks if remark.closes]
    assert asked.startswith("the column 'No.' of 'Devices' holds numbers and is not read: is it a quantity?")
    counted = [[*row[:1], 1, *row[2:]] if row[0] != "Tag" else row for row in devices]
    assert sorted(job_of({"Devices": counted, "Pulls": pulls}).ports) == ["C1.1"]


def test_marks_that_go_on_are_of_one_drum() -> None:
    pulls = [
        ["Cable", "From", "Mark at end (m)", "To", "Mark begin (m)"],
        ["L2", "C1.1", 1020, "KP-1", 1000],
        ["L2", "C1.1", 1050, "KP-2", 1020],
        ["L2", "C1.1", 1060, "TH-1", 1050],
        ["L2", "C1.2", 1075, "TH-2", 1060],
    ]
    job = job_of({"Devices": DEVICES, "Pulls": pulls})
    assert [pull.length_m for pull in job.pulls] == [20, 30, 10, 15]

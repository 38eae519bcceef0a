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

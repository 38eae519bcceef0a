"""A section row that names the controller with an underscore: `Panel BS_2`."""

from auditor.intake import read_job
from tests.intake.workbooks import workbook


def test_ports_below_a_section_are_ports_of_its_panel() -> None:
    pulls = [
        ["Pull", "From", "To", "Length (m)"],
        ["Panel BS_2"],
        ["W1", "port 1", "KP-01", 9],
        ["W2", "KP-01", "KP-02", 8],
        ["Panel BS_3"],
        ["W3", "port 1", "KP-03", 7],
    ]
    devices = [["Tag", "Power (W)"], *([f"KP-0{number}", 0.5] for number in (1, 2, 3))]
    job = read_job(workbook({"Pulls": pulls, "Devices": devices}), "a.xlsx")
    assert sorted(job.ports) == ["BS_2.1", "BS_3.1"]

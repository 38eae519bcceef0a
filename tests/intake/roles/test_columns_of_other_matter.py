"""Revisions and remarks look like ports and are none; a counter beside lengths «to previous» is the order on a port."""

from auditor.intake import read_job
from tests.intake.workbooks import workbook

DEVICES = [["Tag", "Power (W)"], *([f"KP-10{number}", 0.5] for number in range(1, 9))]


def test_a_revision_beside_the_cabinet_is_no_port() -> None:
    revisions = "ACCCCACB"
    pulls = [
        ["Link", "Item", "Pos.", "Cabinet", "Revision", "From previous device (ft)"],
        *([1 + at // 4, f"KP-10{at + 1}", 1 + at % 4, "LCP-3", revisions[at], 30] for at in range(8)),
    ]
    job = read_job(workbook({"Devices": DEVICES, "Runs": pulls}), "a.xlsx")
    ports = {port.port for port in job.ports.values()}
    assert not ports & {"A", "B", "C"}


def test_remarks_are_no_ports() -> None:
    remarks = ["see detail 4", "in stud wall", "check on site", "check on site", "", ""] * 3
    pulls: list[list[object]] = [
        ["To previous (m)", "Wire type", "Remarks", "Drop no.", "Panel", "Device", "Terminal"],
        *([7.5, "do.", remarks[at], 1 + at % 6, "do.", f"K{at + 1}", "do."] for at in range(18)),
    ]
    pulls[1] = [7, "BUS 2x1.5", "see detail 4", 1, "LCP-1", "K1", 1]
    pulls[7][6] = 2
    pulls[13][6] = 3
    devices = [["Device tag", "Consumption"], *([f"K{number}", "0.5 W"] for number in range(1, 19))]
    cables = [["Type of cable", "Area [mm²]", "Cores"], ["BUS 2x1.5", 1.5, 2]]
    job = read_job(workbook({"Devices": devices, "Runs": pulls, "Cables": cables}), "a.xlsx")
    assert not any("detail" in port for port in job.ports)


def test_lengths_to_the_previous_make_a_counter_the_order_on_the_one_port() -> None:
    pulls = [
        ["Port", "Drop no.", "Tag", "To previous", "Units"],
        *(["RACK-11_P1", number, f"KP-10{number}", 30 + number * 7 % 5, "ft"] for number in range(1, 8)),
    ]
    job = read_job(workbook({"Pulls": pulls, "Devices": DEVICES[:8]}), "a.xlsx")
    assert [pull.near for pull in job.pulls] == ["RACK-11.1", *(f"KP-10{number}" for number in range(1, 7))]

"""Cable lists of panel builders: mains feeds of the controllers between the bus, spares that end nowhere."""

from typing import Any

import pytest

from auditor.audit import audit
from auditor.intake import read_job
from auditor.profile.load import DEFAULT, load_profile
from tests.intake.workbooks import workbook

HEADS = ["Nr.", "Von BMK", "Von Anschluss", "Nach BMK", "Nach Anschluss", "Leitung", "Länge [m]", "Funktion"]
CABLES: list[list[Any]] = [
    ["-W1", "-F1", "2", "-A1", "L/N", "ML 3x1,5", 1.5, "Einspeisung 230 V"],
    ["-W2", "-A1", "X1", "-R101", "B", "BL 2x1,5", 16, "Bus"],
    ["-W3", "-R101", "B", "-S102", "B", "BL 2x1,5", 18, "Bus"],
    ["-W4", "-A1", "X2", "-R201", "B", "BL 2x1,5", 9, "Bus"],
    ["-W5", "-R201", "B", "-S202", "B", "BL 2x1,5", 12, "Bus"],
]
DEVICES: list[list[Any]] = [
    ["BMK", "Benennung", "Leistung [mW]"],
    *([tag, "Tastsensor", 350] for tag in ("-R101", "-S102", "-R201", "-S202")),
]
CONTROLLERS: list[list[Any]] = [
    ["BMK", "Benennung", "Einbauort", "Anschlüsse"],
    ["-A1", "Bus-Steuergerät", "+S1 Hauptverteiler", "X1 (Linie 1), X2 (Linie 2)"],
]


def test_a_controller_and_its_mains_feed_are_no_device_and_no_pull() -> None:
    sheets = {"Kabelliste": [HEADS, *CABLES], "Betriebsmittel": DEVICES, "Steuergeräte": CONTROLLERS}
    job = read_job(workbook(sheets), "a.xlsx")
    assert sorted(job.ports) == ["-A1.X1", "-A1.X2"]
    assert [pull.id for pull in job.pulls] == ["-W2", "-W3", "-W4", "-W5"]
    assert [device.tag for device in job.devices] == ["-R101", "-S102", "-R201", "-S202"]
    assert any("row 2 left out" in remark.message for remark in job.remarks)


PULLS = [["Pull", "From", "To", "Length (m)"], ["P1", "C1.1", "K1", 20], ["P2", "K1", "K2", 15]]


@pytest.mark.parametrize("end", ["SPARE (coiled at the ceiling)", "Reserve", "spare"])
def test_an_end_that_says_spare_leaves_its_cable_open(end: str) -> None:
    pulls = [*PULLS, ["P3", "K1", end, 65]]
    job = read_job(workbook({"D": [["Tag", "Power (W)"], ["K1", 1], ["K2", 1]], "P": pulls}), "a.xlsx")
    assert [pull.landed for pull in job.pulls] == [True, True, False]
    found = audit(job, load_profile(DEFAULT)).findings
    assert {finding.level.value for finding in found if finding.rule == "unknown-end"} == {"review"}

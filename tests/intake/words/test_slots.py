"""The word for a slot before the port: ports of two slots are two ports."""

import pytest

from auditor.intake import read_job
from tests.intake.workbooks import workbook


@pytest.mark.parametrize("slot", ["Sleuf", "Kaart", "Insteekplaats"])
def test_a_dutch_slot_is_part_of_the_port(slot: str) -> None:
    pulls = [
        ["Kabelnr.", "Regelaar", slot, "Poort", "Van apparaat", "Naar apparaat", "Lengte (m)"],
        ["K1", "RK1", 1, 1, "", "D001", 10],
        ["K2", "RK1", 1, 1, "", "D002", 12],
        ["K3", "RK1", 2, 1, "", "D003", 14],
        ["K4", "RK1", 2, 1, "", "D004", 16],
    ]
    devices = [["Codering", "Vermogen (W)"], *([f"D00{number}", 0.5] for number in range(1, 5))]
    job = read_job(workbook({"Apparaten": devices, "Kabels": pulls}), "a.xlsx")
    assert len(job.ports) == 2
    assert len({pull.near for pull in job.pulls[:2]}) == 1
    assert job.pulls[0].near != job.pulls[2].near

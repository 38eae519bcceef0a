"""Sizes that names of cables give. Telephone cable is named by pairs and diameter: from memory."""

import math

import pytest

from auditor.intake import read_job
from auditor.intake.names.gauges import thin_by_name
from tests.intake.workbooks import workbook


@pytest.mark.parametrize(
    ("name", "gauge", "area_mm2"),
    [
        ("22/2", "22 AWG", None),
        ("18-2C shielded", "18 AWG", None),
        ("2x0,75", None, 0.75),
        ("3 x 1,0", None, 1.0),
        ("J-Y(St)Y 2x2x0,8", "0.8 mm", math.pi * 0.16),
        ("4x2x0.6", "0.6 mm", math.pi * 0.09),
    ],
)
def test_a_thin_conductor_is_told_by_its_name(name: str, gauge: str | None, area_mm2: float | None) -> None:
    found = thin_by_name(name)
    assert found is not None
    assert (found.gauge, found.area_mm2) == (gauge, area_mm2 and pytest.approx(area_mm2))


@pytest.mark.parametrize("name", ["16/2", "14/2", "2x1.5", "2x2x1,5", "BUS-A", "CAT6"])
def test_other_names_tell_no_thin_conductor(name: str) -> None:
    assert thin_by_name(name) is None


def test_the_job_has_the_size_of_the_name() -> None:
    devices = [["Tag", "Power (W)"], ["K1", 1], ["K2", 1]]
    pulls = [
        ["From", "To", "Length (ft)", "Cable"],
        ["C1.1", "K1", 100, "2x2x0,8"],
        ["K1", "K2", 50, "2x2x0,8"],
    ]
    job = read_job(workbook({"Devices": devices, "Pulls": pulls}), "a.xlsx")
    assert job.cables["2x2x0,8"].area_mm2 == pytest.approx(0.5027, rel=1e-3)
    assert any("it is taken as 0.8 mm diameter, 0.5 mm², as its name says" in r.message for r in job.remarks)

"""An estimator's sheets: prices, a controller among the devices, routes with allowances below them."""

from typing import Any

from auditor.intake import read_job
from auditor.job.model import Job
from tests.intake.workbooks import workbook

DEVICES: list[list[Any]] = [
    ["Item", "Description", "Tag", "Qty", "W each", "EP €"],
    ["1.0", "Control unit, 24 V / 35 W, outputs A and B", "ST1", 1, None, 890],
    ["1.1", "Push button", "T01 to T03", 3, 0.6, 118],
    ["1.2", "Sensor", "P01 to P02", 2, 0.6, 97],
]
ROUTES: list[list[Any]] = [
    ["Route", "Length m", "€/m", "Amount €"],
    ["ST1 output A → T01", 10.5, 2.35, 24.7],
    ["T01 → T02", 4, 2.35, 9.4],
    ["T02 → P01", 8, 2.35, 18.8],
    ["ST1 output B → T03", 9, 2.35, 21.2],
    ["T03 → P02", 7.5, 2.35, 17.6],
    ["T03 → P02 spare", 7.5, 2.35, 17.6],
    ["Conduit 20 mm, flexible", 310, 1.1, 341],
]


MORE = ["1.3", "Dimmer", "D01 to D20", 20, 0.5, 210]


def job_of(routes: list[list[Any]]) -> Job:
    return read_job(workbook({"Devices": [*DEVICES, MORE], "Routes": routes}), "a.xlsx")


def test_a_controller_among_the_devices_is_none() -> None:
    job = job_of(ROUTES[:6])
    assert [device.tag for device in job.devices][:5] == ["T01", "T02", "T03", "P01", "P02"]
    assert sorted(job.ports) == ["ST1.A", "ST1.B"]


def test_prices_ask_nothing() -> None:
    assert not any(remark.level == "review" for remark in job_of(ROUTES[:6]).remarks)


def test_a_row_without_an_arrow_is_no_route() -> None:
    many = [*ROUTES[:6], *([f"T03 → D{n:02d}", 5, 2.35, 11.8] for n in range(1, 21)), ROUTES[7]]
    job = job_of(many)
    assert len(job.pulls) == len(many) - 2
    assert any("left out: notes" in remark.message for remark in job.remarks)

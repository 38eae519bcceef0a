"""Cards: devices in the order of the cable below a line that names where it starts."""

from collections.abc import Sequence
from typing import Any

import pytest

from auditor.intake import read_job
from auditor.job.model import Job
from tests.intake.workbooks import workbook

Rows = Sequence[Sequence[Any]]
HEAD = ["Point", "Room", "Taken from", "Cable (m)", "Load (W)"]


def job_of(*sheets: Rows) -> Job:
    return read_job(workbook({f"S{number}": rows for number, rows in enumerate(sheets, 1)}), "a.xlsx")


def pulls(job: Job) -> list[tuple[str, str, float | None]]:
    return [(pull.near, pull.far, pull.length_m) for pull in job.pulls]


def asks(job: Job) -> bool:
    return any(remark.closes for remark in job.remarks)


@pytest.mark.parametrize(
    "start",
    ["CIRCUIT A  fed from BCU-1 / Outlet 1", "BCU-1 PORT 1 - ground floor", "Tronco, desde BCU-1 salida 1"],
)
def test_a_blank_feed_is_the_point_above_and_the_first_one_the_port_of_the_card(start: str) -> None:
    first = [["K1", "Hall", "", 10, 0.4], ["K2", "Hall", "", 11, 0.4], ["K3", "Bar", "", 12, 0.4]]
    more = [["K4", "Bar", "K2", 13, 0.4], ["", "Total", "", 46, 1.6]]
    other = [["BCU-1 port 2"], HEAD, ["K5", "Attic", "", 14, 0.4], ["K6", "Attic", "", 15, 0.4]]
    job = job_of([[start], HEAD, *first, *more, [], *other])
    assert [(near.split(".")[-1], far) for near, far, _ in pulls(job)] == [
        ("1", "K1"), ("K1", "K2"), ("K2", "K3"), ("K2", "K4"), ("2", "K5"), ("K5", "K6"),
    ]  # fmt: skip
    assert not asks(job)
    assert any("order of the cable" in remark.message for remark in job.remarks)


def test_panel_under_the_feed_is_the_port_above_the_list() -> None:
    rows = [
        ["K1", "", "panel", 10, 0.4],
        ["K2", "", "", 11, 0.4],
        ["K3", "", "", 12, 0.4],
        ["K4", "", "panel", 9, 0.4],
    ]
    job = job_of([["LCP1 OUTPUT 1 - west"], HEAD, *rows])
    assert pulls(job) == [("LCP1.1", "K1", 10), ("K1", "K2", 11), ("K2", "K3", 12), ("LCP1.1", "K4", 9)]


SEQ = ["Seq", "Point", "Room", "W", "Leg (m)", "Run (m)"]


def card(start: str, *rows: tuple[str, float]) -> Rows:
    run, listed = 0.0, []
    for number, (tag, leg) in enumerate(rows, 1):
        run += leg
        listed.append([number, tag, "Hall", 0.4, leg, run])
    return [["String", "S1", "Start", start], SEQ, *listed, ["End of S1", "", "", 0.4 * len(rows), run], []]


def test_numbered_points_start_at_a_port_or_at_a_point_of_another_card() -> None:
    trunk = card("MB1-1", ("K1", 10), ("K2", 11), ("K3", 12))
    job = job_of([*trunk, *card("K2", ("K4", 5), ("K5", 6), ("K6", 7))])
    assert pulls(job) == [
        ("MB1.1", "K1", 10), ("K1", "K2", 11), ("K2", "K3", 12), ("K2", "K4", 5), ("K4", "K5", 6), ("K5", "K6", 7),
    ]  # fmt: skip
    assert not asks(job)


@pytest.mark.parametrize("start", ["somewhere", "BCU-1 port 1 and BCU-1 port 2"])
def test_cards_whose_start_is_not_told_are_asked_about(start: str) -> None:
    rows = [["K1", "Hall", "", 10, 0.4], ["K2", "Hall", "", 11, 0.4], ["K3", "Bar", "K1", 12, 0.4]]
    assert asks(job_of([[start], HEAD, *rows]))

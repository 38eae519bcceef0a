"""What may be wrong in a kind of table: one question with its cell, and never a figure made up."""

from collections.abc import Sequence
from typing import Any

import pytest

from auditor.intake import read_job
from auditor.job.model import Job
from tests.intake.rows.test_table_kinds import DEVICES, HOPS, Sheets, hops, with_devices
from tests.intake.workbooks import workbook

HEAD = ["From", "To", "Length (ft)"]


def drums(marks: Sequence[tuple[int, int]]) -> Sheets:
    head = ["Cable", "From", "To", "Drum", "Start mark (ft)", "End mark (ft)"]
    rows = [[f"W{i}", a, b, "D1", *pair] for i, ((a, b, _), pair) in enumerate(zip(HOPS, marks, strict=True))]
    return with_devices(head, *rows)


def by_sequence(*numbers: int) -> Sheets:
    head = ["Panel", "Port", "Seq", "Device", "Watts", "ft from previous"]
    rows = zip((1, 1, 1, 2, 2), numbers, HOPS, strict=True)
    return {"Devices": [head, *(["C1", port, number, far, 0.5, ft] for port, number, (_, far, ft) in rows)]}


def levels(*numbers: str) -> Sheets:
    head = ["Level", "Item", "Watts", "Cable length (ft)"]
    fed = [[number, far, 0.5, ft] for number, (_, far, ft) in zip(numbers, HOPS, strict=True)]
    return {"Tree": [head, ["1", "C1.1", "", ""], *fed[:3], ["2", "C1.2", "", ""], *fed[3:]]}


def listed(*devices: Sequence[Any], **more: Sequence[Sequence[Any]]) -> Sheets:
    return {"Devices": devices, "Pulls": [HEAD, *HOPS], **more}


def without_length(far: str) -> list[tuple[str, str, float | None]]:
    return [(a, b, None if b == far else ft) for a, b, ft in HOPS]


LEGEND = [["Type", "Watts"], ["KP", 0.5], ["TH", 0.3]]
KIND_LACKS = listed(
    ["Tag", "Type"], ["K1", "KP"], ["K2", "KP"], ["K3", "ZZ"], ["K4", "TH"], ["K5", "TH"], Legend=LEGEND
)
CASES: dict[str, tuple[Sheets, str, str, list[tuple[str, str, float | None]]]] = {
    "a kind that the legend lacks": (KIND_LACKS, "B4", "K3 is of kind 'ZZ', which the legend does not list", HOPS),
    "a range of more tags than its quantity": (
        listed(["Tag", "Qty", "Watts"], ["K1 thru K5", 3, 0.5]), "A2", "names 5 tags and its quantity is 3", HOPS,
    ),
    "a ditto mark in the first row": (
        with_devices(HEAD, ['"', "K1", 40], *HOPS[1:]), "A2", "nothing stands above it", [("", "K1", 40), *HOPS[1:]],
    ),
    "level numbers with a gap": (
        levels("1.1", "1.1.1.1", "1.1.1.1.1", "2.1", "2.1.1"), "A4", "there is no 1.1.1: what feeds it?",
        [HOPS[0], ("", "K2", 25), *HOPS[2:]],
    ),
    "one pair of marks against the others": (
        drums([(100, 140), (140, 165), (195, 165), (195, 255), (255, 270)]), "F4",
        "the marks run from 195 to 165, against the other rows of D1", without_length("K3"),
    ),
    "a number twice on a port": (by_sequence(1, 2, 2, 1, 2), "C4", "K2 and K3 are both number 2 on C1.1", HOPS),
    "distances that fall": (
        with_devices(
            ["From", "To", "Distance from port (ft)"],
            *([a, b, ft] for (a, b, _), ft in zip(HOPS, (40, 65, 50, 60, 75), strict=True)),
        ),
        "C4", "the distances fall from 65 to 50 ft", without_length("K3"),
    ),
}  # fmt: skip


def reviews(job: Job) -> list[tuple[str, str]]:
    return [(r.where.a1 if r.where else "", r.message) for r in job.remarks if r.level == "review"]


@pytest.mark.parametrize("what", CASES)
def test_one_question_with_its_cell_and_no_figure_made_up(what: str) -> None:
    sheets, cell, words, pulls = CASES[what]
    job = read_job(workbook(sheets), "a.xlsx")
    ((at, message),) = reviews(job)
    assert (at, words in message) == (cell, True), message
    assert hops(job) == pulls


def test_a_kind_that_the_legend_lacks_leaves_no_power() -> None:
    job = read_job(workbook(KIND_LACKS), "a.xlsx")
    assert [device.power_w for device in job.devices] == [0.5, 0.5, None, 0.3, 0.3]


def test_a_range_that_runs_backwards_is_said() -> None:
    job = read_job(workbook(listed(["Tag", "Qty", "Watts"], ["K5 thru K1", 5, 0.5])), "a.xlsx")
    assert [device.tag for device in job.devices] == ["K1", "K2", "K3", "K4", "K5"]
    assert [(r.level, r.message) for r in job.remarks] == [
        ("note", "'K5 thru K1' runs backwards; it is read as K1 to K5")
    ]


def test_a_drum_whose_marks_all_run_backwards_is_no_matter() -> None:
    job = read_job(workbook(drums([(300, 260), (260, 235), (235, 205), (205, 145), (145, 130)])), "a.xlsx")
    assert (hops(job), reviews(job)) == (HOPS, [])


def test_the_devices_stay_whatever_is_asked_of_the_pulls() -> None:
    for what, (sheets, *_) in CASES.items():
        tags = [device.tag for device in read_job(workbook(sheets), "a.xlsx").devices]
        assert tags == [row[0] for row in DEVICES[1:]], what

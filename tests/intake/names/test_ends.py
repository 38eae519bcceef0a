"""Ends as people write them."""

from typing import Any

import pytest

from auditor.intake import read_job
from auditor.job.model import Job
from tests.intake.workbooks import job_workbook, workbook

CONTROLLERS = [["Controller", "Head end", "Ports"], ["C1", "Panel 1", 2], ["C2", "Panel 1", 2]]


def read(*ends: str, tags: tuple[str, ...] = ("K1", "K-07", "T10"), controllers: bool = False) -> Job:
    """A job whose pulls start at these ends."""
    devices = [["Tag", "Power (W)"], *([tag, 1] for tag in tags)]
    pulls: list[list[Any]] = [["From", "To", "Length (ft)"], *([end, "SP99", 10] for end in ends)]
    sheets = {"Devices": devices, "Pulls": pulls} | ({"Controllers": CONTROLLERS} if controllers else {})
    return read_job(workbook(sheets), "a.xlsx")


@pytest.mark.parametrize(
    "end",
    [
        "C1.2",
        "C1-P2",
        "C1 port 2",
        "C1 / 2",
        "C1/2",
        "C1:2",
        "C1-2",
        "C1 P2",
        "C1P2",
        "c1 Port #2",
        "C1, port 2",
        "Port 2 of C1",
        "C1.02",
    ],
)
@pytest.mark.parametrize("controllers", [True, False])
def test_ports(end: str, controllers: bool) -> None:
    job = read(end, controllers=controllers)
    port = job.ports[job.pulls[0].near]
    assert (port.controller.upper(), port.port) == ("C1", "2")


@pytest.mark.parametrize(
    ("end", "controller", "port"),
    [("C1000.1", "C1000", "1"), ("CTRL-2044 port 12", "CTRL-2044", "12"), ("L1203.4", "L1203", "4")],
)
def test_controllers_with_four_digits(end: str, controller: str, port: str) -> None:
    job = read(end)
    whole = job.ports[job.pulls[0].near]
    assert (whole.controller, whole.port) == (controller, port)


@pytest.mark.parametrize("end", ["Controller 1 port 2", "CTRL-1.2", "ctrl 1 / 2"])
def test_a_controller_by_its_number_where_only_one_is_listed(end: str) -> None:
    job = read(end, controllers=True)
    assert job.pulls[0].near == "C1.2"
    assert any("the only one with this number" in remark.message for remark in job.remarks)


@pytest.mark.parametrize(
    "end", ["PANEL 1", "Panel 1", "head end", "Head-end", "rack", "Rack B", "C1", "MDF", "Verteiler 2"]
)
def test_head_ends_without_a_port(end: str) -> None:
    job = read(end, controllers=True)
    assert job.pulls[0].near in job.head_ends
    assert job.ports == {}


def test_a_head_end_is_named_as_the_controller_sheet_names_it() -> None:
    job = read("PANEL-1", "panel 1", controllers=True)
    assert job.head_ends == frozenset({"Panel 1"})


@pytest.mark.parametrize(
    "end", ["SP1", "splice 4", "J3", "J-box 2", "junction box hall", "JB12", "tee 1", "Abzweigdose 3"]
)
def test_splices(end: str) -> None:
    job = read(end)
    assert job.splices == frozenset({end, "SP99"})


def test_one_splice_written_in_two_ways_is_one() -> None:
    job = read("SP1", "sp-1", "SP 01")
    assert {pull.near for pull in job.pulls} == {"SP1"}


@pytest.mark.parametrize(
    ("end", "tag", "how"),
    [
        ("k1", "K1", "case, blanks, dashes or leading zeros"),
        ("K 1", "K1", "case, blanks, dashes or leading zeros"),
        ("K-01", "K1", "case, blanks, dashes or leading zeros"),
        ("K7", "K-07", "case, blanks, dashes or leading zeros"),
        ("Kl", "K1", "characters that look alike"),
        ("T1O", "T10", "characters that look alike"),
        ("\u041a1", "K1", "characters that look alike"),
        ("K1 (north wall)", "K1", "words after the tag"),
        ("K1 - hall", "K1", "words after the tag"),
    ],
)
def test_a_device_written_loosely_is_matched_and_said(end: str, tag: str, how: str) -> None:
    job = read(end)
    assert job.pulls[0].near == tag
    assert [(r.rule, r.level, r.message) for r in job.remarks] == [
        (
            "unknown-end",
            "note",
            f"{end!r} is read as {tag}: only {how} differ; write the tag as in the device list",
        )
    ]


def test_two_candidates_are_none() -> None:
    job = read("k-1", tags=("K1", "K-01"))
    assert job.pulls[0].near == "k-1"


@pytest.mark.parametrize("end", ["X9", "K2", "K1.2", "K11", "Q4 port 2"])
def test_what_matches_nothing_stays_as_typed(end: str) -> None:
    job = read(end, controllers=True)
    assert job.pulls[0].near == end
    assert end not in job.ports.keys() | job.head_ends | job.splices


def test_a_dotted_port_of_a_controller_that_is_listed_nowhere() -> None:
    job = read("L1.1", "L12.2")
    assert list(job.ports) == ["L1.1", "L12.2"]
    assert list(job.controllers) == ["L1", "L12"]


@pytest.mark.parametrize(("end", "tags"), [("K1.2", ("K1",)), ("L1.3", ("L1.1", "L1.2")), ("SP1.2", ("K1",))])
def test_a_dotted_end_that_may_be_a_device_is_no_port(end: str, tags: tuple[str, ...]) -> None:
    assert read(end, tags=tags).ports == {}


def test_a_tag_stands_above_every_other_reading() -> None:
    job = read("C1.2", "J3", "rack", tags=("C1.2", "J3", "rack"))
    assert [pull.near for pull in job.pulls] == ["C1.2", "J3", "rack"]
    assert (job.ports, job.head_ends) == ({}, frozenset())


def test_a_blank_end_stays_blank_with_its_cell() -> None:
    pulls = [["Pull", "From", "To", "Length (ft)"], ["P1", "", "K1", 10]]
    pull = read_job(job_workbook(pulls=pulls), "a.xlsx").pulls[0]
    assert (pull.near, pull.cells["near"].a1) == ("", "B2")

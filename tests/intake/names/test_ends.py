"""Ends as people write them."""

from typing import Any

import pytest

from auditor.intake import read_job
from auditor.job.model import Job
from tests.intake.workbooks import PULLS, job_workbook, workbook

CONTROLLERS = [["Controller", "Head end", "Ports"], ["C1", "Panel 1", 2], ["C2", "Panel 1", 2]]


TAGS = ("K1", "K-07", "T10")


def fed_from(*ends: str, tags: tuple[str, ...] = TAGS, controllers: bool = False) -> Job:
    """A job whose devices hang on these ends: one on each, the others behind the first."""
    pulls = [[end, tag] for end, tag in zip(ends, tags, strict=False)]
    pulls += [[tags[0], tag] for tag in tags[len(ends) :]]
    return _job(pulls, tags, controllers=controllers)


def beside_feed(*ends: str, tags: tuple[str, ...] = TAGS, controllers: bool = False) -> Job:
    """A job fed from C7.1 whose first pulls start at these ends and lead to a splice."""
    return _job(
        [*([end, "SP99"] for end in ends), *(["C7.1", tag] for tag in tags)], tags, controllers=controllers
    )


def _job(pulls: list[list[str]], tags: tuple[str, ...], *, controllers: bool) -> Job:
    rows: list[list[Any]] = [["From", "To", "Length (ft)"], *([*pull, 10] for pull in pulls)]
    sheets = {"Devices": [["Tag", "Power (W)"], *([tag, 1] for tag in tags)], "Pulls": rows}
    return read_job(workbook(sheets | ({"Controllers": CONTROLLERS} if controllers else {})), "a.xlsx")


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
    job = fed_from(end, controllers=controllers)
    port = job.ports[job.pulls[0].near]
    assert (port.controller.upper(), port.port) == ("C1", "2")


@pytest.mark.parametrize(
    ("end", "controller", "port"),
    [("C1000.1", "C1000", "1"), ("CTRL-2044 port 12", "CTRL-2044", "12"), ("L1203.4", "L1203", "4")],
)
def test_controllers_with_four_digits(end: str, controller: str, port: str) -> None:
    job = fed_from(end)
    whole = job.ports[job.pulls[0].near]
    assert (whole.controller, whole.port) == (controller, port)


@pytest.mark.parametrize("end", ["Controller 1 port 2", "CTRL-1.2", "ctrl 1 / 2"])
def test_a_controller_by_its_number_where_only_one_is_listed(end: str) -> None:
    job = fed_from(end, controllers=True)
    assert job.pulls[0].near == "C1.2"
    assert any("the only one with this number" in remark.message for remark in job.remarks)


@pytest.mark.parametrize(
    "end", ["PANEL 1", "Panel 1", "head end", "Head-end", "rack", "Rack B", "C1", "MDF", "Verteiler 2"]
)
def test_head_ends_without_a_port(end: str) -> None:
    job = fed_from(end, controllers=True)
    assert job.pulls[0].near in job.head_ends
    assert job.ports == {}


def test_a_head_end_is_named_as_the_controller_sheet_names_it() -> None:
    job = fed_from("PANEL-1", "panel 1", controllers=True)
    assert job.head_ends == frozenset({"Panel 1"})


@pytest.mark.parametrize(
    "end", ["SP1", "splice 4", "J3", "J-box 2", "junction box hall", "JB12", "tee 1", "Abzweigdose 3"]
)
def test_splices(end: str) -> None:
    job = fed_from(end)
    assert job.splices == frozenset({end})


def test_one_splice_written_in_two_ways_is_one() -> None:
    job = beside_feed("SP1", "sp-1", "SP 01")
    assert {pull.near for pull in job.pulls[:3]} == {"SP1"}


@pytest.mark.parametrize(
    ("end", "tag", "how"),
    [
        ("k1", "K1", "case, blanks, dashes or leading zeros"),
        ("K 1", "K1", "case, blanks, dashes or leading zeros"),
        ("K-01", "K1", "case, blanks, dashes or leading zeros"),
        ("K7", "K-07", "case, blanks, dashes or leading zeros"),
        ("\u041a1", "K1", "characters that look alike"),
        ("K1 (north wall)", "K1", "words after the tag"),
        ("K1 - hall", "K1", "words after the tag"),
    ],
)
def test_a_device_written_loosely_is_matched_and_said(end: str, tag: str, how: str) -> None:
    job = beside_feed(end)
    assert job.pulls[0].near == tag
    assert [(r.rule, r.level, r.message) for r in job.remarks] == [
        (
            "unknown-end",
            "note",
            f"{end!r} is read as {tag}: only {how} differ; write the tag as in the device list",
        )
    ]


@pytest.mark.parametrize("end", ["Kl", "T1O", "TI0", "K-O7"])
def test_a_character_that_looks_alike_is_a_slip_that_nobody_mends(end: str) -> None:
    job = beside_feed(end)
    assert (job.pulls[0].near, job.remarks) == (end, ())
    assert end not in job.ports.keys() | job.head_ends | job.splices | job.open_ends


def test_two_candidates_are_none() -> None:
    job = beside_feed("k-1", tags=("K1", "K-01"))
    assert job.pulls[0].near == "k-1"


@pytest.mark.parametrize("end", ["X9", "K2", "K11", "Q4 socket 2"])
def test_what_matches_nothing_stays_as_typed(end: str) -> None:
    job = beside_feed(end, controllers=True)
    assert job.pulls[0].near == end
    assert end not in job.ports.keys() | job.head_ends | job.splices


@pytest.mark.parametrize("end", ["Q4 port 2", "Panel West output 3", "port 2 of hall box"])
def test_a_port_by_its_words_is_one_of_any_controller(end: str) -> None:
    job = beside_feed(end, controllers=True)
    assert job.ports[job.pulls[0].near].written == end


def test_a_dotted_port_of_a_controller_that_is_listed_nowhere() -> None:
    job = fed_from("L1.1", "L12.2")
    assert list(job.ports) == ["L1.1", "L12.2"]
    assert list(job.controllers) == ["L1", "L12"]


@pytest.mark.parametrize(("end", "tags"), [("K1.2", ("K1",)), ("L1.3", ("L1.1", "L1.2")), ("SP1.2", ("K1",))])
def test_a_dotted_end_that_may_be_a_device_is_no_port(end: str, tags: tuple[str, ...]) -> None:
    job = beside_feed(end, tags=tags)
    assert list(job.ports) == ["C7.1"]
    assert job.open_ends == ({end} if tags == ("K1",) else set())  # asked unless the tags look like it


def test_a_tag_stands_above_every_other_reading() -> None:
    job = beside_feed("C1.2", "J3", "rack", tags=("C1.2", "J3", "rack"))
    assert [pull.near for pull in job.pulls[:3]] == ["C1.2", "J3", "rack"]
    assert (list(job.ports), job.head_ends) == (["C7.1"], frozenset())


def test_a_blank_end_stays_blank_with_its_cell() -> None:
    pulls = [*PULLS, ["P4", "", "K1", 10, "16/2"]]
    pull = read_job(job_workbook(pulls=pulls), "a.xlsx").pulls[-1]
    assert (pull.near, pull.cells["near"].a1) == ("", "B5")

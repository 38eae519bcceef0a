"""Cells that are not read and may hold what is missing: the job asks, and passes where they say nothing of it."""

from collections.abc import Sequence
from typing import Any

from auditor.job.model import Job
from tests.intake.workbooks import job_of

Rows = Sequence[Sequence[Any]]
PULLS: Rows = [
    ["From", "To", "Length (m)"],
    ["C1.1", "K1", 10],
    ["K1", "K2", 11],
    ["K2", "K3", 12],
    ["K3", "K4", 9],
]
DEVICES: Rows = [["Tag", "Power (W)"], *([f"K{n}", 0.5] for n in range(1, 5))]


def questions(job: Job) -> list[str]:
    return [remark.question.sentence for remark in job.remarks if remark.closes and remark.question]


def test_a_sheet_that_names_an_unused_port_beside_numbers_is_asked_about() -> None:
    screens = [
        ["Screen", "Seats", "Start", "AL", "AR"],
        *([f"S{n}", 90 + n, "C1/2", 10 + n, 12] for n in range(1, 5)),
    ]
    (sentence,) = questions(job_of({"Pulls": PULLS, "Devices": DEVICES, "Screens": screens}))
    assert "C1/2" in sentence


def test_a_sheet_that_sums_up_the_ports_is_not_asked_about() -> None:
    summary = [["Port", "Cable (m)", "Load (W)", "Devices"], ["C1.1", 42, 2, 4], ["C1.2 spare", 0, 0, 0]]
    job = job_of({"Pulls": PULLS, "Devices": DEVICES, "Summary": summary})
    assert not questions(job)
    assert len(job.pulls) == 4


def test_a_counter_under_an_unknown_heading_on_each_port_is_asked_about() -> None:
    rows = [
        ["Gembul", "Tenol", "Vulbal", "Falga (m)"],
        *(["C1 port 1", n, f"K{n}", 10 + n] for n in range(1, 5)),
    ]
    assert any(
        "counts the pulls" in sentence for sentence in questions(job_of({"Pulls": rows, "Devices": DEVICES}))
    )


def test_a_sheet_named_after_what_it_lists_is_no_controller() -> None:
    pulls = [
        ["Panel Panel 1"],
        ["From", "To", "Length (m)"],
        ["P1", "K1", 10],
        ["K1", "K2", 11],
        ["P2", "K3", 12],
    ]
    job = job_of({"Runs 1": pulls, "Devices": DEVICES[:4]})
    assert sorted(job.ports) == ["Panel 1.1", "Panel 1.2"]


def test_a_remark_under_an_unknown_heading_that_says_spare_leaves_its_pull_open() -> None:
    chain = [
        [f"K{n - 1}" if n > 1 else "C1 port 1", f"K{n}", 20 - n, "in stud wall" if n % 2 else "see detail"]
        for n in range(1, 10)
    ]
    spare = [["K9", "C1 port 1", 20, "spare, not connected"]]
    devices = [["Tag", "Power (W)"], *([f"K{n}", 0.5] for n in range(1, 10))]
    job = job_of({"Pulls": [["From", "To", "Length (m)", "Pazir"], *chain, *spare], "Devices": devices})
    assert [pull.landed for pull in job.pulls] == [True] * 9 + [False]

"""A sentence that states the unit of all lengths: where it is found, and what is said of it."""

from collections.abc import Sequence

import pytest

from auditor.intake import explain, read_job
from auditor.job.model import Job
from tests.intake.workbooks import DEVICES, workbook

HEAD = ["Pull", "From", "To", "Length"]
ROWS = [["P1", "C1.1", "K1", 18], ["P2", "K1", "K2", 12.5]]
SAYS = ["All dimensions in metres"]
Rows = Sequence[Sequence[object]]


def data(devices: Rows = DEVICES, pulls: Rows = (HEAD, *ROWS)) -> bytes:
    return workbook({"Devices": devices, "Pulls": pulls})


def lengths(job: Job) -> list[float | None]:
    return [pull.length_m for pull in job.pulls]


def said(job: Job) -> list[tuple[str, str, str]]:
    """Of the unit: level, cell, message."""
    return [
        (r.level, f"{r.where.sheet} {r.where.a1}", r.message)
        for r in job.remarks
        if r.where and "lengths" in r.message
    ]


@pytest.mark.parametrize(
    ("devices", "pulls", "cell", "sheet"),
    [
        ([SAYS, [], *DEVICES], [HEAD, *ROWS], "A1", "Devices"),
        ([*DEVICES, [], [], SAYS], [HEAD, *ROWS], "A7", "Devices"),
        (DEVICES, [HEAD, *ROWS, [], SAYS], "A5", "Pulls"),
        (DEVICES, [HEAD, *ROWS, SAYS], "A4", "Pulls"),
        (DEVICES, [HEAD, *ROWS, [], ["", "", *SAYS]], "C5", "Pulls"),
    ],
)
def test_above_and_below_tables(devices: Rows, pulls: Rows, cell: str, sheet: str) -> None:
    job = read_job(data(devices, pulls), "a.xlsx")
    assert lengths(job) == [18, 12.5]
    assert said(job) == [
        (
            "note",
            f"{sheet} {cell}",
            f"lengths without a unit under 'Length' are read in m: cell {cell} on {sheet!r} says so",
        )
    ]


@pytest.mark.parametrize("devices", [[SAYS, *DEVICES], [*DEVICES, [], SAYS]])
def test_a_heading_that_contradicts_it_is_asked_about_wherever_it_stands(devices: Rows) -> None:
    at = "A1" if devices[0] == SAYS else f"A{len(devices)}"
    job = read_job(data(devices, [[*HEAD[:3], "Length (ft)"], *ROWS]), "a.xlsx")
    assert said(job) == [
        (
            "review",
            "Pulls D1",
            f"cell {at} on 'Devices' says that lengths are in m, the heading 'Length (ft)' says ft, which is read; "
            "correct one of them",
        )
    ]


def test_a_heading_that_agrees_needs_no_word() -> None:
    assert said(read_job(data([SAYS, *DEVICES], [[*HEAD[:3], "Length (m)"], *ROWS]), "a.xlsx")) == []


def test_of_two_that_differ_the_nearer_counts_and_is_said() -> None:
    job = read_job(data([*DEVICES, [], SAYS], [["Lengths in feet"], HEAD, *ROWS]), "a.xlsx")
    assert lengths(job) == [pytest.approx(18 * 0.3048), pytest.approx(12.5 * 0.3048)]
    assert said(job) == [
        (
            "note",
            "Pulls A1",
            "lengths without a unit under 'Length' are read in ft: cell A1 on 'Pulls' says so",
        )
    ]


def test_two_beside_one_table_are_both_named_and_none_is_taken() -> None:
    job = read_job(data(pulls=[["Lengths in feet"], HEAD, *ROWS, [], SAYS]), "a.xlsx")
    assert lengths(job) == [None, None]
    assert said(job) == [
        (
            "review",
            "Pulls A6",
            "cell A1 on 'Pulls' says that lengths are in ft, cell A6 on 'Pulls' says that lengths are in m; correct "
            "one of them or write the unit in each table's heading",
        )
    ]


def test_the_layout_says_where_the_unit_comes_from() -> None:
    (_, pulls) = explain(data(pulls=[HEAD, *ROWS, [], SAYS]), "a.xlsx").tables
    assert (pulls.columns[3].unit, pulls.columns[3].reason) == (
        None,
        "heading 'Length'; m where no unit stands, as cell A5 on 'Pulls' says",
    )


@pytest.mark.parametrize(
    "text",
    ["Leitungslängen in m, Leitungstyp BL", "Kabellängen in m", "Kabellengte in m", "Kabellengten in m"],
)
def test_a_word_of_lengths_with_the_cable_before_it(text: str) -> None:
    job = read_job(data(pulls=[[text], [], HEAD, *ROWS]), "a.xlsx")
    assert lengths(job) == [18, 12.5]

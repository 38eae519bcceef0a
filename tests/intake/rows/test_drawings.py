"""Pulls that a drawing of cells shows: matrices whose axes are the ends, strands to the right and downwards."""

from typing import Any

import pytest

from auditor.intake import read_job, read_jobs
from auditor.intake.blocks.drawn import drawn_blocks_of
from auditor.intake.formats.cells import Sheet
from auditor.job.model import Job
from tests.intake.workbooks import workbook

Rows = list[list[Any]]
TAGS = ["KP-1", "DM-2", "TS-3", "KP-4", "DM-5", "TS-6"]
DEVICES: Rows = [["Tag", "Power (W)"], *([tag, 0.5] for tag in TAGS)]
PULLS = {
    ("LC1.1", "KP-1", 10.0),
    ("KP-1", "DM-2", 20.0),
    ("DM-2", "TS-3", 30.0),
    ("LC1.2", "KP-4", 40.0),
    ("KP-4", "DM-5", 50.0),
    ("KP-4", "TS-6", 60.0),
}
NEAR = ["LC1.1", "LC1.2", *TAGS]


def job_of(rows: Rows, devices: Rows = DEVICES, lines: Rows = ()) -> Job:
    return read_job(workbook({"Points": devices, "Bus": [*lines, *rows]}), "a.xlsx")


def pulls_of(job: Job) -> set[tuple[str, str, float | None]]:
    return {(pull.near, pull.far, pull.length_m) for pull in job.pulls}


def asks(job: Job) -> bool:
    return any(remark.level == "review" for remark in job.remarks)


# ------------------------------------------------------------------------------------ crossings


def matrix(corner: Any, near: list[str] = NEAR, far: list[str] = TAGS, *, turned: bool = False) -> Rows:
    lengths = {(a, b): length for a, b, length in PULLS}
    if turned:
        return [
            [corner, *near],
            *([b, *(lengths.get((a, b)) for a in near)] for b in far),
        ]
    return [[corner, *far], *([a, *(lengths.get((a, b)) for b in far)] for a in near)]


@pytest.mark.parametrize(
    "corner",
    [
        "from \\ to (m)",
        "von / nach (m)",
        "de \\ à (m)",
        "da \\ a [m]",
        "van \\ naar (m)",
        "desde / hasta (m)",
        "m",
    ],
)
def test_the_length_stands_where_the_near_end_crosses_the_far_end(corner: str) -> None:
    job = job_of(matrix(corner))
    assert pulls_of(job) == PULLS
    assert not asks(job)


def test_the_corner_says_which_axis_is_near() -> None:
    assert pulls_of(job_of(matrix("to \\ from (m)", turned=True))) == PULLS


def test_a_line_says_the_unit_and_another_begins_a_second_matrix() -> None:
    first = matrix("", ["LC1.1", *TAGS[:3]], TAGS[:3])
    second = matrix("", ["LC1.2", *TAGS[3:]], TAGS[3:])
    job = job_of([*first, [], ["South half"], *second], lines=[["Lengths in metres"], []])
    assert pulls_of(job) == PULLS


def test_a_pull_in_both_halves_counts_once() -> None:
    rows = matrix("from \\ to (m)")
    rows[NEAR.index("DM-2") + 1][TAGS.index("KP-1") + 1] = 20
    assert pulls_of(job_of(rows)) == PULLS


def test_a_chart_of_all_distances_is_no_list_of_pulls() -> None:
    rows: Rows = [["from \\ to (m)", *TAGS]]
    rows += [[a, *(abs(i - j) * 7.0 or None for j in range(len(TAGS)))] for i, a in enumerate(TAGS)]
    pulls: Rows = [["From", "To", "Length (m)"], *(list(pull) for pull in sorted(PULLS))]
    (job,) = read_jobs(workbook({"Points": DEVICES, "Cables": pulls, "Distances": rows}), "a.xlsx")
    assert pulls_of(job) == PULLS


# ----------------------------------------------------------------------------- strands to the right


RIGHT: Rows = [
    ["LC1.1", "KP-1", 10, "DM-2", 20, "TS-3", 30],
    ["LC1.2", "KP-4", 40, "DM-5", 50],
    ["KP-4", "TS-6", 60],
]


@pytest.mark.parametrize(
    "head",
    [
        ["Port", "Device", "m", "Device", "m", "Device", "m"],
        ["Beginn", "Gerät 1", "m", "Gerät 2", "m", "Gerät 3", "m"],
        ["Sale de", "1", "m", "2", "m", "3", "m"],
    ],
)
def test_pairs_of_device_and_length_to_the_right(head: list[str]) -> None:
    job = job_of([head, *RIGHT])
    assert pulls_of(job) == PULLS
    assert not asks(job)


def test_a_branch_may_say_from_before_its_device() -> None:
    rows: Rows = [*RIGHT[:2], ["from KP-4:", *RIGHT[2][1:]]]
    assert pulls_of(job_of([["Port", "Device", "m", "Device", "m", "Device", "m"], *rows])) == PULLS


def test_the_length_may_stand_before_its_device_below_a_number_of_the_strand() -> None:
    rows: Rows = [
        ["R1", "LC1.1", 10, "KP-1", 20, "DM-2", 30, "TS-3"],
        ["R2", "LC1.2", 40, "KP-4", 50, "DM-5"],
        ["R3", "KP-4", 60, "TS-6"],
    ]
    upper = ["Ramal", "Sale de", "Tramo 1", None, "Tramo 2", None, "Tramo 3", None]
    lower = [None, None, "m", "Equipo", "m", "Equipo", "m", "Equipo"]
    assert pulls_of(job_of([upper, lower, *rows])) == PULLS


def test_a_strand_that_says_no_start_is_not_read_as_one() -> None:
    rows: Rows = [["somewhere", *RIGHT[0][1:]], ["LC1.2", "KP-4", 40, "DM-5", 50]]
    sheet = Sheet(name="Bus", rows=[["Port", "Device", "m", "Device", "m", "Device", "m"], *rows])
    assert all(table.drawing is None for table in drawn_blocks_of(sheet).tables)


def test_risers_feed_the_boxes_at_which_strands_begin() -> None:
    head = ["Floor", "Riser box", "from", "m", "Device 1", "m", "Device 2", "m"]
    rows: Rows = [
        ["L2", "RB-2", "RB-1", 4, "TS-3", 30, "TS-6", 60],
        ["L1", "RB-1", "LC1 port 1", 9, "KP-1", 10, "DM-2", 20],
        ["L1, second", "RB-1", None, None, "KP-4", 40, "DM-5", 50],
    ]
    job = job_of([head, *rows])
    assert ("RB-1", "RB-2", 4.0) in pulls_of(job)
    assert ("LC1.1", "RB-1", 9.0) in pulls_of(job)
    assert {("RB-1", "KP-1", 10.0), ("KP-1", "DM-2", 20.0), ("RB-1", "KP-4", 40.0)} <= pulls_of(job)
    assert len(job.pulls) == 8
    assert job.splices == frozenset({"RB-1", "RB-2"})


# ------------------------------------------------------------------------------- strands downwards


def test_a_pair_of_columns_for_each_strand_below_where_it_begins() -> None:
    rows: Rows = [
        ["Strang", "Strang 1", None, "Strang 2", None, "Abzweig 2a", None],
        ["beginnt an", "LC1.1", None, "LC1.2", None, "KP-4", None],
        ["Pos.", "Gerät", "m", "Gerät", "m", "Gerät", "m"],
        [1, "KP-1", 10, "KP-4", 40, "TS-6", 60],
        [2, "DM-2", 20, "DM-5", 50],
        [3, "TS-3", 30],
        [None, "Summe", 60, "Summe", 90, "Summe", 60],
    ]
    job = job_of(rows)
    assert pulls_of(job) == PULLS
    assert not asks(job)


@pytest.mark.parametrize("missing", [1, 2])
def test_the_first_lengths_of_a_strand_may_be_missing(missing: int) -> None:
    """Its devices are fed at a length that nobody knows, or all is asked; they are not left out."""
    rows: Rows = [
        ["LC1 output 1", None, "LC1 output 2", None, "LC2 output 1", None],
        ["Tag", "Hop", "Tag", "Hop", "Tag", "Hop"],
        ["KP-1", "10 m", "KP-4", "40 m", "TS-3", "10 m"],
        ["DM-2", "20 m", "DM-5", "50 m", "TS-6", "11 m"],
    ]
    for row in rows[2 : 2 + missing]:
        row[1] = None
    job = job_of(rows)
    assert [pull.length_m for pull in job.pulls if pull.far == "KP-1"] == [None] or asks(job)
    assert len(job.pulls) in {0, 6}


# ---------------------------------------------------------------------------- strands in two rows


def test_names_in_one_row_and_the_lengths_between_them_below() -> None:
    rows: Rows = [
        ["Line 1"],
        ["Device", "LC1.1", "KP-1", "DM-2", "TS-3"],
        ["Cable (m)", None, 10, 20, 30],
        [],
        ["Line 2"],
        ["Device", "LC1.2", "KP-4", "DM-5", "TS-6"],
        ["Cable (m)", None, 40, 50, 60],
    ]
    pulls = PULLS - {("KP-4", "TS-6", 60.0)} | {("DM-5", "TS-6", 60.0)}
    assert pulls_of(job_of(rows)) == pulls


def test_a_length_above_the_second_row_is_no_heading() -> None:
    rows = [
        ["C1.1", None, "C1.2", None],
        ["Device", "Section", "Device", "from the previous one"],
        ["TP01", "16.5 m", "RP03", "17 m"],
        ["DR01", "5.5 m", "TE02", "4 m"],
        ["RP01", "10.5 m", "TE03", "16 m"],
    ]
    devices = [["Tag", "W"], *([tag, 0.5] for tag in ("TP01", "DR01", "RP01", "RP03", "TE02", "TE03"))]
    job = read_job(workbook({"Cables": rows, "Devices": devices}), "a.xlsx")
    near = {pull.far: pull.near for pull in job.pulls}
    assert {near["TP01"], near["RP03"]} == {"C1.1", "C1.2"}
    assert len(near) == 6

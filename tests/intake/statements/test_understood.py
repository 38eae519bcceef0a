"""What the cells beside the tables say, as a person sees it: the cell, what it holds for, whether it is used."""

from collections.abc import Sequence

import pytest

from auditor.intake import read_job, read_jobs
from auditor.job.model import Job
from tests.intake.workbooks import DEVICES, PULLS, workbook

Rows = Sequence[Sequence[object]]

BARE = [["Pull", "From", "To", "Length"], ["P1", "C1.1", "K1", 18], ["P2", "K1", "K2", 12.5]]


def said(job: Job) -> list[tuple[str, str, str, bool]]:
    return [(f"{one.where.sheet}!{one.where.a1}", one.scope, one.text, one.used) for one in job.statements]


def job(pulls: Rows, devices: Rows = DEVICES, **sheets: Rows) -> Job:
    return read_job(workbook({"Devices": devices, "Pulls": pulls, **sheets}), "job.xlsx")


@pytest.mark.parametrize(
    ("pulls", "used"), [(BARE, True), (PULLS, False)], ids=["lengths without a unit", "lengths in ft"]
)
def test_a_unit_is_used_by_lengths_that_have_none(pulls: Rows, used: bool) -> None:
    read = job([["Lengths in ft"], [], *pulls])

    assert said(read) == [("Pulls!A1", "all sheets", "lengths without a unit are in ft", used)]


def test_a_cable_is_used_where_a_pull_names_it() -> None:
    sentence = "{}: 16 AWG, 2 conductor, stranded, unshielded, 27 pF/ft, 600 V"
    read = job([*PULLS, [], [sentence.format("16/2")], [sentence.format("XY-9")]])

    properties = "16 AWG, 2 conductors, stranded, unshielded, 27 pF/ft, 600 V"
    assert said(read) == [
        ("Pulls!A6", "all sheets", f"cable 16/2 is {properties}", True),
        ("Pulls!A7", "all sheets", f"cable XY-9 is {properties}", False),
    ]


LOCAL = [["From", "To", "Length (ft)"], ["Output 1", "K1", 20], ["K1", "K2", 30], ["Output 2", "T3", 9]]


def test_a_panel_is_used_by_ports_that_are_named_alone() -> None:
    read = job([["Controller: LCP-1"], [], *LOCAL])

    assert said(read) == [
        ("Pulls!A1", "sheet 'Pulls'", "ports that are named alone are those of LCP-1", True)
    ]


def test_a_panel_is_not_used_where_all_ports_are_those_of_others() -> None:
    read = job([["Controller: LCP-1"], [], *PULLS])

    assert [(text, used) for _, _, text, used in said(read)] == [
        ("ports that are named alone are those of LCP-1", False)
    ]


def test_the_name_of_a_sheet_is_a_statement_where_it_names_the_controller() -> None:
    read = read_job(workbook({"Devices": DEVICES, "LCP-2": LOCAL}), "job.xlsx")

    text = "the sheet's name: ports that are named alone are those of LCP-2"
    assert said(read) == [("LCP-2!A1", "sheet 'LCP-2'", text, True)]


def test_section_rows_hold_for_the_rows_below_them() -> None:
    rows = [LOCAL[0], ["Controller: LCP-1"], *LOCAL[1:3], ["Controller: LCP-2"], ["Output 1", "T3", 9]]
    read = job(rows)

    assert said(read) == [
        ("Pulls!A2", "rows 2 to 4 of 'Pulls'", "ports that are named alone are those of LCP-1", True),
        ("Pulls!A5", "rows 5 to 6 of 'Pulls'", "ports that are named alone are those of LCP-2", True),
    ]


def test_a_void_sheet_is_said_by_its_name() -> None:
    read = job(PULLS, **{"VOID pulls": PULLS})

    assert said(read) == [
        ("VOID pulls!A1", "sheet 'VOID pulls'", "'VOID pulls': what it heads does not hold", True)
    ]


def test_lines_with_a_name_and_a_value() -> None:
    lines = [
        ["Job", "Tollan Mill"],
        ["Allowance per end", "3 ft"],
        ["Waste", "5 %"],
        ["Supply voltage", "24 V"],
    ]
    read = job([*lines, [], *PULLS])

    assert said(read) == [
        ("Pulls!B1", "the job", "the job is Tollan Mill", True),
        ("Pulls!B2", "the job", "each end of a pull needs 3 ft more", True),
        ("Pulls!B3", "the job", "5 % of the cable is waste", True),
        ("Pulls!B4", "the job", "the supply is 24 V", False),
    ]


def test_a_supply_voltage_is_used_by_currents() -> None:
    devices = [["Tag", "Current (mA)"], ["K1", 25], ["K2", 25], ["T3", 30]]
    read = job([["Supply voltage", "36 V"], [], *PULLS], devices)

    assert ("Pulls!B1", "the job", "the supply is 36 V", True) in said(read)


def test_what_is_said_twice_is_one_line() -> None:
    read = job([["Lengths in ft"], [], *BARE], [*DEVICES, [], ["All lengths in ft"]])

    (one,) = read.statements
    assert (one.text, one.used, one.more) == ("lengths without a unit are in ft", True, 1)


def test_titles_and_remarks_that_say_nothing_of_the_rows_are_no_statements() -> None:
    read = job([["Tollan Mill: cable pulls"], ["Issued for tender"], [], *PULLS, [], ["Label both ends"]])

    assert read.statements == ()


def test_what_only_another_job_of_the_workbook_needs_is_left_out() -> None:
    head = ["Building", *BARE[0]]
    first, second = (
        [head, *([name, *row] for row in [*BARE[1:], ["P3", "K2", "T3", 7]])] for name in ("North", "South")
    )
    pulls = [["Lengths in ft"], [], *first, *second[1:], [], ["Supply voltage", "24 V"]]
    jobs = read_jobs(workbook({"Devices": DEVICES, "Pulls": pulls}), "job.xlsx")

    assert [(read.part, [one.text for one in read.statements]) for read in jobs] == [
        ("North", ["lengths without a unit are in ft"]),
        ("South", ["lengths without a unit are in ft"]),
    ]

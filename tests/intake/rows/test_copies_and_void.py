"""Sheets and rows that do not count: copies, what is superseded, what belongs to others."""

from collections.abc import Sequence
from typing import Any

import pytest

from auditor.intake import read_job
from auditor.job.model import Job
from auditor.units import m_from_ft
from tests.intake.workbooks import DEVICES, PULLS, job_of, workbook

Row = Sequence[Any]
USUAL: dict[str, Sequence[Row]] = {"Devices": DEVICES, "Pulls": PULLS}
WITH_STATUS = [[*PULLS[0], "Status"], *([*row, ""] for row in PULLS[1:])]


def read(sheets: dict[str, Sequence[Row]]) -> Job:
    return read_job(workbook(sheets), "a.xlsx")


def said(job: Job, *words: str) -> list[tuple[str, str]]:
    """(level, sheet) of the remarks that hold all of these words."""
    return [
        (r.level, r.where.sheet if r.where else "")
        for r in job.remarks
        if all(word in r.message for word in words)
    ]


def test_an_equal_copy_is_read_once_and_named() -> None:
    job = read({**USUAL, "Pulls (2)": PULLS})
    assert [pull.where.sheet for pull in job.pulls] == ["Pulls"] * 3
    assert said(job, "'Pulls (2)' holds the same pulls as 'Pulls'") == [("note", "Pulls (2)")]


def test_of_a_copy_that_differs_the_differing_length_is_open_and_its_row_named() -> None:
    other = [*PULLS[:2], [*PULLS[2][:3], 95, "16/2"], PULLS[3]]
    job = read({**USUAL, "Pulls B": other})
    assert [pull.id for pull in job.pulls] == ["P1", "P2", "P3"]
    assert [pull.length_m for pull in job.pulls] == [m_from_ft(120), None, m_from_ft(45.5)]
    assert said(job, "differ in P2", "which of the two holds?") == [("review", "Pulls B")]


@pytest.mark.parametrize("name", ["Pulls OLD", "Superseded pulls", "VOID - pulls", "Pulls (obsolete)"])
def test_a_sheet_that_its_name_voids_is_left_out_and_named(name: str) -> None:
    other = [*PULLS[:2], [*PULLS[2][:3], 95, "16/2"], PULLS[3]]
    job = read({**USUAL, name: other})
    assert [pull.length_m for pull in job.pulls] == [m_from_ft(120), m_from_ft(80), m_from_ft(45.5)]
    assert said(job, repr(name)) != []
    assert [r for r in job.remarks if r.level == "review"] == []


@pytest.mark.parametrize("name", ["Old Mill", "Pulls in roof void", "Previous phase list"])
def test_a_name_that_only_holds_such_a_word_voids_nothing(name: str) -> None:
    assert len(read({"Devices": DEVICES, name: PULLS}).pulls) == 3


def test_a_word_before_a_name_voids_no_sheet_beside_another() -> None:
    mill = [PULLS[0], ["P9", "T3", "K4", 40, "16/2"]]
    job = read({"Devices": [*DEVICES, ["K4", *DEVICES[1][1:]]], "Pulls": PULLS, "Old Mill": mill})
    assert [pull.far for pull in job.pulls][-1] == "K4"


@pytest.mark.parametrize("word", ["VOID", "Deleted", "superseded", "entfällt", "annulé", "cancelled"])
def test_a_row_that_its_status_voids_is_left_out_and_counted(word: str) -> None:
    spare = ["P4", "K2", "T3", 300, "16/2", word]
    job = read({**USUAL, "Pulls": [*WITH_STATUS, spare]})
    assert [pull.id for pull in job.pulls] == ["P1", "P2", "P3"]
    assert (job.rows_left_out, said(job, "row 5 left out: marked as void")) == (1, [("note", "Pulls")])


def test_a_device_void_by_its_note_while_pulls_lead_to_it_is_asked_about() -> None:
    devices = [[*DEVICES[0], "Notes"], *([*row, ""] for row in DEVICES[1:])]
    devices[2][4] = "deleted"
    job = read({"Devices": devices, "Pulls": PULLS})
    assert [device.tag for device in job.devices] == ["K1", "K2", "T3"]
    assert said(job, "K2 is marked 'deleted' and pulls still lead to it") == [("review", "Devices")]


def test_rows_below_a_section_that_voids_them() -> None:
    more = [["TO BE REMOVED"], ["P8", "C1.3", "X1", 50, "16/2"], ["P9", "X1", "X2", 60, "16/2"]]
    job = read({**USUAL, "Pulls": [*PULLS, *more]})
    assert [pull.id for pull in job.pulls] == ["P1", "P2", "P3"]


def test_a_sheet_that_touches_the_job_nowhere_is_left_alone_and_named_once() -> None:
    stock = [["Name", "Quantity"], ["Screws M4", 200], ["Cable ties", 1000]]
    hours = [["From", "To", "Hours"], ["08:00", "12:00", 4], ["13:00", "17:00", 4]]
    job = read({**USUAL, "Stock": stock, "Hours": hours})
    assert {table.sheet for table in job.tables} == {"Devices", "Pulls"}
    assert said(job, "no table is read on 'Stock', 'Hours'") == [("note", "")]


def test_a_sheet_that_is_named_as_the_old_one_is_left_out() -> None:
    pulls = [["From", "To", "Length (m)"], ["C1.1", "K1", 9], ["K1", "K2", 8], ["K2", "K3", 7]]
    old = [pulls[0], *([near, far, length + 5] for near, far, length in pulls[1:])]
    devices = [["Tag", "Power (W)"], *([f"K{i}", 1] for i in (1, 2, 3))]
    for name in ("ALT Verkabelung 1", "Verkabelung 1 (alt)"):
        job = job_of({"Devices": devices, name: old, "Verkabelung 1": pulls})
        assert [pull.length_m for pull in job.pulls] == [9, 8, 7]
        assert any("the old one" in remark.message for remark in job.remarks)
    asked = job_of({"Devices": devices, "Kabel 2": old, "Kabel 1": pulls})
    assert [pull.length_m for pull in asked.pulls] == [None, None, None]

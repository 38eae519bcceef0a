"""Rooms in rows, kinds of device in columns, under headings of several rows that are merged."""

import io
from typing import Any

import openpyxl
import pytest

from auditor.intake import read_job
from auditor.job.model import Job

PULLS = [
    ["From", "To", "Length (m)"],
    ["C1.1", "BT01", 10],
    ["BT01", "SE01", 12],
    ["SE01", "BT02", 9],
    ["BT02", "SE02", 11],
    ["SE02", "SE03", 8],
]


def job_of(rows: list[list[Any]], merges: list[str]) -> Job:
    book = openpyxl.Workbook()
    rooms, pulls = book.worksheets[0], book.create_sheet("Pulls")
    for row in rows:
        rooms.append(row)
    for merge in merges:
        rooms.merge_cells(merge)
    for row in PULLS:
        pulls.append(row)
    held = io.BytesIO()
    book.save(held)
    return read_job(held.getvalue(), "a.xlsx")


HEADS = [
    ["Room", "Name", "Control", None, "Sensing", "Count"],
    [None, None, "Buttons", "Dimmer", "Sensor", None],
]
ROOMS = [
    ["0.01", "Lobby", "BT01", None, "SE01", 2],
    ["0.02", "Office", "BT02", None, "SE02, SE03", 3],
]
DOWN = ["C1:D1", "A1:A2", "B1:B2", "F1:F2"]


def powers(job: Job) -> dict[str, float | None]:
    return {device.tag: device.power_w for device in job.devices}


@pytest.mark.parametrize("extra", [[], [[None, None, None, None, None, None]]])
def test_texts_merged_down_tell_how_many_rows_a_heading_has(extra: list[list[Any]]) -> None:
    job = job_of([["Rooms of the school"], *extra, *HEADS, *ROOMS], [_down(m, 1 + len(extra)) for m in DOWN])
    assert {(d.tag, d.room) for d in job.devices} == {
        ("BT01", "Lobby"),
        ("BT02", "Office"),
        ("SE01", "Lobby"),
        ("SE02", "Office"),
        ("SE03", "Office"),
    }
    assert not any(remark.closes for remark in job.remarks)


def test_watts_in_the_headings_are_those_of_each_device() -> None:
    watts = [None, None, "0,35 W/ea", "0,60 W/ea", "250 mW", None]
    down = ["C1:D1", "A1:A3", "B1:B3", "F1:F3"]
    job = job_of([*HEADS, watts, *ROOMS], down)
    assert powers(job) == {"BT01": 0.35, "BT02": 0.35, "SE01": 0.25, "SE02": 0.25, "SE03": 0.25}


def test_watts_below_the_totals_are_sums() -> None:
    totals = [[None, "Total units", 2, 0, 3, 5], [None, "Power (W)", 0.7, 0, 0.75, None]]
    job = job_of([*HEADS, *ROOMS, *totals], DOWN)
    assert set(powers(job).values()) == {None}


def test_a_row_of_watts_is_that_of_each_device() -> None:
    job = job_of([*HEADS, [None, "Power (W)", 0.35, 0.6, 0.25, None], *ROOMS], DOWN)
    assert set(powers(job).values()) == {0.35, 0.25}


def _down(merge: str, rows: int) -> str:
    first, last = merge.split(":")
    return f"{first[0]}{int(first[1:]) + rows}:{last[0]}{int(last[1:]) + rows}"

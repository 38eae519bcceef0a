"""Rows in a colour that a key beside the table explains."""

import io

import openpyxl
import pytest
from openpyxl.styles import PatternFill

from auditor.intake import read_job
from auditor.job.model import Job

GREEN, RED, GREY = ("FFC6E0B4", "FFFF7C80", "FFBFBFBF")
ROWS = [
    ("K1", "C1.1", 10, 0.5, GREEN),
    ("K2", "K1", 12, 0.5, GREEN),
    ("K3", "K2", 9, 0.5, RED),
    ("K4", "K2", 14, 0.5, GREEN),
    ("F9", None, None, None, GREY),
    ("K5", "K4", 8, 0.5, GREEN),
]


def job_of(omitted: str, others: str) -> Job:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.append(["Ref", "Fed from", "Length (m)", "W"])
    for *values, colour in ROWS:
        sheet.append(values)
        for cell in sheet[sheet.max_row]:
            cell.fill = PatternFill("solid", fgColor=colour)
    for row, (colour, text) in enumerate(((GREEN, "In contract"), (RED, omitted), (GREY, others)), 2):
        sheet.cell(row, 7).fill = PatternFill("solid", fgColor=colour)
        sheet.cell(row, 8).value = text
    sheet.cell(1, 7).value = "KEY TO COLOURS"
    held = io.BytesIO()
    book.save(held)
    return read_job(held.getvalue(), "a.xlsx")


@pytest.mark.parametrize("omitted", ["Omitted at rev C", "Deleted - do not install"])
def test_rows_in_the_colour_of_a_void_key_are_left_out_and_said(omitted: str) -> None:
    job = job_of(omitted, "By others - for information")
    assert [device.tag for device in job.devices] == ["K1", "K2", "K4", "K5"]
    said = [remark.message for remark in job.remarks if "in the colour of cell" in remark.message]
    assert len(said) == 2
    assert any(omitted in message for message in said)


def test_a_key_that_takes_no_row_away_changes_nothing() -> None:
    job = job_of("Length changed", "Checked on site")
    assert [device.tag for device in job.devices] == ["K1", "K2", "K3", "K4", "F9", "K5"]

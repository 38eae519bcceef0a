"""Small workbooks for the reader's tests, written cell by cell."""

import io
from collections.abc import Mapping, Sequence
from typing import Any

import xlsxwriter

from auditor.intake import read_job
from auditor.job.model import Job

DEVICES = [
    ["Tag", "Room", "Qty", "Power (W)"],
    ["K1", "Hall", 1, 0.8],
    ["K2", "Bar", 2, 1.2],
    ["T3", "Gym", 1, 0.5],
]
PULLS = [
    ["Pull", "From", "To", "Length (ft)", "Cable type"],
    ["P1", "C1.1", "K1", 120, "16/2"],
    ["P2", "K1", "K2", 80, "16/2"],
    ["P3", "C1.2", "T3", 45.5, "16/2"],
]

# four keypads on the two ports of one controller
TAGS = ("KP-101", "KP-102", "KP-103", "KP-104")
KEYPADS = [["Tag", "Room", "Power (W)"], *([tag, "Hall", 0.5] for tag in TAGS)]
ENDS = [("C1.1", "KP-101"), ("KP-101", "KP-102"), ("C1.2", "KP-103"), ("C1.2", "KP-104")]


def workbook(
    sheets: Mapping[str, Sequence[Sequence[Any]]], options: Mapping[str, Any] | None = None
) -> bytes:
    """An .xlsx with these rows; text is written as text, None and "" are left empty."""
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer, {"in_memory": True, **(options or {})}) as book:
        for name, rows in sheets.items():
            sheet = book.add_worksheet(name)
            for r, row in enumerate(rows):
                for c, value in enumerate(row):
                    if isinstance(value, str) and value:
                        sheet.write_string(r, c, value)
                    elif value is not None and value != "":
                        sheet.write(r, c, value)
    return buffer.getvalue()


def job_of(sheets: Mapping[str, Sequence[Sequence[Any]]]) -> Job:
    """The job that a workbook with these sheets states."""
    return read_job(workbook(sheets), "a.xlsx")


def ends_of(job: Job) -> list[tuple[str, str]]:
    return [(pull.near, pull.far) for pull in job.pulls]


def job_workbook(devices: Sequence[Sequence[Any]] = DEVICES, pulls: Sequence[Sequence[Any]] = PULLS) -> bytes:
    return workbook({"Devices": devices, "Pulls": pulls})


def with_lengths(*lengths: Any, heading: str = "Length (ft)") -> bytes:
    """A job whose pulls have these lengths, in line from C1.1."""
    ends = ["C1.1", *(f"K{i}" for i in range(1, len(lengths) + 1))]
    devices = [["Tag", "Power (W)"], *([tag, 1] for tag in ends[1:])]
    pulls = [["Pull", "From", "To", heading]]
    pulls += [[f"P{i + 1}", ends[i], ends[i + 1], length] for i, length in enumerate(lengths)]
    return job_workbook(devices, pulls)

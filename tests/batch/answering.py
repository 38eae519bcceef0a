"""Answers typed into the sheet «Questions» of an annotated copy, as people do it, and what the sheet shows."""

import shutil
import subprocess
import warnings
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from auditor.job.answers import ANSWER_HEADING, RECORD_HEADING, USE_HEADING
from tests.intake.workbooks import workbook

SOFFICE = shutil.which("soffice")
Change = Callable[[Workbook], object]

PULLS = [
    ["Pull", "From", "To", "Length A (ft)", "Length B (ft)", "Status"],
    ["P1", "C1.1", "K1", 1266, 810, "hold"],
    ["P2", "C1.2", "K2", 20, 25, ""],
]
DEVICES = [["Tag", "Power (W)"], ["K1", 1], ["K2", 1]]
A, B = "'Length A (ft)' in column D", "'Length B (ft)' in column E"


def asking(**sheets: Any) -> bytes:
    """A job that asks which column is the length, and whether a pull is landed."""
    return workbook({"Pulls": PULLS, "Devices": DEVICES, **sheets})


def opened(path: Path) -> Workbook:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # openpyxl drops the data bars' extension and says so
        return openpyxl.load_workbook(path)


def edit(path: Path, change: Change) -> None:
    """Opened, changed and saved by openpyxl."""
    book = opened(path)
    change(book)
    book.save(path)


def answer(path: Path, answers: Mapping[str, str], use: str | None = None) -> None:
    """Answers typed into a copy: what is asked -> the answer."""
    edit(path, lambda book: type_answers(book["Questions"], answers, use))


def type_answers(sheet: Worksheet, answers: Mapping[str, str], use: str | None = None) -> None:
    top, columns = headings(sheet)
    for row in range(top + 1, sheet.max_row + 1):
        record = str(sheet.cell(row, columns[RECORD_HEADING]).value)
        for what, text in answers.items():
            if f'"id": "{what}-' in record:
                sheet.cell(row, columns[ANSWER_HEADING]).value = text
                sheet.cell(row, columns[USE_HEADING]).value = (
                    use or sheet.cell(row, columns[USE_HEADING]).value
                )


def headings(sheet: Worksheet) -> tuple[int, dict[str, int]]:
    """The row of the headings, and the column of each."""
    for row in sheet.iter_rows():
        found = {str(cell.value): cell.column for cell in row if cell.value is not None}
        if RECORD_HEADING in found:
            return row[0].row, found
    raise AssertionError("no row of headings")


def shown(path: Path, name: str = "Questions") -> dict[str, tuple[object, object]]:
    """What is asked -> the answer in its cell and what became of it."""
    sheet = opened(path)[name]
    top, columns = headings(sheet)
    found = {}
    for row in range(top + 1, sheet.max_row + 1):
        record = str(sheet.cell(row, columns[RECORD_HEADING]).value)
        what = record.partition('"id": "')[2].partition('"')[0].rpartition("-")[0]
        found[what] = (
            sheet.cell(row, columns[ANSWER_HEADING]).value,
            sheet.cell(row, columns["What became of the answer"]).value,
        )
    return found


def by_libreoffice(path: Path, folder: Path) -> None:
    """Opened and saved by LibreOffice."""
    if SOFFICE is None:
        pytest.skip("LibreOffice is not installed")
    folder.mkdir(exist_ok=True)
    command = [
        SOFFICE,
        f"-env:UserInstallation=file://{folder}/profile",
        "--headless",
        "--convert-to",
        "xlsx",
        "--outdir",
        str(folder),
        str(path),
    ]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    path.write_bytes((folder / path.name).read_bytes())

"""What a written workbook holds, read back by other people's code."""

import io
import re
import shutil
import subprocess
import warnings
import zipfile
from collections.abc import Mapping
from pathlib import Path

import openpyxl
import pytest
from openpyxl.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from auditor.report.page.sheet import packed

Cells = dict[str, object]
Written = bytes | Mapping[str, bytes]  # a workbook as a file, or as its parts by name


def as_file(data: Written) -> bytes:
    return data if isinstance(data, bytes) else packed(data)


def opened(data: Written, *, values: bool = True) -> Workbook:
    with warnings.catch_warnings():
        warnings.filterwarnings(
            "ignore", ".*extension is not supported"
        )  # openpyxl knows no data bar of 2010
        return openpyxl.load_workbook(io.BytesIO(as_file(data)), data_only=values)


def rows_below(sheet: Worksheet, heading: str, *, column: int = 1) -> list[Cells]:
    """The rows of the table whose heading row holds `heading` in `column`, until an empty row."""
    top = next(row for row in range(1, sheet.max_row + 1) if sheet.cell(row, column).value == heading)
    heads = [cell.value for cell in sheet[top]]
    rows = []
    for row in sheet.iter_rows(min_row=top + 1):
        values = [cell.value for cell in row]
        if all(value is None for value in values):
            break
        rows.append({head: value for head, value in zip(heads, values, strict=True) if head})
    return rows


def formulas(data: Written) -> dict[tuple[str, str], str]:
    """(sheet, cell) -> formula, of the whole workbook."""
    return {
        (sheet.title, cell.coordinate): cell.value
        for sheet in opened(data, values=False)
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f"
    }


def part(data: Written, name: str) -> str:
    with zipfile.ZipFile(io.BytesIO(as_file(data))) as package:
        return package.read(name).decode()


def parts(data: Written, pattern: str) -> list[str]:
    with zipfile.ZipFile(io.BytesIO(as_file(data))) as package:
        return [package.read(name).decode() for name in package.namelist() if re.fullmatch(pattern, name)]


def recalculated(data: Written, folder: Path) -> Workbook:
    """The workbook as LibreOffice computes it anew; skips where LibreOffice is not installed."""
    office = shutil.which("soffice")
    if office is None:
        pytest.skip("LibreOffice (soffice) is not installed: no second opinion on the formulas")
    source = folder / "book.xlsx"
    source.write_bytes(without_cached_values(data))
    subprocess.run(
        [
            office,
            f"-env:UserInstallation={(folder / 'profile').as_uri()}",
            "--headless",
            "--convert-to",
            "xlsx:Calc MS Excel 2007 XML",
            "--outdir",
            str(folder / "out"),
            str(source),
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    return opened((folder / "out" / "book.xlsx").read_bytes())


def without_cached_values(data: Written) -> bytes:
    """The workbook with the value of each formula taken out, so that a reader must compute it."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(as_file(data))) as package, zipfile.ZipFile(out, "w") as bare:
        for name in package.namelist():
            content = package.read(name)
            if name.startswith("xl/worksheets/sheet"):
                content = re.sub(rb"</f><v>[^<]*</v>", b"</f>", content)
            bare.writestr(name, content)
    return out.getvalue()

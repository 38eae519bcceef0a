"""The sample workbooks say what must be found: an `expect` cell names the rules of its row."""

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest

from auditor.audit import audit
from auditor.intake import read_job
from auditor.profile.load import DEFAULT, load_profile
from auditor.results.audit_result import Audit
from auditor.results.findings import Level

SAMPLES = Path(__file__).parent.parent / "sample_workbooks"
WORKBOOKS = sorted(path.relative_to(SAMPLES).as_posix() for path in SAMPLES.rglob("*.xlsx"))

Place = tuple[str | None, int | None, str]  # sheet, row, rule


def expected(workbook: openpyxl.Workbook) -> set[Place]:
    return {(sheet, row, rule.strip()) for sheet, row, text in _marks(workbook) for rule in text.split(",")}


def _marks(workbook: openpyxl.Workbook) -> Iterator[tuple[str | None, int | None, str]]:
    for sheet in workbook.worksheets:
        column = None
        for row in sheet.iter_rows():
            for cell in row:
                if cell.value == "expect":
                    column = cell.column
                elif cell.value == "expect for the job":
                    beside = sheet.cell(cell.row, cell.column + 1).value
                    if beside:
                        yield None, None, str(beside)
                elif cell.column == column and cell.value:
                    yield sheet.title, cell.row, str(cell.value)


def found(result: Audit) -> set[Place]:
    judged = [finding for finding in result.findings if finding.level is not Level.NOTE]
    return {
        (item.where.sheet, item.where.row, item.rule) if item.where else (None, None, item.rule)
        for item in judged
    }


def audit_sample(name: str) -> Audit:
    path = SAMPLES / name
    job = read_job(path.read_bytes(), path.name)
    return audit(job, load_profile(job.profile_name or DEFAULT))


@pytest.mark.parametrize("name", WORKBOOKS)
def test_every_row_is_reported_as_it_says(name: str) -> None:
    assert found(audit_sample(name)) == expected(openpyxl.load_workbook(SAMPLES / name))


def test_every_data_table_says_what_it_expects() -> None:
    for name in WORKBOOKS:
        path = SAMPLES / name
        job = read_job(path.read_bytes(), path.name)
        workbook = openpyxl.load_workbook(path)
        for table in job.tables:
            heading = [cell.value for cell in workbook[table.sheet][table.header_row] if cell.value]
            assert heading[-1] == "expect", (name, table.sheet)


def test_the_samples_cover_every_verdict_of_a_readable_job() -> None:
    assert {audit_sample(name).verdict.value for name in WORKBOOKS} == {"pass", "review", "fail"}


def test_the_script_writes_what_is_shipped(tmp_path: Path) -> None:
    script = [sys.executable, str(SAMPLES / "build.py"), "--out", str(tmp_path)]
    subprocess.run(script, check=True, capture_output=True)
    assert sorted(path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*.xlsx")) == WORKBOOKS
    for name in WORKBOOKS:
        assert _values(tmp_path / name) == _values(SAMPLES / name)


def _values(path: Path) -> dict[str, list[tuple[object, ...]]]:
    workbook = openpyxl.load_workbook(path)
    return {sheet.title: list(sheet.iter_rows(values_only=True)) for sheet in workbook.worksheets}


@pytest.mark.parametrize("name", WORKBOOKS)
def test_every_filled_row_is_read_or_listed_as_left_out(name: str) -> None:
    path = SAMPLES / name
    job = read_job(path.read_bytes(), path.name)
    sheets = openpyxl.load_workbook(path, data_only=True)
    filled = sum(
        any(cell.value not in (None, "") for cell in row)
        for table in job.tables
        for row in sheets[table.sheet].iter_rows(
            min_row=table.first_row, min_col=table.first_column, max_col=table.last_column
        )
    )
    listed = [remark for remark in job.remarks if "left out" in remark.message]

    assert filled == job.rows_read
    records = sum(len(table.rows) + len(table.joined_rows) for table in job.tables)
    assert job.rows_read == records + job.rows_left_out
    assert len(listed) == job.rows_left_out

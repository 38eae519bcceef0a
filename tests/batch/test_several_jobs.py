"""A workbook with the schedules of two houses: two jobs, one annotated copy."""

from pathlib import Path
from typing import Any

import openpyxl
import pytest

from auditor.batch import Options, check
from tests.batch.runs import names, results

HOUSES = {"House A": "C1", "House B": "C2"}
DEVICES = [("Tag", "Room", "Power (W)"), ("K1", "Hall", 0.8), ("K2", "Bar", 1.2), ("T3", "Gym", 0.5)]


def pulls(controller: str) -> list[tuple[Any, ...]]:
    return [
        ("Pull", "From", "To", "Length (ft)", "Cable type"),
        ("P1", f"{controller}.1", "K1", 120, "16/2"),
        ("P2", "K1", "K2", 80, "16/2"),
        ("P3", f"{controller}.2", "T3", 45.5, "16/2"),
    ]


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What one run wrote of a workbook with both houses, each with the same tags."""
    folder = tmp_path_factory.mktemp("houses")
    book = openpyxl.Workbook()
    book.remove(book.active)
    for house, controller in HOUSES.items():
        for kind, rows in (("devices", DEVICES), ("cables", pulls(controller))):
            sheet = book.create_sheet(f"{house} {kind}")
            for row in rows:
                sheet.append(row)
    (folder / "in").mkdir()
    book.save(folder / "in" / "estate.xlsx")
    check([folder / "in"], folder / "out", Options(workers=1), lambda *_: None)
    return folder / "out"


def test_each_job_has_a_line_of_its_own(out: Path) -> None:
    found = [(each["file"], each["part"], each["problem"]) for each in results(out)]
    assert found == [("estate.xlsx", house, None) for house in HOUSES]


def test_equal_tags_are_kept_apart(out: Path) -> None:
    """Neither a tag listed twice nor a run that belongs to both."""
    for each, controller in zip(results(out), HOUSES.values(), strict=True):
        assert {(run["controller"], run["port"]) for run in each["runs"]} == {
            (controller, "1"),
            (controller, "2"),
        }
        assert [finding for finding in each["findings"] if finding["rule"] == "double-entry"] == []


def test_one_copy_with_an_audit_sheet_for_each(out: Path) -> None:
    assert names(out) == ["estate.audited.xlsx", "results.jsonl", "summary.xlsx"]
    sheets = openpyxl.load_workbook(out / "estate.audited.xlsx", read_only=True).sheetnames
    assert [name for name in sheets if name.startswith("Audit")] == [f"Audit {house}" for house in HOUSES]
    assert [name for name in sheets if name.startswith("House")] == [
        f"{house} {kind}" for house in HOUSES for kind in ("devices", "cables")
    ]

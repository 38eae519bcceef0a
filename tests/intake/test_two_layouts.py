"""The two usual layouts: a device sheet with a pull sheet, and one combined sheet."""

import pytest

from auditor.errors import UnusableFileError
from auditor.intake import read_job
from auditor.job.model import CellRef, TableKind
from auditor.units import m_from_ft

from .workbooks import DEVICES, PULLS, job_workbook, workbook


def test_device_sheet_and_pull_sheet() -> None:
    job = read_job(job_workbook(), "jobs/lodge.xlsx")
    assert job.name == "lodge"
    assert [(d.tag, d.room, d.quantity, d.power_w) for d in job.devices] == [
        ("K1", "Hall", 1, 0.8),
        ("K2", "Bar", 2, 1.2),
        ("T3", "Gym", 1, 0.5),
    ]
    assert [(p.id, p.near, p.far, p.length_m, p.cable) for p in job.pulls] == [
        ("P1", "C1.1", "K1", m_from_ft(120), "16/2"),
        ("P2", "K1", "K2", m_from_ft(80), "16/2"),
        ("P3", "C1.2", "T3", m_from_ft(45.5), "16/2"),
    ]
    assert list(job.ports) == ["C1.1", "C1.2"]
    assert list(job.controllers) == ["C1"]
    assert job.length_unit == "ft"
    assert (job.rows_read, job.rows_left_out) == (6, 0)


def test_every_value_keeps_its_cell() -> None:
    job = read_job(job_workbook(), "lodge.xlsx")
    assert job.devices[1].cells["power_w"] == CellRef("Devices", 3, 4)
    assert job.pulls[2].cells["length_m"] == CellRef("Pulls", 4, 4)
    assert job.pulls[2].where == CellRef("Pulls", 4, 1)


def test_tables_say_where_they_stand() -> None:
    titled = [["Hill lodge"], [], *PULLS]
    table = next(
        t for t in read_job(job_workbook(pulls=titled), "a.xlsx").tables if t.kind is TableKind.PULLS
    )
    assert (table.sheet, table.header_row, table.first_row, table.last_row) == ("Pulls", 3, 4, 6)
    assert (table.first_column, table.last_column) == (1, 5)
    assert table.columns == {"id": 1, "near": 2, "far": 3, "length_m": 4, "cable": 5}
    assert table.rows == (4, 5, 6)


def test_combined_sheet_gives_one_device_and_one_pull_a_row() -> None:
    rows = [
        ["Tag", "Fed from", "Length (m)", "Cable", "Current (mA @ 24 V)", "Room"],
        ["K1", "C1 port 1", 36.5, "2x1.5", 50, "Hall"],
        ["K2", "K1", 12, "2x1.5", 25, "Bar"],
    ]
    job = read_job(workbook({"Schedule": rows}), "a.xlsx")
    assert [(d.tag, d.power_w, d.at_voltage_v) for d in job.devices] == [
        ("K1", pytest.approx(1.2), 24.0),
        ("K2", pytest.approx(0.6), 24.0),
    ]
    assert [(p.id, p.near, p.far, p.length_m) for p in job.pulls] == [
        ("K1 feed", "C1.1", "K1", 36.5),
        ("K2 feed", "K1", "K2", 12.0),
    ]
    assert job.length_unit == "m"
    assert job.rows_read == 2


def test_no_pull_schedule_is_refused_with_what_was_found() -> None:
    with pytest.raises(UnusableFileError) as refused:
        read_job(workbook({"Rooms": [["Room", "Floor"], ["Hall", "1"]]}), "x/lodge.xlsx")
    assert str(refused.value) == (
        'lodge.xlsx: no pull schedule found; looked for a row with "from", "to" and "length", or "tag", "fed from" '
        "and \"length\", on 'Rooms'; found 'Room', 'Floor', 'Hall', '1'"
    )


def test_spare_return_is_not_landed() -> None:
    pulls = [
        [*PULLS[0], "Notes"],
        *PULLS[1:],
        ["P4", "T3", "C1.1", 60, "16/2", "Spare return, do not terminate"],
    ]
    job = read_job(job_workbook(DEVICES, pulls), "a.xlsx")
    assert [p.landed for p in job.pulls] == [True, True, True, False]

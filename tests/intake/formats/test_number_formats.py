"""Units that number formats show."""

import io
from typing import Any

import pytest
import xlsxwriter

from auditor.intake import read_job
from auditor.intake.formats.number_formats import shown_unit
from auditor.job.model import Job
from auditor.units import m_from_ft
from tests.intake.workbooks import DEVICES, PULLS


@pytest.mark.parametrize(
    ("code", "unit"),
    [
        ('0" m"', "m"),
        ('#,##0.00" ft"', "ft"),
        ("0\\'", "ft"),
        ('0"\'"', "ft"),
        ('General" W"', "W"),
        ('0.0\\ \\m;[Red]-0.0\\ "m"', "m"),
        ('[Blue]0_)" mA"', "mA"),
        ('0.0### "mA at 24 V"', "mA @ 24 V"),
        ('0" mA @ 12,5 V DC"', "mA @ 12.5 V"),
        ('0" m @ 24 V"', None),
        ('0" mA at 24 V peak"', None),
        ('# ?/?" in"', "in"),
        ("0.00", None),
        ("General", None),
        ('0.0,," m"', None),  # millions
        ('0%" m"', None),
        ('"K"0', None),
        ('yyyy"m"', None),
        ("m/d/yyyy", None),
        ('0" pcs"', None),
        ('@" m"', None),
        ("", None),
        ('"' * 3_000_000 + ' m"', None),
    ],
)
def test_the_unit_of_a_number_format(code: str, unit: str | None) -> None:
    assert shown_unit(code) == unit


def formatted(heading: str, *codes: str) -> Job:
    """A job whose pulls of 10 have these number formats."""
    held = io.BytesIO()
    with xlsxwriter.Workbook(held, {"in_memory": True}) as book:
        devices, pulls = book.add_worksheet("Devices"), book.add_worksheet("Pulls")
        watts = book.add_format({"num_format": '0.0" mW"'})
        for r, row in enumerate([["Tag", "Power"], ["K1", 800]]):
            devices.write_row(r, 0, row, watts)
        pulls.write_row(0, 0, ["From", "To", heading])
        for r, code in enumerate(codes, 1):
            pulls.write_row(r, 0, ["C1.1" if r == 1 else f"K{r - 1}", f"K{r}"])
            pulls.write_number(r, 2, 10, book.add_format({"num_format": code}) if code else None)
    return read_job(held.getvalue(), "a.xlsx")


def test_what_a_cell_shows_is_what_is_read() -> None:
    job = formatted("Length", '0" m"', '0.0" ft"')
    assert [pull.length_m for pull in job.pulls] == [10, m_from_ft(10)]
    assert job.devices[0].power_w == pytest.approx(0.8)
    assert "units that the format of a cell shows behind its number are read with it" in [
        remark.message for remark in job.remarks
    ]


def test_the_same_in_an_xls() -> None:
    xlwt = pytest.importorskip("xlwt")
    book = xlwt.Workbook()
    pulls = book.add_sheet("Pulls")
    for r, row in enumerate([["From", "To", "Length (ft)"], ["C1.1", "K1", 10], ["K1", "K2", 10]]):
        for c, value in enumerate(row):
            style = xlwt.easyxf(num_format_str='0" m"') if r == 1 else xlwt.easyxf()
            pulls.write(r, c, value, style)
    held = io.BytesIO()
    book.save(held)
    job = read_job(held.getvalue(), "a.xls")
    assert [pull.length_m for pull in job.pulls] == [10, m_from_ft(10)]


def test_the_unit_of_the_cell_stands_above_that_of_the_heading() -> None:
    job = formatted("Length (ft)", '0" m"', "0")
    assert [pull.length_m for pull in job.pulls] == [10, m_from_ft(10)]


def test_a_unit_that_does_not_fit_is_quoted_as_the_cell_shows_it() -> None:
    job = formatted("Length (ft)", '0" W"')
    assert [(cell.text, cell.where.a1) for cell in job.pulls[0].unread] == [("10 W", "C2")]


def test_the_unit_of_the_job_is_the_one_that_most_lengths_show() -> None:
    assert formatted("Length", '0" m"', '0" m"', '0" ft"').length_unit == "m"


def test_without_such_formats_nothing_is_said() -> None:
    held = io.BytesIO()
    with xlsxwriter.Workbook(held, {"in_memory": True}) as book:
        money: Any = book.add_format({"num_format": '#,##0.00" EUR"'})
        for title, rows in (("Devices", DEVICES), ("Pulls", PULLS)):
            sheet = book.add_worksheet(title)
            for r, row in enumerate(rows):
                sheet.write_row(r, 0, row, money)
    job = read_job(held.getvalue(), "a.xlsx")
    assert [remark.message for remark in job.remarks] == []

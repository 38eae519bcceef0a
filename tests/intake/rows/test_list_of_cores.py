"""A list of cores: its cables' numbers, its type of cable, and its rows counted."""

import pytest

from auditor.intake import read_job
from auditor.job.model import Job
from tests.intake.workbooks import workbook

DEVICES = [["Tag", "Power (W)"], *([tag, 0.6] for tag in ("K1", "K2", "K3"))]
HOPS = [("B-7", "C1.1", "K1", 20), ("B-8", "K1", "K2", 12.5), ("B-9", "K2", "K3", 31)]


def job(headings: list[str], cables: list[list[str]] | None = None) -> Job:
    rows = [[name, core, a, b, "L15", m] for name, a, b, m in HOPS for core in ("+", "-")]
    types = {"Cable types": cables} if cables else {}
    return read_job(workbook({"Cores": [headings, *rows], "Devices": DEVICES, **types}), "job.xlsx")


@pytest.mark.parametrize(
    "headings",
    [
        ["Cable", "Core", "From", "To", "Type", "Length (m)"],
        ["Câble", "Conducteur", "Tenant", "Aboutissant", "Type", "Longueur (m)"],
        ["Kabel", "Ader", "Von", "Nach", "Kabeltyp", "Länge (m)"],
    ],
    ids=["en", "fr", "de"],
)
def test_what_changes_with_every_two_rows_is_the_number_of_the_cable(headings: list[str]) -> None:
    read = job(headings)

    assert [(pull.id, pull.cable, pull.length_m) for pull in read.pulls] == [
        ("B-7", "L15", 20.0),
        ("B-8", "L15", 12.5),
        ("B-9", "L15", 31.0),
    ]


def test_a_cable_that_the_table_of_cable_types_lists_is_a_type() -> None:
    types = [["Cable", "Gauge", "Conductors"], *([name, "16 AWG", "2"] for name, *_ in HOPS)]
    read = job(["Cable", "Core", "From", "To", "Remark", "Length (m)"], types)

    assert [pull.cable for pull in read.pulls] == ["B-7", "B-8", "B-9"]


def test_the_other_cores_are_counted_as_read_and_are_no_records() -> None:
    read = job(["Cable", "Core", "From", "To", "Type", "Length (m)"])

    assert read.tables[0].rows == (2, 4, 6)
    assert read.tables[0].joined_rows == (3, 5, 7)
    assert read.rows_read == 6 + 3
    assert read.rows_left_out == 0

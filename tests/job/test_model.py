"""Addresses of cells, names of ports, and names in the order in which people count."""

import pytest
from openpyxl.utils import get_column_letter

from auditor.job.model import CellRef, Port, natural_key


@pytest.mark.parametrize(
    ("row", "column", "address"),
    [
        (1, 1, "A1"),
        (12, 26, "Z12"),
        (3, 27, "AA3"),
        (7, 702, "ZZ7"),
        (9, 703, "AAA9"),
        (1048576, 16384, "XFD1048576"),
    ],
)
def test_cell_addresses(row: int, column: int, address: str) -> None:
    assert CellRef("Sheet", row, column).a1 == address


def test_every_column_letter_as_openpyxl_writes_it() -> None:
    written = [CellRef("Sheet", 1, column).a1 for column in range(1, 16385)]
    assert written == [f"{get_column_letter(column)}1" for column in range(1, 16385)]


def test_a_port_is_written_with_its_controller() -> None:
    assert Port(controller="C1", port="2").name == "C1.2"


def test_names_are_sorted_as_people_count() -> None:
    names = ["C10", "c2", "C1", "K-07", "K-7b", "", "2", "10", "A"]
    assert sorted(names, key=natural_key) == ["", "2", "10", "A", "C1", "c2", "C10", "K-07", "K-7b"]

"""A column with an unknown heading is no status because one of its rooms is the archive."""

from auditor.intake import read_job
from tests.intake.workbooks import workbook

PULLS = [
    ["From", "To", "Length (m)"],
    ["C1.1", "KP-1", 5],
    *([f"KP-{number}", f"KP-{number + 1}", 5] for number in range(1, 9)),
]


def _tags(column: list[str]) -> list[str]:
    devices = [
        ["Tag", "Power (W)", "Zaxfem"],
        *([f"KP-{at}", 0.5, text] for at, text in enumerate(column, 1)),
    ]
    job = read_job(workbook({"Devices": devices, "Pulls": PULLS}), "a.xlsx")
    return [device.tag for device in job.devices]


def test_an_archive_among_rooms_voids_nothing() -> None:
    rooms = ["Archief"] * 3 + ["Kantoor"] * 3 + ["Werkplaats"] * 3
    assert _tags(rooms) == [f"KP-{number}" for number in range(1, 10)]


def test_deleted_among_blanks_voids_its_row() -> None:
    assert "KP-10" not in _tags(["", *[""] * 8, "DELETED"])

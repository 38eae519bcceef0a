"""A list of doors whose numbers look like tags, beside a matrix of rooms that spells the tags as the pulls do."""

from auditor.intake import read_job
from tests.intake.workbooks import workbook


def test_doors_are_no_devices_where_a_matrix_has_the_tags() -> None:
    matrix = [
        ["Storey", "Area", "Keypad", "Shade motor"],
        ["1", "Hall", "D001", "D003, D004"],
        ["1", "Study", "D002, D006", "D005"],
        ["2", "Attic", "D007", "D008, D009"],
        ["2", "Store", "D010", "D011"],
    ]
    pulls = [
        ["From", "To", "Length (m)"],
        ["C1.1", "D001", 10],
        *([f"D0{number:02}", f"D0{number + 1:02}", 5] for number in range(1, 11)),
    ]
    doors = [
        ["Door", "Width (mm)", "Height (mm)", "Type", "Room"],
        *([f"D{number}", 900, 2100, "single", "Hall"] for number in range(1, 7)),
    ]
    book = workbook({"By room": matrix, "Pulls": pulls, "Doors": doors})
    job = read_job(book, "a.xlsx")
    assert sorted(device.tag for device in job.devices) == [f"D0{number:02}" for number in range(1, 12)]
    assert not any(remark.closes for remark in job.remarks)

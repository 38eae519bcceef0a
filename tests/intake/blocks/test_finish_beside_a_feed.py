"""`Finish` heads a colour or the far end of a pull; beside devices that the pulls do not end at it is no end."""

from auditor.intake import read_job
from tests.intake.workbooks import workbook


def test_no_pull_ends_at_a_colour() -> None:
    rows = [
        [
            "Mark",
            "Device type",
            "Location",
            "Load (mW)",
            "Fed from",
            "Est. length",
            "Type of cable",
            "Finish",
        ],
        ["KP01", "Keypad", "Loft", 480, "Head end 2.1", "19 ft", "X16", "black"],
        ["SH01", "Shade motor", "Loft", 240, "KP01", "8.5 ft", "X16", "black"],
        ["SH02", "Shade motor", "Loft", 240, "SH01", "11.5 ft", "X16", "black"],
        ["KP02", "Keypad", "Gallery", 480, "SH01", "21 ft", "X16", "black"],
    ]
    job = read_job(workbook({"Schedule": rows}), "a.xlsx")
    assert "black" not in {pull.far for pull in job.pulls}

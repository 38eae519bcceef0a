"""Tags in ranges: the Dutch «t/m» between tags with slashes, and a sum over rows of several devices."""

from auditor.intake import read_jobs
from tests.intake.workbooks import job_of, workbook

PULLS = [
    ["Bron", "Doel", "Lengte (m)"],
    ["CPU-1.1", "KP/1/01", 12],
    ["KP/1/01", "KP/1/02", 8],
    ["KP/1/02", "KP/1/03", 7],
    ["KP/1/03", "TH/1/04", 9],
]
DEVICES = [["Kenmerk", "Aantal", "Vermogen (W)"], ["KP/1/01 t/m KP/1/03", 3, 0.3], ["TH/1/04", 1, 0.6]]


def test_a_word_with_a_slash_stands_between_the_first_and_the_last() -> None:
    job = job_of({"Apparaten": DEVICES, "Kabels": PULLS})
    assert [device.tag for device in job.devices] == ["KP/1/01", "KP/1/02", "KP/1/03", "TH/1/04"]


def test_a_sum_counts_each_device_of_a_row() -> None:
    devices = [
        ["Tag", "Qty", "Power (W)"],
        ["KP/1/01 to KP/1/03", 3, 0.3],
        ["TH/1/04", 1, 0.6],
        ["Total", "", 1.5],
    ]
    book = {"Devices": devices, "Pulls": [["From", "To", "Length (m)"], *PULLS[1:]]}
    (job,) = read_jobs(workbook(book), "a.xlsx")
    assert [remark.level for remark in job.remarks if remark.subject == "total in row 4"] == ["note"]


def test_a_sum_that_lacks_devices_is_asked_about() -> None:
    book = {"Apparaten": [*DEVICES, ["Totaal", "", 2.4]], "Kabels": PULLS}
    (job,) = read_jobs(workbook(book), "a.xlsx")
    assert [remark.level for remark in job.remarks if remark.subject == "total in row 4"] == ["review"]

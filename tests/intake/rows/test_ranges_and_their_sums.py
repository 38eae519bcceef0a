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


def test_numbers_that_count_the_tags_of_their_row_are_no_question() -> None:
    alone = [f"TH-{number}" for number in range(4, 10)]
    tags = ["KP-1", "KP-2", "KP-3", *alone]
    near = ["CPU-1.1", *tags[:-1]]
    pulls = [["From", "To", "Length (m)"], *([a, b, 8 + i % 3] for i, (a, b) in enumerate(zip(near, tags, strict=True)))]  # fmt: skip

    def asked(more: float) -> bool:
        counts = [["KP-1 to KP-3", 3, 0.3], *([tag, 1, 0.6] for tag in alone[:-1]), [alone[-1], more, 0.6]]
        book = {"Devices": [["Tag", "Nº", "Power (W)"], *counts], "Pulls": pulls}
        return any("quantity" in question.sentence for question in job_of(book).questions)

    assert not asked(1)
    assert asked(2)

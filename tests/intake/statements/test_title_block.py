"""Title blocks: job number, revision and date in the words of offices."""

from datetime import datetime

import pytest

from auditor.intake import read_job
from auditor.intake.statements.title_block import iso_date
from auditor.job.model import Job, TitleBlock
from tests.intake.workbooks import workbook

DEVICES = [["Tag", "Power (W)"], ["K1", 0.5], ["K2", 0.5]]
PULLS = [["From", "To", "Length (ft)"], ["C1.1", "K1", 50], ["K1", "K2", 40]]


def _job(*top: list[object], **sheets: list[list[object]]) -> Job:
    return read_job(workbook({"Devices": DEVICES, "Pulls": [*top, [], *PULLS], **sheets}), "a.xlsx")


@pytest.mark.parametrize(
    ("top", "name", "block"),
    [
        (
            [["Project:", "Mill Row"], ["Job no:", 4711], ["Rev", "C", "Date", "2026-03-01"], ["Prepared by: A. Stone"]],
            "Mill Row",
            TitleBlock(number="4711", revision="C", dated="2026-03-01", date="2026-03-01", drawn_by="A. Stone"),
        ),
        (
            [["Projekt:", "Mühlhof"], ["Auftragsnummer:", "26-014"], ["Index:", "B"], ["Datum:", "03.02.2026"], ["Gez.:", "Ba"]],
            "Mühlhof",
            TitleBlock(number="26-014", revision="B", dated="03.02.2026", date="2026-02-03", drawn_by="Ba"),
        ),
        (
            [["N° affaire", "A-77", "", "Indice", "2"], ["Vérifié par", "L. Roche"], ["Bureau", "Nord"]],
            "A-77",
            TitleBlock(number="A-77", revision="2", checked_by="L. Roche", office="Nord"),
        ),
        ([["Mill Row - cable pulls - Rev D - 12 May 2026"]], "a", TitleBlock(revision="D", dated="12 May 2026", date="2026-05-12")),
        ([["Rev", "Date", "By"]], "a", TitleBlock()),
        ([["Date:", "03/04/2026"]], "a", TitleBlock(dated="03/04/2026")),
        ([["Status:", "As built"]], "a", TitleBlock(status="As built")),
    ],
)  # fmt: skip
def test_what_the_labels_say(top: list[list[object]], name: str, block: TitleBlock) -> None:
    job = _job(*top)
    assert (job.name, job.title_block) == (name, block)
    assert len(job.pulls) == 2


def test_the_newest_row_of_a_list_of_revisions_counts_where_no_label_says_one() -> None:
    rows: list[list[object]] = [
        ["Rev", "Date", "Description"],
        ["A", "2026-01-10", "first issue"],
        ["C", "2026-03-05", "north wing"],
        ["B", "2026-02-01", "lengths"],
    ]
    assert _job(Revisions=rows).title_block == TitleBlock(revision="C", dated="2026-03-05", date="2026-03-05")
    assert _job(["Revision:", "B"], Revisions=rows).title_block.revision == "B"


def test_how_it_was_read_names_the_cell() -> None:
    (said,) = [one for one in _job(["Job no:", 4711]).statements if "4711" in one.text]
    assert (said.text, said.where.a1, said.more) == ("job number 4711", "B1", 0)


@pytest.mark.parametrize(
    ("value", "iso"),
    [
        (datetime(2026, 3, 1, 0, 0), "2026-03-01"),
        ("2026/3/1", "2026-03-01"),
        ("1.3.2026", "2026-03-01"),
        ("03/04/2026", None),
        ("04/04/2026", "2026-04-04"),
        ("13/04/2026", "2026-04-13"),
        ("04/13/2026", "2026-04-13"),
        ("31.02.2026", None),
        ("March 1, 2026", "2026-03-01"),
        ("1 Mar 2026", "2026-03-01"),
        ("next week", None),
        (46000.0, None),
    ],
)
def test_a_date_is_told_only_where_day_and_month_are_sure(value: object, iso: str | None) -> None:
    assert iso_date(value) == iso  # type: ignore[arg-type]


def test_rooms_routes_and_notes_of_pulls() -> None:
    pulls: list[list[object]] = [
        ["From", "To", "Length (ft)", "To room", "Route", "Remarks"],
        ["C1.1", "K1", 50, "Hall", "tray 4", "pull with lights"],
        ["K1", "K2", 40, "", "", ""],
    ]
    job = read_job(workbook({"Devices": DEVICES, "Pulls": pulls}), "a.xlsx")
    assert [(one.room, one.route, one.note) for one in job.pulls] == [
        ("Hall", "tray 4", "pull with lights"),
        (None, None, None),
    ]

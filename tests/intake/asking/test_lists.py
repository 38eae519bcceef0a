"""Where the devices, what they draw, the length and the ports stand is asked with ways that can be obeyed."""

from collections.abc import Mapping, Sequence
from typing import Any

import pytest

from auditor.intake import read_job, read_jobs
from auditor.intake.asking.ports import NOT_YET, ONE, OWN
from auditor.intake.records.local_ports import BY_SHEET
from auditor.job.model import Job, Question
from tests.intake.workbooks import ends_of, workbook

FT = 0.3048
Sheets = Mapping[str, Sequence[Sequence[Any]]]

TAGS = [f"KP-{number:02d}" for number in range(1, 7)]
ENDS = list(zip(["C1.1", *TAGS], TAGS, strict=False))
LENGTHS = [30, 12, 25, 9, 40, 8]  # they do not rise, as those that count from the port do
PULLS = [
    ["Pull", "From", "To", "Length (ft)"],
    *([f"P{n}", *ends, length] for n, (ends, length) in enumerate(zip(ENDS, LENGTHS, strict=True), 1)),
]
DEVICES = [["Tag", "Power (W)"], *([tag, 1] for tag in TAGS)]
KINDS = [["Tag", "Room", "Code"], *([tag, "Hall", "AB"[n % 2]] for n, tag in enumerate(TAGS))]
LEGEND = [["Venp", "Tamf", "Drus (W)"], ["A", "Keypad", 0.6], ["B", "Dimmer", 1.2]]
RANGES = [["KP-01..KP-03", "Hall", "Keypad"], ["KP-04..KP-06", "Bar", "Dimmer"], ["KP-09", "Bar", "Dimmer"]]
COMBINED = [
    ["Pend", "Dix", "Glisk", "Loth", "Tox", "Sund (ft)"],
    ["BC-1", 1, "KP-01", "Keypad", "BC-1", 18],
    ["BC-1", 1, "KP-02", "Keypad", "KP-01", 13],
    ["BC-1", 1, "KP-03", "Dimmer", "KP-02", 9],
    ["BC-1", 1, "KP-04", "Keypad", "KP-03", 10],
    ["BC-1", 2, "KP-05", "Keypad", "BC-1", 11],
    ["BC-1", 2, "KP-06", "Dimmer", "KP-05", 8],
]
BRANCHES = [
    ["Pull", "From", "To", "Length (ft)"],
    ["P1", "BC-1", "KP-01", 10],
    ["P2", "KP-01", "KP-02", 12],
    ["P3", "BC-1", "KP-03", 20],
]
CONTROLLERS = [["Controller", "Ports"], ["BC-1", 2]]


def asked_in(sheets: Sheets, what: str) -> Question:
    (one,) = [
        one for one in read_job(workbook(sheets), "a.xlsx").questions if one.id.rpartition("-")[0] == what
    ]
    return one


def answered(sheets: Sheets, one: Question, answer: str) -> Job:
    assert answer in [choice.answer for choice in one.choices if choice.tried]
    return read_jobs(workbook(sheets), "a.xlsx", answers={one.id: answer})[0]


def powers(job: Job) -> list[float | None]:
    return [device.power_w for device in job.devices]


def lengths_ft(job: Job) -> list[float | None]:
    return [None if pull.length_m is None else round(pull.length_m / FT, 3) for pull in job.pulls]


def closing(job: Job) -> list[str]:
    return [remark.message for remark in job.remarks if remark.closes]


def test_ends_without_a_list_are_answered_with_the_table_that_lists_them() -> None:
    sheets = {"Pulls": PULLS, "Kit": RANGES}
    job = answered(sheets, asked_in(sheets, "no-list-of-devices"), "'Kit': tag column A (KP-01..KP-03)")
    assert [device.tag for device in job.devices][:6] == TAGS
    assert ends_of(job) == ENDS


def test_other_columns_for_the_ends_leave_the_list_of_devices_open() -> None:
    one = asked_in({"Pulls": COMBINED}, "no-list-of-devices")
    way = "'Pulls': from 'Tox' in E (BC-1), at port 'Dix' in B (1), to 'Glisk' in C (KP-01), length 'Sund (ft)' in F (18)"
    job = answered({"Pulls": COMBINED}, one, way)
    assert not job.pulls
    assert closing(job)[0].startswith("no list of devices is found")


def test_other_columns_are_asked_for_behind_the_likeliest() -> None:
    one = asked_in({"Pulls": COMBINED}, "no-list-of-devices")
    job = answered({"Pulls": COMBINED}, one, "these are no ends")
    assert not job.pulls
    assert closing(job)[0].startswith("which columns hold the two ends of each pull")


def test_a_doubt_in_what_an_answer_gave_is_another_question() -> None:
    one = asked_in({"Pulls": COMBINED}, "no-list-of-devices")
    wrong = next(choice for choice in one.choices if choice.answer.startswith("'Pulls': tag"))
    job = answered({"Pulls": COMBINED}, one, wrong.answer)
    assert all(each.id != one.id for each in job.questions)
    assert job.questions


def test_what_devices_draw_is_asked_for_where_no_table_is_read_that_says_it() -> None:
    sheets = {"Pulls": PULLS, "Devices": KINDS, "Types": LEGEND}
    one = asked_in(sheets, "list-of-powers")
    assert set(powers(read_job(workbook(sheets), "a.xlsx"))) == {None}
    way = "'Types': kind 'Venp' in A (A), power 'Drus (W)' in C (0.6)"
    assert one.choices[0].answer == way
    assert powers(answered(sheets, one, way)) == [0.6, 1.2] * 3
    assert set(powers(answered(sheets, one, "it is not stated"))) == {None}


def test_of_a_list_with_powers_it_is_not_asked_what_devices_draw() -> None:
    blank = [["Tag", "Power (W)"], *([tag, ""] for tag in TAGS)]
    job = read_job(workbook({"Pulls": PULLS, "Devices": blank, "Types": LEGEND}), "a.xlsx")
    assert not job.questions


def two_lengths(*headings: str, blank: bool) -> Sheets:
    rows = [
        [*row[:3], length + 0.5, "" if blank and n % 2 else length + 2]
        for n, (row, length) in enumerate(zip(PULLS[1:], LENGTHS, strict=True))
    ]
    head = ["Pull", "From", "To", *headings]
    return {"Pulls": [head, *rows], "Devices": DEVICES, "Notes": [["All lengths in ft"]]}


def test_of_several_columns_of_numbers_one_is_the_length() -> None:
    sheets = two_lengths("Venp", "Tamf", blank=False)
    one = asked_in(sheets, "one-length")
    assert lengths_ft(answered(sheets, one, "'Tamf' in column E")) == [each + 2 for each in LENGTHS]
    assert lengths_ft(answered(sheets, one, "'Venp' in column D")) == [each + 0.5 for each in LENGTHS]


def test_a_length_that_is_filled_in_part_counts_before_the_other() -> None:
    sheets = two_lengths("Planned", "Installed", blank=True)
    one = asked_in(sheets, "one-length")
    both = "'Installed' in column E, where it is blank 'Planned' in column D"
    assert one.choices[0].answer == both
    wanted = [each + (0.5 if n % 2 else 2) for n, each in enumerate(LENGTHS)]
    assert lengths_ft(answered(sheets, one, both)) == wanted


@pytest.mark.parametrize(
    ("answer", "starts", "heads"),
    [
        (ONE, ["BC-1.1", "KP-01", "BC-1.1"], frozenset()),
        (OWN, ["BC-1.1", "KP-01", "BC-1.2"], frozenset()),
        (NOT_YET, ["BC-1", "KP-01", "BC-1"], frozenset({"BC-1"})),
    ],
)
def test_branches_are_on_the_ports_that_an_answer_gives(
    answer: str, starts: list[str], heads: frozenset[str]
) -> None:
    sheets = {"Pulls": BRANCHES, "Devices": DEVICES[:4], "Controllers": CONTROLLERS}
    job = answered(sheets, asked_in(sheets, "ports-of-branches"), answer)
    assert [pull.near for pull in job.pulls] == starts
    assert job.head_ends == heads
    assert sorted(job.ports) == sorted({start for start in starts if "." in start})


def test_the_first_answer_about_ports_is_how_the_branches_are_read_meanwhile() -> None:
    sheets = {"Pulls": BRANCHES, "Devices": DEVICES[:4], "Controllers": CONTROLLERS}
    one = asked_in(sheets, "ports-of-branches")
    job = read_job(workbook(sheets), "a.xlsx")
    assert [pull.near for pull in job.pulls] == ["BC-1", "KP-01", "BC-1"]
    assert job.pulls == answered(sheets, one, one.choices[0].answer).pulls
    assert [each.answer for each in one.choices] == [NOT_YET, ONE, OWN]


def test_branches_of_a_place_or_beside_a_port_are_not_asked_about() -> None:
    place = [
        [cell.replace("BC-1", "RACK 1") if isinstance(cell, str) else cell for cell in row]
        for row in BRANCHES
    ]
    beside = [*BRANCHES[:-1], ["P3", "BC-1.2", "KP-03", 20]]
    for pulls in (place, beside):
        job = read_job(workbook({"Pulls": pulls, "Devices": DEVICES[:4]}), "a.xlsx")
        assert not [one for one in job.questions if one.id.startswith("ports-of-branches")]


def test_an_answer_that_leads_to_a_question_is_read_with_the_likeliest_one_to_that() -> None:
    one = asked_in({"Pulls": COMBINED}, "no-list-of-devices")
    choice = next(each for each in one.choices if each.answer == "these are no ends")
    assert choice.next_answer.startswith("'Pulls': from 'Tox' in E (BC-1)")
    behind = next(each for each in one.choices if each.answer == choice.next_answer)
    assert behind.next_answer.startswith("'Pulls': tag 'Glisk' in C (KP-01)")
    assert behind.next_reading is not None
    assert len(behind.next_reading.pulls) == 6
    read = next(each for each in one.choices if each.answer == behind.next_answer)
    assert (read.next_answer, read.next_reading) == ("", None)


def test_ports_alone_on_several_sheets_may_be_those_of_the_controllers_they_are_called_after() -> None:
    def pulls(first: int) -> list[list[Any]]:
        rows = [
            [f"P{first}", "Port 1", TAGS[first - 1], 30],
            [f"P{first + 1}", TAGS[first - 1], TAGS[first], 12],
        ]
        return [PULLS[0], *rows]

    sheets = {"Hall unit": pulls(1), "Bar unit": pulls(3), "Devices": DEVICES[:5]}
    job = answered(sheets, asked_in(sheets, "port-alone"), BY_SHEET)
    assert sorted(job.ports) == ["Bar unit.1", "Hall unit.1"]

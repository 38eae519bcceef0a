"""Questions: the same id from run to run, each answer obeyed, and no question that nothing can silence."""

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from typing import Any

import pytest

from auditor.errors import UnusableFileError
from auditor.intake import explain, read_job, read_jobs
from auditor.intake.readings import MOST_READINGS
from auditor.intake.said import MOST_CHOICES, asked, choices
from auditor.job.model import Job, Question
from auditor.report.blank import write_blank
from tests.intake.workbooks import DEVICES, PULLS, job_workbook, workbook

FT = 0.3048
TWO_LENGTHS = [
    ["Pull", "From", "To", "Length A (ft)", "Length B (ft)"],
    ["P1", "C1.1", "K1", 120, 150],
    ["P2", "K1", "K2", 80, 90],
    ["P3", "C1.2", "T3", 45, 40],
]
STATUS = [[*PULLS[0], "Status"], *([*row, "hold"] for row in PULLS[1:])]
BY_OTHERS = [[*PULLS[0], "Status"], *([*row, ""] for row in PULLS[1:3]), [*PULLS[3], "by others"]]
NO_UNIT = [["Pull", "From", "To", "Length"], *(row[:4] for row in PULLS[1:])]
DITTO = [PULLS[0], [*PULLS[1][:4], '"'], *PULLS[2:]]
BLANK_ENDS = [
    PULLS[0],
    ["P1", "C1.1", "K1", 120, "16/2"],
    ["P2", "", "K2", 80, "16/2"],
    ["P3", "", "T3", 45, "16/2"],
]
OTHER_LIST = [PULLS[0], ["P1", "C1.1", "K1", 120, "16/2"], ["P2", "K1", "K2", 95, "16/2"], PULLS[3]]
COMMA = [PULLS[0], ["P1", "C1.1", "K1", "1,25", "16/2"], *PULLS[2:]]
IN_METRES = ["All lengths in metres"]
PORTS_ALONE = [
    PULLS[0],
    ["P1", "Port 1", "K1", 120, "16/2"],
    PULLS[2],
    ["P3", "Port 2", "T3", 45.5, "16/2"],
]
NOTE = [
    "",
    "",
    "",
    "",
    "all of these come from the box in the riser behind the bar; see the drawing of the second floor",
]
SECOND_TAGS = [["Tag", "Power (W)", "Partner"], ["K1", 1, "K2"], ["K2", 1, "T3"], ["T3", 1, "K1"]]
IN_LINE = [
    PULLS[0],
    *([f"P{n}", near, far, 20, "16/2"] for n, (near, far) in enumerate(pairwise(["C1.1", "K1", "K2", "T3"]))),
]
CONTROLLERS = [["Controller", "Ports"], ["C1", 4], ["C2", 4]]
TOTAL = [["Tag", "No.", "Power (W)"], ["K1", 2, 1.5], ["K2", 5, 1.0], ["T3", 3, 1.0], ["Total", "", 11]]
QUANTITY = [["Tag", "Zahlx", "Power (W)"], ["K1", 2, 1.0], ["K2", 5, 1.0], ["T3", 3, 1.0]]


def job_of(pulls: Sequence[Sequence[Any]], **sheets: Sequence[Sequence[Any]]) -> bytes:
    return workbook({"Devices": DEVICES, "Pulls": pulls, **sheets})


def lengths_ft(job: Job) -> list[float | None]:
    return [None if pull.length_m is None else round(pull.length_m / FT, 3) for pull in job.pulls]


def near_ends(job: Job) -> list[str]:
    return [pull.near for pull in job.pulls]


def cables(job: Job) -> list[str | None]:
    return [pull.cable for pull in job.pulls]


def landed(job: Job) -> list[bool]:
    return [pull.landed for pull in job.pulls]


def quantities(job: Job) -> list[int]:
    return [device.quantity for device in job.devices]


Case = tuple[bytes, str, Callable[[Job], Any], Mapping[str, Any]]
ANSWERED: dict[str, Case] = {
    "two columns that may be the length": (
        job_of(TWO_LENGTHS),
        "length",
        lengths_ft,
        {"'Length A (ft)' in column D": [120, 80, 45], "'Length B (ft)' in column E": [150, 90, 40]},
    ),
    "a status that is not known": (
        job_of(STATUS),
        "status",
        landed,
        {"landed": [True] * 3, "a spare return": [False] * 3},
    ),
    "rows marked as somebody else's": (
        job_of(BY_OTHERS),
        "of-others",
        lengths_ft,
        {"yes": [120, 80, 45.5], "no": [120, 80]},
    ),
    "a unit that nothing states": (
        job_of(NO_UNIT),
        "unit",
        lengths_ft,
        {"ft": [120, 80, 45.5], "m": [round(each / FT, 3) for each in (120, 80, 45.5)]},
    ),
    "a ditto with nothing above it": (
        job_of(DITTO),
        "as-above",
        cables,
        {"nothing": [None, "16/2", "16/2"], "16/2 as below": ["16/2"] * 3},
    ),
    "blanks under an end": (
        job_of(BLANK_ENDS),
        "blank-ends",
        near_ends,
        {"from the same end again": ["C1.1"] * 3, "from the device above": ["C1.1", "K1", "K2"]},
    ),
    "two lists that differ": (
        job_of(PULLS, **{"Pulls new": OTHER_LIST}),
        "which-list",
        lengths_ft,
        {"Pulls": [120, 80, 45.5], "Pulls new": [120, 95, 45.5]},
    ),
    "a comma in a column of feet": (
        job_of(COMMA),
        "comma",
        lengths_ft,
        {"it marks decimals": [1.25, 80, 45.5]},
    ),
    "numbers that nothing names": (
        workbook({"Devices": QUANTITY, "Pulls": PULLS}),
        "column",
        quantities,
        {"the qty": [2, 5, 3], "nothing that counts": [1, 1, 1]},
    ),
    "two cells that state different units": (
        job_of([["Lengths in feet"], *NO_UNIT, [], IN_METRES]),
        "length-unit",
        lengths_ft,
        {"ft": [120, 80, 45.5], "m": [round(each / FT, 3) for each in (120, 80, 45.5)]},
    ),
    "a cell that states another unit than the heading": (
        workbook({"Devices": [*DEVICES, [], IN_METRES], "Pulls": PULLS}),
        "unit-stated",
        lengths_ft,
        {"the heading": [120, 80, 45.5], "the cell": [round(each / FT, 3) for each in (120, 80, 45.5)]},
    ),
    "ports without their controller": (
        job_of(PORTS_ALONE, Controllers=CONTROLLERS),
        "port-alone",
        near_ends,
        {"C1": ["C1.1", "K1", "C1.2"], "C2": ["C2.1", "K1", "C2.2"]},
    ),
    "a total that needs quantities": (
        workbook({"Devices": TOTAL, "Pulls": PULLS}),
        "column",
        quantities,
        {"the qty": [2, 5, 3], "nothing that counts": [1, 1, 1]},
    ),
    "tags that are not read": (
        workbook({"Devices": SECOND_TAGS, "Pulls": IN_LINE}),
        "unread-tags",
        quantities,
        {"no": [1, 1, 1]},
    ),
    "a row that may name the controller": (
        job_of([*PORTS_ALONE[:3], NOTE, PORTS_ALONE[3]]),
        "controller-of-ports",
        near_ends,
        {"no": ["PORT.1", "K1", "PORT.2"]},
    ),
}


def question_of(data: bytes, what: str) -> Question:
    """The question of a kind that a workbook asks, without its readings."""
    (found,) = (one for one in read_job(data, "a.xlsx").questions if one.id.rpartition("-")[0] == what)
    return found


@pytest.mark.parametrize("case", ANSWERED.values(), ids=ANSWERED)
def test_an_answer_is_obeyed_said_and_not_asked_again(case: Case) -> None:
    data, what, read_of, wanted = case
    one = question_of(data, what)
    assert 2 <= len(one.choices) <= MOST_CHOICES
    assert [choice.answer for choice in one.choices if choice.tried] == list(wanted)
    for choice in one.choices:
        if choice.tried:
            (job,) = read_jobs(data, "a.xlsx", answers={one.id: choice.answer})
            assert read_of(job) == wanted[choice.answer]
            assert one.id not in [each.id for each in job.questions]
            assert f"Answered: {choice.answer}" in " ".join(
                r.message for r in job.remarks if r.level == "note"
            )
            assert choice.reading is not None
            assert read_of(choice.reading) == wanted[choice.answer]


@pytest.mark.parametrize("case", ANSWERED.values(), ids=ANSWERED)
def test_an_answer_that_is_no_choice_is_asked_again(case: Case) -> None:
    data, what, read_of, _ = case
    one = question_of(data, what)
    (job,) = read_jobs(data, "a.xlsx", answers={one.id: "something else"})
    assert one.id in [each.id for each in job.questions]
    assert read_of(job) == read_of(read_job(data, "a.xlsx"))


def test_the_id_does_not_change_with_rows_and_values() -> None:
    moved = job_of([["Hill lodge"], [], TWO_LENGTHS[0], *([*row[:4], row[4] + 7] for row in TWO_LENGTHS[1:])])
    other = job_of([[*TWO_LENGTHS[0][:4], "Length C (ft)"], *TWO_LENGTHS[1:]])
    one = question_of(job_of(TWO_LENGTHS), "length")
    assert question_of(moved, "length").id == one.id
    assert question_of(moved, "length").where != one.where
    assert question_of(other, "length").id != one.id


def test_an_id_has_what_is_asked_and_the_names_in_any_spelling() -> None:
    pair = choices(("a", "b"), ("c", "d"))
    assert (
        asked("unit", ["Pulls", "LENGTH "], "?", pair, None).id
        == asked("unit", ["pulls", "Length"], "!", pair, None).id
    )
    assert asked("unit", ["a", "b"], "?", pair, None).id != asked("unit", ["ab"], "?", pair, None).id


def test_a_column_is_asked_about_once_whatever_the_number_of_its_rows() -> None:
    rows = [
        ["Pull", "From", "To", "Length"],
        *(["P", f"K{i}" if i else "C1.1", f"K{i + 1}", 10 + i] for i in range(9)),
    ]
    devices = [["Tag", "Power (W)"], *([f"K{i + 1}", 1] for i in range(9))]
    job = read_job(workbook({"Devices": devices, "Pulls": rows}), "a.xlsx")
    assert [one.id.rpartition("-")[0] for one in job.questions] == ["unit"]
    assert len([remark for remark in job.remarks if remark.question]) == 1
    assert not any(pull.unread for pull in job.pulls)


def test_no_more_readings_than_the_bound_and_what_is_left_out_is_said() -> None:
    statuses = ["hold", "maybe", "unclear", "whenever", "to be seen"]
    rows = [
        [*PULLS[0], "Status"],
        *(["P", "C1.1", f"K{i}", 10 + i, "16/2", text] for i, text in enumerate(statuses)),
    ]
    job = read_job(job_workbook(pulls=rows), "a.xlsx")
    built = [choice.reading is not None for one in job.questions for choice in one.choices]
    assert (sum(built), len(built)) == (MOST_READINGS, 2 * len(statuses))
    assert "was tried for 8 of the 10 answers" in " ".join(remark.message for remark in job.remarks)


def test_a_layout_silences_the_columns_that_it_does_not_read() -> None:
    for data in (job_of(TWO_LENGTHS), workbook({"Devices": QUANTITY, "Pulls": PULLS})):
        assert read_job(data, "a.xlsx").questions
        assert not read_job(data, "a.xlsx", explain(data, "a.xlsx")).questions


def test_the_starter_s_instructions_are_no_sheet_without_a_table() -> None:
    book = read_job(write_blank(), "a.xlsx")
    assert not [remark for remark in book.remarks if "no table is read" in remark.message]


MAY_BE = [["Venp", "Tamf", "Drus"], ["C1.1", "K1", "Hall"], ["C1.2", "K2", "Bar"], ["C2.1", "T3", "Gym"]]


def test_a_table_that_may_be_a_schedule_is_one_question() -> None:
    data = workbook({"Sheet one": MAY_BE, "Prices": [["Item", "Price"], ["Paint", 20]]})
    (job,) = read_jobs(data, "x/lodge.xlsx")
    assert (job.name, job.pulls, job.devices, job.tables) == ("lodge", (), (), ())
    (one,) = job.questions
    assert one.choices[0].answer == "'Sheet one': from 'Venp' in A (C1.1), to 'Tamf' in B (K1)"
    assert one.choices[-1].answer == "none of them"
    assert all(choice.tried for choice in one.choices)
    assert [(remark.closes, remark.level) for remark in job.remarks if remark.question] == [(True, "review")]
    with pytest.raises(UnusableFileError, match="no pull schedule found"):
        read_jobs(data, "x/lodge.xlsx", answers={one.id: "none of them"})


@pytest.mark.parametrize(
    "rows",
    [
        [["Item", "Price"], ["Paint", 20], ["Brush", 4], ["Tape", 3]],
        [["Room", "Floor"], ["Hall", "1"], ["Bar", "1"], ["Gym", "2"]],
        MAY_BE[:3],
    ],
    ids=["prices", "rooms", "two rows"],
)
def test_a_workbook_without_such_a_table_is_refused(rows: Sequence[Sequence[Any]]) -> None:
    with pytest.raises(UnusableFileError, match="no pull schedule found"):
        read_job(workbook({"Sheet one": rows}), "lodge.xlsx")

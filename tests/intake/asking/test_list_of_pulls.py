"""A table that is not understood is asked about with whole readings of it; each is obeyed as a plain schedule is read."""

from collections.abc import Mapping, Sequence
from typing import Any

import pytest

from auditor.errors import UnusableFileError
from auditor.intake import read_job, read_jobs
from auditor.intake.said import MOST_CHOICES
from auditor.job.model import Job, Question
from tests.intake.workbooks import workbook

FT = 0.3048
Sheets = Mapping[str, Sequence[Sequence[Any]]]

HOME_RUNS = [
    ["Hall", "KP-101", "C1.1", 54, "0.7 W"],
    ["Hall", "KP-102", "C1.1", 21, "0.5 W"],
    ["Bar", "KP-103", "C1.2", 61, "0.6 W"],
    ["Bar", "KP-104", "C1.2", 40, "0.5 W"],
]
LEVELS = [
    [1, "C1.1", "Port", "", ""],
    ["1.1", "KP-101", "Keypad", "36 ft", "0.6 W"],
    ["1.1.1", "KP-102", "Keypad", "59 ft", "0.6 W"],
    ["1.1.2", "KP-103", "Dimmer", "44 ft", "0.6 W"],
]
PORTS_APART = [
    ["BK", "KP-101", "A", "IDF 1", 6, "Hall", "10 mA"],
    ["BK", "KP-102", "A", "KP-101", 18, "Hall", "10 mA"],
    ["BK", "KP-103", "A", "KP-102", 14, "Bar", "12 mA"],
    ["BK", "KP-104", "B", "IDF 1", 3, "Bar", "12 mA"],
    ["BK", "KP-105", "B", "KP-104", 5, "Bar", "12 mA"],
]
PLACES = [
    ["Venp", "Rotal", "Ums", "Gix"],
    *(["LCP-1", port, place, f"KP-{port}{place}"] for port in (1, 2) for place in (1, 2, 3)),
]
UNIT = {"Notes": [["All lengths in ft"]]}
HEADED = [["Venp", "Tamf", "Drus", "Gix", "Bol"], *HOME_RUNS]

CASES: dict[str, tuple[Sheets, str, list[tuple[str, str, float | None]], list[float | None]]] = {
    "home runs under unknown headings": (
        {"Sheet one": HEADED, **UNIT},
        "'Sheet one': from 'Drus' in C (C1.1), to 'Tamf' in B (KP-101), length 'Gix' in D (54)",
        [("C1.1", "KP-101", 54), ("C1.1", "KP-102", 21), ("C1.2", "KP-103", 61), ("C1.2", "KP-104", 40)],
        [0.7, 0.5, 0.6, 0.5],
    ),
    "home runs without headings": (
        {"Sheet one": HOME_RUNS, **UNIT},
        "'Sheet one': from column C (C1.1), to column B (KP-101), length column D (54)",
        [("C1.1", "KP-101", 54), ("C1.1", "KP-102", 21), ("C1.2", "KP-103", 61), ("C1.2", "KP-104", 40)],
        [0.7, 0.5, 0.6, 0.5],
    ),
    "levels on a sheet without a table": (
        {"Sheet one": LEVELS},
        "'Sheet one': by level column A (1), to column B (C1.1), length column D (36 ft)",
        [("C1.1", "KP-101", 36), ("KP-101", "KP-102", 59), ("KP-101", "KP-103", 44)],
        [0.6, 0.6, 0.6],
    ),
    "a port beside its controller": (
        {"Sheet one": PORTS_APART, **UNIT},
        "'Sheet one': from column D (IDF 1), at port column C (A), to column B (KP-101), length column E (6)",
        [
            ("IDF 1.A", "KP-101", 6),
            ("KP-101", "KP-102", 18),
            ("KP-102", "KP-103", 14),
            ("IDF 1.B", "KP-104", 3),
            ("KP-104", "KP-105", 5),
        ],
        [0.24, 0.24, 0.288, 0.288, 0.288],
    ),
}


def only_question(sheets: Sheets) -> Question:
    """The question that closes a workbook of which no pulls are read."""
    job = read_job(workbook(sheets), "a.xlsx")
    assert (job.pulls, job.devices, job.tables) == ((), (), ())
    (one,) = job.questions
    return one


def answered(sheets: Sheets, answer: str, name: str = "a.xlsx") -> Job:
    return read_jobs(workbook(sheets), name, answers={only_question(sheets).id: answer})[0]


def pulls_ft(job: Job) -> list[tuple[str, str, float | None]]:
    return [
        (pull.near, pull.far, None if pull.length_m is None else round(pull.length_m / FT, 3))
        for pull in job.pulls
    ]


@pytest.mark.parametrize("case", CASES)
def test_the_best_guess_is_first_and_is_read_as_a_plain_schedule(case: str) -> None:
    sheets, answer, pulls, powers = CASES[case]
    one = only_question(sheets)
    assert one.choices[0].answer == answer
    assert 2 <= len(one.choices) <= MOST_CHOICES
    assert all(choice.tried for choice in one.choices)
    job = answered(sheets, answer)
    assert pulls_ft(job) == pulls
    assert [device.power_w and round(device.power_w, 3) for device in job.devices] == powers
    assert not [remark for remark in job.remarks if remark.closes]
    assert "Answered" in " ".join(remark.message for remark in job.remarks)


@pytest.mark.parametrize("case", CASES)
def test_each_other_answer_is_read_or_asks_again(case: str) -> None:
    sheets = CASES[case][0]
    one = only_question(sheets)
    for choice in one.choices[1:-1]:
        job = answered(sheets, choice.answer)
        closing = [remark.question for remark in job.remarks if remark.closes]
        assert job.pulls or [each for each in closing if each is not None and each.id != one.id]


def test_the_question_has_one_id_whatever_the_sheets_are_called() -> None:
    assert only_question({"Sheet one": HEADED, **UNIT}).id == only_question({"Other": HOME_RUNS, **UNIT}).id


def test_a_column_that_is_put_in_moves_no_answer_that_names_headings() -> None:
    _, answer, pulls, _ = CASES["home runs under unknown headings"]
    wider = [["Nr", *row] if number == 0 else [f"x{number}", *row] for number, row in enumerate(HEADED)]
    assert pulls_ft(answered({"Sheet one": wider, **UNIT}, answer)) == pulls


def test_a_sheet_that_is_called_otherwise_is_known_by_its_headings() -> None:
    _, answer, pulls, _ = CASES["home runs under unknown headings"]
    assert pulls_ft(answered({"Renamed": HEADED, **UNIT}, answer)) == pulls


@pytest.mark.parametrize(
    "answer",
    [
        "",
        "no such thing",
        "'Sheet one': from 'Nope' in C (C1.1), to 'Tamf' in B (KP-101)",
        "'Sheet one': from 'Tamf' in B (KP-101), to 'Tamf' in B (KP-101)",
        "'Sheet one': from column Z, to column Y",
        "=HYPERLINK(1)",
    ],
)
def test_what_is_no_answer_is_asked_again(answer: str) -> None:
    one = only_question({"Sheet one": HEADED, **UNIT})
    (again,) = answered({"Sheet one": HEADED, **UNIT}, answer).questions
    assert again.id == one.id


def test_none_of_them_is_a_workbook_without_a_schedule() -> None:
    with pytest.raises(UnusableFileError, match="no pull schedule found"):
        answered({"Sheet one": HEADED, **UNIT}, "none of them")


def test_places_on_ports_are_offered_with_their_panel() -> None:
    answer = "'Sheet one': panel 'Venp' in A (LCP-1), on port 'Rotal' in B (1), by place 'Ums' in C (1), to 'Gix' in D (KP-11)"
    sheets = {
        "Sheet one": PLACES,
        "Devices": [["Tag", "Power (W)"], *([f"KP-{p}{n}", 1] for p in (1, 2) for n in (1, 2, 3))],
    }
    job = read_jobs(workbook(sheets), "a.xlsx", answers={"list-of-pulls": answer})[0]
    assert [(pull.near, pull.far) for pull in job.pulls] == [
        ("LCP-1.1", "KP-11"), ("KP-11", "KP-12"), ("KP-12", "KP-13"),
        ("LCP-1.2", "KP-21"), ("KP-21", "KP-22"), ("KP-22", "KP-23"),
    ]  # fmt: skip


def test_tables_without_headings_of_the_same_columns_are_read_alike() -> None:
    more = [
        ["Gym", "KP-201", "C2.1", 30, "0.7 W"],
        ["Gym", "KP-202", "C2.1", 31, "0.7 W"],
        ["Bar", "KP-203", "C2.2", 9, "0.7 W"],
    ]
    sheets = {"First floor": HOME_RUNS, "Second floor": more, **UNIT}
    one = only_question(sheets)
    assert one.choices[0].answer == (
        "'First floor' and 1 more: from column C (C1.1), to column B (KP-101), length column D (54)"
    )
    assert len(answered(sheets, one.choices[0].answer).pulls) == 7

from dataclasses import replace

import pytest

from auditor.job.model import CellRef, Job
from auditor.results.findings import Finding, Level
from tests.builders import device, found, job, pull

ONE_ROW = "Delete one row or rename it"
OTHER_ENDS = "They join other ends: give one of them another id"


def about(subject: str, sheet: str, row: int, where: str, counted: str, to_do: str = ONE_ROW) -> Finding:
    """Devices fail: each tag is one device. A pull twice is looked at."""
    return Finding(
        rule="double-entry",
        level=Level.REVIEW if sheet == "Pulls" else Level.FAIL,
        subject=subject,
        message=f"{subject} is listed {where}; {counted}. {to_do}",
        where=CellRef(sheet, row, 1),
    )


LENGTHS = " with 10 ft and 99 ft"
FEED = pull("C1.1", "K4", id="P1")
CASES: list[tuple[str, Job, list[Finding]]] = [
    (
        "fails: two rows with the tag K4",
        job([FEED], [device("K4"), device("K4")]),
        [
            about("K4", "Devices", 2, "here and again in row 3", "both are counted"),
            about("K4", "Devices", 3, "in row 2 and again here", "both are counted"),
        ],
    ),
    (
        "what two rows of one tag contradict each other in is named",
        job([FEED], [device("K4", 0.6, room="3"), device("K4", 1.2, room="9")]),
        [
            about(
                "K4",
                "Devices",
                2,
                "here and again in row 3 with room 3 and 9, 0.6 and 1.2 W",
                "both are counted",
            ),
            about(
                "K4",
                "Devices",
                3,
                "in row 2 and again here with room 3 and 9, 0.6 and 1.2 W",
                "both are counted",
            ),
        ],
    ),
    (
        "also a value that one row does not state, and the quantity",
        job([FEED], [device("K4", None, room="3"), device("K4", 1.2, room="3", quantity=2)]),
        [
            about(
                "K4",
                "Devices",
                2,
                "here and again in row 3 with none and 1.2 W, quantity 1 and 2",
                "both are counted",
            ),
            about(
                "K4",
                "Devices",
                3,
                "in row 2 and again here with none and 1.2 W, quantity 1 and 2",
                "both are counted",
            ),
        ],
    ),
    ("passes: K4 and K5; one row with quantity 2", job([FEED], [device("K4", quantity=2), device("K5")]), []),
    (
        "three rows are three findings",
        job([FEED], [device("K4")] * 3),
        [
            about("K4", "Devices", 2, "here and again in row 3 and row 4", "all are counted"),
            about("K4", "Devices", 3, "in row 2 and again here", "all are counted"),
            about("K4", "Devices", 4, "in row 2 and again here", "all are counted"),
        ],
    ),
    (
        "a pull that is copied, one with its ends turned round",
        job([FEED, FEED, pull("K4", "C1.1", 99, id="P1")]),
        [
            about("P1", "Pulls", 2, f"here and again in row 3 and row 4{LENGTHS}", "this row is not counted"),
            about("P1", "Pulls", 3, f"in row 2 and again here{LENGTHS}", "this row is not counted"),
            about("P1", "Pulls", 4, f"in row 2 and again here{LENGTHS}", "this row is counted"),
        ],
    ),
    (
        "an id that two pulls share, each with its own length",
        job([FEED, pull("K4", "K5", 33, id="P1")]),
        [
            about("P1", "Pulls", 2, "here and again in row 3", "both are counted", OTHER_ENDS),
            about("P1", "Pulls", 3, "in row 2 and again here", "both are counted", OTHER_ENDS),
        ],
    ),
    (
        "fails: K4 listed on C1 and again on C2",
        job(
            [FEED, pull("C2.1", "K4", 99, id="P2")],
            [device("K4", controller="C1"), device("K4", controller="C2", port="1")],
        ),
        [
            Finding(
                rule="double-entry",
                level=Level.FAIL,
                subject="K4",
                message="K4 is listed on C1 in row 2 and on C2 in row 3: two devices need two tags, and "
                "until they have "
                "them their pulls are joined; rename one, in the pulls as well",
                where=CellRef("Devices", row, 1),
            )
            for row in (2, 3)
        ],
    ),
    (
        "review: pulls 6 and 8, each 33 ft from K4 to K5",
        job([FEED, pull("K4", "K5", 33, id="6"), pull("K5", "K4", 33, id="8")]),
        [
            Finding(
                rule="double-entry",
                level=Level.REVIEW,
                subject=name,
                message=f"Pull {name} joins {near} and {far} with 33 ft, and so does {other}; delete the "
                "row that is too many, "
                "or mark one as a spare return",
                where=CellRef("Pulls", row, 1),
            )
            for name, near, far, other, row in (("6", "K4", "K5", "8", 3), ("8", "K5", "K4", "6", 4))
        ],
    ),
    (
        "another length, or a spare return",
        job(
            [
                FEED,
                pull("K4", "K5", 33, id="6"),
                pull("K4", "K5", 34, id="8"),
                pull("K4", "K5", 33, id="9", landed=False),
            ]
        ),
        [],
    ),
    ("pulls without an id", job([replace(FEED, id=""), pull("K4", "K5", id="")]), []),
    ("empty job", job([]), []),
]


@pytest.mark.parametrize(("what", "a_job", "findings"), CASES, ids=[row[0] for row in CASES])
def test_double_entry(what: str, a_job: Job, findings: list[Finding]) -> None:
    assert found("double-entry", a_job) == findings


def test_rows_of_two_sheets_name_the_sheet() -> None:
    a_job = job([FEED], [device("K4"), device("K4")])
    first, second = a_job.devices
    moved = replace(a_job, devices=(first, replace(second, where=CellRef("Upstairs", 9, 1))))
    assert found("double-entry", moved) == [
        about("K4", "Devices", 2, "here and again in row 9 of Upstairs", "both are counted"),
        about("K4", "Upstairs", 9, "in row 2 of Devices and again here", "both are counted"),
    ]


def test_rows_of_two_sheets_and_two_controllers_name_the_sheet_that_is_not_the_findings_own() -> None:
    a_job = job([FEED], [device("K4", controller="C1"), device("K4", controller="C2")])
    first, second = a_job.devices
    moved = replace(a_job, devices=(first, replace(second, where=CellRef("Upstairs", 9, 1))))
    here, upstairs = found("double-entry", moved)
    assert here.message.startswith("K4 is listed on C1 in row 2 and on C2 in row 9 of Upstairs: two devices")
    assert upstairs.message.startswith(
        "K4 is listed on C1 in row 2 of Devices and on C2 in row 9: two devices"
    )


def test_of_many_rows_the_first_are_named() -> None:
    all_named = found("double-entry", job([FEED], [device("K4")] * 6))[0]
    assert "again in row 3, row 4, row 5, row 6 and row 7; all are counted" in all_named.message
    first = found("double-entry", job([FEED], [device("K4")] * 9))[0]
    assert "again in row 3, row 4, row 5, row 6, row 7 and 3 more; all are counted" in first.message


def test_of_one_pull_with_two_lengths_both_are_said() -> None:
    rows = [pull("C1.1", "K1", 33, id="P1"), pull("C1.1", "K1", 60, id="P1")]
    first, again = found("double-entry", job(rows, [device("K1")]))
    assert first.message == (
        "P1 is listed here and again in row 3 with 33 ft and 60 ft; this row is not counted. Delete one row or rename it"
    )
    assert again.message.endswith(
        "in row 2 and again here with 33 ft and 60 ft; this row is counted. Delete one row or rename it"
    )


def test_a_room_that_is_called_so_is_not_called_so_twice() -> None:
    first, _ = found("double-entry", job([FEED], [device("K4", room="Room 3"), device("K4", room="Room 9")]))
    assert "again in row 3 with Room 3 and Room 9; both" in first.message

"""Two ends in one cell with a word between, which between tags alone is a range."""

import pytest

from auditor.intake.names.chains import all_worded
from auditor.intake.names.ranges import tags_in
from tests.intake.workbooks import ends_of, job_of


def test_each_row_names_both_ends_of_its_pull() -> None:
    devices = [["Tag", "Power (W)"], ["KP-1", 0.3], ["KP-2", 0.3], ["TH-3", 0.6]]
    pulls = [
        ["Pull", "Connection", "Length (m)"],
        ["W1", "CPU-1.1 to KP-1", 9],
        ["W2", "KP-1 to KP-2", 8],
        ["W3", "KP-2 to TH-3", 7],
    ]
    job = job_of({"Devices": devices, "Pulls": pulls})
    assert ends_of(job) == [("CPU-1.1", "KP-1"), ("KP-1", "KP-2"), ("KP-2", "TH-3")]


@pytest.mark.parametrize(
    "texts",
    [
        {"KP-1 to KP-4", "KP-5 to KP-8"},
        {"KP-1 to KP-4", "TH-1 to TH-2"},
        {"hatches 1 to 4", "hatches 5 to 7"},
        {"C1.1 to KP-1"},
        {"C1.1 to KP-1", "see sheet 2"},
    ],
)
def test_ranges_and_remarks_are_no_pulls(texts: set[str]) -> None:
    assert not all_worded(texts)


@pytest.mark.parametrize(
    ("text", "tags"),
    [
        ("1106..1108", ("1106", "1107", "1108")),
        ("1106 thru 1107", ("1106", "1107")),
        ("1106/1107/1108", ("1106", "1107", "1108")),
        ("110/24", None),
        ("100 to 240", None),
        ("10 to 12", None),
        ("1108..1106", None),
    ],
)
def test_numbers_in_a_row_are_tags(text: str, tags: tuple[str, ...] | None) -> None:
    found = tags_in(text)
    assert (found.tags if found else None) == tags

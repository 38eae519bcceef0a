"""Units and figures that stand outside their cells: sentences, a row of units, headings without a word."""

from typing import Any

import pytest

from auditor.intake import read_job
from auditor.job.model import Job
from tests.intake.workbooks import workbook

PULLS: list[list[Any]] = [
    ["From", "To", "Length (m)"],
    ["C1.1", "KP-1", 10],
    ["KP-1", "KP-2", 20],
    ["KP-2", "KP-3", 30],
]
LENGTHS = [10.5, 8.0, 12.0, 7.5, 9.0, 6.0, 11.0]


def job_of(devices: list[list[Any]], pulls: list[list[Any]] = PULLS) -> Job:
    return read_job(workbook({"Devices": devices, "Pulls": pulls}), "a.xlsx")


@pytest.mark.parametrize(
    "line",
    ["All loads in mA at 24 V DC.", "Assorbimenti in mA a 24 V CC.", "Alle Leistungen in mA bei 24 V DC."],
)
def test_a_sentence_states_that_powers_are_currents(line: str) -> None:
    job = job_of([[line], [], ["Tag", "Current"], ["KP-1", 50], ["KP-2", 25], ["KP-3", 12.5]])
    assert [device.power_w for device in job.devices] == [
        pytest.approx(1.2),
        pytest.approx(0.6),
        pytest.approx(0.3),
    ]


@pytest.mark.parametrize("heading", ["Bus current mA 24 V DC", "Current (mA @ 24 V DC)", "CURRENT_MA_24_V"])
def test_a_heading_states_the_voltage_of_its_currents(heading: str) -> None:
    job = job_of([["Tag", heading], ["KP-1", 50], ["KP-2", 25], ["KP-3", 12.5]])
    assert [device.power_w for device in job.devices] == [
        pytest.approx(1.2),
        pytest.approx(0.6),
        pytest.approx(0.3),
    ]


def test_the_unit_of_a_current_is_no_word_for_at() -> None:
    job = job_of(
        [["Tag", "Current"], ["KP-1", "50 mA 24 V DC"], ["KP-2", "0.025 A 24 V"], ["KP-3", "12.5 mA a 24 V"]]
    )
    assert [device.power_w for device in job.devices] == [
        pytest.approx(1.2),
        pytest.approx(0.6),
        pytest.approx(0.3),
    ]


def test_a_row_of_units_below_a_heading_belongs_to_it() -> None:
    pulls = [
        ["From", "To", "Length"],
        [None, None, "mm"],
        ["C1.1", "KP-1", 10000],
        ["KP-1", "KP-2", 20000],
        ["KP-2", "KP-3", 30000],
    ]
    job = job_of([["Tag", "Power (W)"], ["KP-1", 1], ["KP-2", 1], ["KP-3", 1]], pulls)
    assert [pull.length_m for pull in job.pulls] == [10, 20, 30]


def test_the_only_numbers_of_a_pull_list_without_headings_are_its_lengths() -> None:
    pulls: list[list[Any]] = [["All lengths in metres."], []]
    pulls += [
        [f"W{number}", "C1.1" if number == 1 else f"KP-{number - 1}", f"KP-{number}", LENGTHS[number - 1]]
        for number in range(1, 8)
    ]
    devices = [["Tag", "Power (W)"], *([f"KP-{number}", 1] for number in range(1, 8))]
    assert [pull.length_m for pull in job_of(devices, pulls).pulls] == LENGTHS


def test_small_numbers_below_a_heading_that_may_number_or_count_are_asked_about() -> None:
    pieces = (2, 2, 1, 1, 2, 1, 3)
    devices: list[list[Any]] = [["Tag", "Nº", "Power (W)"]]
    devices += [[f"KP-{number}", count, 1] for number, count in enumerate(pieces, 1)]
    pulls = [*PULLS, *([f"KP-{number - 1}", f"KP-{number}", 10] for number in range(4, 8))]
    job = job_of(devices, pulls)
    assert any("'Nº'" in remark.message and remark.closes for remark in job.remarks)


def test_tags_with_a_leading_dash_stand_in_lists() -> None:
    devices = [["Tag", "Power (W)"], ["-KP1, -KP2", 1], ["-KP3", 1]]
    pulls = [["From", "To", "Length (m)"], ["C1.1", "-KP1", 10], ["-KP1", "-KP2", 20], ["-KP2", "-KP3", 30]]
    assert [device.tag for device in job_of(devices, pulls).devices] == ["-KP1", "-KP2", "-KP3"]


def test_one_port_on_two_sheets_without_a_controller_is_asked_about() -> None:
    devices = [["Tag", "Power (W)"], *([f"KP-{number}", 1] for number in range(1, 7))]
    heading = ["From", "To", "Length (m)"]
    one = [heading, ["Port 1", "KP-1", 10], ["KP-1", "KP-2", 20], ["KP-2", "KP-3", 30]]
    other = [heading, ["Port 1", "KP-4", 10], ["KP-4", "KP-5", 20], ["KP-5", "KP-6", 30]]
    job = read_job(workbook({"Devices": devices, "North wing": one, "South wing": other}), "a.xlsx")
    assert any(remark.closes and "which one is it on each sheet" in remark.message for remark in job.remarks)


def test_a_bare_total_is_of_the_lengths_whose_sum_it_is() -> None:
    rows: list[list[Any]] = [["From", "To", "Description", "Length (m)", "Slack", "Total", "Power (W)"]]
    rows += [["C1.1", "KP-1", "Keypad", 10, 2, 12, 1], ["KP-1", "KP-2", "Keypad", 20, 3, 23, 1]]
    rows += [["KP-2", "KP-3", "Keypad", 30, 2, 32, 1]]
    job = read_job(workbook({"Bus": rows}), "a.xlsx")
    assert [pull.length_m for pull in job.pulls] == [12, 23, 32]

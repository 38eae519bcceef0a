"""Legends whose codes no device names: the words beside them head a matrix, or head nothing that is understood."""

import itertools

from tests.intake.workbooks import job_of

LEGEND = [["Symbol", "Description", "Load (W)"], ["KP-1", "Keypad", 0.3], ["TH-1", "Thermostat", 0.6]]
PULLS = [
    ["From", "To", "Length (m)"],
    ["CPU-1.1", "KP-101", 12],
    ["KP-101", "KP-102", 8],
    ["KP-102", "TH-103", 7],
    ["CPU-1.2", "TH-104", 15],
]
DRAWS = {"KP-101": 0.3, "KP-102": 0.3, "TH-103": 0.6, "TH-104": 0.6}


def _draws(sheets: dict[str, list[list[object]]]) -> dict[str, float | None]:
    return {device.tag: device.power_w for device in job_of(sheets).devices}


def test_the_headings_of_a_matrix_are_the_words_of_a_legend() -> None:
    matrix = [
        ["Floor", "Room", "Keypad", "Thermostat"],
        ["1", "Hall", "KP-101, KP-102", ""],
        ["1", "Bar", "", "TH-103, TH-104"],
    ]
    assert _draws({"Rooms": matrix, "Pulls": PULLS, "Legend": LEGEND}) == DRAWS


def test_codes_below_a_heading_that_says_nothing_are_those_of_a_legend() -> None:
    devices = [
        ["Glorn", "Bazol", "Frem"],
        ["KP-101", "Hall", "KP-1"],
        ["KP-102", "Hall", "KP-1"],
        ["TH-103", "Bar", "TH-1"],
        ["TH-104", "Bar", "TH-1"],
    ]
    assert _draws({"Devices": devices, "Pulls": PULLS, "Legend": LEGEND}) == DRAWS


def test_words_that_come_again_are_no_legend() -> None:
    """A list of other things, described as the devices are, gives no powers."""
    matrix = [["Room", "Keypad", "Thermostat"], ["Hall", "KP-101, KP-102", ""], ["Bar", "", "TH-103, TH-104"]]
    other = [["Symbol", "Description", "Load (W)"], ["X1", "Keypad", 5], ["X2", "Keypad", 6], ["X3", "Thermostat", 7]]  # fmt: skip
    assert set(_draws({"Rooms": matrix, "Pulls": PULLS, "Other": other}).values()) == {None}


def test_symbols_are_the_codes_of_a_legend() -> None:
    rows = [["KP-101", "A"], ["KP-102", "A"], ["TH-103", "F"], ["TH-104", "F"]]
    devices = [["Tag", "Room", "Symbol"], *([tag, "Hall", code] for tag, code in rows)]
    legend = [["Type", "Description", "Load (W)"], ["A", "Keypad", 0.3], ["F", "Thermostat", 0.6]]
    assert _draws({"Devices": devices, "Pulls": PULLS, "Legend": legend}) == DRAWS


def test_codes_that_are_tags_of_a_matrix_are_no_devices() -> None:
    """`KP-1` of a legend beside the keypad KP-1."""
    matrix = [["Room", "Keypad", "Thermostat"], ["Hall", "KP-1; KP-2", "TH-1"], ["Bar", "KP-3", "TH-2"]]
    ends = ["CPU-1.1", "KP-1", "KP-2", "KP-3", "TH-1", "TH-2"]
    pulls = [PULLS[0], *([near, far, 9] for near, far in itertools.pairwise(ends))]
    legend = [["TypeCode", "DevDesc", "PwrW"], *LEGEND[1:]]
    drawn = _draws({"By room": matrix, "Pulls": pulls, "Symbols": legend})
    assert drawn == {"KP-1": 0.3, "KP-2": 0.3, "KP-3": 0.3, "TH-1": 0.6, "TH-2": 0.6}

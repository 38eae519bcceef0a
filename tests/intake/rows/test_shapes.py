"""Tables that say what feeds what by their shape: trees, chains, grids, marks and distances."""

from typing import Any

import pytest

from auditor.intake.names.ends import Ends
from auditor.job.model import CellRef, Job
from tests.intake.workbooks import job_of

DEVICES = [["Tag", "Power (W)"], *([f"KP-{number}", 0.5] for number in range(101, 107))]
PULLS = [
    ("C1.1", "KP-101", 10),
    ("KP-101", "KP-102", 20),
    ("KP-102", "KP-103", 30),
    ("C1.2", "KP-104", 40),
    ("KP-104", "KP-105", 50),
    ("KP-105", "KP-106", 60),
]
ABOUT = ["Description", "Length (m)", "Power (W)"]


def pulls_of(job: Job) -> list[tuple[str, str, float | None]]:
    return [(pull.near, pull.far, pull.length_m) for pull in job.pulls]


def closed(job: Job) -> bool:
    return any(remark.closes for remark in job.remarks)


# ---------------------------------------------------------------------------------------- trees


def tree(names: list[list[Any]], first: list[str]) -> list[list[Any]]:
    lengths = iter(length for *_, length in PULLS)
    rows = []
    for name in names:
        port = any(str(cell).startswith("C") for cell in name)
        about = ["Port", None, None] if port else ["Keypad", next(lengths), 0.5]
        rows.append([*name, *about])
    return [[*first, *ABOUT], *rows]


@pytest.mark.parametrize("mark", ["  ", "    ", "- "])
def test_a_port_with_its_word_is_a_row_of_a_tree_and_no_heading(mark: str) -> None:
    names = ["C1.1", "KP-101", "KP-102", "KP-103", "C1.2", "KP-104", "KP-105", "KP-106"]
    depths = [0, 1, 2, 3, 0, 1, 2, 3]
    pushed = [[mark * depth + name] for depth, name in zip(depths, names, strict=True)]
    assert pulls_of(job_of({"Bus": tree(pushed, ["Device"])})) == PULLS


def test_a_column_for_each_depth() -> None:
    names = ["C1.1", "KP-101", "KP-102", "KP-103", "C1.2", "KP-104", "KP-105", "KP-106"]
    depths = [0, 1, 2, 3, 0, 1, 2, 3]
    rows: list[list[Any]] = [
        [None] * depth + [name] + [None] * (3 - depth) for depth, name in zip(depths, names, strict=True)
    ]
    job = job_of({"Bus": tree(rows, ["L0", "L1", "L2", "L3"])})
    assert pulls_of(job) == PULLS
    assert job.devices[2].where.a1 == "D5"


@pytest.mark.parametrize("heading", ["Level", "Niveau", "Livello", "Node no."])
def test_level_numbers_hold_whatever_their_heading_else_means(heading: str) -> None:
    names = ["C1.1", "KP-101", "KP-102", "KP-103", "C1.2", "KP-104", "KP-105", "KP-106"]
    levels = ["1", "1.1", "1.1.1", "1.1.1.1", "2", "2.1", "2.1.1", "2.1.1.1"]
    rows: list[list[Any]] = [[level, name] for level, name in zip(levels, names, strict=True)]
    assert pulls_of(job_of({"Bus": tree(rows, [heading, "Device"])})) == PULLS


def test_a_level_number_that_stands_twice_is_asked_about() -> None:
    rows: list[list[Any]] = [["Level", "Device", *ABOUT], ["1", "C1.1", "Port", None, None]]
    rows += [[f"1.{number}", f"KP-{number}", "Keypad", 10, 0.5] for number in range(1, 10)]
    rows += [["1.9", "KP-10", "Keypad", 10, 0.5], ["1.9.1", "KP-11", "Keypad", 10, 0.5]]
    job = job_of({"Bus": rows})
    assert any("1.9 stands twice" in remark.message for remark in job.remarks)
    assert [pull.near for pull in job.pulls if pull.far == "KP-11"] == [""]


# -------------------------------------------------------------------------------- chains and grids


@pytest.mark.parametrize("between", [" - ", " / ", ", ", " > "])
@pytest.mark.parametrize(
    "headings",
    [["Output", "Wiring order", "Segments (m)"], ["Sortie", "Appareils dans l'ordre", "Tronçons (m)"]],
)
def test_a_list_of_lengths_beside_a_chain_of_as_many(between: str, headings: list[str]) -> None:
    rows = [headings]
    rows += [["C1.1", between.join(("KP-101", "KP-102", "KP-103")), "10; 20; 30"]]
    rows += [["C1.2", between.join(("KP-104", "KP-105", "KP-106")), "40; 50; 60"]]
    assert pulls_of(job_of({"Devices": DEVICES, "Runs": rows})) == PULLS


def test_two_tags_in_one_cell_are_not_read_as_the_first() -> None:
    ends = Ends(tags=frozenset({"KP-1", "KP-2"}), controllers={}, places=frozenset())
    where = CellRef("Pulls", 2, 2)
    assert ends.name("KP-1 north wall", lambda: where) == "KP-1"
    assert ends.name("KP-1 x KP-2", lambda: where) == "KP-1 x KP-2"


@pytest.mark.parametrize("heading", [["Port", "1", "2", "3"], ["Salida", "1 (m)", "2 (m)", "3 (m)"]])
def test_two_grids_of_one_shape(heading: list[str]) -> None:
    names = [
        ["Port", "1", "2", "3"],
        ["C1.1", "KP-101", "KP-102", "KP-103"],
        ["C1.2", "KP-104", "KP-105", "KP-106"],
    ]
    lengths: list[list[Any]] = [heading, ["C1.1", 10, 20, 30], ["C1.2", 40, 50, 60]]
    said = [["All lengths in metres."], []]
    assert pulls_of(job_of({"Devices": DEVICES, "Chain": names, "Lengths": [*said, *lengths]})) == PULLS


def test_a_grid_of_names_without_its_lengths_is_no_list_of_pulls() -> None:
    names = [
        ["Port", "1", "2", "3"],
        ["C1.1", "KP-101", "KP-102", "KP-103"],
        ["C1.2", "KP-104", "KP-105", "KP-106"],
    ]
    pulls = [["From", "To", "Length (m)"], *map(list, PULLS)]
    job = job_of({"Devices": DEVICES, "Chain": names, "Pulls": pulls})
    assert closed(job) or pulls_of(job) == PULLS


def test_ports_above_columns_need_no_word_for_a_port() -> None:
    rows: list[list[Any]] = [
        ["RACK-11-1", None, "RACK-11-2", None],
        ["Tag", "Hop (m)", "Tag", "Hop (m)"],
        ["KP-101", 10, "KP-104", 40],
        ["KP-102", 20, "KP-105", 50],
        ["KP-103", 30, "KP-106", 60],
        ["Lengths as measured on site.", None, None, None],
    ]
    job = job_of({"Devices": DEVICES, "Cables": rows})
    assert sorted((pull.far, pull.length_m) for pull in job.pulls) == [
        (far, length) for _, far, length in PULLS
    ]


# ------------------------------------------------------------------------------ marks and distances


@pytest.mark.parametrize(
    "headings", [["Start mark", "End mark"], ["MTR_START", "MTR_END"], ["Begin", "Finish"]]
)
@pytest.mark.parametrize("unit", [" ft", " m"])
def test_marks_that_follow_one_another_are_marks_whatever_their_headings(
    headings: list[str], unit: str
) -> None:
    at, rows = 100, [["Pull", "From", "To", *headings]]
    for number, (near, far, length) in enumerate(PULLS, 1):
        rows.append([f"P{number}", near, far, f"{at}{unit}", f"{at + length}{unit}"])
        at += length
    job = job_of({"Devices": DEVICES, "Pulls": rows})
    metres = 0.3048 if unit == " ft" else 1.0
    assert [round(pull.length_m or 0, 3) for pull in job.pulls] == [
        round(length * metres, 3) for *_, length in PULLS
    ]


DISTANCES = [
    ("C1.1", "KP-101", 10),
    ("KP-101", "KP-102", 30),
    ("KP-102", "KP-103", 60),
    ("C1.2", "KP-104", 40),
]
DISTANCES += [("KP-104", "KP-105", 90), ("KP-105", "KP-106", 150)]


@pytest.mark.parametrize(
    "line",
    [
        "Distances are measured along the cable from the port.",
        "Die Längen sind ab dem Ausgang entlang der Leitung gemessen.",
        "Distances mesurées le long du câble depuis la sortie.",
        "Distancias medidas por el cable desde la salida.",
        "Distanze misurate lungo il cavo dalla porta.",
        "Afstanden langs de kabel vanaf de poort.",
    ],
)
@pytest.mark.parametrize("where", ["cell", "column"])
def test_distances_from_the_port_with_their_unit_in_the_cell_or_beside_it(line: str, where: str) -> None:
    in_cell = where == "cell"
    rows: list[list[Any]] = [
        [line],
        [],
        ["Device", "Power (W)", "Fed from", "Length", *([] if in_cell else ["Unit"])],
    ]
    rows += [
        [far, 0.5, near, f"{at} m" if in_cell else at, *([] if in_cell else ["m"])]
        for near, far, at in DISTANCES
    ]
    assert pulls_of(job_of({"Bus": rows})) == PULLS


def test_distances_in_feet_and_inches() -> None:
    rows: list[list[Any]] = [
        ["Distances are measured along the cable from the port."],
        [],
        ["Device", "Power (W)", "Fed from", "Length"],
    ]
    rows += [[far, 0.5, near, f"{at}'-6\""] for near, far, at in DISTANCES]
    lengths = [round((pull.length_m or 0) / 0.3048, 3) for pull in job_of({"Bus": rows}).pulls]
    assert lengths == [10.5, 20, 30, 40.5, 50, 60]


def test_a_distance_that_is_missing_leaves_the_next_pull_open() -> None:
    rows: list[list[Any]] = [["All lengths are cumulative, counted from the port."], []]
    rows += [["Device", "Power (W)", "Fed from", "Length (m)"]]
    rows += [[far, 0.5, near, None if far == "KP-102" else at] for near, far, at in DISTANCES]
    assert [pull.length_m for pull in job_of({"Bus": rows}).pulls] == [10, None, None, 40, 50, 60]


def test_beside_one_mark_stands_the_other() -> None:
    rows: list[list[Any]] = [["Pull", "From", "To", "Drum", "MtrStartFeet", "MarkEndFeet"]]
    for number, (near, far, length) in enumerate(PULLS, 1):
        rows.append([f"P{number}", near, far, f"D{number}", 7 * number, 7 * number + length])
    lengths = [
        round((pull.length_m or 0) / 0.3048, 3) for pull in job_of({"Devices": DEVICES, "Pulls": rows}).pulls
    ]
    assert lengths == [length for *_, length in PULLS]

"""Habits of offices that were read wrong once, each as a small workbook."""

import itertools
from collections.abc import Sequence
from typing import Any

import pytest

from auditor.intake import read_jobs
from auditor.job.model import Job
from tests.intake.workbooks import ENDS, KEYPADS, TAGS, ends_of, workbook

Rows = Sequence[Sequence[Any]]
HEADS = ("CU02", "CU02", "CU03", "CU03")


def jobs_of(sheets: dict[str, Rows]) -> list[Job]:
    return list(read_jobs(workbook(sheets), "a.xlsx"))


def tags_of(job: Job) -> list[str]:
    return [device.tag for device in job.devices]


@pytest.mark.parametrize("heading", ["Boîte", "Caja"])
def test_a_list_headed_as_boxes_lists_no_devices(heading: str) -> None:
    pulls = [["From", "To", "Length (m)"], ["C1.1", "X1", 5], ["X1", "KP-101", 5], ["X1", "KP-102", 5]]
    (job,) = jobs_of({"Devices": KEYPADS[:3], "Pulls": pulls, "Lists": [[heading, "Room"], ["X1", "Bar"]]})
    assert tags_of(job) == ["KP-101", "KP-102"]


def test_a_port_below_its_controller_holds_for_the_blanks_below_it() -> None:
    pulls = [
        ["Controller", "Port", "From", "To", "Length (m)"],
        ["C1", 1, "C1", "KP-101", 10],
        [None, None, "KP-101", "KP-102", 10],
        [None, 2, "C1", "KP-103", 10],
        [None, None, "C1", "KP-104", 10],
    ]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls})
    assert ends_of(job) == ENDS


def test_ends_that_are_named_are_no_places_on_a_port() -> None:
    tags = [f"KP-{number}" for number in range(101, 110)]
    starts = {0: ["C1", 1, 1], 4: ["C1", 2, 1], 5: ["C1", 2, 1]}
    fed = [None if place in starts else tags[place - 1 - place // 8] for place in range(len(tags))]
    blank = [None, None, None]
    pulls = [
        ["Trax", "Balol", "Bend", "Glul", "Baxol", "Belol (m)"],
        *(
            [*starts.get(n, blank), near, far, 10]
            for n, (near, far) in enumerate(zip(fed, tags, strict=True))
        ),
    ]
    devices = [KEYPADS[0], *([tag, "Hall", 0.5] for tag in tags)]
    (job,) = jobs_of({"Devices": devices, "Pulls": pulls})
    assert ("KP-108", "KP-109") not in ends_of(job)


def test_a_head_end_with_its_number_of_ports_is_a_controller() -> None:
    pulls = [
        ["From tag", "Origin terminal", "To device", "Length (m)"],
        *([head, port, tag, 10] for tag, head, port in zip(TAGS, HEADS, "ABAB", strict=True)),
    ]
    heads = [
        ["Head end", "Room", "Ports", "Supply (W)"],
        *([head, "Bar", 2, 35] for head in dict.fromkeys(HEADS)),
    ]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls, "Head ends": heads})
    assert tags_of(job) == list(TAGS)
    assert list(job.ports) == ["CU02.A", "CU02.B", "CU03.A", "CU03.B"]


def test_a_slip_of_a_tag_with_a_terminal_is_no_port() -> None:
    pulls = [
        ["From tag", "Terminal", "To device", "To port", "Length (m)"],
        ["CU02", "A", "KP-101", "A", 10],
        ["CU02", "A", "KP-1O2", "A", 10],
        ["CU02", "B", "KP-103", "A", 10],
        ["CU02", "B", "KP-104", "A", 10],
    ]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls})
    assert list(job.ports) == ["CU02.A", "CU02.B"]


@pytest.mark.parametrize("section", ["1. OG", "2e étage", "1º piso"])
def test_a_floor_by_its_number_heads_a_section(section: str) -> None:
    pulls = [
        ["Length (m)", "From", "To", "Pull"],
        [None, None, None, section],
        *([10, near, far, f"P-{number}"] for number, (near, far) in enumerate(ENDS, 1)),
    ]
    (job,) = jobs_of({"Devices": [KEYPADS[0], [section, None, None], *KEYPADS[1:]], "Pulls": pulls})
    assert tags_of(job) == list(TAGS)
    assert ends_of(job) == ENDS


def building(number: int, tags: Sequence[str]) -> dict[str, Rows]:
    house = f"Building {'AB'[number - 1]}"
    devices = [["Tag", "Power (W)"], *([tag, 0.5] for tag in tags)]
    pulls = [["From", "To", "Length (m)"], *([f"C{number}.1", tag, 10] for tag in tags)]
    return {f"{house} devices": devices, f"{house} pulls": pulls}


def test_buildings_that_share_one_tag_and_no_controller_are_jobs_of_their_own() -> None:
    first, second = ("K1", "K2", "K3", "K4", "K5"), ("K5", "T1", "T2", "T3", "T4", "T5")
    jobs = jobs_of(building(1, first) | building(2, second))
    assert [len(job.devices) for job in jobs] == [5, 6]


def test_blocks_that_share_one_tag_and_name_their_ports_alone_are_jobs_of_their_own() -> None:
    """The panel stands in a row above the ports, and each block's list has all that its pulls feed."""

    def block(name: str, panel: str, tags: Sequence[str]) -> dict[str, Rows]:
        pulls = [
            ["Origin", "Goes to", "Distance (ft)"],
            [f"Panel {panel}"],
            *(["P1", tag, 40] for tag in tags),
        ]
        return {
            f"Block {name} list": [["ID", "Power (W)"], *([tag, 0.5] for tag in tags)],
            f"Block {name} runs": pulls,
        }

    one, other = block("A", "ST11", TAGS), block("B", "ST15", ["KP-104", "DM-1", "DM-2"])
    jobs = jobs_of(one | other)
    assert [(job.part, len(job.devices), len(job.pulls)) for job in jobs] == [
        ("Block A", 4, 4),
        ("Block B", 3, 3),
    ]


def test_buildings_of_one_controller_are_one_job_although_a_tag_stands_twice() -> None:
    sheets = building(1, ("K1", "K2", "K3", "K4", "K5")) | building(2, ("K5", "T1", "T2", "T3", "T4", "T5"))
    sheets["Building B pulls"] = [
        [str(c).replace("C2", "C1") for c in row] for row in sheets["Building B pulls"]
    ]
    (job,) = jobs_of(sheets)
    assert tags_of(job).count("K5") == 2


@pytest.mark.parametrize("word", ["Riporto", "Suma y sigue"])
def test_what_is_carried_over_is_no_device(word: str) -> None:
    devices = [KEYPADS[0], *KEYPADS[1:3], [word, None, 1.0], *KEYPADS[3:]]
    (job,) = jobs_of({"Devices": devices, "Pulls": [["From", "To", "Length (m)"], *with_length(ENDS)]})
    assert tags_of(job) == list(TAGS)


def with_length(ends: Sequence[tuple[str, str]]) -> list[list[Any]]:
    return [[near, far, 10 + number % 3] for number, (near, far) in enumerate(ends)]


def test_a_blank_beside_a_terminal_that_is_no_port_is_asked_about() -> None:
    pulls = [
        ["From", "Terminal", "To", "Length (m)"],
        ["C1", "bus A", "KP-101", 10],
        [None, "BUS", "KP-102", 10],
        ["C1", "bus B", "KP-103", 10],
        [None, "BUS", "KP-104", 10],
    ]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls})
    assert any("is blank in 2 rows" in remark.message for remark in job.remarks)


NUMBERS = ("1101", "1102", "1103", "1104", "1105", "1106")
NUMBERED = [["Tag", "Room", "Power (W)"], *([int(tag), "Hall", 0.5] for tag in NUMBERS)]


def test_tags_may_be_numbers_that_count() -> None:
    ends = [("C1.1", "1101"), *itertools.pairwise(NUMBERS)]
    pulls = [["From", "To", "Length (m)"], *with_length(ends)]
    pulls = [[int(v) if str(v).isdigit() else v for v in row] for row in pulls]
    (job,) = jobs_of({"Devices": NUMBERED, "Pulls": pulls})
    assert ends_of(job) == ends


def test_numbers_below_a_port_are_its_devices() -> None:
    runs = [
        ["C1.1", None, "C1.2", None],
        ["Device", "Length (m)", "Device", "Length (m)"],
        [1101, 10, 1104, 12],
        [1102, 11, 1105, 10],
        [1103, 12, 1106, 11],
    ]
    (job,) = jobs_of({"Devices": NUMBERED, "Runs": runs})
    assert sorted(far for _, far in ends_of(job)) == list(NUMBERS)


def test_tags_below_device_are_no_kinds_of_device() -> None:
    tags = [f"KP{number}" for number in range(101, 109)]
    devices = [["Device", "Device type", "Load (W)"], *([f"KP-{tag[2:]}", "Keypad", 0.5] for tag in tags)]
    pulls = [["From", "To", "Length (m)"], *with_length([("C1.1", tag) for tag in tags])]
    (job,) = jobs_of({"Devices": devices, "Pulls": pulls})
    assert len(job.devices) == len(job.pulls) == 8


@pytest.mark.parametrize("headings", [("Controller", "Module", "Terminal"), ("Schrank", "Karte", "Ausgang")])
def test_panel_slot_and_port_stand_before_the_first_device(headings: tuple[str, str, str]) -> None:
    pulls = [
        [*headings, "From tag", "To tag", "Length (m)"],
        ["HUB-1", 1, 1, None, "KP-101", 10],
        [None, None, None, "KP-101", "KP-102", 10],
        ["HUB-1", 2, 1, None, "KP-103", 10],
        [None, None, None, "KP-103", "KP-104", 10],
    ]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls})
    assert len(job.ports) == 2
    assert all(near in job.ports for near, far in ends_of(job) if far in ("KP-101", "KP-103"))


def test_the_only_numbers_below_headings_that_say_nothing_are_lengths() -> None:
    tags = [f"KP-{number}" for number in range(101, 109)]
    lengths = [17, 23, 65, 46, 23, 34, 12, 51]
    ends = [("C1.1", tags[0]), *itertools.pairwise(tags)]
    sheets: dict[str, Rows] = {
        "Read me": [["Lengths are in metres."]],
        "Devices": [KEYPADS[0], *([tag, "Hall", 0.5] for tag in tags)],
        "Pulls": [
            ["Taxtath", "Tethkusk", "Trex"],
            *([*end, n] for end, n in zip(ends, lengths, strict=True)),
        ],
    }
    (job,) = jobs_of(sheets)
    assert [pull.length_m for pull in job.pulls] == lengths


@pytest.mark.parametrize("heading", ["Pull to", "Anschluss an", "Línea a"])
def test_each_device_with_its_port_and_length_is_a_home_run(heading: str) -> None:
    tags = [f"KP-{number}" for number in range(1, 9)]
    rows = [["Room", "Length", heading, "Item", "Watts"]]
    rows += [["Hall", 10 + n % 3, f"SC-1/P{1 + n // 4}", tag, 0.5] for n, tag in enumerate(tags)]
    (job,) = jobs_of({"Notes": [["All lengths in metres."]], "Bus": rows})
    assert ends_of(job) == [(f"SC-1.{1 + n // 4}", tag) for n, tag in enumerate(tags)]


def test_a_link_is_a_port() -> None:
    pulls = [
        ["Panel", "From", "Link", "To", "Length (m)"],
        *(
            ["CU01", near if "." not in near else "CU01", 1 + n // 2, far, 10]
            for n, (near, far) in enumerate(ENDS)
        ),
    ]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls})
    assert list(job.ports) == ["CU01.1", "CU01.2"]


def test_the_port_of_each_device_makes_no_pulls_of_a_device_list() -> None:
    devices = [
        ["Tag", "Code", "Port"],
        *([tag, "AB"[n % 2], f"C1 out {1 + n // 2}"] for n, tag in enumerate(TAGS)),
    ]
    pulls = [["Load end", "Wire", "Length (m)", "Source"]]
    pulls += [[far, "16/2", 10, near.replace("C1.", "C1 out ")] for near, far in ENDS]
    kinds = [["Type", "Description", "Power (W)"], ["A", "Keypad", 0.5], ["B", "Sensor", 0.7]]
    (job,) = jobs_of({"Devices": devices, "Pulls": pulls, "Types": kinds})
    assert [device.power_w for device in job.devices] == [0.5, 0.7, 0.5, 0.7]


def test_a_port_in_brackets_is_no_length() -> None:
    chains = [[f"W{n}", f"{near.replace('C1.', 'C1 (port ') + ')' if '.' in near else near} → {far}", 10]
              for n, (near, far) in enumerate(ENDS)]  # fmt: skip
    heads = [["Controller", "Ports", "Supply (W)"], ["C1", 2, 35]]
    (job,) = jobs_of(
        {"Devices": KEYPADS, "Pulls": [["Cable no.", "Route", "Length (m)"], *chains], "Heads": heads}
    )
    assert ends_of(job) == ENDS
    assert not any(remark.closes for remark in job.remarks)


@pytest.mark.parametrize(
    "text", ["1. Alle Längen in Metern.", "Längenangaben in Metern.", "Lengths are in metres."]
)
def test_a_sentence_says_the_unit_of_all_lengths(text: str) -> None:
    pulls = [["From", "To", "Length"], *with_length(ENDS)]
    (job,) = jobs_of({"Notes": [[text]], "Devices": KEYPADS, "Pulls": pulls})
    assert job.pulls[0].length_m == 10


@pytest.mark.parametrize("heading", ["CURRENT_MA_AT_24_V", "CurrMaAt24V"])
def test_milliamps_at_a_voltage_in_a_name_of_an_export(heading: str) -> None:
    devices = [["TAG", heading], *([tag, 50] for tag in TAGS)]
    (job,) = jobs_of({"Devices": devices, "Pulls": [["From", "To", "Length (m)"], *with_length(ENDS)]})
    assert job.devices[0].power_w == pytest.approx(1.2)


def test_numbers_behind_slashes_are_as_many_tags_as_the_quantity() -> None:
    devices = [["Tag", "Qty", "Power (W)"], ["KP-1/2", 2, 0.5], ["TH-1/2/3/4/5/6", 6, 0.5]]
    tags = ["KP-1", "KP-2", *(f"TH-{n}" for n in range(1, 7))]
    ends = [("C1.1", "KP-1"), *itertools.pairwise(tags)]
    (job,) = jobs_of({"Devices": devices, "Pulls": [["From", "To", "Length (m)"], *with_length(ends)]})
    assert tags_of(job) == tags


@pytest.mark.parametrize("heading", ["From previous device", "del anterior", "Deelstuk"])
def test_what_is_counted_from_the_previous_device_is_a_length(heading: str) -> None:
    rows = [["Head end", "Bus", "Drop no.", "Tag", heading]]
    rows += [["MCP-1", 1 + n // 2, 1 + n % 2, tag, 10 + n] for n, tag in enumerate(TAGS)]
    (job,) = jobs_of({"Notes": [["Lengths are in metres."]], "Devices": KEYPADS, "Pulls": rows})
    assert [pull.length_m for pull in job.pulls] == [10, 11, 12, 13]


@pytest.mark.parametrize(
    ("lengths", "asks"), [((6, 8, 15, 21, 15, 20, 22), False), ((6, 8, 15, 21, 25, 30, 32), True)]
)
def test_lengths_that_rise_as_chance_may_have_it_are_not_asked_about(
    lengths: tuple[int, ...], asks: bool
) -> None:
    tags = [f"KP-{number}" for number in range(1, len(lengths) + 1)]
    ends = [("C1.1", tags[0]), *itertools.pairwise(tags)]
    devices = [["Tag", "Power (W)"], *([tag, 0.5] for tag in tags)]
    pulls = [["From", "To", "Length (m)"], *([*end, n] for end, n in zip(ends, lengths, strict=True))]
    (job,) = jobs_of({"Devices": devices, "Pulls": pulls})
    assert any("the lengths rise" in remark.message for remark in job.remarks) is asks


def test_columns_headed_n_o_are_numbers() -> None:
    pulls = [["Desde", "Hasta", "Longitud (m)"], *with_length(ENDS)]
    heads = [["Cuadro", "Ubicación", "N.º de salidas", "Fuente (W)"], ["C1", "Cocina", 2, 35]]
    (job,) = jobs_of({"Equipos": KEYPADS, "Cableado": pulls, "Cuadros": heads})
    assert job.controllers["C1"].ports == 2


@pytest.mark.parametrize("drawing", ["Plan", "PLAN-NR."])
def test_numbers_of_drawings_are_no_planned_lengths(drawing: str) -> None:
    pulls = [
        ["Von", "Nach", "Länge (m)", drawing],
        *([*row, f"E-20{n}"] for n, row in enumerate(with_length(ENDS))),
    ]
    (job,) = jobs_of({"Geräte": KEYPADS, "Kabel": pulls})
    assert not any(remark.level == "review" for remark in job.remarks)


def test_terminals_instead_of_ends_are_ports() -> None:
    pulls = [
        ["Controller", "Terminal", "From device", "To tag", "Length (m)"],
        ["C1", 1, None, "KP-101", 10],
        [None, None, "KP-101", "KP-102", 10],
        ["C1", 2, None, "KP-103", 10],
        ["C1", 2, None, "KP-104", 10],
    ]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls})
    assert ends_of(job) == ENDS


def test_a_grid_of_lengths_by_its_ports_is_read() -> None:
    numbers = list(range(1, 6))
    tags = {f"BC-{port}": [f"KP-{port}{n}" for n in numbers] for port in ("1.1", "1.2", "2.1")}
    grid = [["Port", *numbers], *([port, *own] for port, own in tags.items())]
    lengths = [["Port", *(f"{n}, m" for n in numbers)], *([port, 9, 11, 9, 10, 7] for port in tags)]
    devices = [["Tag", "Power (W)"], *([tag, 0.5] for own in tags.values() for tag in own)]
    (job,) = jobs_of({"Devices": devices, "Daisy chain": grid, "Segments": lengths})
    assert len(job.pulls) == 15
    assert not any(remark.closes for remark in job.remarks)


def test_codes_of_kinds_that_are_spelled_as_tags_are_no_devices() -> None:
    rooms = [
        ["Floor", "Room", "Keypad", "Thermostat"],
        [1, "Hall", "KP-1; KP-2", "TH-1"],
        [1, "Bar", "KP-3", "TH-2"],
    ]
    tags = ["KP-1", "KP-2", "TH-1", "KP-3", "TH-2"]
    pulls = [["From", "To", "Length (m)"], *with_length([("C1.1", tag) for tag in tags])]
    kinds = [["Code", "Kind of device", "Power (W)"], ["KP-1", "Keypad", 0.5], ["TH-1", "Thermostat", 0.7]]
    (job,) = jobs_of({"Rooms": rooms, "Pulls": pulls, "Legend": kinds})
    assert {device.tag: device.power_w for device in job.devices} == dict(
        zip(tags, (0.5, 0.5, 0.7, 0.5, 0.7), strict=True)
    )


@pytest.mark.parametrize(
    ("conduit", "cable", "size"), [("CONDUIT", "CABLE", "Raceway"), ("TUBO", "TIPO CAVO", "Tubo")]
)
def test_sizes_and_lengths_of_conduits_are_no_lengths_of_cable(conduit: str, cable: str, size: str) -> None:
    pulls = [[None, None, conduit, None, cable], ["From", "To", size, "Est. length", "Est. length"]]
    pulls = [
        *pulls,
        *(
            [near, far, "25 mm", f"{n - 2} m", f"{n} m"]
            for n, (near, far) in zip((31, 17, 45, 22), ENDS, strict=True)
        ),
    ]
    if conduit == "TUBO":
        pulls[1] = ["Da", "A", size, "Lung.", "Lung."]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls})
    assert [pull.length_m for pull in job.pulls] == [31, 17, 45, 22]


def test_a_sum_of_two_lengths_in_feet_and_inches_is_the_length() -> None:
    tags = [f"KP-{number}" for number in range(101, 109)]
    ends = [("C1.1", tags[0]), *itertools.pairwise(tags)]
    pulls = [
        [*end, f"{n}'-0\"", f"{3 + n % 2}'-0\"", f"{n + 3 + n % 2}'-0\""] for n, end in enumerate(ends, 20)
    ]
    devices = [KEYPADS[0], *([tag, "Hall", 0.5] for tag in tags)]
    (job,) = jobs_of({"Devices": devices, "Pulls": pulls})
    assert job.pulls[0].length_m == pytest.approx(23 * 0.3048)


def test_times_beside_a_splice_of_the_same_spelling_are_quantities() -> None:
    devices = [["Vathbom", "Watts", "Brond"], *([tag, 0.5, f"x{1 + n % 3}"] for n, tag in enumerate(TAGS))]
    ends = [("C1.1", "KP-101"), ("KP-101", "X1"), ("X1", "KP-102"), ("X1", "KP-103"), ("X1", "KP-104")]
    boxes = [["Splice", "Room"], ["X1", "Hall"]]
    pulls = [["From", "To", "Length (m)"], *with_length(ends)]
    (job,) = jobs_of({"Devices": devices, "Pulls": pulls, "Splices": boxes})
    assert [device.quantity for device in job.devices] == [1, 2, 3, 1]


def test_tags_that_count_behind_a_port_are_no_marks_on_a_drum() -> None:
    numbers = list(range(1101, 1109))
    rows = [["Cable", "From", "To", "Description", "Length", "Watts"]]
    rows += [
        [f"P-{n}", tag - 1 if n else "MCP-A out 1", tag, "Keypad", f"{4 + n % 3} m", 0.5]
        for n, tag in enumerate(numbers)
    ]
    (job,) = jobs_of({"Bus": rows})
    assert tags_of(job) == list(map(str, numbers))


def test_home_runs_above_a_sum_without_names() -> None:
    rows = [["Room", "Device tag", "Watts", "Pull to", "Cable length (m)"]]
    rows += [["Hall", tag, 0.5, "SC-1/P1", 10 + n] for n, tag in enumerate(TAGS)]
    (job,) = jobs_of({"Bus": [*rows, [None, None, 2.0, None, 46]]})
    assert ends_of(job) == [("SC-1.1", tag) for tag in TAGS]


def test_heights_are_no_lengths_of_pulls() -> None:
    pulls = [["Von", "Nach", "Länge (m)", "Montagehöhe (cm)"], *([*row, 44] for row in with_length(ENDS))]
    (job,) = jobs_of({"Geräte": KEYPADS, "Kabel": pulls})
    assert not any(remark.level == "review" for remark in job.remarks)


def test_a_sheet_that_is_called_old_in_french_does_not_hold() -> None:
    pulls = [["De", "Vers", "Longueur (m)"], *with_length(ENDS)]
    old = [pulls[0], *([near, far, 3 * n] for near, far, n in pulls[1:])]
    (job,) = jobs_of({"Appareils": KEYPADS, "ANCIEN Liaisons": old, "Liaisons": pulls})
    assert [pull.length_m for pull in job.pulls] == [10, 11, 12, 10]


def test_a_cable_of_the_list_of_cables_is_no_port() -> None:
    """`BUS-16` reads like port 16 of a bus, and stands in the list of cable types."""
    pulls = [
        ["C1", "BCU-2", 1, None, tag, "BUS-16", f"{length}'-0\""]
        for tag, length in zip(TAGS, (31, 17, 63, 22), strict=True)
    ]
    cables = [["Cable", "AWG", "Conductors", "Strand", "Screen"], ["BUS-16", 16, 2, "stranded", "unshielded"]]
    (job,) = jobs_of(
        {"Devices": [row[:1] for row in KEYPADS[1:]], "Cable schedule": pulls, "Wire spec": cables}
    )
    assert not any("16" in end for ends in ends_of(job) for end in ends)


@pytest.mark.parametrize("heading", ["Repère fin (M)", "Longueur (m)"])
def test_three_marks_on_a_drum_are_no_lengths(heading: str) -> None:
    pulls = [
        ["De", "N°", "Métrage début (m)", "Vers", heading],
        ["ST1 CH1", "W1", 0, "KP-101", 19],
        ["KP-101", "W2", 19, "KP-102", 26],
        ["KP-102", "W3", 26, "KP-103", 31],
    ]
    (job,) = jobs_of({"Devices": KEYPADS[:4], "Pulls": pulls})
    assert [pull.length_m for pull in job.pulls] == [19, 7, 5]


def test_areas_in_a_name_of_an_export_are_gauges() -> None:
    cables = [["CblType", "AreaMm²", "Conductors", "Stranding"], ["L2", 0.75, 2, "stranded"]]
    pulls = [["From", "To", "Length (m)", "Cable"], *([*ends, 10, "L2"] for ends in ENDS)]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls, "Cables": cables})
    assert str(job.cables["L2"].gauge) == "0.75 mm²"


def test_what_is_not_read_is_asked_about_in_a_job_of_two_pulls() -> None:
    rooms = [
        ["Floor", "Place", "Sensor", "Shade"],
        ["1", "Cellar", "KP-101", "KP-102"],
        ["1", "Bar", None, "KP-103"],
    ]
    pulls = [["From", "To", "Length (m)"], ["LCP-3 bus 1", "KP-101", 11.5], ["KP-101", "KP-103", 18.5]]
    (job,) = jobs_of({"Rooms": rooms, "Pulls": pulls})
    assert any(remark.closes for remark in job.remarks) or len(job.devices) == 3


def test_the_only_root_is_a_port_where_controllers_of_its_form_are_listed() -> None:
    """The list is of another block: `LV-11` to `LV-13`, and the port is `LV-15.1`."""
    controllers = [["Controller", "Ports"], *([f"LV-1{number}", 2] for number in range(1, 4))]
    pulls = [
        ["LV-15.1", None],
        ["Tag", "From previous (ft)"],
        *([tag, 20 + n % 3] for n, tag in enumerate(TAGS)),
    ]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls, "Panels": controllers})
    assert list(job.ports) == ["LV-15.1"]


def test_marks_with_a_unit_cut_off_between_them_are_marks() -> None:
    starts = [
        (1204, 1212),
        (1213, 1221),
        (1222, 1233),
        (1234, 1248),
        (1249, 1262),
        (1263, 1277),
        (1278, 1283),
        (1284, 1297),
    ]
    tags = [f"KP-{number}" for number in range(101, 109)]
    pulls = [
        ["N°", "Départ", "Arrivée", "Marque (m)", "Marque (m) 2"],
        *(
            [n, *ends, *marks]
            for n, (*ends, marks) in enumerate(zip(["C1.1", *tags], tags, starts, strict=False), 1)
        ),
    ]
    (job,) = jobs_of({"Devices": [["Tag", "Power (W)"], *([tag, 0.5] for tag in tags)], "Pulls": pulls})
    assert [pull.length_m for pull in job.pulls] == [8, 8, 11, 14, 13, 14, 5, 13]


def test_parts_and_their_totals_are_no_marks() -> None:
    lengths = [(1, 1, 19, 21), (1, 1, 16.5, 18.5), (0.5, 1, 14.5, 16), (1.5, 1, 10, 12.5)]
    pulls = [
        ["From", "Drop [m]", "Spare [m]", "Across [m]", "Total [m]", "To"],
        *([near, *parts, far] for (near, far), parts in zip(ENDS, lengths, strict=True)),
    ]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls})
    assert [pull.length_m for pull in job.pulls] == [21, 18.5, 16, 12.5]


def test_a_card_of_a_cable_states_units_in_its_labels() -> None:
    card = [
        ["Désignation", "BS-2"],
        ["Conducteurs", 2],
        ["Section (mm²)", 1.5],
        ["Âme", "souple, multibrins"],
        ["Écran", "sans écran"],
        ["Capacité (pF/m)", 90],
        ["Tension (V)", 600],
    ]
    pulls = [["From", "To", "Length (m)"], *([*ends, 10] for ends in ENDS)]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls, "Câble": card})
    cable = job.cables["BS-2"]
    assert (cable.area_mm2, cable.conductors, cable.insulation_v) == (1.5, 2, 600)
    assert cable.capacitance_nf_per_m == pytest.approx(0.09)


def test_counts_with_a_mark_may_have_a_bare_one_among_them() -> None:
    counts = ["x1", "x2", "1", "x1"]
    devices = [
        ["Lunol", "Dimdul", "Fimol (W)"],
        *([tag, n, 0.5] for tag, n in zip(TAGS, counts, strict=True)),
    ]
    pulls = [["From", "To", "Length (m)"], *([*ends, 10] for ends in ENDS)]
    (job,) = jobs_of({"Devices": devices, "Pulls": pulls})
    assert [device.quantity for device in job.devices] == [1, 2, 1, 1]


def test_a_row_number_beside_ports_in_full_is_no_place_on_a_port() -> None:
    """`HE11, port 1` has its port; the space `A` beside it is none."""
    pulls = [
        ["seq_id", "Space", "Device", "Space", "Device", "len_ft"],
        *([n, "A", "HE11, port 1", "A", tag, 20 + n] for n, tag in enumerate(TAGS[:3], 1)),
        [4, "A", "HE11, port 2", "A", TAGS[3], 31],
    ]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls})
    assert {pull.near for pull in job.pulls} == {"HE11.1", "HE11.2"}


@pytest.mark.parametrize(
    ("place", "length"), [("Drop no.", "From previous device (ft)"), ("Positie", "Deelstuk (ft)")]
)
def test_counted_places_on_one_port_are_an_order_or_asked_about(place: str, length: str) -> None:
    pulls = [
        ["Terminal", place, "Device tag", length],
        *(
            ["MCP-11 out A", n, tag, feet]
            for n, (tag, feet) in enumerate(zip(TAGS, (20, 63, 33, 12), strict=True), 1)
        ),
    ]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls})
    chain = [("MCP-11.A", TAGS[0]), *itertools.pairwise(TAGS)]
    assert ends_of(job) == chain or any(remark.closes for remark in job.remarks)


def test_lengths_from_the_previous_device_are_none_from_the_port() -> None:
    pulls = [
        ["From", "To", "Length from previous device (m)"],
        *(["C1.1", tag, 9 + n % 2] for n, tag in enumerate(TAGS)),
    ]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls})
    (closing,) = [remark.message for remark in job.remarks if remark.closes]
    assert closing.startswith(
        "the lengths below 'Length from previous device (m)' of 'Pulls' count from the previous device"
    )


def test_a_short_name_like_the_tags_is_no_joint() -> None:
    """`T200` is a slip of T20 where thermostats are T18 to T22, no tee."""
    tags = [f"T{number}" for number in range(18, 23)]
    devices = [["Tag", "Power (W)"], *([tag, 0.5] for tag in tags)]
    fed = ["T18", "T19", "T200", "T21", "T22"]
    (job,) = jobs_of(
        {"Devices": devices, "Pulls": [["From", "To", "Length (m)"], *(["C1.1", tag, 10] for tag in fed)]}
    )
    assert "T200" not in job.splices


def test_trees_of_two_houses_with_head_ends_of_their_own_are_two_jobs() -> None:
    def house(name: str, head: str, tags: Sequence[str]) -> dict[str, Rows]:
        rows = [
            ["Boomnr.", "Codering", "Kabellengte (m)", "Vermogen (W)"],
            ["1", f"Head end {head}-1", None, None],
        ]
        return {f"Huis {name} bus": [*rows, *([f"1.{n}", tag, 10, 0.5] for n, tag in enumerate(tags, 1))]}

    jobs = jobs_of(house("A", "2", TAGS) | house("B", "6", ["KP-104", "DM-1", "DM-2"]))
    assert [len(job.devices) for job in jobs] == [4, 3]


def test_a_list_of_faults_beside_the_pulls_lists_no_devices() -> None:
    pulls = [
        ["From", "To", "Length (m)", None, "Snag", "Pt", "What", "Raised"],
        *([*ends, 10 + n, None] for n, ends in enumerate(ENDS)),
    ]
    for row, snag in zip(
        pulls[1:3], ([1, "KP-102", "box low", "4 Mar"], [2, "KP-103", "lid missing", "5 Mar"]), strict=True
    ):
        row.extend(snag)
    (job,) = jobs_of({"Devices": KEYPADS, "Day list": pulls})
    assert tags_of(job) == list(TAGS)


def test_the_later_of_two_issues_counts_where_it_is_filled_in() -> None:
    lengths = [(24.5, 36), (21.5, None), (20, None), (25, 34.5)]
    pulls = [
        ["von", "nach", "Länge Index a (m)", "Länge Index b (m)"],
        *([*ends, *both] for ends, both in zip(ENDS, lengths, strict=True)),
    ]
    (job,) = jobs_of({"Devices": KEYPADS, "Züge": pulls})
    assert [pull.length_m for pull in job.pulls] == [36, 21.5, 20, 34.5]


def test_the_voltage_that_a_cable_stands_is_no_supply() -> None:
    card = [
        ["Kabel SB15"],
        ["Querschnitt", "1,5 mm²"],
        ["Adern", 2],
        ["Leiteraufbau", "feindrähtig"],
        ["Nennspannung", "600 V"],
    ]
    devices = [["Tag", "Strom (mA)"], *([tag, 20] for tag in TAGS)]
    pulls = [["von", "nach", "Länge (m)", "Kabel"], *([*ends, 10, "SB15"] for ends in ENDS)]
    (job,) = jobs_of({"Deckblatt": card, "Geräte": devices, "Züge": pulls})
    assert {device.at_voltage_v for device in job.devices} <= {None, 24.0}
    assert all(device.power_w in (None, pytest.approx(0.48)) for device in job.devices)


def test_numbers_of_cables_are_no_terminals() -> None:
    """`P-1` stands beside the near end and is the cable, not port 1."""
    pulls = [
        ["Row", "Cable length (m)", "Origin", "Cable ID", "Target"],
        *(
            [n, 8 + n % 3, *ends]
            for n, ends in enumerate((("ZC 1-1", f"P-{k}", tag) for k, tag in enumerate(TAGS, 1)), 1)
        ),
    ]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls})
    assert len({pull.near for pull in job.pulls}) <= 1


def test_a_kind_between_others_is_one_though_no_pull_ends_at_its_device() -> None:
    """The keypad that was forgotten is a device that nothing feeds, not an unread cell."""
    rooms = [
        ["Room", "Sensor", "Keypad", "Shade"],
        ["Hall", "OS-101", None, "SH-104"],
        ["Bar", "OS-102", "KP-103", None],
        ["Gym", "OS-105", None, "SH-106"],
    ]
    ends = ["C1.1", "OS-101", "OS-102", "SH-104", "OS-105", "SH-106"]
    pulls = [["From", "To", "Length (m)"], *([near, far, 9] for near, far in itertools.pairwise(ends))]
    (job,) = jobs_of({"Rooms": rooms, "Pulls": pulls})
    assert "KP-103" in tags_of(job) or any(remark.closes for remark in job.remarks)


def test_allowances_are_no_lengths_that_add_up() -> None:
    parts = [(6, 0.5, 1), (7, 1, 1), (17.5, 0.5, 1), (4, 1.5, 1)]
    pulls = [
        ["BMK 1", "BMK 2", "Gonddron M", "Rethmam M", "Glorlan M", "Duthtush M"],
        *([*ends, *own, sum(own)] for ends, own in zip(ENDS, parts, strict=True)),
    ]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls})
    assert [pull.length_m for pull in job.pulls] in ([7.5, 9, 19, 6.5], [None] * 4, [])


def test_blanks_below_an_end_are_asked_about_though_each_row_has_its_port() -> None:
    pulls = [
        ["Panel", "Port", "From", "To", "Length (m)"],
        *(["C1", 1, "C1" if not n else None, tag, 9 + n % 2] for n, tag in enumerate(TAGS)),
    ]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls})
    (closing,) = [remark.message for remark in job.remarks if remark.closes]
    assert closing.startswith("'From' is blank in 3 rows below C1")


def test_a_controller_alone_below_the_number_of_the_cable_heads_a_section() -> None:
    pulls = [
        ["Kabel-Nr.", "System", "Nach", "Länge [m]", "Anfang"],
        ["Steuergerät C1", None, None, None, None],
        *([f"W{n}", "Bus", far, 10, near.replace("C1.", "port ")] for n, (near, far) in enumerate(ENDS)),
    ]
    (job,) = jobs_of({"Geräte": KEYPADS, "Kabelzüge": pulls})
    assert sorted(job.ports) == ["C1.1", "C1.2"]


@pytest.mark.parametrize("sheet", ["ST11", "-ST1", "NODE-11", "IDF-1 CTRL 1"])
def test_ports_alone_on_a_sheet_named_like_a_controller(sheet: str) -> None:
    pulls = [["From", "End", "Length (ft)"], *([near.replace("C1.", "Link "), far, 20] for near, far in ENDS)]
    (job,) = jobs_of({"Devices": KEYPADS, sheet: pulls})
    assert {port.controller for port in job.ports.values()} == {sheet} or any(r.closes for r in job.remarks)


def test_two_names_of_each_device_are_no_matrix() -> None:
    """Pulls name points by name first and by number later."""
    points = [
        ["Number", "Name (used to issue B)", "Type"],
        *(
            [f"N0{n}", f"Reception {kind} {n}", kind[0].upper()]
            for n, kind in enumerate(("dimmer", "panel", "valve") * 2, 1)
        ),
    ]
    by_name, by_number = [row[1] for row in points[1:4]], [row[0] for row in points[4:]]
    ends = ["LCU1 way A", *by_name, *by_number]
    pulls = [["A end", "B end", "Length m"], *([near, far, 9] for near, far in itertools.pairwise(ends))]
    (job,) = jobs_of({"Cables": pulls, "Points": points})
    assert any(remark.closes for remark in job.remarks)


def test_rows_that_others_pull_and_nothing_of_the_bus_shares_are_left_out() -> None:
    pulls = [
        ["Van", "Naar", "Kabel", "Lengte (m)", "Opm."],
        *([*ends, "RB15", 10, None] for ends in ENDS),
        ["BMC", "rookm. gang", "2x0,8 rood", 27, "door derden"],
    ]
    (job,) = jobs_of({"Apparaten": KEYPADS, "Trekstaat": pulls})
    assert ends_of(job) == ENDS


def test_a_place_in_brackets_behind_each_name_is_no_part_of_it() -> None:
    def placed(end: str) -> str:
        return end if end.startswith("C1") else f"{end} (Watch room)"

    pulls = [["Start", "Finish", "Length (m)"], *([placed(near), placed(far), 9] for near, far in ENDS)]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls})
    assert ends_of(job) == ENDS


def test_tags_in_a_list_are_not_taken_for_cables_of_another_trade() -> None:
    """`RG6` is a dimmer of the list `RG 1, RG 2 ...` here, no coaxial cable."""
    devices = [["Tag", "Qty", "Power (W)"], [", ".join(f"RG {n}" for n in range(1, 9)), 8, 0.5]]
    pulls = [["From", "To", "Length (m)"], *(["C1.1", f"RG{n}", 9 + n % 3] for n in range(1, 9))]
    (job,) = jobs_of({"Devices": devices, "Pulls": pulls})
    assert len(job.pulls) == 8


def test_a_cable_that_reads_like_a_count_is_none() -> None:
    """`X16` in each row is the cable."""
    rows = [
        ["Glendtix", "Fomkosh (mW)", "Sethdrask", "Trind (ft)", "Saol"],
        *([far, 480, near, 20, "X16"] for near, far in ENDS),
    ]
    (job,) = jobs_of({"Bus": rows})
    assert {device.quantity for device in job.devices} <= {1}


def test_ports_beside_a_column_of_numbered_names_are_asked_about() -> None:
    pulls = [
        ["Finna", "Vundvosk", "Trathdash", "Lethrer", "Voltroth (m)"],
        *([f"K.0{n}", "BC-1", "PORT #1", tag, 9 + n % 3] for n, tag in enumerate(TAGS, 1)),
    ]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls})
    controllers = {port.controller for port in job.ports.values()}
    assert controllers == {"BC-1"} or any(remark.closes for remark in job.remarks)


@pytest.mark.parametrize("total_first", [True, False])
def test_the_power_of_all_is_that_of_each_times_the_quantity(total_first: bool) -> None:
    each, counts = (0.5, 0.72, 0.24, 1.2), (1, 2, 3, 1)
    both = [
        (round(one * n, 2), one) if total_first else (one, round(one * n, 2))
        for one, n in zip(each, counts, strict=True)
    ]
    devices = [
        ["Pomol", "Femuth", "Drox (W)", "Glendnor (W)"],
        *([f"{n} Stk.", tag, *own] for n, tag, own in zip(counts, TAGS, both, strict=True)),
    ]
    pulls = [["From", "To", "Length (m)"], *([*ends, 10] for ends in ENDS)]
    (job,) = jobs_of({"Devices": devices, "Pulls": pulls})
    assert [(device.quantity, device.power_w) for device in job.devices] == list(
        zip(counts, each, strict=True)
    )


def test_kinds_in_a_bill_are_no_tags_of_the_home_runs() -> None:
    """The bill's descriptions are those of the schedule, and each stands there once."""
    runs = [
        ["Emplacement", "Repère", "Désignation", "Intensité", "Retour vers", "Métré (m)"],
        *(
            [room, tag, kind, "20 mA @ 24 V", "MCP-3 sortie 1", length]
            for room, tag, kind, length in (
                ("Réserve", "VR-101", "Module volet roulant", 37),
                ("Couloir", "DP-102", "Détecteur de présence", 51.5),
                ("Salle 1", "MR-103", "Module relais", 17),
            )
        ),
    ]
    bill = [
        ["Device", "Description", "Qty", "Unit cost", "Cost"],
        ["VR-100", "Module volet roulant", 1, 231, 231],
        ["DP-100", "Détecteur de présence", 1, 278, 278],
        ["MR-100", "Module relais", 1, 84, 84],
    ]
    (job,) = jobs_of({"Sheet5": bill, "Bus": runs})
    assert tags_of(job) == ["VR-101", "DP-102", "MR-103"]
    assert [device.power_w for device in job.devices] == [pytest.approx(0.48)] * 3


def test_pieces_beside_ranges_that_go_up_and_begin_anew_are_no_numbers_of_rows() -> None:
    devices = [
        ["Identificador", "Nivel", "Sala", "Nº", "Watt"],
        ["1101 a 1102", "P1", "Aula 1", 2, 0.12],
        ["1105", "P1", "Aula 1", 3, 0.12],
        ["1103", "P1", "Sótano", 1, 0.12],
        ["1104", "P1", "Aula 1", 1, 1.2],
        ["1106 a 1107", "P1", "Despacho", 2, 0.48],
    ]
    tags = [str(number) for number in range(1101, 1108)]
    pulls = [
        ["Desde", "Fin", "Longitud (m)"],
        *([near, far, 9] for near, far in itertools.pairwise(["RK1 P1", *tags])),
    ]
    (job,) = jobs_of({"Lista de equipos": devices, "Cables": pulls})
    assert sum(device.quantity for device in job.devices) == 9 or any(r.closes for r in job.remarks)


def test_a_question_of_a_list_without_headings_stays_though_its_first_row_is_of_another_trade() -> None:
    """The first row is a feed from the mains; which of two columns is the length is asked all the same."""
    tags = [f"KP-{number}" for number in range(101, 109)]
    starts = ["C1-A", tags[0], tags[0], tags[1], "C1-B", tags[4], tags[4], tags[5]]
    hops, sums = [30, 34, 35, 25, 40, 22, 31, 28], [30, 64, 65, 89, 40, 62, 71, 90]
    pulls = [
        ["W086", "DB-1 cct 7", "C1 L/N", "3x1.5 mains", "12 ft", None],
        *(
            [f"W00{n}", near, tag, "BUS-16", f"{hop} ft", f"{whole} ft"]
            for n, (near, tag, hop, whole) in enumerate(zip(starts, tags, hops, sums, strict=True), 1)
        ),
    ]
    (job,) = jobs_of({"Devices": [KEYPADS[0], *([tag, "Hall", 0.5] for tag in tags)], "Pulls": pulls})
    assert [pull.length_m is None for pull in job.pulls] == [
        hop != whole for hop, whole in zip(hops, sums, strict=True)
    ]
    assert [question.sentence for question in job.questions] == [
        "column E and column F may both be the length of a pull: which is it?"
    ]


def test_a_number_of_each_pull_beside_the_ends_is_no_port() -> None:
    """`P-1`, `P-2` … under an unknown heading stand once each, also where a device feeds."""
    pulls = [
        ["Neshkir", "Dren", "Gliskglax", "Fithdur", "Brothdund"],
        ["Bus pair", "50 ft", "BC-1", "P-1", "KP-101"],
        ["Bus pair", "38 ft", "KP-101", "P-2", "KP-102"],
        ["Bus pair", "53 ft", "BC-1", "P-3", "KP-103"],
        ["Bus pair", "70 ft", "BC-1", "P-4", "KP-104"],
    ]
    (job,) = jobs_of({"Devices": KEYPADS, "Pulls": pulls})
    assert not {"BC-1.1", "BC-1.3", "BC-1.4"} & job.ports.keys()

"""Columns that were taken for another matter once, each as a small workbook."""

from itertools import pairwise
from typing import Any

import pytest

from auditor.errors import UnusableFileError
from auditor.intake import read_jobs
from tests.intake.workbooks import ENDS, KEYPADS, TAGS, ends_of, job_of, workbook


@pytest.mark.parametrize("revision", ["Iss.", "Wijz.", "Rev"])
def test_the_number_of_a_drawing_is_no_controller(revision: str) -> None:
    tags = [f"KP-{number}" for number in range(101, 112)]
    pulls = [
        ["Processor", "Link", "Step", "Tag", "Segment", "Drawing", revision],
        *(
            ["NODE-1" if n == 0 else '"', 1 + n // 5 if n in (0, 5) else '"', 1 + n % 5, tag, 50 + n * 7 % 20,
             f"E-20{1 + n * 5 % 3}", "ABC"[n * 7 % 3]]
            for n, tag in enumerate(tags[:10])
        ),
    ]  # fmt: skip
    job = job_of({"Runs": pulls, "Devices": [KEYPADS[0], *([tag, "Hall", 0.5] for tag in tags[:10])]})
    assert not any(port.controller.startswith("E-20") for port in job.ports.values())


def test_the_rooms_of_both_ends_are_no_ends_where_names_have_no_digits() -> None:
    tags = ("Alder keypad", "Ash keypad", "Alder dimmer", "Ash dimmer")
    devices = [["Device", "Floor", "Power (W)"], *([tag, "1", 0.5] for tag in tags)]
    pulls = [
        ["Room", "Tag", "Length (m)", "Room", "Tag"],
        *(["B1", f"C1 port {1 + n % 2}", 9, "B1", tag] for n, tag in enumerate(tags)),
    ]
    job = job_of({"Devices": devices, "Pulls": pulls})
    assert ends_of(job) == [(f"C1.{1 + n % 2}", tag) for n, tag in enumerate(tags)]


def test_doors_are_no_devices_though_they_count_alike() -> None:
    bus = [
        ["Mark", "Item description", "Power (W)", "Wired from", "Run length (m)"],
        *([f"D00{n}", "Shade motor", 0.5, f"D00{n - 1}" if n > 1 else "C1 port 1", 9] for n in (1, 2, 3)),
    ]
    doors = [["Door", "Width (mm)", "Type", "Room"], *([f"D{n}", 800, "A", "Hall"] for n in (1, 2, 3, 4))]
    job = job_of({"Bus": bus, "Sheet2": doors})
    assert [device.tag for device in job.devices] == ["D001", "D002", "D003"]


@pytest.mark.parametrize(
    "headings",
    [
        ("Length (ft)", "Installed"),
        ("Est. length (ft)", "Installed"),
        ("Prévu (ft)", "Réel"),
        ("Planlänge (ft)", "Verlegt"),
    ],
)
def test_what_was_installed_counts_before_what_was_planned(headings: tuple[str, str]) -> None:
    pulls = [["From", "To", *headings], *([near, far, 30 + n, 33 + n] for n, (near, far) in enumerate(ENDS))]
    job = job_of({"Devices": KEYPADS, "Pulls": pulls})
    assert [round((pull.length_m or 0) / 0.3048) for pull in job.pulls] == [33, 34, 35, 36]


def test_a_second_figure_near_each_length_is_asked_about() -> None:
    pulls = [
        ["From", "To", "Buol", "Zushdro (m)"],
        *([near, far, 14.5 + n, 15 + n % 2] for n, (near, far) in enumerate(ENDS)),
    ]
    job = job_of({"Devices": KEYPADS, "Pulls": pulls})
    assert any("may both be the length" in remark.message for remark in job.remarks if remark.question)


def test_a_range_behind_a_slash_is_one_where_pulls_end_at_its_tags() -> None:
    devices = [
        ["Band", "Lilol", "Barbrax (W)"],
        ["L1.JA.01", "Jalousie", 0.4],
        ["L1.DA.01/02", "Dimmer", 0.2],
    ]
    pulls = [
        ["From", "To", "Length (m)"],
        ["SC-11.1", "L1.JA.01", 9],
        ["L1.JA.01", "L1.DA.01", 9],
        ["L1.DA.01", "L1.DA.02", 9],
    ]
    job = job_of({"Devices": devices, "Pulls": pulls})
    assert [device.tag for device in job.devices] == ["L1.JA.01", "L1.DA.01", "L1.DA.02"]


def test_two_columns_of_one_heading_are_both_ends() -> None:
    devices = [["Band", "Art", "Mark"], *([tag, "Keypad", n] for n, tag in enumerate(TAGS[:3]))]
    pulls = [
        ["Room", "Code", "Room", "Code", "Length (m)"],
        ["A", "C1 (port 1)", "A", "KP-101", 9],
        ["A", "KP-101", "A", "KP-102", 9],
        ["A", "KP-102", "A", "KP-103", 9],
    ]
    job = job_of({"Devices": devices, "Pulls": pulls})
    assert [device.tag for device in job.devices] == list(TAGS[:3]) or any(r.question for r in job.remarks)


def test_a_slip_of_a_tag_at_a_terminal_is_no_port() -> None:
    """`PS` begins a controller's name elsewhere, here the tags of shade motors."""
    tags = ("PS-1", "RE-1", "PS-2", "RE-2")
    devices = [["Tag", "Power (W)"], *([tag, 0.5] for tag in tags)]
    ends = [("C1", "port 1", "PS-1"), ("PS-1", "X2", "RE-1"), ("RE-1", "X2", "PS-22"), ("PS-2", "X2", "RE-2")]
    pulls = [
        ["From device", "From terminal", "To device", "To terminal", "Length (m)"],
        *([near, at, far, "X1", 9] for near, at, far in ends),
    ]
    job = job_of({"Devices": devices, "Pulls": pulls})
    assert list(job.ports) == ["C1.1"]
    assert ends_of(job)[2] == ("RE-1", "PS-22")


def test_one_word_of_a_short_list_takes_a_device_out() -> None:
    devices = [
        ["Gosh", "Tindlan (W)", "Baxpath"],
        ["KP-1", 0.5, "New"],
        ["KP-2", 0.5, "New"],
        ["KP-9", 0.5, "Removed"],
    ]
    pulls = [["From", "To", "Length (m)"], ["C1 port 1", "KP-1", 9], ["KP-1", "KP-2", 9]]
    job = job_of({"Devices": devices, "Pulls": pulls})
    assert [device.tag for device in job.devices] == ["KP-1", "KP-2"]


def test_two_slots_with_a_port_each_are_the_ports_of_one_controller() -> None:
    pulls = [
        ["Panel", "Slot", "Output", "From", "To", "Length (m)"],
        ["PSU-A", 1, 1, None, "KP-101", 9],
        [None, None, None, "KP-101", "KP-102", 9],
        ["PSU-A", 2, 1, None, "KP-103", 9],
        [None, None, None, "KP-103", "KP-104", 9],
    ]
    job = job_of({"Devices": KEYPADS, "Pulls": pulls})
    assert {port.controller for port in job.ports.values()} == {"PSU-A"}
    assert len(job.ports) == 2


def test_a_cable_beside_a_length_without_headings_is_one() -> None:
    tags = [f"KP-{number}" for number in range(101, 111)]
    cables = ["BC-AT" if number == 6 else "BC-A" for number in range(len(tags))]
    lengths = [*([f"P-{n}", cable, f"{20 + n * 7 % 10} ft"] for n, cable in enumerate(cables, 1))]
    ends = [[f"P-{n}", near, far] for n, (near, far) in enumerate(pairwise(["C1.P1", *tags]), 1)]
    types = [["Wire type", "Gauge (AWG)", "Conductors"], ["BC-A", 16, 2], ["BC-AT", 18, 2]]
    devices = [["Tag", "Power (W)"], *([tag, 0.5] for tag in tags)]
    job = job_of({"Devices": devices, "Cable pulls": lengths, "Connection": ends, "Cables": types})
    assert [pull.cable for pull in job.pulls] == cables


def test_a_list_with_ports_and_supplies_holds_controllers_though_a_device_is_called_alike() -> None:
    devices = [["Tag", "Power (W)"], ["C1", 0.5], ["V2", 0.5]]
    pulls = [["From", "To", "Length (m)"], ["C1.1", "C1", 9], ["C1", "V2", 9]]
    panels = [["Panel", "Outputs", "Supply (W)"], ["C1", 2, 35]]
    job = job_of({"Devices": devices, "Pulls": pulls, "Panels": panels})
    assert [device.tag for device in job.devices] == ["C1", "V2"]


def test_a_joint_in_a_tree_without_known_powers_is_no_device() -> None:
    tree = [
        ["L0", "L1", "L2", "Danpam", "Beol (m)"],
        ["CPU-3 port 1", None, None, "Port", None],
        [None, "1-MR-01", None, "Relay module", 6],
        [None, "SPL-1", None, "Junction box", 7],
        [None, None, "1-VR-01", "Shade motor", 6],
        [None, None, "1-VR-02", "Shade motor", 8],
    ]
    job = job_of({"Bus": tree})
    assert [device.tag for device in job.devices] == ["1-MR-01", "1-VR-01", "1-VR-02"]


def test_one_slip_among_slashed_tags_does_not_turn_the_pulls() -> None:
    tags = ("CL/1/01", "VR/1/02", "TH/1/03", "DP/1/04", "DP/1/05", "TH/1/06")
    devices = [["Balbal", "Bellal", "Salol (W)"], *([tag, "Keypad", 0.5] for tag in tags)]
    nears = ("RK1", "CL/1/01", "CL/1/01", "RK1", "DP/1/04", "DP/1/04")
    pulls = [
        ["Silol", "Balol", "Bunsal", "Glon", "Tamol (m)"],
        *(
            [f"P-{n}", near, "Port 1" if near == "RK1" else "BUS OUT", "TH/I/06" if n == 5 else far, 9]
            for n, (near, far) in enumerate(zip(nears, tags, strict=True))
        ),
    ]
    job = job_of({"Devices": devices, "Pulls": pulls})
    assert "TH/I/06" not in {port.controller for port in job.ports.values()}


@pytest.mark.parametrize("heading", ["Nº", "No.", "Nr."])
def test_small_numbers_that_come_again_may_be_quantities(heading: str) -> None:
    devices = [
        ["Tag", "Room", heading, "Power (W)"],
        *([tag, "Hall", n, 0.5] for tag, n in zip(TAGS, (3, 4, 1, 1), strict=True)),
    ]
    pulls = [["From", "To", "Length (m)"], *([near, far, 9] for near, far in ENDS)]
    job = job_of({"Devices": devices, "Pulls": pulls})
    assert "is it a quantity" in next(r.message for r in job.remarks if r.closes)


def test_what_counts_the_rows_is_no_tag_beside_names() -> None:
    rows = [
        [None, "Position", None, None, "Electrical", None, None],
        ["#", "Room", "Device", "Equipment", "Power (W)", "Home run to", "Meters"],
        *([n, "Hall", tag, "Keypad", 0.5, "C11 (port 1)", 9 + n * 7 % 5] for n, tag in enumerate(TAGS, 1)),
    ]
    job = job_of({"Schedule": rows})
    assert [device.tag for device in job.devices] == list(TAGS)


def test_a_kind_that_comes_again_is_no_tag_beside_names() -> None:
    kinds = ("Keypad", "Shade motor", "Sensor", "Shade motor")
    rows = [
        [
            "Centrale",
            "Poort",
            "Kenmerk",
            "Benaming",
            "Ruimte",
            "Vermogen (W)",
            "Gevoed vanaf",
            "Lengte (mtr)",
        ],
        *(
            ["MCP-A", 1, tag, kind, "Hall", 0.5, "MCP-A", 50 + n * 7 % 20]
            for n, (tag, kind) in enumerate(zip(TAGS, kinds, strict=True))
        ),
    ]
    job = job_of({"Busstaat": rows})
    assert [device.tag for device in job.devices] == list(TAGS)


def test_a_mark_where_a_cable_begins_is_no_length() -> None:
    pulls = [
        ["Begin [ft]", "Pull #", "B end", "End mark [ft]", "Feed from"],
        [172, "C1", "KP-101", 0, "C1.1"],
        [880, "C2", "KP-102", 7, "KP-101"],
        [28.5, "C3", "KP-103", 14, "C1.1"],
    ]
    job = job_of({"Devices": KEYPADS[:4], "Pulls": pulls})
    assert [round((pull.length_m or 0) / 0.3048, 1) for pull in job.pulls] == [172, 873, 14.5]


def test_rooms_before_a_quantity_are_no_ports() -> None:
    devices = [
        ["Row", "Tag", "Level", "Local", "Nº", "Power (W)", "Consumo total (W)"],
        *(
            [
                n,
                f"DT-{n}",
                "Level 1",
                ("Hall", "Bar")[n // 5],
                2 if n == 3 else 1,
                0.5,
                1.0 if n == 3 else 0.5,
            ]
            for n in range(1, 10)
        ),
    ]
    pulls = [
        ["Item", "Cable no.", "Controller", "Terminal", "From device", "To device", "Length (m)"],
        *([n, f"W{n}", "CTL1", 1 + n // 6, None, f"DT-{n}", 9 + n % 3] for n in range(1, 10)),
    ]
    job = job_of({"Devices": devices, "Pulls": pulls})
    assert not {"Level 1.Hall", "Level 1.Bar"} & set(job.ports)


def test_a_distance_to_mains_may_be_nothing() -> None:
    pulls = [
        ["From", "To", "Length (ft)", "Distance from mains (in)"],
        ["C1.1", "KP-101", 9, 0],
        ["KP-101", "KP-102", 9, 14],
    ]
    job = job_of({"Devices": KEYPADS[:3], "Pulls": pulls})
    assert [pull.mains_parallel_m for pull in job.pulls] == [0.0, pytest.approx(14 * 0.0254)]


def test_lengths_with_a_slack_in_each_row_are_no_marks_on_a_drum() -> None:
    tags = [f"KP-{number}" for number in range(101, 113)]
    conduit = [8, 8, 4.5, 3.5, 2, 2, 8, 5, 6, 5, 4, 4.5]
    pulls = [
        ["From", "To", "Conduit run length (m)", "Cable run length (m)"],
        *(
            [near, far, length, length + 1]
            for (near, far), length in zip(pairwise(["C1.1", *tags]), conduit, strict=True)
        ),
    ]
    job = job_of({"Devices": [KEYPADS[0], *([tag, "Hall", 0.5] for tag in tags)], "Pulls": pulls})
    assert [pull.length_m for pull in job.pulls] == [length + 1 for length in conduit]


@pytest.mark.parametrize("heading", ["Home run to", "Stichleitung zu", "Pull to"])
def test_numbers_of_items_are_no_places_on_the_port_of_a_home_run(heading: str) -> None:
    rows = [
        ["Pos.", "Raum", "Gerät", "Geräteart", "Watt", heading, "Kabelart", "Länge M"],
        *([n, "Gang", f"1-TA-0{n}", "Taster", 0.7, "PNL-3:P1", "BUS", 20 + n * 7 % 5] for n in range(1, 7)),
    ]
    job = job_of({"Busliste": rows})
    assert {pull.near for pull in job.pulls} == {"PNL-3.1"}


def test_a_finish_in_some_rows_is_no_far_end() -> None:
    rows = [
        ["Ref.", "Device type", "Draw, W", "Upstream", "Est. length (m)", "Finish"],
        *(
            [
                f"RL_010{n}",
                "Relay",
                0.12,
                "LCP-1 port A",
                30 + n * 7 % 5,
                (None, "white", "black", "white")[n - 1],
            ]
            for n in range(1, 5)
        ),
    ]
    job = job_of({"Bus": rows})
    assert [device.tag for device in job.devices] == ["RL_0101", "RL_0102", "RL_0103", "RL_0104"]


def test_one_of_several_pulls_in_each_row_is_not_read_alone() -> None:
    groups = [
        "Bedroom",
        *[None] * 2,
        "Cable 1 - to the panel",
        *[None] * 2,
        "Cable 2 - to the bedside",
        *[None] * 2,
    ]
    rows = [
        [*groups, "Room totals", None],
        ["Floor", "Room", "Type", *("From", "To", "m") * 2, "Cable (m)", "Load (W)"],
        *([1, 100 + n, ("Twin", "Double")[n % 2], *_pulls_of_a_room(n), 17, 1.2] for n in range(1, 9)),
        [1, 109, "Linen store", "no devices"],
    ]
    with pytest.raises(UnusableFileError):
        job_of({"Rooms": rows})


def _pulls_of_a_room(n: int) -> list[Any]:
    before, panel, bedside = f"{99 + n}-E" if n > 1 else "RP-1 Port 1", f"{100 + n}-E", f"{100 + n}-B"
    return [before, panel, 9, panel, bedside, 8]


def test_an_unknown_column_beside_the_roots_alone_holds_their_ports() -> None:
    tags = [f"KP-{number}" for number in range(101, 109)]
    nears = ["R1-U3", tags[0], tags[1], "R1-U3", tags[3], "R1-U4", tags[5], tags[6]]
    ports = [1, "BUS", "BUS", 2, "BUS", 1, "BUS", "BUS"]
    pulls = [
        ["Glothdush", "Tushtror", "Brusk", "Lolnosh (m)"],
        *([near, port, tag, 9 + n * 5 % 7] for n, (near, port, tag) in enumerate(zip(nears, ports, tags, strict=True))),
    ]  # fmt: skip
    job = job_of({"Devices": [KEYPADS[0], *([tag, "Hall", 0.5] for tag in tags)], "Runs": pulls})
    assert sorted(job.ports) == ["R1-U3.1", "R1-U3.2", "R1-U4.1"]


def test_kinds_of_which_most_are_a_word_for_bus_devices_leave_what_hangs_on_them() -> None:
    rows = [
        ["BMK", "Geräteart", "Verbrauch (W)", "Kommt von", "Länge (m)"],
        *([f"TA{n:02}", "Taster 4-fach", 0.2, f"TA{n - 1:02}" if n > 1 else "SC-A.1", 9 + n * 5 % 7] for n in range(1, 6)),
        ["JA01", "Jalousieaktor", 0.4, "TA05", 14],
    ]  # fmt: skip
    assert ("TA05", "JA01") in ends_of(job_of({"Busliste": rows}))


def test_the_power_of_all_devices_of_a_row_is_known_without_headings() -> None:
    devices = [
        [f"{0.12 * n * count:.2f} W", count, f"{stem}-1..{stem}-{count}" if count > 1 else f"{stem}-1", f"{0.12 * n:.2f} W"]
        for n, (stem, count) in enumerate((("RG", 1), ("RE", 2), ("PS", 4), ("TM", 1)), 1)
    ]  # fmt: skip
    fed = ["RG-1", "RE-1", "RE-2", "PS-1", "PS-2", "PS-3", "PS-4", "TM-1"]
    pulls = [[f"{9 + n * 5 % 7} m", *hop] for n, hop in enumerate(pairwise(["C1 port 1", *fed]))]
    job = job_of({"Runs": pulls, "Devices": devices})
    assert sum((device.power_w or 0.0) * device.quantity for device in job.devices) == pytest.approx(2.52)


def test_two_houses_drawn_as_indented_trees_with_one_tag_in_both_are_two_jobs() -> None:
    def house(head: str, tags: list[str]) -> list[list[Any]]:
        return [
            ["Device", "Room", "Run length (ft)", "Draw (W)"],
            [f"{head}.1", None, None, None],
            *(["  " * n + tag, "Hall", 40 + n * 5 % 7, 0.5] for n, tag in enumerate(tags, 1)),
        ]

    sheets = {
        "House A Low voltage": house("BS_1", ["OS-101", "KP-102", "OS-103"]),
        "House B Low voltage": house("BS_5", ["RL-101", "OS-102", "OS-103", "RL-104"]),
    }
    jobs = read_jobs(workbook(sheets), "a.xlsx")
    assert [(job.part, len(job.devices)) for job in jobs] == [("House A", 3), ("House B", 4)]

"""Registers of assets and logs of cable: other classes, work orders, marks flipped, controllers at terminals."""

from collections.abc import Sequence
from typing import Any

from auditor.job.model import Job
from tests.intake.workbooks import ends_of, job_of

Rows = Sequence[Sequence[Any]]


def tags(job: Job) -> list[str]:
    return [device.tag for device in job.devices]


REGISTER: Rows = [
    [
        "Asset no.",
        "Class",
        "Description",
        "Location",
        "Fed from",
        "Outlet",
        "Cable",
        "As-built ft",
        "Load W",
        "Status",
    ],
    ["NL-01", "LIFT", "Passenger lift", "Core", "", "", "", "", "", "IN SERVICE"],
    ["NL-02", "HVAC", "Exhaust fan", "Roof", "Panel LP-3", "", "", "", 370, "IN SERVICE"],
    ["NL-10", "BUS", "Bus controller, 2 ports", "Closet", "", "", "", "", "", "IN SERVICE"],
    ["NL-11", "BUS", "Keypad", "Lobby", "NL-10", "P1", "CBL-16", 40, 0.5, "IN SERVICE"],
    *(
        [f"NL-{n}", "BUS", "Keypad", "Hall", f"NL-{n - 1}", "", "CBL-16", 40 - n // 2, 0.5, "IN SERVICE"]
        for n in range(12, 50)
    ),
]
BUS = [f"NL-{n}" for n in range(11, 50)]


def test_classes_beside_the_bus_are_other_trades() -> None:
    job = job_of({"Register": REGISTER})
    assert tags(job) == BUS
    assert ends_of(job)[:2] == [("NL-10.1", "NL-11"), ("NL-11", "NL-12")]


def test_work_orders_list_no_device_again() -> None:
    orders = [
        ["WO", "Date", "Asset no.", "Hours"],
        *([f"W{n}", "2024-05-03", tag, 1.5] for n, tag in enumerate(("NL-11", "NL-02", "NL-01", "NL-12"))),
    ]
    job = job_of({"Register": REGISTER, "Orders": orders})
    assert tags(job) == BUS
    assert any("nothing that counts" in remark.message for remark in job.remarks)


def test_marks_of_which_either_may_be_greater_are_no_lengths() -> None:
    head = ["Tag", "End 1", "End 2", "Jacket ft, end 1", "Jacket ft, end 2", "Feet"]
    hops = [
        ("C1.1", "K1", 900, 860),
        ("K1", "K2", 820, 858),
        ("K2", "K3", 815, 790),
        ("K3", "K4", 755, 788),
        ("K4", "K5", 750, 700),
    ]
    cables = [[f"L{n}", a, b, one, two, abs(one - two)] for n, (a, b, one, two) in enumerate(hops, 1)]
    devices = [["Tag", "W"], *([f"K{n}", 0.5] for n in range(1, 6))]
    job = job_of({"Cables": [head, *cables], "Devices": devices})
    assert [round(pull.length_m / 0.3048) for pull in job.pulls if pull.length_m] == [40, 38, 25, 33, 50]


def test_a_listed_controller_has_its_ports_at_the_terminals() -> None:
    cables = [
        ["Cable", "Origin", "Origin terminal", "Destination", "Dest. terminal", "Length (m)"],
        ["W1", "CB-01", "S1", "K1", "X1", 7],
        ["W2", "K1", "X2", "K2", "X1", 8],
        ["W3", "CB-01", "S2", "K3", "X1", 9],
    ]
    devices = [
        ["Tag", "Type", "Power (W)"],
        ["CB-01", "Bus controller, 2 outputs", ""],
        *([f"K{n}", "Keypad", 0.4] for n in (1, 2, 3)),
    ]
    job = job_of({"Devices": devices, "Cables": cables})
    assert tags(job) == ["K1", "K2", "K3"]
    assert sorted(job.ports) == ["CB-01.S1", "CB-01.S2"]


def test_names_below_the_list_at_whose_ports_pulls_start_are_controllers() -> None:
    cables = [
        ["Cable", "From", "Terminal", "To", "Terminal", "Length (m)"],
        ["W1", "CTR1", "Bus 1", "K1", "B+/B-", 7],
        ["W2", "K1", "B+/B-", "K2", "B+/B-", 8],
        ["W3", "CTR1", "Bus 2", "K3", "B+/B-", 9],
    ]
    listed = [["Ref", "Location", "Power (W)"], *([f"K{n}", "Hall", 0.4] for n in (1, 2, 3))]
    below = [
        [],
        ["Junction boxes"],
        ["Ref", "Location"],
        ["BD1", "Void"],
        [],
        ["Controllers"],
        ["Ref", "Location", "Bus 1", "Bus 2"],
        ["CTR1", "Store", "used", "used"],
    ]
    job = job_of({"Devices": [*listed, *below], "Cables": cables})
    assert sorted(job.ports) == ["CTR1.1", "CTR1.2"]


def test_an_option_that_is_not_taken_and_a_sum_under_a_word_are_no_devices() -> None:
    head = ["Point", "Room", "Fed from", "Length (m)", "Load (W)", "Plot 117"]
    rows = [
        ["P01", "Hall", "HUB port 1", 7, 0.4, "fitted"],
        ["P02", "Hall", "P01", 6, 0.4, "fitted"],
        ["P03", "Bar", "P02", 8, 0.4, "fitted"],
    ]
    option = [["P04", "Loft", "P03", 9, 0.4, "option not taken"], ["Fitted", "", "", 21, 1.2, ""]]
    job = job_of({"Card": [head, *rows, *option]})
    assert tags(job) == ["P01", "P02", "P03"]
    assert len(job.pulls) == 3


def test_stock_below_a_list_is_no_device() -> None:
    head = ["Tag", "Kind", "From", "Length (m)", "Power (W)"]
    rows = [["K1", "Keypad", "C1.1", 7, 0.4], ["K2", "Keypad", "K1", 6, 0.4], ["K3", "Keypad", "K2", 8, 0.4]]
    job = job_of({"List": [head, *rows, [], ["In store"], ["2 pcs", "Keypad"], ["1 pc", "Sensor"]]})
    assert tags(job) == ["K1", "K2", "K3"]


def test_a_room_with_its_device_is_no_range() -> None:
    pulls = [
        ["From", "To", "Length (m)"],
        ["C1.1", "S207-S1", 10],
        ["S207-S1", "S207-S2", 11],
        ["S207-S2", "N2-K1", 12],
    ]
    devices = [["Tag", "W"], *([tag, 0.5] for tag in ("S207-S1", "S207-S2", "N2-K1"))]
    job = job_of({"Pulls": pulls, "Devices": devices})
    assert tags(job) == ["S207-S1", "S207-S2", "N2-K1"]
    assert len(job.pulls) == 3


def test_boxes_that_feed_rooms_are_no_devices() -> None:
    rooms = [
        ["Room", "Type", "Fed from box", "Box to EP", "EP to TS"],
        *([400 + n, "K", f"JB-4{n // 2}", 5, 3] for n in range(2, 8)),
    ]
    pulls = [
        ["From", "To", "Length (m)"],
        ["C1.1", "JB-41", 10],
        ["JB-41", "JB-42", 11],
        ["JB-42", "JB-43", 12],
    ]
    job = job_of({"Rooms": rooms, "Corridor": pulls})
    assert not any(device.tag.startswith("JB") for device in job.devices)
    assert any(remark.closes for remark in job.remarks)


PULLS: Rows = [
    ["Route", "Starts at", "Ends at", "Length (m)"],
    *([f"R{n}", "VB/1" if n == 1 else f"N{n - 1}", f"N{n}", 20 - n] for n in range(1, 9)),
]


def fittings(*others: Sequence[Any]) -> Rows:
    return [
        ["Fitting", "What it is", "System", "Takes (W)"],
        *([f"N{n}", "scene plate", "Control bus", 0.4] for n in range(1, 9)),
        *others,
    ]


def test_another_system_in_the_list_of_devices_is_left_out() -> None:
    others = [["LS-1", "loudspeaker", "Sound", 20], ["FA-1", "smoke head", "Fire", ""]]
    job = job_of({"Routes": PULLS, "Fittings": fittings(*others)})
    assert tags(job) == [f"N{n}" for n in range(1, 9)]


def test_a_device_of_the_bus_that_no_pull_reaches_is_not_left_out() -> None:
    job = job_of({"Routes": PULLS, "Fittings": fittings(["N9", "scene plate", "Control bus", 0.4])})
    assert "N9" in tags(job)


def test_headings_in_two_languages_are_one() -> None:
    pulls = [
        ["N°", "De", "Vers", "Longueur (m)"],
        ["Nr.", "Van", "Naar", "Lengte (m)"],
        ["K1", "CT1-D1", "BD1", 22.5],
        ["K2", "BD1", "BP01", 14],
        ["K3", "BP01", "BP02", 16],
        ["K4", "BD1", "BP03", 9],
    ]
    devices = [
        ["Repère", "Puissance (W)"],
        ["Kenmerk", "Vermogen (W)"],
        *([f"BP0{n}", 0.35] for n in (1, 2, 3)),
    ]
    boxes = [["Boîtes de dérivation / Aftakdozen"], ["BD1", "faux plafond accueil"]]
    job = job_of({"Tirages": pulls, "Appareils": devices, "Dozen": boxes})
    assert ends_of(job) == [("CT1.D1", "BD1"), ("BD1", "BP01"), ("BP01", "BP02"), ("BD1", "BP03")]
    assert job.splices == {"BD1"}
    assert tags(job) == ["BP01", "BP02", "BP03"]


def test_a_class_without_feed_cable_or_load_is_no_class_of_the_bus() -> None:
    valves = [[f"TM-{n}", "TMV", "Mixing valve", "Bay", "", "", "", "", "", "LIVE"] for n in (1, 2)]
    assert tags(job_of({"Register": [*REGISTER, *valves, ["*** END OF REPORT ***"]]})) == BUS


def test_a_row_at_whose_ports_others_hang_is_the_controller_with_its_mains_feed() -> None:
    head = ["Item", "Type", "Connects to", "Cable", "Route m"]
    rows = [
        ["BC1", "LV-C", "DB-1 way 11", "3x1.5 mains", 6],
        *([f"LV{n}", "LV-K", f"LV{n - 1}", "BUS", 9 - n % 4] for n in range(2, 9)),
    ]
    job = job_of({"Tracker": [head, ["LV1", "LV-K", "BC1 / port 1", "BUS", 8], *rows]})
    assert tags(job) == [f"LV{n}" for n in range(1, 9)]
    assert list(job.ports) == ["BC1.1"]


def test_what_came_back_to_the_stores_is_not_laid() -> None:
    head = ["Issue", "From", "To", "Issued ft", "Returned ft", "Fitted ft"]
    ends_ = [("C1.1", "K1"), ("K1", "K2"), ("K2", "K3"), ("K3", "K4")]
    rows = [[f"I{n}", a, b, 50 + n, n, 50] for n, (a, b) in enumerate(ends_, 1)]
    devices = [["Tag", "Status", "Load (W)"], *([f"K{n}", "IN SERVICE", 0.5] for n in range(1, 5))]
    job = job_of({"Issues": [head, *rows], "Assets": devices})
    assert [round((pull.length_m or 0) / 0.3048) for pull in job.pulls] == [50] * 4


def test_a_state_that_no_pull_reaches_is_left_out_where_all_of_another_are_reached() -> None:
    ends_ = [("C1.1", "K1"), *((f"K{n}", f"K{n + 1}") for n in range(1, 8))]
    pulls = [["From", "To", "Length (m)"], *([a, b, 20 - n] for n, (a, b) in enumerate(ends_))]
    states = [*([f"K{n}", "IN SERVICE", 0.5] for n in range(1, 9)), ["K90", "IN STORES", 0.5]]
    assert tags(job_of({"Pulls": pulls, "Assets": [["Tag", "Status", "Load (W)"], *states]})) == [
        f"K{n}" for n in range(1, 9)
    ]

"""Habits of offices that were read wrong without a question, each as a small workbook: now read, or asked about."""

from collections.abc import Sequence
from typing import Any

import pytest

from auditor.intake import read_jobs
from auditor.job.model import Job
from tests.intake.workbooks import ENDS, KEYPADS, TAGS, workbook

Rows = Sequence[Sequence[Any]]


def _job(sheets: dict[str, Rows]) -> Job:
    (job,) = read_jobs(workbook(sheets), "a.xlsx")
    return job


def _closing(job: Job) -> list[str]:
    return [remark.message for remark in job.remarks if remark.closes]


def test_a_blank_column_parts_no_short_list_below_a_title_block() -> None:
    devices = [
        ["School - Devices"],
        ["Project:", 2228],
        ["Drawn by:", "R.M."],
        ["Date:", "19.11.2024"],
        [],
        ["Apparaat", "Omschrijving", "Etage", None, "Locatie", "St.", "Vermogen [W]"],
        *([tag, "Relaismodule", "V1", None, "Kamer 2", 2, 0.18] for tag in TAGS),
    ]
    pulls = [["Van", "Naar", "Lengte [m]"], *([*ends, 9] for ends in ENDS)]
    job = _job({"Apparaten": devices, "Kabelstaat": pulls})
    assert [(device.quantity, device.power_w) for device in job.devices] == [(2, 0.18)] * 4


def test_a_table_that_stands_beside_a_list_and_has_numbers_is_asked_about() -> None:
    """What stands behind the blank column has rows of its own too, so that it is not joined."""
    devices = [
        ["Apparaat", "Omschrijving", None, "Locatie", "St.", "Vermogen [W]"],
        *([tag, "Relaismodule", None, "Kamer 2", 2, 0.18] for tag in TAGS),
        *([None, None, None, f"Kamer {n}", 1, 0.2] for n in range(3, 7)),
    ]
    pulls = [["Van", "Naar", "Lengte [m]"], *([*ends, 9] for ends in ENDS)]
    job = _job({"Apparaten": devices, "Kabelstaat": pulls})
    (closing,) = _closing(job)
    assert closing.startswith(
        "the table at D2 of 'Apparaten' stands beside 'Apparaat' and is not read: does it say more"
    )


def test_a_panel_named_by_letters_heads_its_ports() -> None:
    pulls = [
        ["Panel BC-A", None, None],
        ["Source", "Destination", "Length, ft"],
        *([near.replace("C1.", "line "), far, 30] for near, far in ENDS),
    ]
    job = _job({"Devices": KEYPADS, "Pull schedule 1": pulls})
    assert sorted(job.ports) == ["BC-A.1", "BC-A.2"]


def test_ports_alone_below_a_panel_of_one_letter_are_asked_about() -> None:
    pulls = [
        ["Panel B", None, None],
        ["Source", "Destination", "Length, ft"],
        *([near.replace("C1.", "line "), far, 30] for near, far in ENDS),
    ]
    job = _job({"Devices": KEYPADS, "Pull schedule 1": pulls})
    (closing,) = _closing(job)
    assert closing.startswith("PORT.1 is named without its controller: does row 1")


def test_marks_of_a_drum_that_runs_down_stand_in_two_columns() -> None:
    pulls = [
        ["CABLE_ID", "MTR_END", "FROM_ID", "CABLE_TYPE", "MARK_START", "UNIT", "DST", "REEL_NO"],
        ["B1-A", 3240, "PNL-11 CH1", "BK", 3259.5, "m", "KP-101", "D1"],
        ["B2-A", 3259.5, "KP-101", "BK", 3277.5, "m", "KP-102", None],
        ["B3-A", 3277.5, "KP-102", "BK", 3281.5, "m", "KP-103", None],
    ]
    job = _job({"Equipment": KEYPADS[:4], "Wire list": pulls})
    assert [pull.length_m for pull in job.pulls] == [19.5, 18, 4]


def test_pulls_of_which_each_is_beyond_every_reach_are_asked_about() -> None:
    pulls = [["From", "To", "Length (m)"], *([*ends, 3240 + 9 * n] for n, ends in enumerate(ENDS))]
    job = _job({"Devices": KEYPADS, "Pulls": pulls})
    assert [pull.length_m for pull in job.pulls] == [None] * 4
    (question,) = job.questions
    assert "which no usual bus has" in question.sentence


def _by_place(heads: Sequence[str], *columns: str) -> Rows:
    """Nine devices by their places on ports 1 and 2 of these controllers, four on each port."""
    places = [(head, port, place) for head in heads for port in (1, 2) for place in (1, 2, 3, 4)]
    rows = [
        {
            "Port": port,
            "Device tag": f"KP-{n}",
            "from previous (m)": 9 + 7 * n % 5,
            "Seq": place,
            "Cabinet": head,
        }
        for n, (head, port, place) in enumerate(places, 101)
    ]
    return [list(columns), *([row[name] for name in columns] for row in rows)]


_PLACED = ("Port", "Device tag", "from previous (m)", "Seq", "Cabinet")
_SIXTEEN = [["Tag", "Room", "Power (W)"], *([f"KP-{n}", "Hall", 0.5] for n in range(101, 117))]


def test_a_listed_controller_stands_right_of_its_port() -> None:
    heads = [
        ["Head end", "Room", "Outputs", "PSU (W)"],
        ["SC-1", "Kitchen", 2, 35],
        ["SC-2", "Dining", 2, 35],
    ]
    job = _job({"Devices": _SIXTEEN, "Cable pulls": _by_place(("SC-1", "SC-2"), *_PLACED), "Head end": heads})
    assert sorted(job.ports) == ["SC-1.1", "SC-1.2", "SC-2.1", "SC-2.2"]


def test_places_on_a_port_that_come_again_in_most_rows_close_the_job() -> None:
    job = _job({"Devices": _SIXTEEN, "Cable pulls": _by_place(("Zone", "Wing"), *_PLACED)})
    (closing,) = _closing(job)
    assert closing.startswith("8 places on ports stand twice on 'Cable pulls'")


def _combined(*heading: str) -> Rows:
    rows = (
        ("A1", "Aanwezigheidsmelder", 180, "C1 poort 1", 5.5),
        ("R2", "Ruimtethermostaat", 360, "C1 poort 1", 15.5),
        ("R3", "Ruimtethermostaat", 360, "R2", 16.5),
        ("B4", "Bedieningstableau", 240, "R3", 8.5),
        ("R5", "Relaismodule", 300, "B4", 12.5),
        ("R6", "Relaismodule", 300, "B4", 18),
    )
    return [list(heading), *map(list, rows)]


@pytest.mark.parametrize("heading", ["Apparaatcode", "Kamer"])
def test_the_column_that_names_what_feeds_others_is_the_tag_or_asked_about(heading: str) -> None:
    job = _job({"Bus": _combined(heading, "Benaming", "Vermogen (mW)", "Gevoed vanaf", "Lengte (m)")})
    tags = [device.tag for device in job.devices]
    assert tags == ["A1", "R2", "R3", "B4", "R5", "R6"] or _closing(job)


def test_tags_on_lines_of_a_cell_below_one_kind() -> None:
    matrix = [["Bouwlaag", "Plaats", "Aanwezigheidsmelder"], ["1e", "Kelder", "1-AM-01\n1-AM-02\n1-AM-03"], ["1e", "Techniek", "1-AM-04"]]  # fmt: skip
    tags = [f"1-AM-0{n}" for n in range(1, 5)]
    pulls = [
        ["Lengte m", "Toestel", "Volgorde", "Aansluiting"],
        *([9, tag, n, "ST1 poort 1"] for n, tag in enumerate(tags, 1)),
    ]
    job = _job({"Ruimtestaat": matrix, "Kabellijst": pulls})
    assert [device.tag for device in job.devices] == tags or _closing(job)


def test_a_date_names_no_device() -> None:
    runs = [
        ["Local", "Appareil", "Libellé", "Courant (mA at 24 V)", "Départ vers", "Câble", "Long. (M)", "Plan", "Date"],
        ["Bureau", 1101, "Thermostat", 25, "HUB-A sortie 1", "BK", 67, "E-203", None],
        ["Couloir", 1102, "Thermostat", 25, "HUB-A sortie 1", "BK", 12, "E-202", "2024-03-04"],
        ["Couloir", 1103, "Thermostat", 25, "HUB-A sortie 1", "BK", 27, "E-203", "2024-03-05"],
    ]  # fmt: skip
    job = _job({"Bus": runs})
    assert [device.tag for device in job.devices] == ["1101", "1102", "1103"] or _closing(job)


def test_a_column_headed_as_the_tag_that_is_not_read_is_asked_about() -> None:
    """The kinds stand once each, as in a short job they may, and in another list too."""
    kinds = ("keypad 2", "dimmer 2", "sensor 1")
    runs = [
        ["Back to", "What", "Device tag", "mA", "Length (m)"],
        *(["C1.1", kind, f"{kind[0]}1", 20, 9] for kind in kinds),
    ]
    bill = [["Item", "Power (W)"], *([kind, 0.5] for kind in kinds)]
    job = _job({"Bill": bill, "Bus": runs})
    assert _closing(job) == [
        "the column 'Device tag' of 'Bus' is headed as the fed end and is not read, 'What' is taken for it: which of them names "
        "the devices?"
    ]

"""Habits of offices: numbered devices, objects with parents, connectors behind ends, ports by their stem, sums by port."""

from typing import Any

import pytest

from auditor.job.model import Job
from tests.intake.workbooks import ends_of, job_of

Rows = list[list[Any]]


def asks(job: Job) -> bool:
    return any(remark.level == "review" for remark in job.remarks)


# ---------------------------------------------------------------------------------- numbers as tags


def numbered(word: str) -> Rows:
    rows: Rows = [["No.", "Where", "Fed from", "Length (m)", "Power (W)"]]
    rows += [
        [1, "Hall", "LC1 port 1", 10, 0.5],
        [2, "Bar", f"{word}1", 20, 0.5],
        [3, "Gym", f"{word}2", 30, 0.5],
    ]
    return [*rows, [4, "Attic", f"{word}2", 40, 0.5], [5, "Loft", f"{word}4", 50, 0.5]]


@pytest.mark.parametrize("word", ["", "no ", "Nr. ", "n° ", "#"])
def test_a_word_before_the_number_of_a_device_is_left_out(word: str) -> None:
    job = job_of({"Bus": numbered(word)})
    assert ends_of(job) == [("LC1.1", "1"), ("1", "2"), ("2", "3"), ("2", "4"), ("4", "5")]
    assert not asks(job)


@pytest.mark.parametrize(
    "heading", ["Off of", "Kommend von", "Repris sur", "Proviene da", "Afgetakt van", "Procede de"]
)
def test_words_of_the_trade_for_what_feeds(heading: str) -> None:
    rows: Rows = [["Tag", "Room", heading, "Length (m)", "Power (W)"]]
    rows += [
        ["KP-1", "Hall", "LC1.1", 10, 0.5],
        ["KP-2", "Bar", "KP-1", 20, 0.5],
        ["KP-3", "Gym", "KP-2", 30, 0.5],
    ]
    assert ends_of(job_of({"Bus": rows})) == [("LC1.1", "KP-1"), ("KP-1", "KP-2"), ("KP-2", "KP-3")]


@pytest.mark.parametrize("word", ["préc.", "vorige", "vorheriges", "von vorher", "precedente", "anterior"])
def test_words_for_the_row_above(word: str) -> None:
    rows: Rows = [["Tag", "Room", "Fed from", "Length (m)", "Power (W)"]]
    rows += [
        ["KP-1", "Hall", "LC1.1", 10, 0.5],
        ["KP-2", "Bar", word, 20, 0.5],
        ["KP-3", "Gym", word, 30, 0.5],
    ]
    assert ends_of(job_of({"Bus": rows})) == [("LC1.1", "KP-1"), ("KP-1", "KP-2"), ("KP-2", "KP-3")]


def test_a_row_that_names_no_feed_and_no_length_is_left_out() -> None:
    rows: Rows = [["Tag", "Type", "Fed from", "Length (m)", "Power (W)"]]
    rows += [["KP-1", "Keypad", "LC1.1", 10, 0.5], ["KP-2", "Keypad", "KP-1", 20, 0.5]]
    rows += [["KP-3", "Keypad", "KP-2", 30, 0.5], ["GP-9", "Graphic", "not on the bus", None, None]]
    job = job_of({"Bus": rows})
    assert [device.tag for device in job.devices] == ["KP-1", "KP-2", "KP-3"]
    assert job.rows_left_out == 1


# ------------------------------------------------------------------------------ objects with parents


def test_objects_with_numbers_are_read_by_their_names() -> None:
    head = ["OBJ_ID", "OBJ_CLASS", "OBJ_NAME", "PARENT_ID", "LEN_M", "LOAD_MW", "STATE"]
    rows: Rows = [
        head,
        [500, "CONTROLLER", "LC-7", None, None, None, "A"],
        [501, "PORT", "LC-7.P1", 500, None, None, "A"],
        [511, "KEYPAD", "KP-A", 501, 10, 500, "A"],
        [512, "DIMMER", "DM-B", 511, 20, 600, "A"],
        [513, "SENSOR", "SN-C", 511, 30, 250, "A"],
        [514, "SENSOR", "SN-D", 513, 30, 250, "D"],
    ]
    key: Rows = [["STATE", "A = active, D = deleted (kept for the log)"]]
    job = job_of({"Export": rows, "Key": key})
    assert ends_of(job) == [("LC-7.1", "KP-A"), ("KP-A", "DM-B"), ("KP-A", "SN-C")]
    assert [device.power_w for device in job.devices] == [0.5, 0.6, 0.25]
    assert not asks(job)


# --------------------------------------------------------------------------- connectors behind ends


LISTED: Rows = [["Item", "Power (W)"], ["+R1-B1", 0.5], ["+R1-B2", 0.5], ["+R2-B3", 0.5]]


def wires(mark: str) -> Rows:
    ends = [("+S1-A1", "X1", "+R1-B1"), ("+R1-B1", "A", "+R1-B2"), ("+R1-B2", "A", "+R2-B3")]
    rows: Rows = [
        [f"{near}{mark}{at}", f"{far}{mark}E", 10.0 * n] for n, (near, at, far) in enumerate(ends, 1)
    ]
    return [["Source", "Target", "Length (m)"], *rows]


@pytest.mark.parametrize("mark", [":", " / ", "/"])
def test_a_connector_behind_a_listed_device_is_no_part_of_its_name(mark: str) -> None:
    job = job_of({"Items": LISTED, "Wires": wires(mark)})
    assert ends_of(job) == [("+S1-A1.X1", "+R1-B1"), ("+R1-B1", "+R1-B2"), ("+R1-B2", "+R2-B3")]
    assert any("without the connectors" in remark.message for remark in job.remarks)


def test_a_tag_with_a_slash_that_is_listed_so_stays_whole() -> None:
    devices: Rows = [["Item", "Power (W)"], ["K/A", 0.5], ["K/B", 0.5], ["L/A", 0.5]]
    pulls: Rows = [["From", "To", "Length (m)"], ["C1/1", "K/A", 10], ["K/A", "K/B", 20], ["K/B", "L/A", 30]]
    assert ends_of(job_of({"Items": devices, "Wires": pulls})) == [
        ("C1.1", "K/A"),
        ("K/A", "K/B"),
        ("K/B", "L/A"),
    ]


# --------------------------------------------------------------------------------- ports by a stem


def chains(*starts: str) -> dict[str, Rows]:
    tags = [f"KP-{number}" for number in range(1, len(starts) + 1)]
    pulls: Rows = [["From", "To", "Length (m)"], *([a, b, 10] for a, b in zip(starts, tags, strict=True))]
    return {"Devices": [["Tag", "Power (W)"], *([tag, 0.5] for tag in tags)], "Pulls": pulls}


@pytest.mark.parametrize(
    ("starts", "ports"),
    [
        (("QB1.L1", "QB1.L2"), ["QB1.L1", "QB1.L2"]),
        (("CF1-S1", "CF1-S2", "CF2-S1"), ["CF1.S1", "CF1.S2", "CF2.S1"]),
        (("HUB/1", "HUB/2"), ["HUB.1", "HUB.2"]),
        (("21.001 X1", "21.001 X2"), ["21.001.X1", "21.001.X2"]),
        (("Central boca 1", "Central boca 2"), ["Central.1", "Central.2"]),
    ],
)
def test_sources_with_one_stem_are_ports_of_one_controller(starts: tuple[str, ...], ports: list[str]) -> None:
    assert list(job_of(chains(*starts)).ports) == ports


def test_a_terminal_that_no_device_has_is_the_port_of_a_source() -> None:
    rows: Rows = [["From device", "From terminal", "To device", "To terminal", "Length (m)"]]
    rows += [
        ["ZB1", "S1", "KP-1", "X1", 10],
        ["KP-1", "X1", "KP-2", "X1", 20],
        ["ZB1", "S2", "KP-3", "X1", 30],
    ]
    devices: Rows = [["Tag", "Power (W)"], *([f"KP-{number}", 0.5] for number in (1, 2, 3))]
    assert list(job_of({"Devices": devices, "Pulls": rows}).ports) == ["ZB1.S1", "ZB1.S2"]


# ------------------------------------------------------------------------------------ sums and boxes


def test_a_table_that_sums_up_each_port_is_no_list_of_pulls() -> None:
    sums: Rows = [["Line", "Devices", "Cable (m)"], ["C1.1", 1, 10], ["C1.2", 1, 10], ["C2.1", 1, 10]]
    job = job_of({**chains("C1.1", "C1.2", "C2.1"), "Summary": sums})
    assert len(job.pulls) == 3
    assert not asks(job)


def test_a_dash_for_the_watts_of_a_box_is_nothing() -> None:
    rows: Rows = [["Tag", "What", "Fed from", "Length (m)", "Watts"]]
    rows += [
        ["SD1", "Junction box", "LC1.1", 5, "-"],
        ["KP-1", "Keypad", "SD1", 10, 0.5],
        ["KP-2", "Keypad", "SD1", 20, 0.5],
    ]
    job = job_of({"Bus": rows})
    assert [device.tag for device in job.devices] == ["KP-1", "KP-2"]
    assert "SD1" in job.splices


def test_run_over_lengths_with_their_unit_is_the_length() -> None:
    sheets = chains("C1.1", "C1.2", "C2.1")
    pulls: Rows = [
        ["Cable no.", "From", "To", "Run"],
        *([f"W{i}", a, b, "40'"] for i, (a, b, _) in enumerate(sheets["Pulls"][1:])),
    ]
    job = job_of({**sheets, "Pulls": pulls})
    assert [pull.length_m for pull in job.pulls] == pytest.approx([12.192] * 3)


def test_what_is_ordered_with_an_allowance_is_not_what_is_laid() -> None:
    sheets = chains("C1.1", "C1.2", "C2.1")
    pulls: Rows = [
        ["From", "To", "Laid ft", "Order ft (+10%)"],
        *([a, b, 40, 44] for a, b, _ in sheets["Pulls"][1:]),
    ]
    job = job_of({**sheets, "Pulls": pulls})
    assert [pull.length_m for pull in job.pulls] == pytest.approx([12.192] * 3)
    assert not asks(job)


# ------------------------------------------------------------------------------------------- cables


@pytest.mark.parametrize(
    ("sentence", "name"),
    [
        ("Kabel durchweg SB-16: 2 x 1,5 mm², Litze feindrähtig, ungeschirmt, 88 pF/m, 600 V.", "SB-16"),
        ("Todo el cable es manguera M2: 2 hilos de 1,5 mm², multifilar, sin pantalla, 80 pF/m, 600 V.", "M2"),
        ("Cavo: CB2, 2 conduttori x 1,5 mm², flessibile, non schermato, 85 pF/m, 600 V.", "CB2"),
    ],
)
def test_sentences_that_describe_the_cable(sentence: str, name: str) -> None:
    job = job_of({**chains("C1.1", "C1.2"), "Notes": [[sentence]]})
    (cable,) = job.cables.values()
    assert (cable.name, cable.area_mm2, cable.conductors, cable.stranded, cable.shielded) == (
        name,
        1.5,
        2,
        True,
        False,
    )
    assert cable.insulation_v == 600


def test_an_unlisted_end_at_a_connector_that_devices_have_is_no_port() -> None:
    rows = wires(":")
    rows[3][0] = "+R1-BO2:A"  # a slip in +R1-B2
    job = job_of({"Items": LISTED, "Wires": rows})
    assert list(job.ports) == ["+S1-A1.X1"]
    assert ("+R1-BO2", "+R2-B3") in ends_of(job)


def test_the_number_of_a_box_is_not_that_of_a_device() -> None:
    ends = {end for pull in ends_of(job_of({"Bus": numbered("JB ")})) for end in pull}
    assert "JB 1" in ends


def test_each_drum_runs_its_own_way() -> None:
    head = ["Pull", "From", "To", "Mark at From", "Mark at To"]
    rows: Rows = [["Length of a pull = difference of its two marks, ft."], [], ["DRUM 1"], head]
    rows += [
        [1, "C1.1", "KP-1", 10, 60],
        [2, "KP-1", "KP-2", 60, 120],
        [],
        ["DRUM 2, wound the other way"],
        head,
    ]
    rows += [[3, "C1.2", "KP-3", 900, 850], [4, "KP-3", "KP-4", 850, 770]]
    devices: Rows = [["Tag", "Power (W)"], *([f"KP-{number}", 0.5] for number in (1, 2, 3, 4))]
    job = job_of({"Devices": devices, "Pulls": rows})
    assert [pull.length_m for pull in job.pulls] == pytest.approx([15.24, 18.288, 15.24, 24.384])
    assert not asks(job)


def test_what_voids_a_device_may_stand_before_a_dash() -> None:
    devices: Rows = [["Tag", "What", "Power (W)"], *([f"KP-{n}", "Keypad", 0.5] for n in (1, 2))]
    devices += [["KP-3", "DELETED - number not reused", None]]
    sheets = {**chains("C1.1", "C1.2"), "Devices": devices}
    assert [device.tag for device in job_of(sheets).devices] == ["KP-1", "KP-2"]

"""Lists whose headings say nothing, or that have none: what stands in the cells tells ends, lengths and powers."""

import pytest

from tests.intake.workbooks import ends_of, job_of

HOME_RUNS = [
    ["Hall", "KP-1", "Keypad", "0.3 W", "CPU-1/P1", "L2", "21 m"],
    ["Hall", "KP-2", "Keypad", "0.3 W", "CPU-1/P1", "L2", "9.5 m"],
    ["Bar", "TH-1", "Thermostat", "0.6 W", "CPU-1/P2", "L2", "33 m"],
    ["Gym", "TH-2", "Thermostat", "0.6 W", "CPU-1/P2", "L2", "12 m"],
]
CABLES = [["Cable", "AWG", "Conductors", "Stranding", "Shield"], ["L2", 16, 2, "stranded", "unshielded"]]
FED = [("CPU-1.1", "KP-1"), ("CPU-1.1", "KP-2"), ("CPU-1.2", "TH-1"), ("CPU-1.2", "TH-2")]


@pytest.mark.parametrize("headings", [[], [["Glorn", "Bazol", "Frem", "Lunol", "Tand", "Zorel", "Moxu"]]])
def test_each_row_is_a_home_run(headings: list[list[object]]) -> None:
    job = job_of({"Bus": [*headings, *HOME_RUNS], "Cables": CABLES})
    assert ends_of(job) == FED
    assert [device.tag for device in job.devices] == ["KP-1", "KP-2", "TH-1", "TH-2"]


def test_heights_beside_ports_are_no_lengths() -> None:
    devices = [[row[1], row[2], row[3], f"port {row[4][-1]}", f"{110 + 5 * i} cm"] for i, row in enumerate(HOME_RUNS)]  # fmt: skip
    pulls = [["From", "To", "Length (m)"], *([row[4], row[1], 20 + i] for i, row in enumerate(HOME_RUNS))]
    job = job_of({"Devices": devices, "Pulls": pulls})
    assert [pull.length_m for pull in job.pulls] == [20.0, 21.0, 22.0, 23.0]


def test_powers_in_the_rows_of_the_pulls_are_those_of_the_far_ends() -> None:
    rows = [
        ["W1", "CPU-1.1", "KP-1", "Keypad", "Hall", 21, "m", "0.3 W"],
        ["W2", "KP-1", "KP-2", "Keypad", "Hall", 9.5, "m", "0.3 W"],
        ["W3", "KP-2", "TH-1", "Thermostat", "Bar", 33, "m", "0.6 W"],
        ["W4", "TH-1", "TH-2", "Thermostat", "Gym", 12, "m", "0.6 W"],
    ]
    job = job_of({"Wire list": rows})
    assert {device.tag: device.power_w for device in job.devices} == {
        "KP-1": 0.3,
        "KP-2": 0.3,
        "TH-1": 0.6,
        "TH-2": 0.6,
    }


def test_ports_beside_listed_devices_are_their_near_ends() -> None:
    devices = [["Tag", "Power (W)"], ["KP-1", 0.3], ["KP-2", 0.3], ["TH-1", 0.6], ["TH-2", 0.6]]
    rows = [
        ["Controller: CPU-1"],
        [],
        ["W1", "Port 1", "KP-1", "21 m"],
        ["W2", "Port 1", "KP-2", "9.5 m"],
        ["W3", "Port 2", "TH-1", "33 m"],
        ["W4", "Port 2", "TH-2", "12 m"],
    ]
    assert ends_of(job_of({"Devices": devices, "Wires": rows})) == FED


def test_one_word_beside_other_trades_is_this_bus() -> None:
    """A column without a heading holds one word of this bus, whatever it is, and the other trades'."""
    devices = [
        ["KP-1", "Keypad", "0.3 W", "Zanko"],
        ["KP-2", "Keypad", "0.3 W", "Zanko"],
        ["TH-1", "Thermostat", "0.6 W", "Zanko"],
        ["LS-1", "Box", "", "Audio"],
    ]
    wires = [
        ["W1", "CPU-1.A", "KP-1", "21 m", "Zanko"],
        ["W2", "KP-1", "KP-2", "9 m", "Zanko"],
        ["W3", "KP-2", "TH-1", "33 m", "Zanko"],
        ["W4", "AMP-1", "LS-1", "12 m", "Audio"],
    ]
    job = job_of({"Devices": devices, "Wires": wires})
    assert [device.tag for device in job.devices] == ["KP-1", "KP-2", "TH-1"]
    assert ends_of(job) == [("CPU-1.A", "KP-1"), ("KP-1", "KP-2"), ("KP-2", "TH-1")]


def test_numbers_of_pulls_count_and_tags_do_not() -> None:
    rows = [
        ["W001", "C1:1", "K1", "Keypad", "L2", "21 m", "0.3 W"],
        ["W002", "C1:1", "K2", "Keypad", "L2", "9 m", "0.3 W"],
        ["W003", "C1:1", "T3", "Thermostat", "L2", "33 m", "0.6 W"],
        ["W004", "C1:2", "K4", "Keypad", "L2", "12 m", "0.3 W"],
    ]
    job = job_of({"Wires": rows})
    assert ends_of(job) == [("C1.1", "K1"), ("C1.1", "K2"), ("C1.1", "T3"), ("C1.2", "K4")]
    assert [device.tag for device in job.devices] == ["K1", "K2", "T3", "K4"]


def test_a_cable_between_the_controller_and_its_port() -> None:
    """The places on each port come once each, which tells the controllers from the cables."""
    places = [("CPU-1", 1, 3), ("CPU-1", 2, 3), ("CPU-2", 1, 3)]
    rows = [(at, port, place) for at, port, most in places for place in range(1, most + 1)]
    pulls = [
        [at, f"D{n:03}", "TP-1", port, 10 + n * 7 % 11, "feet", place]
        for n, (at, port, place) in enumerate(rows, 1)
    ]
    devices = [["Tag", "Power (W)"], *([row[1], 0.5] for row in pulls)]
    cables = [["Cable type", "AWG", "No. of conductors", "Stranding"], ["TP-1", 16, 2, "stranded"]]
    job = job_of({"Devices": devices, "Pulls": pulls, "Cable types": cables})
    assert sorted(job.ports) == ["CPU-1.1", "CPU-1.2", "CPU-2.1"]
    assert {pull.cable for pull in job.pulls} == {"TP-1"}
    assert len(job.pulls) == 9

"""Stars of pulls without headings: the numbers of pulls and the cable are no ends, a second sheet repeats them."""

from tests.intake.workbooks import ends_of, job_of

DEVICES = [["KP-101", "Keypad", "0.3 W"], ["TH-102", "Thermostat", "0.6 W"], ["KP-103", "Keypad", "0.3 W"], ["RL-104", "Relay", "0.2 W"]]  # fmt: skip
PULLS = [
    ["C0401", "C1/P1", "KP-101", "BUS-16", "37 ft"],
    ["C0402", "C1/P1", "TH-102", "BUS-16", "83 ft"],
    ["C0403", "C1/P2", "KP-103", "BUS-16", "115.5 ft"],
    ["C0404", "C1/P2", "RL-104", "BUS-16", "47 ft"],
]


def test_a_copy_makes_no_ends_of_the_numbers_of_pulls() -> None:
    job = job_of({"Devices": DEVICES, "Copy of pulls": PULLS, "Pulls": PULLS})
    assert ends_of(job) == [("C1.1", "KP-101"), ("C1.1", "TH-102"), ("C1.2", "KP-103"), ("C1.2", "RL-104")]


def test_a_kind_of_a_matrix_that_no_pull_ends_at_is_not_fed() -> None:
    rooms = [
        ["Floor", "Room", "Shade motor", "Sensor", "Keypad"],
        ["1", "Hall", "SH_0101", "OS_0102", "KP_0103"],
    ]
    pulls = [["From", "To", "Length (m)"], ["NODE-1 P1", "SH_0101", 4.5], ["SH_0101", "OS_0102", 11]]
    job = job_of({"Rooms": rooms, "Pulls": pulls})
    assert [device.tag for device in job.devices] == ["SH_0101", "OS_0102", "KP_0103"]


def test_a_cable_is_no_port_beside_the_ends_that_feed() -> None:
    devices = [["Glorn", "Bazol", "Palrix (mA @ 24 V)"], *(["Keypad", f"D00{i}", 7.5] for i in range(1, 7))]
    rows = [[i, f"D00{i}", f"D00{i - 1}" if i > 1 else "P1", 30 + 7 * i % 11, "BUS-16"] for i in range(1, 7)]
    pulls = [["Panel: Panel 1"], [], ["Fedask", "Glond", "Binkend", "Dend (ft)", "Luol"], *rows]
    job = job_of({"Devices": devices, "Pulls": pulls})
    assert ends_of(job)[:2] == [("Panel 1.1", "D001"), ("D001", "D002")]

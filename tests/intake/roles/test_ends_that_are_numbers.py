"""Devices that are named by numbers alone: in ranges, in a matrix, below the Italian word «a»."""

from tests.intake.workbooks import ends_of, job_of

FED = [("CPU-1.1", "1101"), ("1101", "1102"), ("1102", "1103"), ("1103", "1104")]
DEVICES = [["Sigla", "Consumo (W)"], [1101, 0.3], [1102, 0.3], [1103, 0.6], [1104, 0.6]]


def test_a_heading_of_one_letter_is_a_word_over_whole_numbers() -> None:
    pulls = [["Da", "A", "Lunghezza (m)"], ["CPU-1 porta 1", 1101, 9], [1101, 1102, 8], [1102, 1103, 7], [1103, 1104, 6]]  # fmt: skip
    assert ends_of(job_of({"Elenco": DEVICES, "Cavi": pulls})) == FED


def test_a_matrix_may_hold_numbers() -> None:
    rooms = [["Floor", "Room", "Keypad", "Thermostat"], ["1", "Hall", "1101, 1102", ""], ["1", "Bar", "", "1103\n1104"]]  # fmt: skip
    legend = [["Type", "Equipment", "Draw (W)"], ["A", "Keypad", 0.3], ["F", "Thermostat", 0.6]]
    pulls = [["From", "To", "Length (m)"], *([near, far, 9] for near, far in FED)]
    job = job_of({"Rooms": rooms, "Pulls": pulls, "Types": legend})
    assert {device.tag: device.power_w for device in job.devices} == {
        "1101": 0.3,
        "1102": 0.3,
        "1103": 0.6,
        "1104": 0.6,
    }

"""Chains of devices that are named by numbers alone, their lengths in one cell too."""

from tests.intake.workbooks import job_of


def test_a_heading_says_that_numbers_are_a_chain() -> None:
    devices = [["Tag", "Power (W)"], ["1101", 0.3], ["1102", 0.3], ["1103", 0.6]]
    chains = [["Port", "Chain", "Lengths (m)"], ["CPU-1 port A", "1101 / 1102 / 1103", "8.5 + 11.5 + 13"]]
    job = job_of({"Devices": devices, "Chains": chains})
    assert [(pull.near, pull.far, pull.length_m) for pull in job.pulls] == [
        ("CPU-1.A", "1101", 8.5),
        ("1101", "1102", 11.5),
        ("1102", "1103", 13.0),
    ]

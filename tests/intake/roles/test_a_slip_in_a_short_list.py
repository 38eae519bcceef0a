"""A pull list whose ends a short list of devices has but for one slip, a cable of another trade between."""

from auditor.job.model import TableKind
from tests.intake.workbooks import ends_of, job_of

DEVICES = [["Tag", "Description", "Power (W)"], ["RT-101", "Thermostat", 0.3], ["BD-102", "Keypad", 1.2], ["DI-103", "Dimmer", 0.4]]  # fmt: skip
PULLS = [
    ["Kabeltype", "Totaal (m)", "Bron", "Doel", "Kabelcode"],
    ["3x1.5 mains", 6, "DB-1 cct 7", "CPU-1 L/N", "B34"],
    ["L2", 11.5, "CPU-1 poort 1", "RT-101", "B1"],
    ["L2", 34.5, "CPU-1 poort 1", "BD-102", "B2"],
    ["L2", 15.5, "CPU-1 poort 1", "DI-1033", "B3"],
]
PANELS = [["Controller", "Location", "Ports"], ["CPU-1", "Cellar", 2]]


def test_the_list_holds_the_devices_and_the_schedule_its_pulls() -> None:
    job = job_of({"Schedule": PULLS, "Devices": DEVICES, "Panels": PANELS})
    assert [device.tag for device in job.devices] == ["RT-101", "BD-102", "DI-103"]
    assert ends_of(job) == [("CPU-1.1", "RT-101"), ("CPU-1.1", "BD-102"), ("CPU-1.1", "DI-1033")]
    assert TableKind.COMBINED not in {table.kind for table in job.tables}

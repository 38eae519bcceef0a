"""What the voltages rest on is said; several sources on one run are solved; a need above the supply."""

from dataclasses import replace

import pytest

from auditor.job.model import CellRef, Controller, Job, Load
from auditor.results.findings import Finding, Level
from tests.builders import SPEC, device, found, job, profile, pull, reaudit

NOTE = Level.NOTE
SHEET = replace(
    SPEC, area_mm2=None, gauge=None, ohm_per_km=50.0, cells={"ohm_per_km": CellRef("Cables", 2, 5)}
)


def metres(near: str, far: str, length_m: float) -> object:
    return replace(pull(near, far), length_m=length_m)


def notes(a_job: Job, **limits: object) -> list[Finding]:
    return [finding for finding in found("voltage", a_job, profile(**limits)) if finding.level is NOTE]


def test_a_cable_that_goes_by_its_own_data_sheet_says_so_at_its_cell() -> None:
    (note,) = notes(job([pull("C1.1", "K1"), pull("C1.2", "K2")], cable=SHEET))
    assert (note.subject, note.where) == ("CAB", CellRef("Cables", 2, 5))
    assert note.message == (
        "For the voltages: cable CAB by its own data sheet, 50 ohm/km of one conductor at 20 °C, taken to "
        "30 °C"
    )


def test_a_data_sheet_far_from_copper_of_its_size_is_remarked() -> None:
    said = [note.message for note in notes(job([pull("C1.1", "K1")], cable=replace(SPEC, ohm_per_km=26.4)))]
    assert said[0] == (
        "For the voltages: cable CAB: the data sheet's 26.4 ohm/km is far from the 13.2 ohm/km of copper "
        "of 1.31 mm²; check its unit, and whether it is for one conductor and of copper"
    )


def test_that_power_flows_only_part_of_the_time_is_said_as_an_assumption() -> None:
    (note,) = notes(job([pull("C1.1", "K1")]), power_duty=0.8)
    assert note.message == (
        "For the voltages: the profile assumes that power flows 80 % of the time, so the current while it "
        "flows is as much greater; ask the maker of the bus"
    )


def two_supplies(volts: float) -> Job:
    """Theraja, A Textbook of Electrical Technology vol. III, example 40.6: 200 V at both ends, 0.1 ohm per
    1000 m of loop; 50, 100 and 150 A with gaps of 500, 700, 300 and 250 m."""
    rows = [("C1.1", "K1", 500), ("K1", "K2", 700), ("K2", "K3", 300), ("K3", "C2.1", 250)]
    amps = {"K1": 50, "K2": 100, "K3": 150}
    return job(
        [metres(*row) for row in rows],  # type: ignore[misc]
        [
            device(tag, 200.0 * amperes, at_voltage_v=200.0, load=Load.CONSTANT_CURRENT)
            for tag, amperes in amps.items()
        ],
        cable=replace(SHEET, ohm_per_km=0.05),
        controllers=[
            Controller(name="C1", supply_voltage_v=200.0),
            Controller(name="C2", supply_voltage_v=volts),
        ],
    )


def test_joined_ports_are_reported_and_still_solved() -> None:
    """Printed: 88.6 A and 211.4 A; 195.6, 192.9 and 194.7 V."""
    result = reaudit(two_supplies(200.0), profile(conductor_temperature="20 degC"))
    assert "joined-ports" in {finding.rule for finding in result.findings if finding.level is Level.FAIL}
    printed = {"K1": 195.6, "K2": 192.9, "K3": 194.7}
    assert {item.tag: item.voltage_v for item in result.devices} == pytest.approx(printed, abs=0.05)
    (said,) = [f.message for f in result.findings if "sources" in f.message]
    assert said == (
        "The run is fed from 2 sources and was solved as it stands: C1.1 (200 V) gives 88.57 A, C2.1 (200 "
        "V) gives 211.43 A"
    )


def test_a_supply_that_takes_current_back_is_said() -> None:
    """160 V at one end: what is lost on 1,750 m is 40 V, 0.175 ohm carry 228.6 A across."""
    (said,) = [
        note.message
        for note in notes(two_supplies(160.0), conductor_temperature="20 degC")
        if "sources" in note.message
    ]
    assert said.endswith("C1.1 (200 V) gives 317.14 A, C2.1 (160 V) takes back 17.14 A")


def test_a_loop_has_its_voltages() -> None:
    """Mehta, Principles of Power System, example 13.22: 240 V, 0.03 ohm per 100 m and wire; 120 A at B, 80 A
    at C. Printed: B 232.2 V, C 233.2 V."""
    rows = [metres("C1.1", "B", 150), metres("B", "C", 50), metres("C", "C1.1", 100)]
    loads = [
        device(tag, 240.0 * amperes, at_voltage_v=240.0, load=Load.CONSTANT_CURRENT)
        for tag, amperes in (("B", 120), ("C", 80))
    ]
    sheet = Controller(name="C1", supply_voltage_v=240.0)
    a_job = job(rows, loads, cable=replace(SHEET, ohm_per_km=0.3), controllers=[sheet])  # type: ignore[arg-type]
    result = reaudit(a_job, profile(conductor_temperature="20 degC"))
    assert "loop" in {finding.rule for finding in result.findings if finding.level is Level.FAIL}
    printed = {"B": 232.2, "C": 233.2}
    assert {item.tag: item.voltage_v for item in result.devices} == pytest.approx(printed, abs=0.05)


@pytest.mark.parametrize(
    ("idle", "expected_w"),
    [((None, None), None), ((0.25, None), 2 * 0.25 + 3.0), ((0.25, 0.5), 2 * 0.25 + 0.5)],
)
def test_the_power_at_rest_is_reported_beside_the_active_one(
    idle: tuple[float | None, float | None], expected_w: float | None
) -> None:
    devices = [device("K1", 1.0, quantity=2, idle_w=idle[0]), device("K2", 3.0, idle_w=idle[1])]
    (run,) = reaudit(job([pull("C1.1", "K1"), pull("K1", "K2")], devices), profile()).runs
    assert (run.power_w, run.idle_power_w) == (5.0, expected_w)


@pytest.mark.parametrize(
    ("load", "limits", "basis"),
    [
        (None, {}, "30 °C, constant power"),
        (Load.CONSTANT_POWER, {}, "30 °C, constant power"),
        (Load.RESISTIVE, {"conductor_temperature": "20 degC"}, "20 °C, constant power, or as listed"),
        (None, {"power_duty": 0.8}, "30 °C, constant power, while power flows"),
    ],
)
def test_what_the_volts_column_says_it_rests_on(
    load: Load | None, limits: dict[str, object], basis: str
) -> None:
    a_job = job([pull("C1.1", "K1")], [device("K1", 1.0, load=load)])
    assert reaudit(a_job, profile(**limits)).voltage_basis == basis

"""A run's voltages from its rows: printed examples, hand calculation, brute force for what still holds."""

import math
from dataclasses import replace
from typing import Any

import pytest

from auditor.bus.measure import RunState
from auditor.calc.volts.flow import FlowStatus
from auditor.job.model import Cable, Controller, Load
from auditor.results.findings import Level
from tests.builders import SPEC, device, found, job, measured, profile, pull
from tests.bus.nets import by_data_sheet, light, metres, only


def volts(state: RunState) -> dict[str, float]:
    return dict(state.electrical.flow.voltages_v)


def current(tag: str, amperes: float, at_v: float) -> Any:
    return device(tag, amperes * at_v, at_voltage_v=at_v, load=Load.CONSTANT_CURRENT)


# --- printed examples, through a job's rows -----------------------------------------------------------


def test_sixteen_gauge_stranded_over_100_ft_at_4_a() -> None:
    """NEC chapter 9 table 8, 16 AWG stranded: 4.99 ohm/kFT at 75 degC. Printed (a lesson on voltage drop,
    Electrician2): 4.0 V."""
    a_job = job([pull("C1.1", "K1", 100)], [current("K1", 4, 24)])
    state = only(a_job, conductor_temperature="75 degC")
    assert 24 - volts(state)["K1"] == pytest.approx(4.0, abs=0.05)
    assert 24 - volts(state)["K1"] == pytest.approx(2 * 4.99 * 0.1 * 4, rel=1e-9)


def test_four_loads_on_one_distributor() -> None:
    """V. K. Mehta, Principles of Power System, example 13.1: 300 V, 0.01 ohm per 1000 m and conductor."""
    loads = [
        ("K1", 100, 500),
        ("K2", 150, 500),
        ("K3", 200, 600),
        ("K4", 50, 400),
    ]  # A, m from the one before
    ends = ["C1.1", *(tag for tag, _, _ in loads)]
    a_job = job(
        [metres(near, tag, length) for near, (tag, _, length) in zip(ends, loads, strict=False)],
        [current(tag, amperes, 300) for tag, amperes, _ in loads],
        cable=by_data_sheet(0.01),
        controllers=[Controller(name="C1", supply_voltage_v=300.0)],
    )
    state = only(a_job, conductor_temperature="20 degC")
    printed = {"K1": 295.0, "K2": 291.0, "K3": 288.0, "K4": 287.6}
    assert {tag: volts(state)[tag] for tag in printed} == pytest.approx(printed, abs=0.05)


# IEEE 802.3 limits of powered devices (secondary sources; loop resistances from memory):
# supply V, loop ohm, device W -> device V, A, supply W
POWERED_DEVICES = [(44, 20, 12.95, 37.0, 0.350, 15.4), (50, 12.5, 25.5, 42.5, 0.600, 30.0)]


@pytest.mark.parametrize(("supply_v", "ohm", "watts", "device_v", "amperes", "supply_w"), POWERED_DEVICES)
def test_constant_power_at_the_end_of_a_loop(
    supply_v: float, ohm: float, watts: float, device_v: float, amperes: float, supply_w: float
) -> None:
    a_job = job(
        [metres("C1.1", "K1", 100)],
        [device("K1", watts)],
        cable=by_data_sheet(ohm / 0.2),
        controllers=[Controller(name="C1", supply_voltage_v=supply_v)],
    )
    state = only(a_job, conductor_temperature="20 degC")
    assert volts(state)["K1"] == pytest.approx(device_v, abs=0.05)
    assert state.electrical.current_a == pytest.approx(amperes, abs=0.0005)
    assert state.electrical.loss_w is not None
    assert state.electrical.loss_w + watts == pytest.approx(supply_w, abs=0.05)


# --- by hand ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("load", "expected_v"),
    [
        (Load.CONSTANT_CURRENT, 24 - 10 * 0.5),  # 12 W at 24 V: 0.5 A
        (Load.RESISTIVE, 24 * 48 / 58),  # 48 ohm behind 10
        (Load.CONSTANT_POWER, (24 + math.sqrt(24**2 - 4 * 10 * 12)) / 2),
        (None, (24 + math.sqrt(24**2 - 4 * 10 * 12)) / 2),  # the profile's: constant power
    ],
)
def test_each_kind_of_load(load: Load | None, expected_v: float) -> None:
    a_job = job([metres("C1.1", "K1", 100)], [device("K1", 12.0, load=load)], **light())
    assert volts(only(a_job, conductor_temperature="20 degC"))["K1"] == pytest.approx(expected_v)


def test_a_quantity_multiplies_the_load_and_no_load_has_the_voltage_of_its_feed() -> None:
    a_job = job(
        [metres("C1.1", "K1", 40), metres("K1", "K2", 60)],
        [device("K1", 0.5, quantity=4, load=Load.CONSTANT_CURRENT, at_voltage_v=2.0), device("K2", None)],
        **light(),
    )
    state = only(a_job, conductor_temperature="20 degC")
    assert volts(state) == pytest.approx({"C1.1": 24, "K1": 20, "K2": 20})  # 4 x 0.25 A x 4 ohm


def test_a_stub_of_unknown_length_joins_its_ends() -> None:
    state = only(job([pull("C1.1", "K1", None)], [device("K1", 10.0)]))
    assert volts(state)["K1"] == pytest.approx(24, abs=1e-6)


def test_a_hot_conductor_has_more_resistance_by_its_coefficient() -> None:
    """IEC 60028: 0.00393 per K."""
    a_job = job([metres("C1.1", "K1", 100)], [current("K1", 0.5, 24)], **light())
    drop = 24 - volts(only(a_job, conductor_temperature="20 degC"))["K1"]
    hot = 24 - volts(only(a_job, conductor_temperature="70 degC"))["K1"]
    assert hot / drop == pytest.approx(1 + 0.00393 * 50)


def test_the_controller_sheets_voltage_stands_above_the_profiles() -> None:
    rows = [pull("C1.1", "K1"), pull("C2.1", "K2"), pull("PANEL", "K3")]
    sheet = [
        Controller(name="C1", supply_voltage_v=36.0),
        Controller(name="C3", supply_voltage_v=30.0, head_end="PANEL"),
    ]
    seen = measured(job(rows, controllers=sheet, head_ends=["PANEL"]))
    assert {state.run.name: state.supply_voltage_v for state in seen.runs} == {
        "C1.1": 36.0,
        "C2.1": 24.0,
        "branch PANEL-K3 of PANEL": 30.0,
    }


def test_in_the_power_phase_the_whole_energy_flows() -> None:
    """Half the time with power: twice the current, and the average loss is half of four times."""
    a_job = job([metres("C1.1", "K1", 100)], [current("K1", 0.5, 24)], **light())
    steady = only(a_job, conductor_temperature="20 degC")
    halved = only(a_job, conductor_temperature="20 degC", power_duty=0.5)
    assert 24 - volts(halved)["K1"] == pytest.approx(2 * (24 - volts(steady)["K1"]))
    assert halved.electrical.loss_w == pytest.approx(2 * (steady.electrical.loss_w or 0))


def test_devices_with_a_supply_of_their_own_load_nothing() -> None:
    a_job = job([metres("C1.1", "K1", 100)], [device("K1", 12.0)], **light())
    assert volts(only(a_job, device__powered_by_bus=False))["K1"] == pytest.approx(24)


# --- what a device needs ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("own_v", "overrides", "least_v"),
    [
        (None, {}, None),
        (20.0, {}, 20.0),
        (None, {"device__min_voltage": "18 V"}, 18.0),
        (16.0, {"device__min_voltage": "18 V"}, 16.0),  # the device knows better
        (None, {"device__max_drop": "2 V"}, 22.0),
        (23.0, {"device__max_drop": "2 V"}, 23.0),
    ],
)
def test_the_lowest_voltage_that_a_device_is_held_to(
    own_v: float | None, overrides: dict[str, object], least_v: float | None
) -> None:
    state = only(job([pull("C1.1", "K1")], [device("K1", min_voltage_v=own_v)]), **overrides)
    assert state.electrical.least_v == ({} if least_v is None else {"K1": least_v})


# --- what the cable could deliver ---------------------------------------------------------------------


def test_the_most_that_a_cable_delivers_is_the_collapse_point() -> None:
    """One load: P = V^2 / (4 R) = 24^2 / 40."""
    a_job = job([metres("C1.1", "K1", 100)], [device("K1", 20.0)], **light())
    electrical = only(a_job, conductor_temperature="20 degC").electrical
    assert electrical.flow.status is FlowStatus.NO_SOLUTION
    assert electrical.max_power_w == pytest.approx(14.4, rel=1e-6)
    assert (electrical.current_a, electrical.loss_w) == (None, None)


def test_the_most_is_an_average_like_the_devices_power() -> None:
    a_job = job([metres("C1.1", "K1", 100)], [device("K1", 20.0)], **light())
    electrical = only(a_job, conductor_temperature="20 degC", power_duty=0.5).electrical
    assert electrical.max_power_w == pytest.approx(7.2, rel=1e-6)


def test_devices_of_constant_current_stay_as_they_are_in_the_most() -> None:
    """0.3 A at 24 V take 3 V of 10 ohm; from the 21 V left the others could draw 21^2 / 40 W."""
    rows = [device("K1", 7.2, load=Load.CONSTANT_CURRENT), device("K1", 8.0)]
    state = only(job([metres("C1.1", "K1", 100)], rows, **light()), conductor_temperature="20 degC")
    assert state.electrical.max_power_w == pytest.approx(7.2 + 21**2 / 40, rel=1e-6)


def test_a_device_of_constant_power_that_is_small_beside_the_others_does_not_look_near_collapse() -> None:
    rows = [device("K1", 14.4, load=Load.CONSTANT_CURRENT), device("K1", 0.01)]  # 6 V of drop
    a_job = job([metres("C1.1", "K1", 100)], rows, **light())
    findings = found("voltage", a_job, profile(conductor_temperature="20 degC", device__review_below=0))
    assert [finding.level for finding in findings] == [Level.NOTE]  # the data sheet is named


# --- growth margin ------------------------------------------------------------------------------------


def test_the_factor_at_which_the_voltage_fails_is_the_exact_root() -> None:
    """10 ohm, 5 W, 20 V needed: at 20 V 0.25 A flow, 4 V drop in 16 ohm."""
    a_job = job([metres("C1.1", "K1", 100)], [device("K1", 5.0, min_voltage_v=20.0)], **light())
    electrical = only(a_job, conductor_temperature="20 degC").electrical
    assert electrical.growth_margin(None) == pytest.approx(1.6, rel=2e-4)
    assert electrical.growth_margin(1.7) == pytest.approx(1.6, rel=2e-4)
    assert electrical.growth_margin(1.5) is None  # another limit comes first
    assert electrical.keeps_voltage(1.599)
    assert not electrical.keeps_voltage(1.601)


def test_without_a_lowest_voltage_the_run_fails_where_it_collapses() -> None:
    a_job = job([metres("C1.1", "K1", 100)], [device("K1", 5.0)], **light())
    electrical = only(a_job, conductor_temperature="20 degC").electrical
    assert electrical.growth_margin(None) == pytest.approx(24**2 / (4 * 5) / 10, rel=2e-4)


def test_without_loads_no_voltage_fails() -> None:
    assert only(job([pull("C1.1", "K1")], [device("K1", None)])).electrical.growth_margin(None) is None


# --- what is assumed ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cable", "ohm_per_kft"),
    [
        (SPEC, 4.99),  # NEC chapter 9 table 8, 16 AWG stranded
        (replace(SPEC, stranded=False), 4.89),  # solid
        (Cable(name="CAB"), 4.99),  # not stated: the profile's thinnest; the rule voltage says so
    ],
)
def test_the_resistance_is_the_tables(cable: Cable, ohm_per_kft: float) -> None:
    cable = replace(cable, coated=False)
    state = only(job([pull("C1.1", "K1", 1000)], cable=cable), conductor_temperature="75 degC")
    assert [ohm for *_, ohm in state.electrical.net.links] == pytest.approx([2 * ohm_per_kft])
    assert state.electrical.assumed == ()


def test_what_was_assumed_of_a_conductor_is_said() -> None:
    state = only(job([pull("C1.1", "K1")], cable=replace(SPEC, stranded=None, coated=False)))
    assert state.electrical.assumed == (
        "cable CAB: stranding not given: taken as stranded, the higher resistance",
    )


def test_a_gauge_that_nobody_makes_counts_as_not_stated() -> None:
    thick = replace(SPEC, area_mm2=1e6, gauge=None, coated=False)
    state = only(job([pull("C1.1", "K1", 1000)], cable=thick), conductor_temperature="75 degC")
    assert [ohm for *_, ohm in state.electrical.net.links] == pytest.approx([2 * 4.99])

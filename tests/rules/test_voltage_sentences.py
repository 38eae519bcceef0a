"""Whole sentences about voltages and the boundaries of each. A constant current I over 10 ohm leaves 24 V - 10 I."""

import itertools
from dataclasses import replace
from typing import Any

import pytest

from auditor.job.model import CellRef, Controller, Job, Load
from auditor.results.findings import Finding, Level
from tests.builders import SPEC, device, found, job, profile, pull
from tests.rules.test_voltage import COLD, FIX, TEN_OHM, about_device, low

FAIL, REVIEW, NOTE = Level.FAIL, Level.REVIEW, Level.NOTE
AT_23_456_V = Controller(name="C1", supply_voltage_v=23.456)


def drawing(amperes: float | None, tag: str = "K1", **more: Any) -> Any:
    watts = None if amperes is None else 24 * amperes
    return device(tag, watts, at_voltage_v=24.0, load=Load.CONSTANT_CURRENT, **more)


def behind_10_ohm(*devices: Any, supply: Controller | None = None) -> Job:
    """K1 behind 10 ohm, K2 and so on each behind 1 ohm more."""
    ends = ["C1.1", *(each.tag for each in devices)]
    rows = [
        replace(pull(near, far), length_m=100.0 if near == "C1.1" else 10.0)
        for near, far in itertools.pairwise(ends)
    ]
    return job(rows, devices, cable=TEN_OHM, controllers=[supply] if supply else [])


def beside_notes(a_job: Job, **limits: object) -> list[Finding]:
    limits = {"conductor_temperature": "20 degC", "run__reach": None} | limits
    return [each for each in found("voltage", a_job, profile(**limits)) if each.level is not NOTE]


# --- what a device needs ------------------------------------------------------------------------------

NEEDS: list[tuple[str, float, float, tuple[Level, str] | None]] = [
    ("nine tenths of the 4 V that it may lose are lost", 0.36, 20, None),
    ("a little more is lost", 0.3601, 20, (REVIEW, "20.4 V {once}, only 0.4 V above the 20 V it needs")),
    ("3 mV are left", 0.3997, 20, (REVIEW, "20 V {once}, just the 20 V it needs")),
    ("2 mV are missing", 0.4002, 20, (FAIL, "20 V {once}, just below the 20 V it needs")),
    ("56 mV are missing", 0.26, 21.456, (FAIL, "21.4 V {once}, 0.06 V below the 21.46 V it needs")),
]


@pytest.mark.parametrize(("what", "amperes", "least_v", "said"), NEEDS, ids=[row[0] for row in NEEDS])
def test_what_a_device_gets_against_what_it_needs(
    what: str, amperes: float, least_v: float, said: tuple[Level, str] | None
) -> None:
    findings = beside_notes(behind_10_ohm(drawing(amperes, min_voltage_v=least_v)))
    expected = []
    if said:
        words = f"{said[1].format(once='when all devices draw at once')}; {FIX}"
        expected = [about_device(said[0], 24 - 10 * amperes, least_v, words)]
    assert findings == expected


def test_a_need_above_the_supplys_voltage_is_for_the_data_sheet_and_no_cable() -> None:
    a_job = behind_10_ohm(drawing(0.1, min_voltage_v=25.678), supply=AT_23_456_V)
    (finding,) = beside_notes(a_job)
    assert (finding.level, finding.measured, finding.limit) == (FAIL, pytest.approx(22.456), 25.678)
    assert finding.message == (
        "K1 needs 25.68 V and its supply has 23.46 V; no cable mends that, check the device's data sheet or the supply"
    )


# --- devices of which no lowest voltage is stated -----------------------------------------------------


def test_exactly_the_profiles_part_of_the_supplys_voltage_is_enough() -> None:
    """20.4 V are 85 % of 24 V."""
    assert low(behind_10_ohm(drawing(0.36))) == []
    assert len(low(behind_10_ohm(drawing(0.3601)))) == 1


def test_of_one_device_that_gets_little_the_volts_and_the_supplys_are_said() -> None:
    (review,) = low(behind_10_ohm(drawing(0.5), supply=AT_23_456_V))
    assert review.message == (
        "K1 gets 18.46 V when all devices draw at once, 78.7 % of the 23.46 V of its supply; its lowest voltage is not "
        "stated, ask the maker whether it works below 85 %"
    )


def test_of_two_devices_that_get_little_the_one_with_less_is_named() -> None:
    """0.5 A over 10 ohm leave 19 V to K1, 0.3 A over 1 ohm more leave 18.7 V to K2."""
    (review,) = low(behind_10_ohm(drawing(0.2), drawing(0.3, "K2")))
    assert (review.measured, review.limit) == (pytest.approx(18.7), pytest.approx(20.4))
    assert (review.subject, review.where) == ("C1.1", CellRef("Devices", 3, 1))
    assert review.message == (
        "K2 gets 18.7 V when all devices draw at once, 77.9 % of the 24 V of its supply, and 1 more gets little of it; "
        "their lowest voltage is not stated, ask the maker whether they work below 85 %"
    )


# --- start-up -----------------------------------------------------------------------------------------


def test_of_two_devices_that_start_up_too_low_the_one_with_less_is_named() -> None:
    """0.9 A over 10 ohm leave 15 V to K1, 0.4 A over 1 ohm more leave 14.6 V to K2."""
    needs = {"min_voltage_v": 16.456}
    near, far = drawing(0.01, start_w=12.0, **needs), drawing(0.01, "K2", start_w=9.6, **needs)
    (review,) = beside_notes(behind_10_ohm(near, far))
    assert (review.measured, review.limit, review.unit) == (pytest.approx(21.6), None, "W")
    assert review.message == (
        "When all devices on C1.1 start together, K2 would get 14.6 V in a steady state, below the 16.46 V it needs; a "
        "capacitor that charges is no steady load, so ask the maker whether they start all the same"
    )


# --- several sources ----------------------------------------------------------------------------------


def test_sources_that_give_nothing_take_nothing_back() -> None:
    rows = [pull("C1.1", "K1"), pull("K1", "C1.2")]
    (note,) = [
        each for each in found("voltage", job(rows, [device("K1", 0.0)]), COLD) if "sources" in each.message
    ]
    assert note.message.endswith("C1.1 (24 V) gives 0 mA, C1.2 (24 V) gives 0 mA")


# --- capacitors in the data phase ---------------------------------------------------------------------


def sagging(power_w: float | None, least_v: float | None, capacitance: str) -> list[tuple[str, float | None]]:
    """Of a device at the port, for 10 ms: C (V1^2 - V2^2) / 2 = P t."""
    a_job = job([pull("C1.1", "K1", None)], [device("K1", power_w, min_voltage_v=least_v)])
    hold_up = {"capacitance": capacitance, "data_phase": "10 ms"}
    return [(each.message, each.limit) for each in beside_notes(a_job, hold_up=hold_up, review_above=1)]


SAGS = [
    # 576 V^2 - 2 x 0.5 W x 10 ms / 470.16 uF is 23.553 V squared; 10 mJ / (24^2 - 23.712^2) V^2 are 727.75 uF
    (0.5, 23.712, "470.16 uF", "sags to 23.55 V", "470.2", ", to keep 23.71 V it takes 727.7 µF"),
    # 576 - 200 is 19.391 squared; 0.2 J / (24^2 - 23.99^2) V^2 are 0.41675349 F
    (10.0, 23.99, "1000 uF", "sags to 19.39 V", "1,000", ", to keep 23.99 V it takes 416,753.5 µF"),
    # no capacitor keeps more than the 24 V that it is charged to
    (10.0, 24.5, "1000 uF", "sags to 19.39 V", "1,000", ""),
]


@pytest.mark.parametrize(("power_w", "least_v", "capacitance", "sags", "assumed", "takes"), SAGS)
def test_what_a_capacitor_would_have_to_be(
    power_w: float, least_v: float, capacitance: str, sags: str, assumed: str, takes: str
) -> None:
    message = (
        f"K1 {sags} in the data phase with the profile's assumed {assumed} µF{takes}; ask its maker for the hold-up "
        "capacitance"
    )
    assert sagging(power_w, least_v, capacitance)[-1] == (message, least_v)


@pytest.mark.parametrize("power_w", [None, 0.0])
def test_a_device_that_draws_nothing_does_not_sag(power_w: float | None) -> None:
    assert sagging(power_w, 23.99, "1 uF") == []


# --- cable of unknown gauge ---------------------------------------------------------------------------


def test_a_gauge_that_is_not_stated_is_a_review_of_all_its_runs_where_one_device_states_its_need() -> None:
    """C1.1 has other cable too, and no device on it states a need."""
    rows = [pull("C1.1", "K1", cable="OTHER"), pull("K1", "K2"), pull("C1.2", "K3")]
    devices = [device("K1"), device("K2"), device("K3", min_voltage_v=20.0)]
    a_job = job(rows, devices, cable=replace(SPEC, gauge=None, area_mm2=None))
    a_job = replace(a_job, cables={**a_job.cables, "OTHER": replace(SPEC, name="OTHER")})
    assert found("voltage", a_job) == [
        Finding(
            rule="voltage",
            level=REVIEW,
            subject="CAB",
            message="The gauge of cable CAB is not stated; the voltages of C1.1, C1.2 were computed with 16 AWG. State it "
            "in the cable sheet",
            where=CellRef("Pulls", 2, 1),
        )
    ]

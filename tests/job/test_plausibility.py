"""Numbers that no bus has, through the whole audit: a finding with the cell, never a silent number, never a
stack trace."""

import math
from dataclasses import replace
from typing import Any

import pytest

from auditor.audit import audit
from auditor.errors import ProfileError
from auditor.job.model import CellRef, Controller, Job, Load
from auditor.profile.load import load_profile
from auditor.results.audit_result import Audit
from auditor.results.findings import Finding, Level
from auditor.results.record import record
from tests.builders import SPEC, device, job, profile, pull, reaudit

CELL = CellRef("Any sheet", 7, 4)
HUGE, NAN, INF = 1e308, math.nan, math.inf


def with_device(**values: Any) -> Job:
    (field,) = values
    changed = replace(device("K1", 1.0), cells={field: CELL}, **values)
    return job([pull("C1.1", "K1", 100), pull("K1", "K2", 50)], [changed, device("K2", 1.0)])


def with_pull(**values: Any) -> Job:
    (field,) = values
    row = replace(pull("C1.1", "K1", 100), cells={field: CELL}, **values)
    return job([row, pull("K1", "K2", 50)])


def with_cable(**values: Any) -> Job:
    (field,) = values
    return job([pull("C1.1", "K1", 100)], cable=replace(SPEC, cells={field: CELL}, **values))


def with_controller(**values: Any) -> Job:
    (field,) = values
    sheet = Controller(name="C1", cells={field: CELL}, where=CELL, **values)
    return job([pull("C1.1", "K1", 100)], controllers=[sheet])


CASES = [
    (with_pull, "length_m", [0.0, -0.0, -30.0, HUGE, -HUGE, NAN, INF, -INF, 1e6], "length of pull C1.1-K1"),
    (with_pull, "mains_parallel_m", [-1.0, NAN, HUGE], "distance from mains of pull C1.1-K1"),
    (with_pull, "mains_crossing_deg", [-1.0, NAN, 181.0], "crossing angle of pull C1.1-K1"),
    (with_device, "power_w", [-1.0, HUGE, -HUGE, NAN, INF, -INF, 1e6], "power of K1"),
    (with_device, "idle_w", [-1.0, HUGE, NAN], "idle power of K1"),
    (with_device, "start_w", [-1.0, HUGE, NAN], "start-up power of K1"),
    (with_device, "at_voltage_v", [0.0, -24.0, HUGE, NAN], "voltage of K1"),
    (with_device, "min_voltage_v", [-1.0, HUGE, NAN], "lowest voltage of K1"),
    (with_device, "quantity", [0, -3, 10**7, 10**400], "quantity of K1"),
    (with_cable, "ohm_per_km", [0.0, -5.0, HUGE, NAN, INF], "resistance of CAB"),
    (with_cable, "area_mm2", [0.0, -1.5, 1e-9, 1000.0, HUGE, NAN, INF], "gauge of CAB"),
    (with_cable, "capacitance_nf_per_m", [0.0, -0.1, HUGE, NAN], "capacitance of CAB"),
    (with_cable, "insulation_v", [-600.0, HUGE, NAN], "insulation voltage of CAB"),
    (with_controller, "supply_voltage_v", [0.0, -24.0, HUGE, NAN, INF], "supply voltage of C1"),
    (with_controller, "supply_power_w", [0.0, -35.0, HUGE, NAN, INF], "supply power of C1"),
]
EACH = [
    pytest.param(build, field, value, what, id=f"{field} {str(value)[:12]}")
    for build, field, values, what in CASES
    for value in values
]


def numbers(item: object) -> list[float]:
    if isinstance(item, dict):
        return [number for value in item.values() for number in numbers(value)]
    if isinstance(item, list | tuple):
        return [number for value in item for number in numbers(value)]
    return [item] if isinstance(item, float) else []


def at_the_cell(result: Audit) -> list[Finding]:
    return [f for f in result.findings if f.rule == "unreadable-value" and f.where == CELL]


@pytest.mark.parametrize(("build", "field", "value", "what"), EACH)
def test_a_number_that_cannot_be_is_a_finding_at_its_cell(
    build: Any, field: str, value: float, what: str
) -> None:
    result = audit(build(**{field: value}), profile())
    (finding,) = at_the_cell(result)
    assert finding.level is Level.REVIEW
    assert finding.message.startswith(f"The {what} reads '")
    assert finding.message.endswith("correct the cell")
    assert result.verdict.value in ("review", "fail")
    assert result.crashed == ()
    assert all(math.isfinite(number) for number in numbers(record(result)))


@pytest.mark.parametrize("gauge", ["99 AWG", "37 AWG", "16.5 AWG", "5/0 AWG", "-2 AWG"])
def test_a_gauge_that_nobody_makes(gauge: str) -> None:
    cable = replace(SPEC, area_mm2=None, gauge=gauge, cells={"gauge": CELL})
    result = audit(job([pull("C1.1", "K1", 100)], cable=cable), profile())
    (finding,) = at_the_cell(result)
    assert finding.message == (
        f"The gauge of CAB reads '{gauge}': no wire size; the sizes are whole numbers from 4/0 to 36 AWG; "
        "correct the cell"
    )
    said = [f.message for f in result.findings if f.rule == "voltage"]
    assert said == [
        "The gauge of cable CAB is not stated; the voltages of C1.1 were computed with 16 AWG. State it in "
        "the cable sheet"
    ]


def test_rows_without_any_cell_of_their_own_still_get_a_place() -> None:
    cable = replace(SPEC, area_mm2=NAN, where=None)
    result = audit(job([pull("C1.1", "K1", 100)], cable=cable), profile())
    assert [f.where for f in result.findings if f.rule == "unreadable-value"] == [CellRef("Pulls", 2, 1)]


def test_what_is_barely_possible_is_left_alone() -> None:
    rows = [pull("C1.1", "K1", 0.01)]
    a_job = job(
        rows,
        [device("K1", 0.0, min_voltage_v=0.0)],
        controllers=[Controller(name="C1", supply_power_w=0.001)],
    )
    assert not [f for f in audit(a_job, profile()).findings if f.rule == "unreadable-value"]


@pytest.mark.parametrize("load", list(Load))
@pytest.mark.parametrize("watts", [99_999.0, 1e-300])
def test_loads_at_the_edge_of_what_can_be_never_raise(load: Load, watts: float) -> None:
    a_job = job([pull("C1.1", "K1", 900)], [device("K1", watts, load=load, quantity=1_000_000)])
    result = reaudit(a_job, profile())
    assert result.crashed == ()
    assert all(math.isfinite(number) for number in numbers(record(result)))
    assert ("voltage" in {f.rule for f in result.findings if f.level is Level.FAIL}) == (
        watts > 1 and load is not Load.RESISTIVE
    )


def test_a_device_that_needs_more_than_the_supply_has_at_no_load() -> None:
    a_job = job([pull("C1.1", "K1", 100)], [device("K1", 0.0, min_voltage_v=30.0)])
    found = [f for f in audit(a_job, profile()).findings if f.rule == "voltage"]
    assert [(f.level, f.measured, f.limit, f.where) for f in found] == [
        (Level.FAIL, 24.0, 30.0, CellRef("Devices", 2, 1))
    ]
    assert "no cable mends that" in found[0].message


@pytest.mark.parametrize("text", ["-40.1 degC", "105.1 degC", "1e9 degC", "nan degC", "30 degF", "30"])
def test_a_temperature_outside_what_cable_works_in_is_refused_by_its_field(text: str) -> None:
    with pytest.raises(ProfileError, match="conductor_temperature"):
        load_profile("two-wire-35w", {"conductor_temperature": text})


@pytest.mark.parametrize("text", ["-40 degC", "105 degC"])
def test_the_ends_of_the_range_are_taken(text: str) -> None:
    result = audit(job([pull("C1.1", "K1", 100)]), profile(conductor_temperature=text))
    assert result.runs[0].min_voltage_v is not None


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("controller.supply_voltage", "0 V"),
        ("hold_up", {"capacitance": "0 uF", "data_phase": "8 ms"}),
        ("power_duty", 0),
        ("power_duty", 1.01),
        ("cable.min_conductor", "0 mm2"),
        ("cable.min_conductor", "0.01 mm2"),
        ("cable.min_conductor", "900 mm2"),
    ],
)
def test_a_profile_with_an_impossible_figure_is_refused_by_its_field(field: str, value: object) -> None:
    with pytest.raises(ProfileError, match=field.split(".", maxsplit=1)[0]):
        load_profile("two-wire-35w", {field: value})

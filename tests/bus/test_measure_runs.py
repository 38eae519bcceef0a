"""What is measured of one run: its gaps in words, its limits by conductor, the first of its limits to break."""

from dataclasses import replace

import pytest

from auditor.bus.measure import RunState
from auditor.job.model import Cable, CellRef, Job
from auditor.units import m_from_ft
from tests.builders import SPEC, device, job, measured, profile, pull
from tests.bus.nets import only


@pytest.mark.parametrize(
    ("lengths_ft", "powers_w", "gaps"),
    [
        ([10, 10], [1.0, 1.0], ()),
        ([10, None], [1.0, None], ("1 pull without a length", "1 device row without a power")),
        ([None, None], [None, None], ("2 pulls without a length", "2 device rows without a power")),
    ],
)
def test_what_is_not_known_of_a_run(
    lengths_ft: list[float | None], powers_w: list[float | None], gaps: tuple[str, ...]
) -> None:
    rows = [pull("C1.1", f"K{n}", length_ft) for n, length_ft in enumerate(lengths_ft)]
    devices = [device(f"K{n}", power_w) for n, power_w in enumerate(powers_w)]
    assert only(job(rows, devices)).gaps() == gaps


def test_a_run_stands_at_its_first_home_run() -> None:
    rows = [pull("K1", "K2"), pull("C1.1", "K1"), pull("C1.1", "K3")]
    assert only(job(rows)).where == CellRef("Pulls", 3, 1)


def test_the_port_counts_for_the_distance_between_devices() -> None:
    state = only(job([pull("C1.1", "K1", 500)]), run__between_devices="700 ft")
    assert state.between_devices == (pytest.approx(m_from_ft(500)), "K1", "C1.1")


BY_CONDUCTOR = profile(
    cable__limits_by_conductor=[
        {"min_conductor": "0.5 mm2", "cable": "100 m"},
        {"min_conductor": "1.025 mm2", "cable": "300 m"},
        {"min_conductor": "4 mm2", "cable": "900 m"},
    ]
)


@pytest.mark.parametrize(
    ("area_mm2", "cable_m"),
    [
        (1.0, 300),  # 2.5 % thinner is still sold as such
        (0.99, 100),
        (3.9, 300),
        (4.0, 900),
        (0.1, 100),  # thinner than any: the least
    ],
)
def test_limits_go_by_the_thickest_row_that_the_conductor_keeps(area_mm2: float, cable_m: float) -> None:
    cable = replace(SPEC, gauge=None, area_mm2=area_mm2)
    (state,) = measured(job([pull("C1.1", "K1")], cable=cable), BY_CONDUCTOR).runs
    assert (state.full.cable_m, state.full.reach_m) == (cable_m, m_from_ft(1000))


# --- the first limit to break -------------------------------------------------------------------------


def margin(state: RunState) -> tuple[float | None, str | None]:
    return state.growth_margin, state.first_limit


def test_a_run_without_devices_has_no_reach() -> None:
    found = only(job([pull("C1.1", "S1", 1)], splices=["S1"]))
    assert margin(found) == (pytest.approx(2000), "run-length")


def capacitance_unknown() -> Job:
    return job([pull("C1.1", "K1", 100)], cable=replace(SPEC, capacitance_nf_per_m=None))


def test_a_capacitance_that_is_not_known_sets_no_margin() -> None:
    """The reach is half of 1,000 ft, since a property of the cable is not stated."""
    found = only(capacitance_unknown(), run__capacitance="3 nF")
    assert margin(found) == (pytest.approx(5.0), "reach")


def test_of_two_limits_that_break_together_the_length_of_the_run_is_told() -> None:
    found = only(job([pull("C1.1", "K1", 100)]), run__cable="1000 ft")
    assert margin(found) == (pytest.approx(10.0), "run-length")


def test_each_cable_type_that_a_pull_names_or_leaves_out_is_there_once() -> None:
    rows = [pull("C1.1", "K1"), pull("K1", "K2", cable="W"), pull("K2", "K3", cable=None)]
    cables = measured(replace(job(rows), cables={"CAB": SPEC, "OLD": Cable(name="OLD")})).cables
    assert {name: state.name for name, state in cables.items()} == {
        name: name for name in ("CAB", "OLD", "W", "cable not stated")
    }

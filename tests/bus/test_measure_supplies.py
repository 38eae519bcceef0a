"""What is measured of supplies: voltages, what ports give, and the margin of runs that share one."""

from dataclasses import replace

import pytest

from auditor.bus.measure import Bus
from auditor.job.model import CellRef, Controller, Job
from tests.builders import device, job, measured, profile, pull
from tests.bus.nets import light, metres, only

SHEET = [Controller(name="C1", supply_voltage_v=24.0), Controller(name="C2", supply_voltage_v=36.0)]


def measured_at_20_degc(a_job: Job, **overrides: object) -> Bus:
    return measured(a_job, profile(conductor_temperature="20 degC", **overrides))


# --- two supplies on one run --------------------------------------------------------------------------


def test_a_run_between_two_supplies_has_the_higher_voltage() -> None:
    a_job = job([metres("C1.1", "K1", 100), metres("K1", "C2.1", 100)], controllers=SHEET, **light())
    assert only(a_job).supply_voltage_v == 36.0


def test_each_controller_counts_what_its_own_ports_give() -> None:
    """24 V and 36 V over 10 ohm each to a device without power: 0.6 A flow from the higher to the lower."""
    rows = [metres("C1.1", "K1", 100), metres("K1", "C2.1", 100)]
    seen = measured_at_20_degc(job(rows, [device("K1", 0.0)], controllers=SHEET, **light()))
    assert [controller.current_a for controller in seen.controllers] == pytest.approx([-0.6, 0.6])
    assert [controller.supplied_w for controller in seen.controllers] == pytest.approx([-14.4, 21.6])


# --- what a controller gives --------------------------------------------------------------------------


def test_a_run_that_cannot_be_delivered_gives_no_current() -> None:
    rows = [metres("C1.1", "K1", 100), metres("C1.2", "K2", 100)]
    (controller,) = measured_at_20_degc(
        job(rows, [device("K1", 20.0), device("K2", 20.0)], **light())
    ).controllers
    assert (controller.current_a, controller.supplied_w) == (0.0, 40.0)


def test_the_headroom_is_taken_off_the_current_too() -> None:
    limits = {"controller__supply_current": "2 A", "controller__supply_headroom": 0.2}
    (controller,) = measured_at_20_degc(job([pull("C1.1", "K1")]), **limits).controllers
    assert controller.supply_current_a == 1.6


def test_a_controller_stands_in_its_sheet_or_at_its_first_run() -> None:
    rows = [pull("C1.1", "K1"), pull("C1.2", "K2")]
    cell = CellRef("Controllers", 7, 1)
    for sheet, where in (([], CellRef("Pulls", 2, 1)), ([Controller(name="C1", where=cell)], cell)):
        (controller,) = measured(job(rows, controllers=sheet)).controllers
        assert controller.where == where


def test_a_bus_that_feeds_no_device_misses_no_power() -> None:
    a_job = job([metres("C1.1", "K1", 100)], [device("K1", None), device("K1", 20.0)])
    state = only(a_job, device__powered_by_bus=False)
    assert (state.power_w, state.unpowered, state.electrical.stated_w) == (0.0, 0, 0.0)


# --- the margin of runs that share a supply -----------------------------------------------------------


def margins(a_job: Job) -> list[tuple[float | None, str | None]]:
    return [
        (state.growth_margin, state.first_limit)
        for state in measured_at_20_degc(a_job, run__reach="500 m").runs
    ]


def test_a_run_whose_own_limit_comes_first_keeps_it() -> None:
    """34 W take 35 W with 10 ohm x f: 35 W / 24 V = 1.458 A, and 24 V - 34 W / 1.458 A = 0.686 V of drop, 0.470 ohm.
    The other run takes no power and has twice its 125 m: half of 500 m, as the gauge of its cable is not stated."""
    rows = [metres("C1.1", "K1", 1), metres("C1.2", "K2", 125)]
    found = margins(job(rows, [device("K1", 34.0), device("K2", 0.0)], **light()))
    assert found == [(pytest.approx(4.702, rel=1e-3), "power"), (2.0, "reach")]


@pytest.mark.parametrize("other", [metres("C1.2", "K2", 100), pull("C1.2", "K2", None)])
def test_a_supply_says_nothing_of_its_runs_where_one_cannot_be_solved_or_is_not_known(other: object) -> None:
    """By itself 34 W over 0.1 ohm collapse with 24^2 / 4 W / 34 W = 4.235 ohm, 42.35 times as much."""
    found = margins(
        job([metres("C1.1", "K1", 1), other], [device("K1", 34.0), device("K2", 20.0)], **light())
    )
    assert found[0] == (pytest.approx(42.35, rel=1e-3), "voltage")


def test_a_supply_says_nothing_of_a_run_that_joins_two_ports() -> None:
    """0.1 ohm twice in parallel: 84.7 times as much collapses."""
    rows = [metres("C1.1", "K1", 1), metres("K1", "C1.2", 1)]
    (found,) = margins(job(rows, [device("K1", 34.0)], **light()))
    assert found == (pytest.approx(84.7, rel=1e-3), "voltage")


def test_a_controller_without_a_rating_or_without_runs_limits_no_growth() -> None:
    a_job = job(
        [metres("C1.1", "K1", 1)], [device("K1", 34.0)], controllers=[Controller(name="C9")], **light()
    )
    assert margins(a_job) == [(pytest.approx(4.702, rel=1e-3), "power")]
    unrated = measured_at_20_degc(
        replace(a_job, controllers=dict(a_job.controllers)), controller__supply_power=None
    )
    assert [state.first_limit for state in unrated.runs] == ["voltage"]

"""How near a run is to what its cable can do: collapse, start-up, cable of unknown gauge. 24 V behind 10 ohm give
24^2 / 40 = 14.4 W at most."""

from dataclasses import replace
from typing import Any

import pytest

from auditor.bus.electrical import Electrical, greatest
from auditor.job.model import Cable, Controller, Device, Load
from tests.builders import device, job, pull
from tests.bus.nets import light, metres, only


def at_the_end(*devices: Device, **overrides: object) -> Electrical:
    """Devices named K1 behind 10 ohm."""
    a_job = job([metres("C1.1", "K1", 100)], devices, **light())
    return only(a_job, **{"conductor_temperature": "20 degC"} | overrides).electrical


def behind_two_supplies(*devices: Device, **overrides: object) -> Electrical:
    sheet = [Controller(name="C1", supply_voltage_v=24.0), Controller(name="C2", supply_voltage_v=36.0)]
    rows = [metres("C1.1", "K1", 100), metres("K1", "C2.1", 100)]
    return only(job(rows, devices, controllers=sheet, **light()), **overrides).electrical


# --- collapse -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("watts", "margin", "near"),
    [
        (12.2, 0.85, False),  # 0.85 x 14.4 W = 12.24 W
        (12.3, 0.85, True),
        (7.1, 0.5, False),  # 7.2 W
        (8.0, 0.5, True),  # with 20 V left
    ],
)
def test_a_run_is_near_collapse_above_the_margin_of_the_most(watts: float, margin: float, near: bool) -> None:
    found = at_the_end(device("K1", watts), review_above=margin)
    assert found.near_collapse(margin) is near
    assert found.comfortable(margin) is not near


def test_the_most_is_not_computed_far_from_collapse() -> None:
    assert at_the_end(device("K1", 5.0)).max_power_w is None  # V = 21.7 V


def test_there_is_no_most_where_no_device_draws_constant_power_or_the_others_are_too_much_alone() -> None:
    six_volts_of_drop = device("K1", 14.4, load=Load.CONSTANT_CURRENT)
    thirty_volts_of_drop = device("K1", 72.0, load=Load.CONSTANT_CURRENT)
    assert at_the_end(six_volts_of_drop).max_power_w is None
    assert at_the_end(thirty_volts_of_drop, device("K1", 1.0)).max_power_w is None


# --- what devices need --------------------------------------------------------------------------------


def test_a_voltage_is_comfortable_where_the_margin_of_the_drop_is_left() -> None:
    found = at_the_end(device("K1", 5.0, min_voltage_v=20.0))
    assert found.comfortable_v(0.5) == {"K1": 22.0}  # of 4 V half
    assert found.comfortable(0.85)  # 21.7 V, where 20.6 V are asked for
    assert not found.comfortable(0.5)


@pytest.mark.parametrize(("least_v", "beyond"), [(36.0, ()), (36.1, ("K1",))])
def test_out_of_reach_is_what_needs_more_than_the_highest_source(
    least_v: float, beyond: tuple[str, ...]
) -> None:
    assert behind_two_supplies(device("K1", min_voltage_v=least_v)).out_of_reach == beyond


def test_the_drop_is_allowed_from_the_highest_source() -> None:
    assert behind_two_supplies(device("K1"), device__max_drop="2 V").least_v == {"K1": 34.0}


def test_of_two_rows_of_one_device_the_higher_need_counts() -> None:
    rows = [device("K1", min_voltage_v=volts) for volts in (18.0, 20.0, 19.0)]
    assert at_the_end(*rows).least_v == {"K1": 20.0}


# --- all devices start together -----------------------------------------------------------------------


def test_the_power_at_the_start_is_that_of_all_devices() -> None:
    """2 x 4 W at the start, 3 W as in use, and one that states nothing: 11 W."""
    rows = [device("K1", 1.0, start_w=4.0, quantity=2), device("K1", 3.0), device("K1", None)]
    found = at_the_end(*rows)
    assert (found.stated_w, found.start_w, found.start_most_w) == (5.0, 11.0, None)
    assert found.start_supplied_w == pytest.approx(24 * (24 - (24**2 - 4 * 10 * 11) ** 0.5) / 20)


def test_no_device_that_says_what_it_takes_at_the_start_has_no_start() -> None:
    assert at_the_end(device("K1", 3.0)).start_w is None
    assert at_the_end(device("K1", 3.0, start_w=9.0), device__powered_by_bus=False).start_w is None


def test_what_the_cable_carries_of_the_start() -> None:
    found = at_the_end(device("K1", 2.0, start_w=20.0))
    assert (found.start_w, found.start_supplied_w) == (20.0, None)
    assert found.start_most_w == pytest.approx(14.4, rel=1e-6)


def test_devices_of_constant_current_start_with_what_they_draw() -> None:
    """0.3 A at 24 V take 3 V of 10 ohm; from the 21 V left the other could draw 21^2 / 40 W."""
    found = at_the_end(device("K1", 7.2, load=Load.CONSTANT_CURRENT), device("K1", 1.0, start_w=20.0))
    assert found.start_w == 27.2
    assert found.start_most_w == pytest.approx(7.2 + 21**2 / 40, rel=1e-6)


def test_the_cable_carries_nothing_of_a_start_beside_a_current_that_is_too_much_alone() -> None:
    """3 A would take 30 V."""
    found = at_the_end(device("K1", 72.0, load=Load.CONSTANT_CURRENT, start_w=72.0), device("K1", 1.0))
    assert found.start_most_w is None  # not even solved in use: the rule says so
    found = at_the_end(device("K1", 1.0, load=Load.CONSTANT_CURRENT, start_w=72.0))
    assert (found.start_w, found.start_most_w) == (72.0, 0.0)


@pytest.mark.parametrize(("least_v", "low"), [(19.9, []), (20.1, ["K1"])])
def test_a_voltage_too_low_at_the_start(least_v: float, low: list[str]) -> None:
    """8 W at 20 V are 0.4 A, which take 4 V of 10 ohm."""
    found = at_the_end(device("K1", 1.0, start_w=8.0, min_voltage_v=least_v))
    assert list(found.start_low) == low
    assert all(volts == pytest.approx(20.0) for volts in found.start_low.values())


def test_a_device_that_needs_just_what_it_has_at_the_start_is_not_low() -> None:
    a_job = job([pull("C1.1", "K1", None)], [device("K1", 0.1, start_w=0.2, min_voltage_v=24.0)])
    assert only(a_job).electrical.start_low == {}


# --- cable of unknown gauge ---------------------------------------------------------------------------


def doubtful(watts: float | None, more: dict[str, Any], a_pull: Any, **overrides: object) -> tuple[str, ...]:
    a_job = job([a_pull], [device("K1", watts, **more)], cable=Cable(name="CAB", coated=False))
    return only(a_job, **overrides).electrical.doubtful


@pytest.mark.parametrize(("watts", "names"), [(46.0, ()), (48.0, ("CAB",))])
def test_unknown_cable_is_doubtful_where_the_run_would_not_hold_with_half_a_square_millimetre(
    watts: float, names: tuple[str, ...]
) -> None:
    """100 ft of stranded 16 AWG, NEC chapter 9 table 8: 2 x 0.499 ohm at 75 degC; 16 AWG is 1.309 mm² (ASTM B258).
    With the margin of 0.85: 24^2 / 4 W / (0.998 x 1.309 / 0.5 / 0.85) = 46.9 W."""
    assert (
        doubtful(watts, {}, pull("C1.1", "K1", 100), conductor_temperature="75 degC", review_above=0.85)
        == names
    )


@pytest.mark.parametrize(("watts", "names"), [(15.5, ()), (15.9, ("CAB",))])
def test_cable_that_may_be_half_a_square_millimetre_is_taken_no_thinner(
    watts: float, names: tuple[str, ...]
) -> None:
    """IEC 60228 class 5, 0.5 mm²: 39.0 ohm/km; 24^2 / 4 W / (100 m x 0.078 ohm/m / 0.85) = 15.7 W."""
    asks = {"cable__min_conductor": "0.5 mm2", "conductor_temperature": "20 degC", "review_above": 0.85}
    assert doubtful(watts, {}, metres("C1.1", "K1", 100), **asks) == names


def test_without_loads_or_without_an_allowed_gauge_no_cable_is_doubtful() -> None:
    assert doubtful(None, {"min_voltage_v": 30.0}, pull("C1.1", "K1")) == ()
    assert doubtful(40.0, {}, metres("C1.1", "K1", 30), cable__min_conductor=None) == ()


def test_only_the_pulls_of_one_cable_are_longer() -> None:
    """5 ohm and 5 ohm, 5 W, 20 V needed: 0.25 A may take 4 V of 16 ohm."""
    rows = [metres("C1.1", "S1", 50), metres("S1", "K1", 50, cable=None)]
    cables = {"CAB": light()["cable"]}
    a_job = replace(job(rows, [device("K1", 5.0, min_voltage_v=20.0)], splices=["S1"]), cables=cables)
    found = only(a_job, conductor_temperature="20 degC").electrical
    own_ohm = found.net.links[1][2]
    most = (16 - own_ohm) / 5
    assert found.keeps_voltage(most * 0.999, ["CAB"])
    assert not found.keeps_voltage(most * 1.001, ["CAB"])
    most = (16 - 5) / own_ohm
    assert found.keeps_voltage(most * 0.999, ["cable not stated"])
    assert not found.keeps_voltage(most * 1.001, ["cable not stated"])
    assert found.keeps_voltage(99.0, [])


# --- growth -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("root", [0.05, 0.8, 3.0])
def test_the_greatest_factor_is_found_to_three_digits(root: float) -> None:
    assert greatest(lambda factor: factor <= root, 4.0) == pytest.approx(root, rel=1e-4)

"""Conversions, quantities with units, and how figures read in a message."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor import units

# NIST SP 811 (2008), appendix B.8: foot = 3.048 E-01 m, inch = 2.54 E-02 m, yard = 9.144 E-01 m, all exact.
NIST_M = [("ft", 0.3048), ("in", 0.0254), ("yd", 0.9144)]


@pytest.mark.parametrize(("unit", "length_m"), NIST_M)
def test_lengths_as_nist_prints_them(unit: str, length_m: float) -> None:
    assert units.parse_quantity(f"1 {unit}", units.LENGTH_M) == pytest.approx(length_m, rel=1e-15)


def test_feet_and_metres_are_inverse() -> None:
    assert units.m_from_ft(1000) == pytest.approx(304.8)


def test_ohm_per_thousand_feet() -> None:
    """NEC chapter 9 table 8, 16 AWG solid: 4.89 ohm/kFT and 16.0 ohm/km."""
    assert units.parse_quantity("4.89 ohm/kft", units.RESISTANCE_OHM_PER_KM) == pytest.approx(16.0, abs=0.05)
    assert pytest.approx(16.0, abs=0.05) == 4.89 * units.KFT_PER_KM


def test_capacitance_per_length() -> None:
    """M-Bus pair J-Y(St)Y: 120 nF/km, which is 36.6 pF/ft (encyclopedia article "Meter-Bus", converted)."""
    factors = units.CAPACITANCE_NF_PER_M
    assert units.parse_quantity("120 nF/km", factors) == pytest.approx(0.12)
    assert units.parse_quantity("36.6 pF/ft", factors) == pytest.approx(0.12, abs=0.0002)
    assert units.parse_quantity("120 pF/m", factors) == pytest.approx(0.12)


@pytest.mark.parametrize(
    ("text", "factors", "value"),
    [
        ("35 W", units.POWER_W, 35.0),
        ("250 mA", units.CURRENT_A, 0.25),
        ("  1.5e3   mW ", units.POWER_W, 1.5),
        ("-5 degC", units.TEMPERATURE_DEGC, -5.0),
        ("2ms", units.TIME_S, 0.002),
    ],
)
def test_quantities_with_a_unit(text: str, factors: dict[str, float], value: float) -> None:
    assert units.parse_quantity(text, factors) == pytest.approx(value)


@pytest.mark.parametrize("text", ["", "2000", "ft", "2,000 ft", "2000 feet", "1e999 ft", "nan ft", "2000 W"])
def test_what_is_no_length_says_what_was_wanted(text: str) -> None:
    with pytest.raises(ValueError) as caught:
        units.parse_quantity(text, units.LENGTH_M)
    assert (
        str(caught.value)
        == f"wanted a number with one of the units m, cm, mm, km, ft, in, yd, found {text!r}"
    )


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (1050.0, 1, "1,050"),
        (36.54, 1, "36.5"),
        (-0.01, 1, "0"),
        (0.0, 0, "0"),
        (100.0, 0, "100"),
        (1234567.89, 2, "1,234,567.89"),
        (-12.5, 1, "-12.5"),
    ],
)
def test_numbers_read_as_people_write_them(value: float, digits: int, text: str) -> None:
    assert units.number_text(value, digits) == text


@pytest.mark.parametrize(
    ("value", "unit", "length_unit", "text"),
    [
        (320.04, "m", "ft", "1,050 ft"),
        (320.04, "m", "m", "320 m"),
        (51, "devices", "ft", "51 devices"),
        (1, "devices", "ft", "1 device"),
        (35.04, "W", "ft", "35 W"),
        (23.456, "V", "ft", "23.46 V"),
        (1.0, "", "ft", "1"),
    ],
)
def test_measured_values_read_with_their_unit(value: float, unit: str, length_unit: str, text: str) -> None:
    assert units.quantity_text(value, unit, length_unit) == text


@pytest.mark.parametrize(
    ("over", "unit", "broken"),
    [
        (0.0, "m", False),
        (0.0009, "m", False),
        (0.0011, "m", True),
        (2e-7, "W", False),  # one part in 10^9 of 2,000 is 2e-6
        (3e-6, "W", True),
    ],
)
def test_a_limit_is_kept_within_its_tolerance(over: float, unit: str, broken: bool) -> None:
    assert units.exceeds(2000 + over, 2000, unit) is broken


def test_no_limit_is_never_broken() -> None:
    assert not units.exceeds(math.inf, None, "m")


@given(st.lists(st.integers(1, 4000), min_size=1, max_size=40))
def test_pulls_in_feet_that_add_up_to_the_limit_keep_it_and_a_tenth_of_a_foot_more_does_not(
    feet: list[int],
) -> None:
    limit_m = units.m_from_ft(sum(feet))
    total_m = sum(map(units.m_from_ft, feet))
    assert not units.exceeds(total_m, limit_m, "m")
    assert units.exceeds(total_m + units.m_from_ft(0.1), limit_m, "m")

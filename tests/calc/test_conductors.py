"""Which source a conductor's resistance comes from, what is assumed, and what is refused."""

import math

import pytest

from auditor.calc.conductors import (
    area_mm2_from_awg,
    awg_from_area_mm2,
    conductor,
    standard_gauges,
)


def test_unknown_stranding_is_the_higher_resistance_and_says_so():
    unknown = conductor(awg=16, coated=False, conductor_degc=75)
    both = [conductor(awg=16, stranded=s, coated=False, conductor_degc=75).ohm_per_km for s in (True, False)]
    assert unknown.ohm_per_km == max(both)
    assert "stranding not given" in unknown.note


def test_unknown_coating_is_plain_copper_and_says_so():
    unknown = conductor(awg=16, stranded=True, conductor_degc=75)
    plain = conductor(awg=16, stranded=True, coated=False, conductor_degc=75)
    assert unknown.ohm_per_km == plain.ohm_per_km
    assert "coating not given" in unknown.note
    assert plain.note == ""


def test_stranded_of_unknown_class_is_flexible_and_says_so():
    unknown = conductor(area_mm2=1.5, stranded=True, coated=False, conductor_degc=20)
    flexible = conductor(area_mm2=1.5, stranded=True, coated=False, iec_class=5, conductor_degc=20)
    assert unknown.ohm_per_km == flexible.ohm_per_km
    assert "class 5" in unknown.note
    assert flexible.note == ""


def test_solid_of_a_metric_area_is_class_1():
    solid = conductor(area_mm2=1.5, stranded=False, coated=False, conductor_degc=20)
    assert "class 1" in solid.source
    assert solid.note == ""


def test_the_data_sheet_stands_before_any_table():
    got = conductor(awg=16, stranded=True, ohm_per_km_20c=13.5, conductor_degc=30)
    assert got.ohm_per_km == pytest.approx(13.5 * (1 + 0.00393 * 10))
    assert got.table == "the cable's data sheet"
    assert got.note == ""


def test_a_data_sheet_far_from_copper_of_its_size_is_remarked():
    loop_value = conductor(awg=16, ohm_per_km_20c=26.4, conductor_degc=20)
    assert loop_value.ohm_per_km == 26.4
    assert "one conductor" in loop_value.note


def test_a_data_sheet_needs_no_size():
    assert conductor(ohm_per_km_20c=20, conductor_degc=20).ohm_per_km == 20


def test_a_size_outside_the_tables_is_computed():
    solid = conductor(awg=22, stranded=False, coated=False, conductor_degc=20)
    assert solid.table == "ASTM B258 and IEC 60028"
    assert solid.ohm_per_km == pytest.approx(52.963, abs=5e-4)  # 1/58 over 0.3255 mm2
    stranded = conductor(awg=22, stranded=True, coated=False, conductor_degc=20)
    assert stranded.ohm_per_km / solid.ohm_per_km == pytest.approx(7.95 / 7.77)
    odd_area = conductor(area_mm2=0.6, stranded=False, coated=False, conductor_degc=20)
    assert odd_area.ohm_per_km == pytest.approx(1000 / 58 / 0.6)
    assert "no row in a table" in odd_area.note


def test_a_metric_area_is_never_taken_for_an_awg_size():
    for area_mm2 in (0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0):
        assert awg_from_area_mm2(area_mm2) is None


def test_every_awg_size_is_found_again_from_its_area():
    for awg in range(-3, 37):
        assert awg_from_area_mm2(area_mm2_from_awg(awg)) == awg
    assert awg_from_area_mm2(0) is None


def test_thicker_is_never_a_higher_resistance():
    for metric in (False, True):
        gauges = standard_gauges(metric=metric)
        ohms = [
            conductor(area_mm2=gauge.area_mm2, stranded=True, conductor_degc=30).ohm_per_km
            for gauge in gauges
        ]
        assert ohms == sorted(ohms, reverse=True)
        assert [gauge.area_mm2 for gauge in gauges] == sorted(gauge.area_mm2 for gauge in gauges)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ({"awg": 17.5}, "17.5 AWG is no wire size"),
        ({"awg": 99}, "99 AWG is no wire size"),
        ({"awg": math.nan}, "nan AWG is no wire size"),
        ({"area_mm2": 0}, "a conductor of 0 mm2"),
        ({"area_mm2": 5000}, "a conductor of 5000 mm2"),
        ({"area_mm2": math.nan}, "a conductor of nan mm2"),
        ({}, "nothing says how thick"),
        ({"ohm_per_km_20c": 0}, "a data-sheet resistance of 0 ohm/km"),
        ({"ohm_per_km_20c": math.inf}, "a data-sheet resistance of inf ohm/km"),
        ({"awg": 16, "conductor_degc": -40.1}, "a conductor temperature of -40.1 degC"),
        ({"awg": 16, "conductor_degc": 105.1}, "a conductor temperature of 105.1 degC"),
        ({"awg": 16, "conductor_degc": math.nan}, "a conductor temperature of nan degC"),
        ({"area_mm2": 1.5, "iec_class": 3}, "class 3 is not one of the classes"),
    ],
)
def test_what_no_cable_can_be_is_refused(arguments, said):
    with pytest.raises(ValueError, match=said):
        conductor(**({"conductor_degc": 30} | arguments))


@pytest.mark.parametrize("degc", [-40, 105])
def test_the_ends_of_the_temperature_range_are_kept(degc):
    assert conductor(awg=16, conductor_degc=degc).ohm_per_km > 0

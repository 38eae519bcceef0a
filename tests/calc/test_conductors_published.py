"""Conductor resistances as other people print them; the source stands beside each."""

import pytest

from auditor.calc.conductors import (
    COPPER_OHM_MM2_PER_M,
    area_mm2_from_awg,
    awg_from_area_mm2,
    conductor,
)
from auditor.units import KFT_PER_KM

# NFPA 70 (NEC) chapter 9 table 8, DC resistance at 75 degC, ohm/kft, from a web transcription:
# AWG, solid uncoated, stranded uncoated, solid coated, stranded coated
TABLE_8 = [
    (18, 7.77, 7.95, 8.08, 8.45),
    (16, 4.89, 4.99, 5.08, 5.29),
    (14, 3.07, 3.14, 3.19, 3.26),
    (12, 1.93, 1.98, 2.01, 2.05),
    (10, 1.21, 1.24, 1.26, 1.29),
]
# The same table's uncoated ohm/km column, from a second transcription: AWG, solid, stranded, unit of the
# last digit. 10 AWG (3.984, 4.070) is left out: from memory, and rounded apart from its ohm/kft.
TABLE_8_OHM_PER_KM = [
    (18, 25.5, 26.1, 0.1),
    (16, 16.0, 16.4, 0.1),
    (14, 10.1, 10.3, 0.1),
    (12, 6.34, 6.50, 0.01),
]
# ... and its coated ohm/km column, from the same second transcription: AWG, solid, stranded, unit of the last digit
TABLE_8_COATED_OHM_PER_KM = [
    (18, 26.5, 27.7, 0.1),
    (16, 16.7, 17.3, 0.1),
    (14, 10.4, 10.7, 0.1),
    (12, 6.57, 6.73, 0.03),  # rounded apart from its ohm/kft, 2.01 and 2.05
]
# ... and its area column, mm2
TABLE_8_MM2 = [(18, 0.823), (16, 1.31), (14, 2.08), (12, 3.31), (10, 5.261)]

# IEC 60228:2004, maximum DC resistance at 20 degC, ohm/km, three agreeing published tables:
# mm2, class 1, class 2, class 5, tinned class 1 and 2, tinned class 5
IEC_60228 = [
    (0.5, 36.0, 36.0, 39.0, 36.7, 40.1),
    (0.75, 24.5, 24.5, 26.0, 24.8, 26.7),
    (1.0, 18.1, 18.1, 19.5, 18.2, 20.0),
    (1.5, 12.1, 12.1, 13.3, 12.2, 13.7),
    (2.5, 7.41, 7.41, 7.98, 7.56, 8.21),
    (4.0, 4.61, 4.61, 4.95, 4.70, 5.09),
]
# IEC 60228 correction factors R20 = R_T x k, a cable maker's page
IEC_60228_K = [(25, 0.980), (30, 0.962), (40, 0.926), (50, 0.893), (60, 0.862), (75, 0.820)]

# HyperPhysics "American Wire Gauge": AWG, ohm/kft at 20 degC, unit of the last digit
OHM_PER_KFT_20C = [
    (10, 0.9989, 0.0001),
    (12, 1.588, 0.001),
    (14, 2.525, 0.001),
    (16, 4.016, 0.001),
    (18, 6.385, 0.001),
    (20, 10.15, 0.01),
    (22, 16.14, 0.01),
    (24, 25.67, 0.01),
]
# "Lessons in Electric Circuits" vol. V, wire table: AWG, diameter in inches, unit of the last digit
DIAMETER_IN = [
    (10, 0.1019, 1e-4),
    (12, 0.08081, 1e-5),
    (14, 0.06408, 1e-5),
    (16, 0.05082, 1e-5),
    (18, 0.04030, 1e-5),
    (20, 0.03196, 1e-5),
    (22, 0.02535, 1e-5),
    (24, 0.02010, 1e-5),
]


@pytest.mark.parametrize("row", TABLE_8)
def test_every_cell_of_table_8_is_given_back_at_its_temperature(row):
    awg, *printed = row
    kinds = [(False, False), (True, False), (False, True), (True, True)]
    for (stranded, coated), ohm_per_kft in zip(kinds, printed, strict=True):
        got = conductor(awg=awg, stranded=stranded, coated=coated, conductor_degc=75)
        assert got.ohm_per_km / KFT_PER_KM == pytest.approx(ohm_per_kft, rel=1e-12)
        assert got.table == "NEC chapter 9 table 8"
        assert got.note == ""


@pytest.mark.parametrize(
    ("coated", "awg", "solid", "stranded", "digit"),
    [
        *((False, *row) for row in TABLE_8_OHM_PER_KM),
        *((True, *row) for row in TABLE_8_COATED_OHM_PER_KM),
    ],
)
def test_the_ohm_per_km_columns_agree(coated, awg, solid, stranded, digit):
    # table 8 rounds its two columns apart: half a digit of each
    for value, printed in ((False, solid), (True, stranded)):
        got = conductor(awg=awg, stranded=value, coated=coated, conductor_degc=75).ohm_per_km
        assert abs(got - printed) <= digit / 2 + 0.005 * KFT_PER_KM


@pytest.mark.parametrize(("awg", "area_mm2"), TABLE_8_MM2)
def test_an_area_as_table_8_prints_it_is_that_awg_size(awg, area_mm2):
    assert awg_from_area_mm2(area_mm2) == awg
    by_area = conductor(area_mm2=area_mm2, stranded=True, coated=False, conductor_degc=75)
    assert by_area == conductor(awg=awg, stranded=True, coated=False, conductor_degc=75)


@pytest.mark.parametrize(("awg", "solid"), [(row[0], row[1]) for row in TABLE_8])
def test_the_solid_rows_follow_from_iec_60028_and_b258(awg, solid):
    # 1/58 ohm mm2/m and alpha 0.00393 from 20 to 75 degC; the printed areas are rounded to 0.2 %
    ohm_per_km = 1000 * COPPER_OHM_MM2_PER_M / area_mm2_from_awg(awg) * (1 + 0.00393 * 55)
    assert ohm_per_km / KFT_PER_KM == pytest.approx(solid, rel=2e-3, abs=0.005)


def test_table_8_note_2_at_30_degc():
    # R2 = R1 [1 + 0.00323 (T2 - 75)]: 4.99 x 0.85465 by hand
    got = conductor(awg=16, stranded=True, coated=False, conductor_degc=30)
    assert got.ohm_per_km / KFT_PER_KM == pytest.approx(4.2647, abs=5e-5)


@pytest.mark.parametrize("row", IEC_60228)
def test_every_cell_of_iec_60228_is_given_back_at_20_degc(row):
    area_mm2, *printed = row
    kinds = [(1, False), (2, False), (5, False), (1, True), (5, True)]
    for (iec_class, coated), ohm_per_km in zip(kinds, printed, strict=True):
        got = conductor(
            area_mm2=area_mm2, stranded=iec_class > 1, coated=coated, iec_class=iec_class, conductor_degc=20
        )
        assert got.ohm_per_km == ohm_per_km
        assert got.table == "IEC 60228"
    tinned = conductor(area_mm2=area_mm2, stranded=True, coated=True, iec_class=2, conductor_degc=20)
    assert tinned.ohm_per_km == printed[3]


@pytest.mark.parametrize(("degc", "k"), IEC_60228_K)
def test_the_correction_factors_of_iec_60228(degc, k):
    at_20 = conductor(area_mm2=1.5, stranded=True, coated=False, conductor_degc=20).ohm_per_km
    warm = conductor(area_mm2=1.5, stranded=True, coated=False, conductor_degc=degc).ohm_per_km
    assert at_20 / warm == pytest.approx(k, abs=0.0005)


@pytest.mark.parametrize(("awg", "ohm_per_kft", "digit"), OHM_PER_KFT_20C)
def test_copper_of_b258_geometry_at_20_degc(awg, ohm_per_kft, digit):
    ohm_per_km = 1000 * COPPER_OHM_MM2_PER_M / area_mm2_from_awg(awg)
    # 1/58 is IEC 60028; the printed table was made with 10.371 ohm cmil/ft: 0.02 % apart
    assert abs(ohm_per_km / KFT_PER_KM - ohm_per_kft) <= digit / 2 + 2e-4 * ohm_per_kft


@pytest.mark.parametrize(("awg", "diameter_in", "digit"), DIAMETER_IN)
def test_diameters_of_b258(awg, diameter_in, digit):
    diameter_mm = (area_mm2_from_awg(awg) * 4 / 3.141592653589793) ** 0.5
    assert abs(diameter_mm / 25.4 - diameter_in) <= digit / 2


def test_b258_is_fixed_by_its_two_sizes():
    # ASTM B258: No. 36 is 0.005 in, No. 0000 is 0.4600 in
    for awg, diameter_in in ((36, 0.005), (-3, 0.46)):
        assert area_mm2_from_awg(awg) == pytest.approx(0.7853981634 * (diameter_in * 25.4) ** 2, rel=1e-9)

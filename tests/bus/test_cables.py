"""A cable type in words, and where its specification begins to be kept."""

from dataclasses import replace

import pytest

from auditor.bus.cables import (
    cable_state,
    cable_text,
    gauge_text,
    per_length_text,
    spec_text,
    to_specification,
)
from auditor.job.model import Cable
from tests.builders import SPEC, profile


@pytest.mark.parametrize(
    ("cable", "unit", "expected"),
    [
        (
            replace(SPEC, coated=True, fire_rating="plenum"),
            "ft",  # 0.082 nF/m are 25 pF/ft
            "16 AWG, 2 conductors, stranded, unshielded, tinned, 25 pF/ft, 600 V, fire rating plenum",
        ),
        (
            Cable(name="W", area_mm2=0.823, stranded=False, shielded=True, capacitance_nf_per_m=0.082),
            "m",
            "0.82 mm², solid, shielded, 82 pF/m",
        ),
        (Cable(name="W"), "ft", ""),
    ],
)
def test_a_specification_in_one_line(cable: Cable, unit: str, expected: str) -> None:
    assert spec_text(cable, unit) == expected


@pytest.mark.parametrize(
    ("gauge", "area_mm2", "expected"),
    [
        ("16 AWG", 1.31, "16 AWG"),
        ("0.6 mm", 0.2827, "0.6 mm diameter (0.28 mm²)"),  # pi / 4 x 0.6 x 0.6
        ("0.6 mm", None, "0.6 mm"),
        ("16 AWG", None, "16 AWG"),
        (None, 0.823, "0.82 mm²"),
        (None, None, "gauge not stated"),
    ],
)
def test_a_conductor_as_it_is_written(gauge: str | None, area_mm2: float | None, expected: str) -> None:
    assert gauge_text(Cable(name="W", gauge=gauge, area_mm2=area_mm2)) == expected


def test_a_capacitance_has_the_unit_of_the_lengths() -> None:
    assert [per_length_text(0.1, unit) for unit in ("ft", "m")] == ["30.5 pF/ft", "100 pF/m"]


def test_a_cable_within_a_sentence() -> None:
    assert [cable_text(name) for name in ("CAB", "cable not stated")] == ["cable CAB", "the unnamed cable"]


@pytest.mark.parametrize(
    ("gauge", "area_mm2", "faults"),
    [
        (None, 0.975, ()),  # 2.5 % less than 1 mm² is still sold as such
        (None, 0.974, ("0.97 mm² where 1 mm² or thicker is asked for",)),
        ("17 AWG", None, ()),  # ASTM B258: 1.04 mm²
        ("18 AWG", None, ("18 AWG where 1 mm² or thicker is asked for",)),  # 0.82 mm²
        ("18 AWG", 1.0, ()),  # the stated area counts
    ],
)
def test_the_thinnest_conductor_that_keeps_the_specification(
    gauge: str | None, area_mm2: float | None, faults: tuple[str, ...]
) -> None:
    asks = profile(cable__min_conductor="1 mm2")
    assert cable_state(replace(SPEC, gauge=gauge, area_mm2=area_mm2), asks).faults == faults


@pytest.mark.parametrize(
    ("cable", "known", "off_spec"),
    [
        (SPEC, True, False),
        (Cable(name="W"), False, None),
        (replace(SPEC, gauge=None, area_mm2=None, ohm_per_km=13.0), True, None),
        (replace(SPEC, conductors=4, shielded=None), True, True),
    ],
)
def test_what_is_known_of_a_cable(cable: Cable, known: bool, off_spec: bool | None) -> None:
    state = cable_state(cable, profile())
    assert (state.conductor_known, state.off_spec) == (known, off_spec)


def test_a_profile_that_asks_for_nothing_finds_no_fault_and_no_gap() -> None:
    nothing = dict.fromkeys(
        ("min_conductor", "conductors", "stranded", "shielded", "max_capacitance", "min_insulation")
    )
    asks = profile(**{f"cable__{name}": value for name, value in nothing.items()})
    for cable in (SPEC, Cable(name="W")):
        assert (cable_state(cable, asks).faults, cable_state(cable, asks).gaps) == ((), ())


def test_cable_to_specification_has_no_fault_and_no_gap() -> None:
    state = cable_state(to_specification("W", profile()), profile())
    assert (state.off_spec, state.insulation_low) == (False, False)


@pytest.mark.parametrize(("volts", "low"), [(600.0, False), (599.0, True), (None, False)])
def test_low_insulation_is_told_apart(volts: float | None, low: bool) -> None:
    assert cable_state(replace(SPEC, insulation_v=volts), profile()).insulation_low is low

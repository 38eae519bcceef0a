"""Profiles: what is shipped, and what extends what."""

import json
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from auditor.profile.limits import ControllerSpec, Limits, Profile, ReelSize, Separation
from auditor.profile.load import DEFAULT, load_profile, shipped_names, side_profile
from auditor.profile.text import limit_rows
from auditor.resources import shipped
from auditor.units import m_from_ft
from tests.profile.files import Write, based

SCHEMA = json.loads(shipped("schemas", "profile.schema.json").read_text("utf-8"))


# --- what is shipped ----------------------------------------------------------------------------------


def test_the_schema_is_one() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("name", shipped_names())
def test_every_shipped_profile_loads_names_itself_and_says_where_it_comes_from(name: str) -> None:
    profile = load_profile(name)
    assert profile.name == name
    assert profile.source != "not stated"
    known = {path for path, _ in walk(SCHEMA["properties"])}
    assert set(profile.sources) <= known
    assert all(value for _, value, _ in limit_rows(profile))


def walk(properties: Mapping[str, Any], above: str = "") -> list[tuple[str, object]]:
    paths: list[tuple[str, object]] = []
    for name, schema in properties.items():
        paths += [(above + name, schema), *walk(schema.get("properties", {}), f"{above}{name}.")]
    return paths


FT_12 = m_from_ft(1)
# Common practice, no published source: the two sizes of supply and the cable limits they share.
SHARED = Limits(cable_m=m_from_ft(2000), reach_m=m_from_ft(1000))
SUPPLIES = [
    ("two-wire", 24, None, None, SHARED),
    ("two-wire-35w", 24, 35, 100, replace(SHARED, devices=50)),
    ("two-wire-120w", 36, 120, 120, replace(SHARED, devices=60, power_w=60.0)),
]


@pytest.mark.parametrize(("name", "volts", "watts", "devices", "run"), SUPPLIES)
def test_the_two_wire_limits(
    name: str, volts: float, watts: float | None, devices: int | None, run: Limits
) -> None:
    profile = load_profile(name)
    assert profile.controller == ControllerSpec(
        ports=2,
        supply_voltage_v=volts,
        supply_power_w=watts,
        supply_current_a=None,
        supply_headroom=0.0,
        devices=devices,
    )
    assert profile.run == run
    assert profile.source == "common practice, no published source"


@pytest.mark.parametrize("name", ["two-wire", "two-wire-35w", "two-wire-120w"])
def test_what_the_two_wire_profiles_share(name: str) -> None:
    profile = load_profile(name)
    cable = profile.cable
    assert (cable.min_conductor, cable.conductors, cable.stranded, cable.shielded) == (
        "16 AWG",
        2,
        True,
        False,
    )
    assert cable.min_area_mm2 == pytest.approx(1.31, abs=0.005)  # NEC chapter 9 table 8
    assert cable.max_capacitance_nf_per_m == pytest.approx(0.03 * 3.281, abs=0.0001)  # 30 pF/ft
    assert cable.min_insulation_v == 600
    assert profile.off_spec_factor == 0.5
    assert profile.separation == Separation(
        mains_parallel_m=FT_12, mains_crossing_deg=90, loudspeaker_parallel_allowed=False
    )
    assert (profile.min_voltage_v, profile.max_drop_v, profile.load) == (None, None, "constant-power")
    assert (profile.conductor_degc, profile.review_above, profile.loops_allowed) == (30, 0.9, False)
    cutting = profile.cutting
    assert cutting.allowance_per_end_m == pytest.approx(m_from_ft(3))
    assert (cutting.waste, cutting.min_offcut_m) == (0.05, pytest.approx(m_from_ft(25)))
    assert (cutting.reserve_m, cutting.round_up_m) == (0, {"ft": FT_12, "m": 0.5})
    assert cutting.reels == tuple(
        ReelSize(length_m=m_from_ft(feet), price=None, cable=None, on_shelf=None) for feet in (500, 1000)
    )


def test_a_reel_may_be_a_length_alone(tmp_path: Path) -> None:
    site = tmp_path / "site.json"
    site.write_text(json.dumps(based(cutting={"reels": ["100 m", {"length": "305 m", "price": 90}]})))
    assert load_profile(str(site)).cutting.reels == (
        ReelSize(length_m=100, price=None, cable=None, on_shelf=None),
        ReelSize(length_m=305, price=90, cable=None, on_shelf=None),
    )


def test_a_reserve_and_the_steps_of_rounding_are_the_profiles_own(tmp_path: Path) -> None:
    site = tmp_path / "site.json"
    site.write_text(json.dumps(based(cutting={"reserve": "10 ft", "round_up": {"ft": "0 ft"}})))
    cutting = load_profile(str(site)).cutting
    assert (cutting.reserve_m, cutting.round_up_m) == (pytest.approx(m_from_ft(10)), {"ft": 0.0, "m": 0.5})
    told = {what: value for what, value, _ in limit_rows(load_profile(str(site)))}
    assert told["cutting: left on each reel"] == "10 ft"
    assert told["cutting: rounded up in a schedule in ft, to whole"] == "0 ft"
    assert told["cutting: rounded up in a schedule in m, to whole"] == "0.5 m"


# Each figure as printed in a text on the standard (secondary sources, see the profile's own «sources»).
STANDARDS: list[tuple[str, Callable[[Profile], object], object]] = [
    ("iso-iec-14543-3", lambda p: p.run.cable_m, 1000),
    ("iso-iec-14543-3", lambda p: p.run.reach_m, 350),
    ("iso-iec-14543-3", lambda p: p.run.between_devices_m, 700),
    ("iso-iec-14543-3", lambda p: p.run.devices, 64),
    ("iso-iec-14543-3", lambda p: p.loops_allowed, False),
    ("iec-62386", lambda p: p.controller.supply_current_a, 0.25),
    ("iec-62386", lambda p: p.max_drop_v, 2),
    ("iec-62386", lambda p: p.run.between_devices_m, 300),
    ("iec-62386", lambda p: p.loops_allowed, False),
    (
        "iso-iec-14908-2",  # 24, 22 and 16 AWG: greatest distance between nodes, greatest total
        lambda p: [(row.limits.between_devices_m, row.limits.cable_m) for row in p.cable.limits_by_conductor],
        [(250, 450), (400, 500), (320, 500), (400, 500)],
    ),
    ("iso-iec-14908-2", lambda p: p.run.devices, 64),
    ("iso-iec-14908-2", lambda p: p.loops_allowed, True),
    ("en-13757-2", lambda p: p.run.cable_m, 1000),
    ("en-13757-2", lambda p: p.run.reach_m, 350),
    ("en-13757-2", lambda p: p.run.capacitance_nf, 180),
    ("en-13757-2", lambda p: p.min_voltage_v, 12),
]


@pytest.mark.parametrize(("name", "figure", "printed"), STANDARDS)
def test_the_open_standards_as_printed(
    name: str, figure: Callable[[Profile], object], printed: object
) -> None:
    assert figure(load_profile(name)) == printed


# --- extends and overrides ----------------------------------------------------------------------------


def test_a_profile_says_only_what_differs(write: Write) -> None:
    profile = load_profile(write(based(run={"cable": "1800 ft"}, review_above=1)))
    base = load_profile(DEFAULT)
    assert profile == replace(
        base, name="site", run=replace(base.run, cable_m=m_from_ft(1800)), review_above=1
    )


def test_a_limit_is_taken_away_with_null(write: Write) -> None:
    profile = load_profile(write(based(run={"reach": None}, separation=None)))
    assert (profile.run.reach_m, profile.separation) == (None, None)


def test_a_profile_extends_a_file_beside_it(write: Write) -> None:
    write(based(name="office", run={"devices": 40}), "office.json")
    top = write({"name": "site", "extends": "office.json", "run": {"cable": "500 m"}})
    assert load_profile(top).run == replace(SHARED, cable_m=500, devices=40)


def test_overrides_are_laid_over_and_leave_the_rest() -> None:
    overrides = {"run.cable": "1800 ft", "controller.supply_power": "40 W", "separation.mains_parallel": None}
    profile, base = load_profile(DEFAULT, overrides), load_profile(DEFAULT)
    assert profile.run == replace(base.run, cable_m=m_from_ft(1800))
    assert profile.controller == replace(base.controller, supply_power_w=40)
    assert profile.separation is not None
    assert (profile.separation.mains_parallel_m, profile.separation.mains_crossing_deg) == (None, 90)
    assert load_profile(DEFAULT) == base


def test_a_source_of_its_own_stands_above_the_common_one() -> None:
    profile = load_profile("two-wire")
    assert profile.source_of("run.cable") == "common practice, no published source"
    assert profile.source_of("review_above") == "project convention"


def test_a_byte_order_mark_is_no_obstacle(write: Write) -> None:
    assert load_profile(write("\ufeff" + json.dumps(based()))).name == "site"


@pytest.mark.parametrize(
    ("devices", "factor", "left"), [(50, 0.5, 25), (51, 0.5, 25), (100, 0.29, 29), (100, 0.57, 57)]
)
def test_a_derated_count_is_rounded_down_and_never_by_the_machine(
    devices: int, factor: float, left: int
) -> None:
    """0.29 x 100 is 28.999… to the machine."""
    assert Limits(devices=devices).derated(factor).devices == left


def test_derating_leaves_capacitance_alone() -> None:
    limits = Limits(cable_m=10.0, reach_m=6.0, between_devices_m=4.0, power_w=2.0, capacitance_nf=180.0)
    assert limits.derated(0.5) == Limits(
        cable_m=5.0, reach_m=3.0, between_devices_m=2.0, power_w=1.0, capacitance_nf=180.0
    )


# --- which profile ------------------------------------------------------------------------------------


def test_the_nearest_profile_file_above_a_workbook_is_taken(tmp_path: Path) -> None:
    folder = tmp_path / "a" / "b"
    folder.mkdir(parents=True)
    (tmp_path / "profile.json").write_text("{}")
    assert side_profile(folder / "job.xlsx") == tmp_path / "profile.json"
    (folder.parent / "profile.json").write_text("{}")
    assert side_profile(folder / "job.xlsx") == folder.parent / "profile.json"
    (folder / "profile.json").mkdir()  # a folder of that name is no profile
    assert side_profile(folder / "job.xlsx") == folder.parent / "profile.json"


def test_without_a_profile_file_there_is_none(tmp_path: Path) -> None:
    assert side_profile(tmp_path / "job.xlsx") is None

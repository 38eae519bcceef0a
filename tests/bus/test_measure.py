"""What is measured on runs and controllers: figures, limits in force, growth margin."""

import random
from dataclasses import replace

import pytest

from auditor.bus.measure import ControllerState, RunState
from auditor.job.model import Cable, CellRef, Controller, Job
from auditor.profile.limits import Limits, Profile
from auditor.profile.load import load_profile
from auditor.results.findings import Level
from auditor.units import m_from_ft
from tests.builders import SPEC, device, found, job, measured, profile, pull

OFF_SPEC = replace(SPEC, name="THIN", gauge="18 AWG", area_mm2=0.82)
UNKNOWN = replace(SPEC, name="ANY", shielded=None)
LIMITS = Limits(cable_m=m_from_ft(2000), reach_m=m_from_ft(1000), devices=50)
HALF = Limits(cable_m=m_from_ft(1000), reach_m=m_from_ft(500), devices=25)


def only(a_job: Job, a_profile: Profile | None = None) -> RunState:
    (state,) = measured(a_job, a_profile).runs
    return state


def with_cables(a_job: Job, *cables: Cable) -> Job:
    return replace(a_job, cables={cable.name: cable for cable in cables})


# --- limits in force ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cables", "derated", "in_force", "off_spec", "not_known"),
    [
        (["CAB", "CAB"], False, LIMITS, (), ()),
        (["CAB", "THIN"], True, HALF, ("THIN",), ()),  # any off-spec cable derates the whole run
        (["CAB", "ANY"], None, HALF, (), ("ANY",)),
        (["THIN", "ANY"], True, HALF, ("THIN",), ("ANY",)),
        (["CAB", None], None, HALF, (), ("cable not stated",)),
        (["CAB", "NO-SUCH"], None, HALF, (), ("NO-SUCH",)),
    ],
)
def test_what_a_cable_makes_of_the_limits(
    cables: list[str | None],
    derated: bool | None,
    in_force: Limits,
    off_spec: tuple[str, ...],
    not_known: tuple[str, ...],
) -> None:
    rows = [pull("C1.1", "K1", cable=cables[0]), pull("K1", "K2", cable=cables[1])]
    state = only(with_cables(job(rows), SPEC, OFF_SPEC, UNKNOWN))
    assert (state.derated, state.limits, state.off_spec, state.not_known) == (
        derated,
        in_force,
        off_spec,
        not_known,
    )
    assert (state.full, state.reduced) == (LIMITS, HALF)


def test_off_spec_cable_derates_only_the_run_it_stands_in() -> None:
    rows = [pull("C1.1", "K1"), pull("C1.2", "K2", cable="THIN")]
    seen = measured(with_cables(job(rows), SPEC, OFF_SPEC))
    assert [state.limits for state in seen.runs] == [LIMITS, HALF]


# ISO/IEC 14908-2 free topology (transceiver guide and chip data book, secondary): thickest pair 500 m in
# all and 400 m between nodes, 22 AWG 500 and 400 m, 24 AWG 450 and 250 m.
@pytest.mark.parametrize(
    ("areas_mm2", "cable_m", "between_m"),
    [
        ([1.31], 500, 400),
        ([0.33], 500, 400),
        ([0.2047], 450, 250),
        ([1.31, 0.2047], 450, 250),  # the thinnest counts
        ([0.1], 450, 250),  # thinner than any: the least
        ([None], 450, 250),
    ],
)
def test_limits_that_depend_on_the_conductor(
    areas_mm2: list[float | None], cable_m: float, between_m: float
) -> None:
    cables = [Cable(name=f"W{n}", area_mm2=area) for n, area in enumerate(areas_mm2)]
    rows = [pull("C1.1", f"K{n}", cable=f"W{n}") for n in range(len(cables))]
    state = only(with_cables(job(rows), *cables), load_profile("iso-iec-14908-2"))
    assert (state.full.cable_m, state.full.between_devices_m) == (cable_m, between_m)


# --- figures ------------------------------------------------------------------------------------------


def test_figures_of_a_run() -> None:
    rows = [pull("C1.1", "K1", 100), pull("K1", "K2", 50)]
    devices = [device("K1", 1.5, quantity=3), device("K2", None), device("K2", 0.5)]
    state = only(job(rows, devices))
    assert state.power_w == pytest.approx(5.0)
    assert (state.unpowered, state.run.device_count) == (1, 5)
    assert state.capacitance_nf == pytest.approx(m_from_ft(150) * 0.082)
    assert state.between_devices is None  # not limited, not measured
    assert state.where == CellRef("Pulls", 2, 1)


@pytest.mark.parametrize("gap", [{"length_ft": None}, {"cable": "NO-SUCH"}])
def test_capacitance_is_not_summed_over_a_gap(gap: dict[str, object]) -> None:
    assert only(job([pull("C1.1", "K1", 100), pull("K1", "K2", **gap)])).capacitance_nf is None  # type: ignore[arg-type]


def test_the_distance_between_devices_is_measured_where_it_is_limited() -> None:
    rows = [pull("C1.1", "K1", 10), pull("K1", "K2", 300), pull("K1", "K3", 200)]
    state = only(job(rows), profile(run__between_devices="700 ft"))
    assert state.between_devices == (pytest.approx(m_from_ft(500)), "K3", "K2")


def controller_of(a_job: Job, **overrides: object) -> ControllerState:
    (controller,) = measured(a_job, profile(**overrides)).controllers
    return controller


def test_a_controller_adds_up_its_ports() -> None:
    rows = [pull("C1.1", "K1"), pull("C1.2", "K2")]
    controller = controller_of(job(rows, [device("K1", 3.0, quantity=2), device("K2", None)]))
    assert (controller.devices, controller.power_w, controller.unpowered) == (3, 6.0, 1)
    assert (controller.ports, controller.devices_limit, controller.supply_power_w) == (2, 100, 35)


def test_the_controller_sheets_own_figures_stand_above_the_profiles() -> None:
    sheet = Controller(name="C1", ports=4, supply_power_w=60.0, supply_voltage_v=30.0)
    controller = controller_of(job([pull("C1.1", "K1")], controllers=[sheet]))
    assert (controller.ports, controller.supply_power_w, controller.supply_voltage_v) == (4, 60, 30)


def test_headroom_is_taken_off_the_supply() -> None:
    assert controller_of(job([pull("C1.1", "K1")]), controller__supply_headroom=0.2).supply_power_w == 28


def test_a_controller_without_runs_serves_nothing() -> None:
    controller = controller_of(job([], controllers=[Controller(name="C1")]))
    assert (controller.runs, controller.devices, controller.power_w, controller.where) == ((), 0, 0, None)


def test_an_empty_job_measures_nothing() -> None:
    seen = measured(job([]))
    assert (seen.runs, seen.controllers) == ((), ())


# --- growth margin ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rows", "overrides", "margin", "first"),
    [
        ([("C1.1", "K1", 800)], {}, 1.25, "reach"),
        ([("C1.1", "K1", 800), ("C1.1", "K2", 800), ("C1.1", "K3", 100)], {}, 2000 / 1700, "run-length"),
        ([("C1.1", "K1", 1000)], {}, 1.0, "reach"),
        ([("C1.1", "K1", 1250)], {}, 0.8, "reach"),
        ([("C1.1", "K1", 300), ("C1.1", "K2", 300)], {"run__between_devices": "750 ft"}, 1.25, "reach"),
        ([("C1.1", "K1", 100)], {"run__capacitance": "3 nF"}, 3 / (30.48 * 0.082), "capacitance"),
        ([("C1.1", "K1", 100)], {"run__cable": None, "run__reach": None}, None, None),
        ([("C1.1", "K1", None)], {}, None, None),
    ],
)
def test_the_factor_by_which_pulls_may_be_longer(
    rows: list[tuple[str, str, float | None]],
    overrides: dict[str, object],
    margin: float | None,
    first: str | None,
) -> None:
    a_job = job([pull(*row) for row in rows], [device(tag, 0.0) for _, tag, _ in rows])
    state = only(a_job, profile(**overrides))
    assert state.growth_margin == (None if margin is None else pytest.approx(margin))
    assert state.first_limit == first


def test_the_margin_is_not_known_where_a_power_is_not() -> None:
    state = only(job([pull("C1.1", "K1", 800), pull("K1", "K2", 10)], [device("K1"), device("K2", None)]))
    assert (state.growth_margin, state.first_limit) == (None, None)


def test_the_runs_of_a_supply_grow_together_until_their_loss_takes_all_of_it() -> None:
    """Two runs of 17 W over R: 35 W are given when each gives 17.5 W, V = 17 W / (17.5 W / 24 V), and
    R = (24 V - V) / I. NEC chapter 9 table 8, 16 AWG stranded at 75 degC: 2 x 4.99 ohm/kft."""
    a_job = job([pull("C1.1", "K1", 50), pull("C1.2", "K2", 50)], [device("K1", 17.0), device("K2", 17.0)])
    amperes = 17.5 / 24
    longest_kft = (24 - 17 / amperes) / amperes / (2 * 4.99)
    for state in measured(a_job, profile(conductor_temperature="75 degC")).runs:
        assert state.first_limit == "power"
        assert state.growth_margin == pytest.approx(longest_kft / 0.05, rel=2e-4)


def test_a_run_that_cannot_be_delivered_says_nothing_of_its_supply() -> None:
    state = only(job([pull("C1.1", "K1", 950)], [device("K1", 30.0)]))
    assert state.first_limit == "voltage"
    assert state.growth_margin is not None
    assert state.growth_margin < 1


def test_an_off_spec_run_has_half_the_margin() -> None:
    rows = [pull("C1.1", "K1", 400)]
    assert only(job(rows)).growth_margin == pytest.approx(2.5)
    assert only(job(rows, cable=replace(OFF_SPEC, name="CAB"))).growth_margin == pytest.approx(1.25)


LENGTH_RULES = ("run-length", "reach", "capacitance", "voltage", "power")


def breaks(a_job: Job, a_profile: Profile, factor: float) -> list[str]:
    """The rules that fail with every pull longer by a factor."""
    longer = replace(a_job, pulls=tuple(replace(p, length_m=(p.length_m or 0) * factor) for p in a_job.pulls))
    return [
        rule
        for rule in LENGTH_RULES
        if any(f.level is Level.FAIL for f in found(rule, longer, a_profile))
    ]  # fmt: skip


@pytest.mark.parametrize("seed", range(12))
def test_growth_margin_is_what_auditing_longer_and_longer_runs_finds(seed: int) -> None:
    draw = random.Random(seed)
    ends = ["C1.1"]
    rows, devices = [], []
    for n in range(draw.randint(1, 8)):
        rows.append(pull(draw.choice(ends), f"K{n}", draw.randint(5, 250)))
        devices.append(
            device(f"K{n}", draw.choice([0.1, 1.0, 3.0]), min_voltage_v=draw.choice([None, 12.0, 20.0]))
        )
        ends.append(f"K{n}")  # fmt: skip
    a_job = job(rows, devices)
    a_profile = profile(run__capacitance=draw.choice([None, "30 nF"]))
    state = only(a_job, a_profile)
    assert state.growth_margin is not None
    assert breaks(a_job, a_profile, state.growth_margin * 0.999) == []
    assert state.first_limit in breaks(a_job, a_profile, state.growth_margin * 1.001)

"""What a measured job becomes in its audit: figures, and blanks where something they rest on is not known."""

from dataclasses import replace

import pytest

from auditor.audit import audit
from auditor.job.model import Controller, Load
from auditor.results.audit_result import Audit, RunResult
from auditor.results.findings import Verdict
from tests.builders import SPEC, device, job, profile, pull

TWO = [pull("C1.1", "K1", 100), pull("K1", "K2", 50)]
WATTS = [device("K1", 2.0), device("K2", 3.0)]


def audited(*args: object, **limits: object) -> Audit:
    return audit(job(*args), profile(**limits))  # type: ignore[arg-type]


def only(result: Audit) -> RunResult:
    (run,) = result.runs
    return run


def test_a_run_that_is_known_has_all_its_figures() -> None:
    run = only(audited(TWO, WATTS))
    assert (run.name, run.controller, run.port, run.branch, run.head_end) == ("C1.1", "C1", "1", None, None)
    assert run.cable_m == pytest.approx(150 * 0.3048)
    assert (run.reach_m, run.farthest) == (pytest.approx(150 * 0.3048), "K2")
    assert (run.devices, run.power_w, run.source_voltage_v) == (2, 5.0, 24.0)
    assert (run.min_voltage_at, run.lowest_known) == ("K2", False)
    assert run.supplied_w == pytest.approx(run.power_w + run.loss_w, rel=1e-9)
    assert run.current_a == pytest.approx(run.supplied_w / 24, rel=1e-9)
    assert run.verdict is Verdict.PASS


def test_a_length_that_is_missing_leaves_blank_what_rests_on_it() -> None:
    result = audited([TWO[0], pull("K1", "K2", None)], WATTS)
    run = only(result)
    assert run.power_w == 5.0
    assert (run.cable_m, run.reach_m, run.farthest, run.growth_margin) == (None, None, None, None)
    assert (run.min_voltage_v, run.min_voltage_at, run.current_a, run.loss_w, run.supplied_w) == (None,) * 5
    assert [each.distance_m for each in result.devices] == [pytest.approx(30.48), None]
    assert [each.voltage_v for each in result.devices] == [None, None]
    assert run.verdict is Verdict.REVIEW


def test_a_power_that_is_missing_leaves_blank_what_rests_on_it() -> None:
    result = audited(TWO, [WATTS[0], device("K2", None)])
    run = only(result)
    assert run.cable_m == pytest.approx(150 * 0.3048)
    assert (run.power_w, run.min_voltage_v, run.current_a, run.loss_w, run.supplied_w) == (None,) * 5
    assert [each.power_w for each in result.devices] == [2.0, None]


def test_a_run_without_loads_or_without_a_solution_has_no_lowest_voltage() -> None:
    assert only(audited(TWO, [device("K1", 0.0), device("K2", 0.0)])).min_voltage_v is None
    run = only(audited([pull("C1.1", "K1", 950)], [device("K1", 30.0)]))
    assert (run.min_voltage_v, run.min_voltage_at, run.supplied_w, run.loss_w) == (None,) * 4
    assert run.power_w == 30.0


def test_a_quantity_multiplies_watts_and_idle_watts() -> None:
    rows = [device("K1", 2.0, quantity=3, idle_w=0.5), device("K2", 3.0), device("K2", None)]
    result = audited(TWO, rows)
    assert [(each.quantity, each.power_w) for each in result.devices] == [(3, 6.0), (1, 3.0), (1, None)]
    assert only(result).idle_power_w == 3 * 0.5 + 3.0
    assert only(audited(TWO, WATTS)).idle_power_w is None


def test_of_joined_ports_the_second_has_no_figures_of_its_own() -> None:
    result = audited([*TWO, pull("K2", "C1.2", 10)], WATTS)
    first, second = result.runs
    assert first.devices == 2
    assert (second.name, second.devices) == ("C1.2", 0)
    blank = (
        second.cable_m,
        second.reach_m,
        second.power_w,
        second.current_a,
        second.min_voltage_v,
        second.supplied_w,
    )
    assert blank == (None,) * 6
    assert second.verdict is first.verdict is Verdict.FAIL


def test_of_three_joined_ports_each_further_one_stands_in_the_audit() -> None:
    result = audited([*TWO, pull("K2", "C1.2", 10), pull("K1", "C2.1", 10)], WATTS)
    assert [(run.controller, run.port, run.devices) for run in result.runs] == [
        ("C1", "1", 2),
        ("C1", "2", 0),
        ("C2", "1", 0),
    ]
    assert {(each.controller, each.port) for each in result.devices} == {("C1", "1")}


def test_a_run_that_joins_a_port_and_a_head_end_is_known_by_its_port() -> None:
    result = audit(job([*TWO, pull("K2", "PANEL")], WATTS, head_ends=["PANEL"]), profile())
    assert (only(result).name, only(result).head_end) == ("C1.1", None)


def test_a_run_without_devices_has_its_cable_and_no_farthest() -> None:
    run = only(audit(job([pull("C1.1", "SP1", 100)], splices=["SP1"]), profile()))
    assert run.cable_m == pytest.approx(30.48)
    assert (run.devices, run.reach_m, run.farthest, run.idle_power_w) == (0, None, None, None)


def test_the_limits_of_a_run_are_those_in_force() -> None:
    limits = only(audited(TWO, WATTS, run__reach="300 ft", run__cable="800 ft", run__devices=9)).limits
    assert limits.reach_m == pytest.approx(300 * 0.3048)
    assert limits.cable_m == pytest.approx(800 * 0.3048)
    assert (limits.devices, limits.power_w) == (9, None)


def test_a_branch_without_a_port_is_known_by_its_first_pull_and_its_head_end() -> None:
    result = audit(job([pull("PANEL", "K1"), pull("K1", "K2")], head_ends=["PANEL"]), profile())
    run = only(result)
    assert (run.port, run.branch, run.head_end, run.name) == (None, "PANEL-K1", "PANEL", "branch PANEL-K1")
    assert [each.branch for each in result.pulls] == ["PANEL-K1", "PANEL-K1"]
    assert [(each.controller, each.port) for each in result.devices] == [(None, None)] * 2


def test_what_no_port_feeds_has_no_figures_of_a_run() -> None:
    result = audited([TWO[0], pull("K8", "K9", 10)], [*WATTS[:1], device("K8"), device("K9")])
    dark = result.devices[1]
    assert (dark.controller, dark.port, dark.distance_m, dark.voltage_v) == (None, None, None, None)
    assert (result.pulls[1].controller, result.pulls[1].branch, result.pulls[1].verdict) == (
        None,
        None,
        Verdict.FAIL,
    )


@pytest.mark.parametrize(
    ("limits", "power_w", "rated_w"),
    [
        ({}, 35.0, 35.0),
        ({"controller__supply_headroom": 0.2}, 28.0, 35.0),
        ({"controller__supply_power": None, "controller__supply_current": "1 A"}, 24.0, 24.0),
        ({"controller__supply_power": None}, None, None),
        ({"controller__supply_current": "1 A"}, 35.0, 35.0),  # rated in watts, whatever its amperes
        (
            {
                "controller__supply_power": None,
                "controller__supply_current": "1 A",
                "controller__supply_headroom": 0.25,
            },
            18.0,  # three quarters of 24 W
            24.0,
        ),
    ],
)
def test_a_supply_with_and_without_its_headroom(
    limits: dict[str, object], power_w: float | None, rated_w: float | None
) -> None:
    (supply,) = audited(TWO, WATTS, **limits).supplies
    assert (supply.controller, supply.voltage_v, supply.devices) == ("C1", 24.0, 100)
    assert (supply.power_w, supply.rated_w) == (power_w, rated_w)


def test_a_supply_as_the_schedule_states_it() -> None:
    listed = [Controller(name="C1", supply_voltage_v=36.0, supply_power_w=120.0)]
    (supply,) = audit(job(TWO, WATTS, controllers=listed), profile()).supplies
    assert (supply.voltage_v, supply.power_w, supply.rated_w) == (36.0, 120.0, 120.0)


def test_each_pull_names_the_reel_that_it_is_cut_from() -> None:
    result = audited(TWO, WATTS)
    assert [each.reel for each in result.pulls] == ["R1", "R1"]
    spare = audited([*TWO, pull("K2", "C1.1", 90, landed=False)], WATTS).pulls[2]
    assert (spare.landed, spare.controller, spare.branch) == (False, None, None)


def test_each_pull_says_what_it_feeds_what_it_carries_and_whether_it_is_off_specification() -> None:
    """The one with the longer way closes the loop; the home run carries what the run draws."""
    result = audited([*TWO, pull("C1.1", "K2", 160)], WATTS)
    assert [each.feeds for each in result.pulls] == ["K1", "K2", None]
    assert [each.off_spec for each in result.pulls] == [False, False, False]
    home, _, other = result.pulls
    assert home.current_a + other.current_a == pytest.approx(only(result).current_a, rel=1e-9)
    alone = audited(TWO, WATTS)
    assert alone.pulls[0].current_a == pytest.approx(only(alone).current_a, rel=1e-9)
    assert [each.current_a for each in audited([TWO[0], pull("K1", "K2", None)], WATTS).pulls] == [None, None]
    backward = audited([TWO[0], pull("K2", "K1", 50)], WATTS)
    assert [each.feeds for each in backward.pulls] == ["K1", "K2"]


def test_ends_that_are_nothing_of_the_job_are_named() -> None:
    result = audited([*TWO, pull("K2", "K9", 10), pull("K8", "K7", 10)], WATTS)
    assert result.unknown_ends == {"K7", "K8", "K9"}
    assert [each.feeds for each in result.pulls] == ["K1", "K2", "K9", None]


def test_what_the_voltages_stand_on() -> None:
    assert audited(TWO, WATTS).voltage_basis == "30 °C, constant power"
    mixed = [WATTS[0], replace(WATTS[1], load=Load.RESISTIVE)]
    assert audited(TWO, mixed).voltage_basis == "30 °C, constant power, or as listed"
    alike = [WATTS[0], replace(WATTS[1], load=Load.CONSTANT_POWER)]
    assert audited(TWO, alike, power_duty=0.9).voltage_basis == "30 °C, constant power, while power flows"


def test_off_specification_is_yes_no_or_not_known() -> None:
    cables = [SPEC, replace(SPEC, shielded=True), replace(SPEC, shielded=None)]
    derated = [only(audit(job(TWO, WATTS, cable=cable), profile())).derated for cable in cables]
    assert derated == [False, True, None]


def test_the_verdict_is_the_worst_of_the_findings() -> None:
    assert audited(TWO, WATTS).verdict is Verdict.PASS
    assert audited(TWO, [WATTS[0], device("K2", None)]).verdict is Verdict.REVIEW
    assert audited(TWO, WATTS, run__reach="149 ft").verdict is Verdict.FAIL

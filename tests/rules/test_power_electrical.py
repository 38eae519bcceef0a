"""Headroom, capacitors that charge, the class of a supply, and which supply of a joined run gives what."""

from dataclasses import replace

import pytest

from auditor.bus.measure import measure
from auditor.job.model import Controller, Job
from auditor.results.findings import Finding, Level
from tests.builders import SPEC, device, found, job, profile, pull, reaudit

NOTE = Level.NOTE


def at_the_port(power_w: float, **sheet: float) -> Job:
    controllers = [Controller(name="C1", **sheet)] if sheet else []  # type: ignore[arg-type]
    return job([pull("C1.1", "K1", 0.001)], [device("K1", power_w)], controllers=controllers)


def notes(a_job: Job, **limits: object) -> list[Finding]:
    return [finding for finding in found("power", a_job, profile(**limits)) if finding.level is NOTE]


@pytest.mark.parametrize(("power_w", "said"), [(27.9, False), (28.2, True), (34.9, True), (35.1, False)])
def test_a_supply_with_less_headroom_than_is_usual_is_a_note(power_w: float, said: bool) -> None:
    """1.25 times the draw (a training lesson: 3.1 A x 1.25 = 3.875 A); of 35 W that is 28 W."""
    assert len(notes(at_the_port(power_w))) == said


def test_the_advised_size_is_in_the_note() -> None:
    (note,) = notes(at_the_port(30.0))
    assert note.message == (
        "The devices on C1 and the cable's loss together take 30 W, 85.7 % of the 35 W supply; common "
        "practice sizes a supply for 1.25 times what is drawn, 37.5 W here"
    )
    assert (note.measured, note.limit, note.unit) == (pytest.approx(30, abs=0.01), 35, "W")


@pytest.mark.parametrize(
    ("each", "all_of_them", "milliseconds", "seconds"),
    [("1000 uF", "20,000", "329.1", 0.32914), ("100000 uF", "2,000,000", "32,914.3", 32.9143)],
)
def test_how_long_the_capacitors_charge(
    each: str, all_of_them: str, milliseconds: str, seconds: float
) -> None:
    """C V = I t: 20 times 1,000 uF, 24 V, and 35 W / 24 V = 1.4583 A: 329.14 ms."""
    a_job = job([pull("C1.1", "K1", 0.001)], [device("K1", 0.1, quantity=20)])
    (note,) = notes(a_job, hold_up={"capacitance": each, "data_phase": "1 ms"})
    assert note.message == (
        f"At switch-on the hold-up capacitors of the devices on C1, {all_of_them} µF by the profile's assumption, "
        f"take {milliseconds} ms to charge at the 1.46 A of the supply; ask its maker whether it starts into such a "
        "load"
    )
    assert note.measured == pytest.approx(seconds, rel=1e-4)


def test_the_class_of_a_supply_goes_by_its_rating_not_by_what_the_headroom_leaves() -> None:
    """NEC chapter 9 table 11(B), over 20 to 30 V: 100 VA (from memory)."""
    (note,) = notes(at_the_port(1.0, supply_power_w=110.0), controller__supply_headroom=0.2)
    assert note.message.startswith(
        "The supply of C1 gives 110 W at 24 V; a Class 2 supply has 100 VA at most"
    )
    assert "local code" in note.message


def test_of_a_joined_run_each_supply_gives_what_its_own_port_gives() -> None:
    """One load of constant power a third of the way from C1.1: two thirds of the current come from there."""
    rows = [pull("C1.1", "K1", 100), pull("K1", "C2.1", 200)]
    seen = measure(job(rows, [device("K1", 10.0)], cable=replace(SPEC, stranded=True)), profile())
    one, other = seen.controllers
    assert one.current_a == pytest.approx(2 * other.current_a)
    assert (one.power_w, other.power_w) == (10, 10)  # while they are joined either may have to give it all


@pytest.mark.parametrize(("headroom", "fails"), [(0.0, False), (0.2, True)])
def test_headroom_counts_for_a_supply_that_is_rated_by_its_current_too(headroom: float, fails: bool) -> None:
    limits = profile(
        controller__supply_power=None,
        controller__supply_current="250 mA",
        controller__supply_headroom=headroom,
    )
    levels = {finding.level for finding in found("power", at_the_port(24 * 0.22), limits)}
    assert (Level.FAIL in levels) == fails


def test_the_budget_of_a_supply_that_is_rated_by_its_current_is_in_watts() -> None:
    limits = profile(controller__supply_power=None, controller__supply_current="250 mA")
    (supply,) = reaudit(at_the_port(1.0), limits).supplies
    assert supply.power_w == 0.25 * 24

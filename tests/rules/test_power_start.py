"""What the devices of a controller take when they start together, and sums over runs of which not all is known."""

from typing import Any

import pytest

from auditor.job.model import Controller
from auditor.results.findings import Level
from tests.builders import device, found, job, profile, pull

WARM = profile(
    conductor_temperature="75 degC"
)  # as NEC chapter 9 table 8 prints 16 AWG stranded: 4.99 ohm/kft
FAR_FT = 950.0  # at 30 degC the cable delivers 17.8 W there at most (see test_voltage.py)


def on_ports(*devices: Any, feet: tuple[float, ...]) -> Any:
    rows = [
        pull(f"C1.{n}", each.tag, length)
        for n, (each, length) in enumerate(zip(devices, feet, strict=True), 1)
    ]
    return job(rows, devices)


def starting(watts: str, others: str = "") -> tuple[Level, str]:
    """`others`: how many rows of how many state no start-up power."""
    counted = (
        f"; {others} device rows state no start-up power and are counted with what they draw"
        if others
        else ""
    )
    return (
        Level.REVIEW,
        f"When all devices on C1 start together they and the cable take {watts} for a moment, and the supply gives 35 W"
        f"{counted}; ask the maker whether it starts such a load",
    )


def said(a_job: Any, limits: Any = None) -> list[tuple[Level, str]]:
    return [(each.level, each.message) for each in found("power", a_job, limits)]


def test_the_cables_loss_counts_at_the_start() -> None:
    """34 W behind 0.998 ohm take (24 - sqrt(576 - 4 x 0.998 x 34)) / 1.996 A = 1.5117 A of 24 V."""
    a_job = on_ports(device("K1", 1.0, start_w=34.0), feet=(100,))
    assert said(a_job, WARM) == [starting("36.3 W")]


def test_the_loss_of_a_run_in_use_counts_beside_one_that_starts() -> None:
    """17 W behind 0.998 ohm take 0.73053 A, 17.533 W; twice that is more than 35 W, and 17.533 + 17 W is not."""
    a_job = on_ports(device("K1", 1.0, start_w=17.0), device("K2", 17.0), feet=(100, 100))
    assert said(a_job, WARM) == [starting("35.1 W", "1 of 2")]
    assert said(on_ports(device("K1", 1.0, start_w=17.0), device("K2", 17.0), feet=(100, 0.01)), WARM) == [
        starting("34.5 W", "1 of 2")
    ]


def test_a_start_that_the_cable_cannot_carry_counts_as_the_devices_state_it() -> None:
    """Two of 20 W, and what does not say counts as in use."""
    rows = [pull("C1.1", "K1", FAR_FT), pull("K1", "K2", 1), pull("K2", "K3", 1)]
    devices = [device("K1", 1.0, quantity=2, start_w=20.0), device("K2", 3.0)]
    assert said(job(rows[:2], devices)) == [starting("43 W", "1 of 2")]
    assert said(job(rows, [*devices, device("K3", None)])) == [starting("at least 43 W", "2 of 3")]


def test_a_run_that_cannot_be_delivered_counts_as_its_devices_state_it() -> None:
    a_job = on_ports(device("K1", 1.0, start_w=10.0), device("K2", 30.0), feet=(0.01, FAR_FT))
    assert said(a_job) == [starting("40 W", "1 of 2")]


def test_a_start_that_is_stated_needs_no_power_in_use() -> None:
    assert said(on_ports(device("K1", None, start_w=36.0), feet=(0.01,))) == [starting("36 W")]


def test_one_run_of_which_something_is_missing_makes_the_sum_a_lower_bound() -> None:
    a_job = on_ports(device("K1", 30.0), device("K2", None), feet=(0.01, 0.01))
    assert said(a_job) == [
        (
            Level.NOTE,
            "The devices on C1 and the cable's loss together take at least 30 W, 85.7 % of the 35 W supply; common practice "
            "sizes a supply for 1.25 times what is drawn, at least 37.5 W here",
        )
    ]


def test_while_one_run_cannot_be_delivered_nothing_is_said_of_headroom() -> None:
    """31 W of 35 W, with a quarter on top 38.75 W."""
    assert said(on_ports(device("K1", 1.0), device("K2", 30.0), feet=(1, FAR_FT))) == []


@pytest.mark.parametrize(("power_w", "notes"), [(0.5, 0), (1.0, 1)])
def test_a_small_supply_has_its_headroom_too(power_w: float, notes: int) -> None:
    """1.25 times 0.5 W are less than 1.2 W, 1.25 times 1 W are more."""
    small = job(
        [pull("C1.1", "K1", 0.01)],
        [device("K1", power_w)],
        controllers=[Controller(name="C1", supply_power_w=1.2)],
    )
    assert len(said(small)) == notes

"""What is named where several would do, and what a pull of unknown length adds."""

import pytest

from auditor.bus.topology import Run, greatest_distance, topology
from auditor.job.model import Pull
from auditor.units import m_from_ft
from tests.builders import job, pull


def only_run(*pulls: Pull, **more: object) -> Run:
    (run,) = topology(job(pulls, **more)).runs  # type: ignore[arg-type]
    return run


def test_a_run_between_two_head_ends_has_the_name_of_the_first() -> None:
    run = only_run(pull("HE2", "K1"), pull("K1", "HE1"), head_ends=["HE1", "HE2"])
    assert (run.name, run.shown) == ("branch HE2-K1 of HE1", "branch HE2-K1 of HE1")


def test_cable_of_unknown_length_adds_nothing_to_what_is_known() -> None:
    run = only_run(pull("C1.1", "K1", 10), pull("K1", "K2", None))
    assert run.cable_m == pytest.approx(m_from_ft(10))


def test_of_devices_at_the_same_distance_the_first_in_the_schedule_is_the_farthest() -> None:
    run = only_run(pull("C1.1", "K3", 10), pull("C1.1", "K1", 10), pull("C1.1", "K2", 10))
    assert run.farthest() == "K3"
    assert list(run.reach_m()) == ["K3", "K1", "K2"]


def test_of_pairs_at_the_same_distance_the_first_is_named() -> None:
    run = only_run(*(pull("C1.1", tag, 10) for tag in ("K3", "K1", "K2")))
    assert greatest_distance(run) == (pytest.approx(m_from_ft(20)), "K3", "K1")


@pytest.mark.parametrize("longest_way", [False, True])
def test_short_ways_and_ways_of_unknown_length_count_as_they_are(longest_way: bool) -> None:
    """Round a loop of 3 ft the longer way between two devices has 2 ft; a pull of unknown length counts as none."""
    loop = [pull("C1.1", "K1", 1), pull("K1", "K2", 1), pull("K2", "C1.1", 1), pull("K2", "K3", None)]
    found_m, *_ = greatest_distance(only_run(*loop), longest_way=longest_way)
    assert found_m == pytest.approx(m_from_ft(2 if longest_way else 1))

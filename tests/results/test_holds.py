"""Which pulls a crew must not cut yet."""

from dataclasses import replace

from auditor.job.model import Job
from auditor.results.holds import holds
from tests.builders import device, job, measured, profile, pull


def _held(a_job: Job, **limits: object) -> dict[str, str]:
    bus = measured(a_job, profile(**limits)) if limits else measured(a_job)
    found = holds(bus)
    return {one.id: found[id(one)] for one in a_job.pulls if id(one) in found}


def test_what_would_be_cut_for_nothing_waits() -> None:
    rows = [
        pull("C1.1", "K1"),
        pull("K1", "K2"),
        pull("K2", "C1.1", id="ring"),
        pull("K1", "K9", id="slip"),
        pull("K3", "K4", id="dark"),
        pull("K2", "", id="blank"),
    ]
    devices = [device(f"K{number}") for number in (1, 2, 3, 4)]
    assert _held(job(rows, devices)) == {
        "K1-K2": "closes a loop",
        "slip": "K9 is not known",
        "dark": "no port feeds it",
        "blank": "an end is blank",
    }


def test_a_joint_of_two_ports_waits_and_a_loop_where_the_bus_allows_it_does_not() -> None:
    joint = [pull("C1.1", "K1"), pull("K1", "C1.2", id="joint")]
    assert list(_held(job(joint)).values()) == ["joins two ports"]
    ring = [pull("C1.1", "K1"), pull("K1", "K2"), pull("K2", "C1.1", id="ring")]
    assert _held(job(ring), loops="allowed") == {}


def test_a_length_in_question_and_a_job_without_faults() -> None:
    sound = job([pull("C1.1", "K1"), pull("K1", "K2", id="asked")])
    assert _held(sound) == {}
    asked = replace(sound.pulls[1], asked=frozenset({"length_m"}))
    assert _held(replace(sound, pulls=(sound.pulls[0], asked))) == {"asked": "its length is in question"}

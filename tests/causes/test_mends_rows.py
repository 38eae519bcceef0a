"""Ways to mend a row that is listed twice, a loop, a port that is not there and cable off specification."""

from dataclasses import replace

import pytest

from auditor.job.model import Controller, Device, Job
from tests.builders import SPEC, device, job, pull
from tests.causes.thought_of import FEED, mends, mends_of, ways


def mends_of_row(a_job: Job, row: int) -> list:
    return [
        each
        for each in mends(a_job)
        if each.finding.rule == "double-entry" and each.finding.where.row == row  # type: ignore[union-attr]
    ]


def test_a_pull_listed_twice_ends_at_one_dark_device_or_goes() -> None:
    twice = [pull("K1", "K2", id="P2"), pull("K1", "K2", id="P2")]
    tags = [device(f"K{n}") for n in range(1, 5)]
    found = mends_of_row(job([FEED, *twice], tags), 4)
    assert [(each.way, each.fault) for each in found] == [
        ("as K3, one of 2 that nothing feeds", "Pull P2 ends at K2"),
        ("without this row", "P2 is listed in row 3 and again here"),
    ]
    assert found[1].change.gone == {("Pulls", 4)}
    assert [each.way for each in mends_of_row(job([FEED, *twice], tags[:2]), 4)] == ["without this row"]


@pytest.mark.parametrize(
    "twice",
    [
        [device("K4"), device("K4")],
        [device("K4", controller="C1"), device("K4")],
        [device("K4"), device("K4", controller="C1")],
        [device("K4", controller="C1"), device("K4", controller="C1")],
    ],
    ids=["on no controller", "one on C1", "the other on C1", "both on C1"],
)
def test_a_device_that_is_not_listed_on_two_controllers_can_only_go(twice: list[Device]) -> None:
    tags = [device("K1", controller="C2"), *twice]
    assert set(ways(job([FEED, pull("K1", "K4", id="P2")], tags), "double-entry", "K4")) == {
        "without this row"
    }


def test_of_two_devices_of_one_tag_each_keeps_the_pulls_of_its_controller() -> None:
    """Pulls from the port itself, from a head end, over another device and over a spare return, which joins nothing."""
    devices = [device("K4", controller="C1"), device("K4", controller="C2"), device("K1"), device("K9")]
    pulls = [
        pull("C1.1", "K1", id="P1"),
        pull("K1", "K4", id="P2"),
        pull("C2.1", "K4", id="P3"),
        pull("C2.2", "K9", id="P4"),
        pull("K4", "K9", id="P5"),
        pull("C2", "K4", id="P6"),
        pull("K9", "K1", id="P7", landed=False),
        pull("", "K4", id="P8"),
        pull("K1", "", id="P9"),
        pull("", "C2.2", id="P10"),
    ]
    a_job = job(pulls, devices, head_ends=["C2"])
    parted = {
        tag: [(each.near, each.far) for each in mend.change.applied(a_job).pulls]
        for mend in mends_of(a_job, "double-entry", "K4")
        for tag in [each.tag for each in mend.change.devices.values()]
    }
    as_scheduled = [(each.near, each.far) for each in pulls]
    on_c1, on_c2 = list(as_scheduled), list(as_scheduled)
    on_c1[1] = ("K1", "K4 on C1")
    on_c2[2], on_c2[4], on_c2[5] = ("C2.1", "K4 on C2"), ("K4 on C2", "K9"), ("C2", "K4 on C2")
    assert parted == {"K4 on C1": on_c1, "K4 on C2": on_c2}


# --- loops and joined ports ---------------------------------------------------------------------------


def test_of_a_loop_first_the_pull_that_ends_where_another_arrives_then_the_one_to_lift() -> None:
    """P5 should end at K5. P4 is the longest way round, so lifting it keeps every reach."""
    pulls = [
        FEED,
        pull("K1", "K2", id="P2"),
        pull("K2", "K3", id="P3"),
        pull("K3", "K4", 15, id="P4"),
        pull("K4", "K1", id="P5"),
    ]
    a_job = job(pulls, [device(f"K{n}") for n in range(1, 6)])
    found = mends_of(a_job, "loop", "P4")
    assert [(each.way, each.fault) for each in found] == [
        (
            "with pull P5 ending not at K1 but at K5, which nothing feeds",
            "Pulls P4, P3, P2, P5 close a loop on C1.1",
        ),
        ("as K5, which nothing feeds", "Pull P4 ends at K4, and a loop closes there"),
        (
            "with pull P3 ending not at K3 but at K5, which nothing feeds",
            "Pulls P4, P3, P2, P5 close a loop on C1.1",
        ),
        (
            "with pull P2 ending not at K2 but at K5, which nothing feeds",
            "Pulls P4, P3, P2, P5 close a loop on C1.1",
        ),
        ("with pull P4 (K3 to K4) lifted", "Pulls P4, P3, P2, P5 close a loop on C1.1"),
    ]
    assert [each.landed for each in found[-1].change.applied(a_job).pulls] == [True, True, True, False, True]


def test_of_joined_ports_the_path_between_them() -> None:
    pulls = [FEED, pull("C1.2", "K2", id="P2"), pull("K2", "K1", id="P3")]
    a_job = job(pulls, [device("K1"), device("K2"), device("K3")])
    found = mends_of(a_job, "joined-ports", "P3")
    assert [(each.way, each.fault) for each in found] == [
        ("as K3, which nothing feeds", "Pull P3 ends at K1, and two ports are joined there"),
        (
            "with pull P1 ending not at K1 but at K3, which nothing feeds",
            "Pulls P2, P3, P1 join C1.2 and C1.1",
        ),
        (
            "with pull P2 ending not at K2 but at K3, which nothing feeds",
            "Pulls P2, P3, P1 join C1.2 and C1.1",
        ),
        ("with pull P3 (K2 to K1) lifted", found[-1].fault),
    ]


# --- ports and cable ----------------------------------------------------------------------------------


def test_a_pull_at_a_port_that_is_not_there_goes_to_three_at_most_with_the_free_ones_first() -> None:
    pulls = [FEED, pull("C1.3", "K2", id="P2"), pull("K3", "C1.9", id="P3")]
    five = job(pulls, controllers=[Controller(name="C1", ports=5)])
    found = mends_of(five, "port-use", "C1.9")
    assert [each.way for each in found] == ["on C1.2", "on C1.4", "on C1.5"]
    after = found[0].change.applied(five)
    assert [(each.near, each.far) for each in after.pulls] == [("C1.1", "K1"), ("C1.3", "K2"), ("K3", "C1.2")]


def test_only_ports_that_are_not_there_are_others() -> None:
    """The list has K2 on C1.2 while its pull leads to C1.1: which of the two holds is not to be tried."""
    tags = [device("K1"), device("K2", controller="C1", port="2")]
    assert mends(job([FEED, pull("K1", "K2", id="P2")], tags)) == []


def test_cable_off_specification_is_replaced_and_cable_that_is_not_known_is_not() -> None:
    off = replace(SPEC, shielded=True, fire_rating="riser")
    (mend,) = mends(job([FEED], cable=off))
    assert mend.finding.subject == "CAB"
    assert mend.fault == "Cable CAB is off specification: shielded where unshielded is asked for"
    assert mend.otherwise == "; or keep within its limits"
    after = mend.change.applied(job([FEED], cable=off)).cables["CAB"]
    assert (after.shielded, after.fire_rating, after.gauge) == (False, "riser", "16 AWG")
    assert mends(job([FEED], cable=replace(SPEC, shielded=None))) == []


def test_cable_of_too_little_insulation_is_to_be_ordered_anew() -> None:
    (mend,) = mends(job([FEED], cable=replace(SPEC, insulation_v=30.0)))
    assert mend.otherwise == (
        "; order cable with the insulation that is asked for: no shorter run mends that"
    )

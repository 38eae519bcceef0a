"""One head end: which branches are its own, what each adds up to, how controllers and their ports are called."""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from auditor.audit import judge_as_planned
from auditor.calc.ports.plan import PortPlan
from auditor.calc.ports.problem import Branch, PlanPort, TreePull
from auditor.errors import PlanError
from auditor.job.model import Controller, Job
from auditor.plans.head_end import HeadEnd, Namer, head_ends, port_labels
from auditor.profile.limits import Profile
from auditor.units import m_from_ft
from tests.builders import SPEC, device, job, measured, pull

THIN = replace(SPEC, name="THIN", area_mm2=0.823, gauge="18 AWG")


def head_end(a_job: Job, place: str = "PANEL", limits: Profile | None = None) -> HeadEnd:
    return HeadEnd(measured(a_job, limits), place, Namer(a_job))


def plan(a_job: Job, place: str = "PANEL", limits: Profile | None = None) -> tuple[HeadEnd, PortPlan]:
    one = head_end(a_job, place, limits)
    return one, one.plan(judge_as_planned)


def at(place: str | None, name: str = "C1", **more: object) -> Controller:
    return Controller(name=name, head_end=place, **more)  # type: ignore[arg-type]


# --- which controllers and branches are here ----------------------------------------------------------


@pytest.mark.parametrize(
    ("controllers", "stated", "places"),
    [
        ([at(None)], [], [""]),
        ([at(None)], ["PANEL"], ["PANEL"]),
        ([at(None)], ["A", "B"], ["", "A", "B"]),
        ([at("ATTIC")], ["PANEL"], ["ATTIC", "PANEL"]),
        ([at("ATTIC", "PANEL")], ["PANEL"], ["PANEL"]),  # pulls end at it
        ([at("P10"), at("P2", "C2")], [], ["P2", "P10"]),
    ],
)
def test_where_controllers_stand(controllers: list[Controller], stated: list[str], places: list[str]) -> None:
    assert head_ends(measured(job([], controllers=controllers, head_ends=stated))) == places


def test_each_head_end_has_its_own_branches_and_ports_that_are_joined_belong_to_both() -> None:
    rows = [pull("C1.1", "K1"), pull("C2.1", "K2"), pull("A", "K3"), pull("B", "K4")]
    rows += [pull("C1.2", "K5"), pull("K5", "C2.2")]
    a_job = job(rows, controllers=[at("A"), at("B", "C2")], head_ends=["A", "B"])
    one, other = head_end(a_job, "A"), head_end(a_job, "B")
    assert [branch.id for branch in one.branches] == ["C1.1-K1", "A-K3"]
    assert [branch.id for branch in other.branches] == ["C2.1-K2", "B-K4"]
    for each in (one, other):
        with pytest.raises(
            PlanError, match=r"^C1\.2 and C2\.2 are joined; lift the pull that joins them first$"
        ):
            each.plan(judge_as_planned)


# --- branches -----------------------------------------------------------------------------------------


def test_a_branch_is_the_tree_beyond_its_home_run_with_what_it_adds_up_to() -> None:
    """Two home runs on one port; 20 ft and 30 ft, 3 devices of 2 W, 1 of 0.5 W and one whose power is not known."""
    rows = [
        pull("C1.1", "S1", 20, id="A"),
        pull("C1.1", "K9", 40, id="B", cable="THIN", pinned=True),
        pull("S1", "K1", 30, id="C", cable="THIN"),
        pull("K1", "S2", 100, id="D"),
        pull("S1", "K2", None, id="E"),
    ]
    devices = [device("K1", 2.0, quantity=3), device("K1", 0.5), device("K2", None), device("K9", 1.0)]
    a_job = job(rows, devices, splices=["S1", "S2"])
    a_job = replace(a_job, cables={"CAB": SPEC, "THIN": THIN})
    first, second = head_end(a_job, "").branches
    feet = {"A": 20, "E": 0, "C": 30, "D": 100}
    assert first == Branch(
        id="A",
        cable_m=pytest.approx(m_from_ft(150)),
        devices=5,
        power_w=6.5,
        reach_m=pytest.approx(m_from_ft(50)),  # K1; S2 is farther and no device
        off_spec=True,
        port=PlanPort("C1", "1"),
        pinned=False,
        pulls=tuple(
            TreePull(
                id=f"A:{number}",
                parent=parent,
                length_m=pytest.approx(m_from_ft(feet[name])),
                devices=devices_there,
                power_w=power_w,
                end=end,
                off_spec=name == "C",
            )
            for number, (name, parent, end, devices_there, power_w) in enumerate(
                [
                    ("A", None, "S1", 0, 0.0),
                    ("E", "A:0", "K2", 1, 0.0),
                    ("C", "A:0", "K1", 4, 6.5),
                    ("D", "A:2", "S2", 0, 0.0),
                ]
            )
        ),
    )
    assert (second.id, second.pinned, second.off_spec, second.devices) == ("B", True, True, 1)
    assert (second.cable_m, len(second.pulls)) == (pytest.approx(m_from_ft(40)), 1)


def test_a_branch_without_devices_has_no_reach() -> None:
    (branch,) = head_end(job([pull("PANEL", "S1", 900)], [], head_ends=["PANEL"], splices=["S1"])).branches
    assert (branch.reach_m, branch.devices, branch.port) == (0.0, 0, None)


def test_branches_are_called_by_their_first_pull_told_apart_by_row_where_ids_repeat_or_by_its_ends() -> None:
    rows = [pull("PANEL", f"K{n}", id=name) for n, name in enumerate(["1", "1", ""], 1)]
    found = head_end(job(rows, head_ends=["PANEL"])).branches
    assert [branch.id for branch in found] == ["1", "1 in row 3 of Pulls", "PANEL to K3"]


# --- names --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("controllers", "place", "names"),
    [
        ([], "", ["C1", "C2", "C3"]),
        ([at(None), at(None, "C3")], "PANEL", ["C2", "C4", "C5"]),
        ([at(None, "p1"), at(None, "P2")], "", ["p3", "p4", "p5"]),  # names differ by more than their case
        ([at(None, "MAIN")], "", ["C1", "C2", "C3"]),
        ([at(None, "MAIN")], "ATTIC", ["ATTIC", "ATTIC (2)", "ATTIC (3)"]),
        ([at(None, "MAIN"), at(None, "B-7")], "ATTIC", ["B-1", "B-2", "B-3"]),
    ],
)
def test_added_controllers_are_numbered_on(
    controllers: list[Controller], place: str, names: list[str]
) -> None:
    namer = Namer(job([], controllers=controllers))
    for _ in range(2):  # asked again, the same
        assert [namer.name(place, number) for number in (1, 2, 3)] == names


def test_each_head_end_has_its_own_added_controllers() -> None:
    namer = Namer(job([], controllers=[at(None)]))
    assert [namer.name(place, 1) for place in ("A", "B", "A")] == ["C2", "C3", "C2"]


@pytest.mark.parametrize(
    ("used", "count", "labels"),
    [
        ([], 2, "1 2"),
        (["2"], 3, "1 2 3"),
        (["10", "2", "7"], 2, "1 2"),  # 7 and 10 cannot be there
        (["7", "9"], 1, "7"),  # none of them can be there: how it counts is not known
        (["B"], 3, "A B C"),
        (["X", "Y"], 3, "A X Y"),
        (["OUT"], 2, "A OUT"),
        (["A", "1"], 3, "1 2 A"),
        (["A"], 28, "27 28 A B C D E F G H I J K L M N O P Q R S T U V W X Y Z"),
        (["3", "1", "2"], 3, "1 2 3"),
    ],
)
def test_ports_of_a_controller(used: Sequence[str], count: int, labels: str) -> None:
    assert port_labels(used, count) == tuple(labels.split())


def test_only_the_controllers_own_ports_say_how_its_ports_are_called() -> None:
    rows = [pull("C1.A", "K1"), pull("C2.1", "K2"), pull("PANEL", "K3")]
    controllers = [at("PANEL", ports=1), at("PANEL", "C2", ports=2)]
    # C1 has 5 W left; on C2.1 there would be 60 devices, 50 are allowed.
    devices = [device("K1", 30.0), device("K2", quantity=30), device("K3", 0.5, quantity=30)]
    a_job = job(rows, devices, controllers=controllers, head_ends=["PANEL"])
    _, found = plan(a_job)
    assert [(move.branch, move.to) for move in found.moves] == [("PANEL-K3", PlanPort("C2", "2"))]

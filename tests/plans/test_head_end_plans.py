"""Plans of one head end: the loss in the cable, voltages of two supplies, how many controllers are offered."""

import itertools
from dataclasses import replace

import pytest

from auditor.audit import judge_as_planned
from auditor.calc.ports.plan import PortPlan
from auditor.errors import PlanError
from auditor.job.model import Cable, Controller, Job, Pull
from auditor.plans.head_end import HeadEnd, Namer
from auditor.profile.limits import Profile
from auditor.profile.load import load_profile
from auditor.results.judged import Judged
from tests.builders import SPEC, device, job, measured, profile, pull

OHMIC = replace(SPEC, ohm_per_km=50.0)  # out and back 0.1 ohm/m
THIN = replace(SPEC, name="THIN", area_mm2=0.823, gauge="18 AWG")
COLD = {"conductor_temperature": "20 degC", "device__review_below": 0}


def planned(
    a_job: Job, place: str = "PANEL", limits: Profile | None = None
) -> tuple[HeadEnd, PortPlan, list[tuple[str, str]]]:
    """The head end, its plan, and where each branch moves."""
    head_end = HeadEnd(measured(a_job, limits), place, Namer(a_job))
    found = head_end.plan(judge_as_planned)
    return head_end, found, [(move.branch, f"{move.to.controller}.{move.to.port}") for move in found.moves]


def refusal(a_job: Job, limits: Profile) -> str:
    with pytest.raises(PlanError) as problem:
        planned(a_job, limits=limits)
    return str(problem.value)


def of_ports(ports: int, **limits: object) -> Profile:
    """The profile with controllers of so many ports, which may be more than a profile can state."""
    usual = profile(**limits)
    return replace(usual, controller=replace(usual.controller, ports=ports))


def of_length(near: str, far: str, length_m: float, **more: object) -> Pull:
    return replace(pull(near, far, **more), length_m=length_m)


# --- the loss in the cable ----------------------------------------------------------------------------

# 16 W over 50 m of 0.1 ohm/m: at 20 V they take 0.8 A, which drop the 4 V between. The supply gives 24 V x 0.8 A =
# 19.2 W, of which a sixth is lost, 16.7 %; two of them take 38.4 W of 35 W, though they draw 32 W.
KEPT = "planned with 16.7 % of each supply kept for the loss in the cable"


def two_far(*starts: str, **more: object) -> Job:
    rows = [of_length(start, f"K{n}", 50.0) for n, start in enumerate(starts, 1)]
    devices = [device(f"K{n}", 16.0) for n in range(1, len(starts) + 1)]
    return job(rows, devices, cable=OHMIC, **more)  # type: ignore[arg-type]


def test_a_supply_past_its_rating_by_the_loss_gives_a_branch_to_a_further_controller() -> None:
    one, found, moves = planned(two_far("C1.1", "C1.2"), "", profile(**COLD))
    assert one.kept == pytest.approx(1 / 6)
    assert (found.status, found.controllers, found.lower_bound) == (
        "best-found",
        2,
        1,
    )  # two more home runs do too
    assert one.assumed == [KEPT]
    assert [target for _, target in moves] == ["C2.1"]


def test_a_plan_whose_loss_takes_a_supply_past_its_rating_is_made_again() -> None:
    controllers = [Controller(name="C1", ports=2)]
    one, found, moves = planned(
        two_far("PANEL", "PANEL", controllers=controllers, head_ends=["PANEL"]), limits=profile(**COLD)
    )
    assert (one.assumed, found.controllers) == ([KEPT], 2)
    assert sorted(target for _, target in moves) == ["C1.1", "C2.1"]


def test_a_supply_past_its_rating_by_what_is_drawn_keeps_nothing_where_the_plan_mends_it() -> None:
    a_job = job([pull("C1.1", "K1", 10), pull("C1.2", "K2", 10)], [device("K1", 20.0), device("K2", 20.0)])
    one, found, moves = planned(a_job, "")
    assert (one.kept, one.assumed) == (0.0, [])
    assert (found.status, found.lower_bound, [target for _, target in moves]) == ("proven", 2, ["C2.1"])


def test_where_no_plan_keeps_the_share_for_the_loss_it_is_not_said_that_there_is_none() -> None:
    """Both are pinned to C1: of its 35 W a sixth is lost."""
    a_job = two_far("C1.1", "C1.2")
    pinned = replace(a_job, pulls=tuple(replace(row, pinned=True) for row in a_job.pulls))
    with pytest.raises(PlanError) as problem:
        planned(pinned, "", profile(**COLD))
    assert str(problem.value) == "none was found with 16.7 % of each supply kept for the loss in the cable"


def test_a_loop_that_the_plan_opens_takes_a_supply_past_its_rating_too() -> None:
    """Fed from both sides, over 5 and 6 ohm, K1 has 22 V and takes 17.4 W: 36.6 W of 37 W; opened both take 38.4 W."""
    a_job = two_far("C1.1", "C1.2", controllers=[Controller(name="C1", ports=2, supply_power_w=37.0)])
    ring = replace(of_length("C1.1", "K1", 60.0, id="L1"), where=replace(a_job.pulls[0].where, row=9))
    one, _, moves = planned(replace(a_job, pulls=(*a_job.pulls, ring)), "", profile(**COLD))
    assert one.assumed == ["planned with L1 left unlanded, since L1 closes a loop", KEPT]
    assert [target for _, target in moves] == ["C2.1"]


@pytest.mark.parametrize(("rating_w", "assumed"), [(38.4 * (1 + 1e-12), []), (38.39, [KEPT])])
def test_at_its_rating_a_supply_keeps_nothing_for_the_loss(rating_w: float, assumed: list[str]) -> None:
    a_job = two_far("C1.1", "C1.2", controllers=[Controller(name="C1", ports=2, supply_power_w=rating_w)])
    assert planned(a_job, "", profile(**COLD))[0].assumed == assumed


def test_the_loss_of_another_head_ends_supply_and_of_one_without_a_rating_is_not_counted() -> None:
    controllers = [
        Controller(name="C1", ports=2, head_end="A", supply_power_w=35.0),
        Controller(name="C2", ports=2, head_end="B"),
        Controller(name="C3", ports=1, head_end="A"),
    ]
    a_job = two_far("C1.1", "C1.2", "C2.1", "C2.2", controllers=controllers)
    unrated = load_profile("two-wire", {key.replace("__", "."): value for key, value in COLD.items()})
    one, _, moves = planned(a_job, "A", unrated)
    assert (one.assumed, [target for _, target in moves]) == (
        [KEPT],
        ["C3.1", "C3.1"],
    )  # C3 has no limit, so one controller is enough
    assert planned(a_job, "B", unrated)[0].assumed == []


# --- voltages -----------------------------------------------------------------------------------------


def low_on_the_first_controller(second_v: float) -> Job:
    """K1 needs 30 V; neither has a port yet, and C1 of 24 V comes before C2."""
    controllers = [
        Controller(name="C1", ports=1, supply_voltage_v=24.0),
        Controller(name="C2", ports=2, supply_voltage_v=second_v),
    ]
    devices = [device("K1", 20.0, min_voltage_v=30.0), device("K2", 10.0)]
    return job(
        [pull("PANEL", "K1"), pull("PANEL", "K2")], devices, controllers=controllers, head_ends=["PANEL"]
    )


def test_a_branch_whose_voltage_fails_on_one_controller_is_planned_on_another_where_it_holds() -> None:
    """The plan with both on C1.1 is given up for its voltage; the next has both on the one C2."""
    moves = planned(low_on_the_first_controller(36.0))[2]
    assert [(branch, target.split(".")[0]) for branch, target in moves] == [
        ("PANEL-K1", "C2"),
        ("PANEL-K2", "C2"),
    ]


def test_a_branch_whose_voltage_fails_alone_changes_places_with_one_on_a_controller_of_higher_voltage() -> (
    None
):
    """Together they are too much for one supply; K1 goes to C1.1 first, where it is alone at 24 V and needs 30 V."""
    controllers = [
        Controller(name="C1", ports=1, supply_voltage_v=24.0),
        Controller(name="C2", ports=1, supply_voltage_v=36.0),
    ]
    devices = [device("K1", 20.0, min_voltage_v=30.0), device("K2", 20.0)]
    rows = [pull("PANEL", "K1"), pull("PANEL", "K2")]
    moves = planned(job(rows, devices, controllers=controllers, head_ends=["PANEL"]))[2]
    assert sorted(moves) == [("PANEL-K1", "C2.1"), ("PANEL-K2", "C1.1")]


STAYS = "a branch that has a port stays on supplies of the same voltage, and an added one has 24 V"


def of_two_voltages(first_w: float, second_w: float, second: Controller) -> Job:
    """C1 of 24 V and 35 W feeds K1 and K2, of so many watts each; C2 of 36 V feeds K3 and K4, and has a port left."""
    rows = [pull(port, f"K{n}") for n, port in enumerate(("C1.1", "C1.2", "C2.1", "C2.2"), 1)]
    powers = (first_w, first_w, second_w, second_w)
    devices = [device(f"K{n}", power_w) for n, power_w in enumerate(powers, 1)]
    return job(rows, devices, controllers=[Controller(name="C1", ports=3, supply_voltage_v=24.0), second])


def test_a_branch_that_the_schedule_has_on_a_port_stays_on_supplies_of_its_voltage() -> None:
    """C1 has 5 W too much. C2 has room for all of it, and is of 36 V: a further controller of 24 V takes one."""
    second = Controller(name="C2", ports=3, supply_voltage_v=36.0, supply_power_w=100.0)
    one, found, moves = planned(of_two_voltages(20.0, 5.0, second), "")
    assert (found.status, found.controllers, [target for _, target in moves]) == ("proven", 3, ["C3.1"])
    assert one.assumed == [STAYS]


def test_controllers_of_two_voltages_are_both_needed() -> None:
    second = Controller(name="C2", ports=3, supply_voltage_v=36.0, supply_power_w=100.0)
    _, found, moves = planned(of_two_voltages(2.0, 5.0, second), "")
    assert (found.status, found.controllers, moves) == ("proven", 2, [])


def test_an_added_controller_of_another_voltage_takes_no_branch_that_has_a_port() -> None:
    """C2 has 5 W too much, and neither C1 nor what could be added is of 36 V."""
    second = Controller(name="C2", ports=3, supply_voltage_v=36.0, supply_power_w=35.0)
    one, found, _ = planned(of_two_voltages(2.0, 20.0, second), "")
    assert (found.status, found.why, one.assumed) == (
        "impossible",
        ("no assignment to the controllers on offer keeps all limits",),
        [STAYS],
    )


@pytest.mark.parametrize("second_v", [24.0, 28.0])
def test_where_no_plan_holds_the_voltage_the_first_stands(second_v: float) -> None:
    moves = planned(low_on_the_first_controller(second_v))[2]
    assert moves == [("PANEL-K1", "C1.1"), ("PANEL-K2", "C1.1")]


@pytest.mark.parametrize(("second_v", "is_tried"), [(24.0, False), (28.0, True)])
def test_a_plan_is_tried_only_where_supplies_differ_in_their_voltage(second_v: float, is_tried: bool) -> None:
    tried: list[Job] = []

    def judge(one: Job, limits: Profile) -> Judged:
        tried.append(one)
        return judge_as_planned(one, limits)

    a_job = low_on_the_first_controller(second_v)
    HeadEnd(measured(a_job), "PANEL", Namer(a_job)).plan(judge)
    assert bool(tried) == is_tried


def test_branches_with_limits_of_two_conductors_have_no_plan() -> None:
    rows = [{"min_conductor": "18 AWG", "cable": "500 ft"}, {"min_conductor": "16 AWG", "cable": "900 ft"}]
    limits = profile(cable__limits_by_conductor=rows)
    assert refusal(with_one_thin(at_panel(100, 100)), limits) == (
        "the limits depend on the conductor, and the branches at one head end have different ones"
    )
    _, found, _ = planned(at_panel(450, 450), limits=limits)
    assert found.status == "proven"


# --- how many controllers are offered -----------------------------------------------------------------


def at_panel(*feet: float, power_w: float = 0.1, quantity: int = 1, cable: Cable = SPEC) -> Job:
    rows = [pull("PANEL", f"K{n}", length_ft, cable=cable.name) for n, length_ft in enumerate(feet, 1)]
    devices = [device(f"K{n}", power_w, quantity=quantity) for n in range(1, len(feet) + 1)]
    return job(rows, devices, cable=cable, head_ends=["PANEL"])


def with_one_thin(a_job: Job) -> Job:
    """The job with its second pull of a cable that is off specification."""
    first, second, *others = a_job.pulls
    pulls = (first, replace(second, cable="THIN"), *others)
    return replace(a_job, pulls=pulls, cables={**a_job.cables, "THIN": THIN})


@pytest.mark.parametrize(
    ("a_job", "limits", "branches", "offered"),
    [
        # Shares of 2,000 ft, 50 devices and 35 W; twice the greatest, rounded up, and one for each branch.
        (at_panel(100), {}, 1, 1 + 1),
        (at_panel(500, 500), {}, 2, 1 + 2),  # half of the cable
        (at_panel(500, 501), {}, 2, 2 + 2),
        (at_panel(10, 10, quantity=25), {}, 2, 2 + 2),  # all the devices
        (at_panel(10, 10, quantity=26), {}, 2, 3 + 2),
        (at_panel(10, 10, power_w=17.5), {}, 2, 2 + 2),  # all the watts
        (at_panel(10, 10, power_w=17.6), {}, 2, 3 + 2),
        (at_panel(10, 10, power_w=17.5), {"run__power": "14 W"}, 2, 5 + 2),  # 2.5 ports' worth
        (at_panel(10, 10, power_w=17.5), {"controller__supply_power": None}, 2, 1 + 2),
        (at_panel(500, 501, cable=THIN), {}, 2, 3 + 2),  # half of every limit: twice the share
        (with_one_thin(at_panel(500, 501)), {}, 2, 3 + 2),
        (at_panel(500, 501, cable=THIN), {"off_spec_factor": 0.25}, 2, 5 + 2),
        # No more than twelve beyond the share: 15 branches of 200 ft are 1.5, so 2 and 12 where 3 and 15 would be.
        (at_panel(*[200] * 15), {}, 15, 2 + 12),
        (
            at_panel(10),
            {"run__cable": None, "run__devices": None, "controller__supply_power": None},
            1,
            0 + 1,
        ),
    ],
)
def test_so_many_controllers_are_offered_beside_the_scheduled(
    a_job: Job, limits: dict[str, object], branches: int, offered: int
) -> None:
    """With controllers of 50,000 ports no job can be planned, and the refusal says how many were meant."""
    said = refusal(a_job, of_ports(50_000, **limits))
    assert said == f"{branches} branches and some {offered} controllers are too many to plan"


def long_chain() -> Job:
    """One branch of 600 pulls of 1 ft; a device at its end."""
    ends = ["PANEL", *(f"S{n}" for n in range(1, 600)), "K1"]
    rows = [pull(near, far, 1) for near, far in itertools.pairwise(ends)]
    return job(rows, [device("K1")], head_ends=["PANEL"], splices=ends[1:-1])


def test_twelve_thousand_places_are_planned_and_no_more() -> None:
    """Two controllers are offered; of the branch's 600 pulls 500 count: 2 x 12 ports x 500 are 12,000."""
    assert planned(long_chain(), limits=profile(controller__ports=12))[1].controllers == 1
    assert "too many to plan" in refusal(long_chain(), profile(controller__ports=13))


def test_a_job_whose_schedule_is_best_is_none_too_many() -> None:
    a_job = job([pull("C1.1", "K1")])
    assert planned(a_job, "", of_ports(50_000))[1].status == "proven"


@pytest.mark.parametrize(("power_w", "controllers"), [(14.0, 1), (14.1, 2)])
def test_an_added_controller_keeps_its_headroom(power_w: float, controllers: int) -> None:
    """35 W less a fifth are 28 W."""
    found = planned(at_panel(10, 10, power_w=power_w), limits=profile(controller__supply_headroom=0.2))[1]
    assert (found.controllers, found.new_controllers) == (controllers, controllers)


def test_an_added_controller_has_the_ports_and_devices_of_the_profile() -> None:
    """Two times 30 devices are too many for a port of 50; all 90 fit on one controller of 100."""
    _, found, moves = planned(at_panel(10, 10, 10, quantity=30), limits=profile(controller__ports=3))
    assert (found.controllers, sorted(target for _, target in moves)) == (
        1,
        ["PANEL.1", "PANEL.2", "PANEL.3"],
    )
    assert planned(at_panel(10, 10, 10, quantity=34), limits=profile(controller__ports=3))[1].controllers == 2

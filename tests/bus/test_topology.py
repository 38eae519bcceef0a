"""Runs, loops, joins and distances; networkx as the second opinion on random schedules."""

import itertools
import math
import random
from collections.abc import Iterable
from dataclasses import replace

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from auditor.bus.topology import Run, Topology, greatest_distance, single_points_of_failure, topology
from auditor.job.model import Job, Pull
from auditor.units import m_from_ft
from tests.builders import device, job, pull

quick = settings(max_examples=60, derandomize=True, deadline=None)
Schedule = list[tuple[str, str, int]]  # two ends and a length in feet


def job_of(schedule: Schedule) -> Job:
    return job(pull(near, far, feet, id=f"P{n}") for n, (near, far, feet) in enumerate(schedule))


def ids(pulls: Iterable[Pull]) -> list[str]:
    return [item.id for item in pulls]


def only_run(*pulls: Pull, **more: object) -> Run:
    (run,) = topology(job(pulls, **more)).runs  # type: ignore[arg-type]
    return run


@st.composite
def schedules(draw: st.DrawFn, sources: int = 1) -> Schedule:
    """Connected or not, with parallel pulls and pulls from an end to itself."""
    ends = [f"C1.{n}" for n in range(1, sources + 1)] + [
        f"K{n}" for n in range(1, draw(st.integers(1, 8)) + 1)
    ]
    end = st.sampled_from(ends)
    count = draw(st.integers(1, 12))
    return [(draw(end), draw(end), draw(st.integers(1, 300))) for _ in range(count)]


def graph_of(schedule: Schedule, one_source: bool = False) -> nx.MultiGraph:
    graph = nx.MultiGraph()
    for n, (near, far, feet) in enumerate(schedule):
        pair = ["source" if one_source and "." in end else end for end in (near, far)]
        graph.add_edge(*pair, key=f"P{n}", length_m=m_from_ft(feet))
    return graph


def rank(graph: nx.MultiGraph) -> int:
    return graph.number_of_edges() - graph.number_of_nodes() + nx.number_connected_components(graph)


# --- second opinion -----------------------------------------------------------------------------------


@quick
@given(schedules())
def test_runs_loops_and_distances_as_networkx_has_them(schedule: Schedule) -> None:
    graph, shape = graph_of(schedule), topology(job_of(schedule))
    if "C1.1" not in graph:
        assert shape.runs == ()
        assert len(shape.unfed_pulls) == len(schedule)
        return
    fed = graph.subgraph(nx.node_connected_component(graph, "C1.1"))
    (run,) = shape.runs
    assert set(ids(run.pulls)) == {key for *_, key in fed.edges(keys=True)}
    assert len(run.loops) == rank(fed)
    assert run.joins == ()
    expected = nx.single_source_dijkstra_path_length(fed, "C1.1", weight="length_m")
    assert run.distance_m == pytest.approx(expected)
    assert {d.tag for d in shape.unfed_devices} == set(graph) - set(fed)
    assert len(shape.unfed_pulls) == len(schedule) - len(run.pulls)


@quick
@given(schedules(sources=3))
def test_with_several_ports_loops_and_joins_add_up_to_the_rank_with_all_ports_as_one(
    schedule: Schedule,
) -> None:
    graph, shape = graph_of(schedule), topology(job_of(schedule))
    runs = [part for part in nx.connected_components(graph) if any("." in end for end in part)]
    assert len(shape.runs) == len(runs)
    assert sum(len(run.loops) for run in shape.runs) == sum(rank(graph.subgraph(part)) for part in runs)
    for run in shape.runs:
        assert len(run.joins) == len(run.ports) - 1
        expected = nx.multi_source_dijkstra_path_length(
            graph.subgraph(run.distance_m), {port.name for port in run.ports}, weight="length_m"
        )
        assert run.distance_m == pytest.approx(expected)


@quick
@given(schedules(sources=2))
def test_single_points_of_failure_are_the_bridges_that_networkx_counts(schedule: Schedule) -> None:
    a_job = job_of(schedule)
    shape = topology(a_job)
    _, alone = single_points_of_failure(shape, a_job)
    landed = {item for run in shape.runs for item in ids(run.pulls)}
    graph = graph_of([row for n, row in enumerate(schedule) if f"P{n}" in landed], one_source=True)
    before = nx.number_connected_components(graph) if graph else 0
    parting = 0
    for edge in list(graph.edges(keys=True)):
        rest = graph.copy()
        rest.remove_edge(*edge)
        parting += nx.number_connected_components(rest) > before
    assert len(alone) == parting


@quick
@given(schedules())
def test_every_loop_is_a_closed_walk_of_its_pulls_in_order(schedule: Schedule) -> None:
    for run in topology(job_of(schedule)).runs:
        for loop in run.loops:
            walked = [{item.near, item.far} for item in loop.pulls]
            assert loop.lift in loop.pulls
            assert len(set(ids(loop.pulls))) == len(loop.pulls)
            if len(walked) > 2:
                assert all(one & other for one, other in zip(walked, walked[1:] + walked[:1], strict=True))
            assert (
                all(sum(end in pair for pair in walked) == 2 for end in set().union(*walked))
                or len(walked) == 1
            )


def test_a_ring_is_told_as_a_walk_round_it() -> None:
    ring = ["C1.1", "K1", "K2", "K3", "K4", "K5", "C1.1"]
    run = only_run(*(pull(near, far) for near, far in itertools.pairwise(ring)))
    (loop,) = run.loops
    assert ids(loop.pulls) == ["K3-K4", "K2-K3", "K1-K2", "C1.1-K1", "K5-C1.1", "K4-K5"]


@quick
@given(schedules())
def test_lifting_what_is_named_leaves_the_shortest_greatest_reach(schedule: Schedule) -> None:
    """Brute force: lift each pull of a loop in turn, in a schedule with exactly one loop."""
    a_job = job_of(schedule)
    runs = topology(a_job).runs
    if not runs or len(runs[0].loops) != 1:
        return
    (loop,) = runs[0].loops
    reach_m = {item.id: reach_without(a_job, item) for item in loop.pulls}
    assert reach_m[loop.lift.id] == pytest.approx(min(reach_m.values()))


def reach_without(a_job: Job, lifted: Pull) -> float:
    rest = replace(a_job, pulls=tuple(item for item in a_job.pulls if item.id != lifted.id))
    fed = len(topology(a_job).runs[0].devices)
    runs = topology(rest).runs
    if fed and not (runs and len(runs[0].devices) == fed):
        return math.inf
    return max(runs[0].reach_m().values(), default=0.0) if runs else 0.0


def test_lifting_all_that_is_named_leaves_a_tree() -> None:
    draw = random.Random(7)
    ends = ["C1.1", *(f"K{n}" for n in range(12))]
    schedule = [(*draw.sample(ends, 2), draw.randint(5, 200)) for _ in range(30)]
    a_job = job_of(schedule)
    (run,) = topology(a_job).runs
    lifted = {loop.lift.id for loop in run.loops}
    (opened,) = topology(replace(a_job, pulls=tuple(p for p in a_job.pulls if p.id not in lifted))).runs
    assert opened.loops == ()
    assert opened.reach_m() == run.reach_m()


@quick
@given(schedules())
def test_greatest_distance_between_devices_by_all_pairs(schedule: Schedule) -> None:
    graph = graph_of(schedule)
    for run in topology(job_of(schedule)).runs:
        all_pairs = dict(nx.all_pairs_dijkstra_path_length(graph, weight="length_m"))
        pairs = itertools.combinations([item.tag for item in run.devices], 2)
        expected_m = max((all_pairs[one][other] for one, other in pairs), default=0.0)
        found_m, one, other = greatest_distance(run)
        assert found_m == pytest.approx(expected_m)
        assert found_m == 0 or all_pairs[one][other] == pytest.approx(found_m)


@quick
@given(schedules())
def test_longest_way_between_devices_by_all_simple_paths(schedule: Schedule) -> None:
    """A loop counts with its longer side: ISO/IEC 14908-2 free topology (transceiver guide, secondary)."""
    graph = graph_of(schedule)
    for run in topology(job_of(schedule)).runs:
        pairs = itertools.combinations([item.tag for item in run.devices], 2)
        expected_m = max((longest_way_m(graph, one, other) for one, other in pairs), default=0.0)
        assert greatest_distance(run, longest_way=True)[0] == pytest.approx(expected_m)


def longest_way_m(graph: nx.MultiGraph, one: str, other: str) -> float:
    ways = nx.all_simple_edge_paths(graph, one, other)
    return max(sum(graph.edges[edge]["length_m"] for edge in way) for way in ways)


def test_with_too_many_ways_the_whole_cable_stands_for_the_longest_one() -> None:
    ends = ["C1.1", *(f"K{n}" for n in range(9))]
    run = only_run(*(pull(one, other, 10) for one, other in itertools.combinations(ends, 2)))
    assert greatest_distance(run, longest_way=True) == (run.cable_m, "K0", "K8")


# --- what is a run ------------------------------------------------------------------------------------


def test_figures_of_a_small_run() -> None:
    run = only_run(pull("C1.1", "K1", 100), pull("K2", "K1", 50), pull("K1", "K3", 20))
    assert (run.name, run.sources, run.branch, run.assigned) == ("C1.1", ("C1.1",), None, True)
    assert run.cable_m == pytest.approx(m_from_ft(170))
    assert run.reach_m() == pytest.approx({"K1": m_from_ft(100), "K3": m_from_ft(120), "K2": m_from_ft(150)})
    assert run.farthest() == "K2"
    assert run.upstream == {"K1": "C1.1", "K3": "K1", "K2": "K1"}
    assert ids(run.home_runs) == ["C1.1-K1"]


def test_a_quantity_counts_as_so_many_devices() -> None:
    run = only_run(pull("C1.1", "K1"), devices=[device("K1", quantity=4), device("K1")])
    assert run.device_count == 5


def test_runs_stand_in_the_order_of_their_ports_as_people_count() -> None:
    shape = topology(job([pull("C10.1", "K1"), pull("C2.10", "K2"), pull("C2.2", "K3"), pull("HE", "K4")],
                         head_ends=["HE"]))  # fmt: skip
    assert [run.name for run in shape.runs] == ["C2.2", "C2.10", "C10.1", "branch HE-K4 of HE"]


def test_each_pull_at_a_head_end_is_a_branch_of_its_own() -> None:
    shape = topology(job([pull("HE", "K1"), pull("K1", "K2"), pull("K3", "HE")], head_ends=["HE"]))
    assert [(run.branch, ids(run.pulls), run.ports) for run in shape.runs] == [
        ("HE-K1", ["HE-K1", "K1-K2"], ()),
        ("K3-HE", ["K3-HE"], ()),
    ]


def test_two_pulls_of_one_branch_back_to_its_head_end_are_a_loop() -> None:
    run = only_run(pull("HE", "K1"), pull("K1", "K2"), pull("K2", "HE"), head_ends=["HE"])
    assert [ids(loop.pulls) for loop in run.loops] == [["K1-K2", "HE-K1", "K2-HE"]]


def test_a_head_end_joined_to_a_port_is_a_join() -> None:
    run = only_run(pull("C1.1", "K1"), pull("K1", "HE"), head_ends=["HE"])
    assert (run.name, run.sources) == ("C1.1", ("C1.1", "HE"))
    assert [(ids(join.pulls), join.lift.id) for join in run.joins] == [(["C1.1-K1", "K1-HE"], "K1-HE")]


def test_a_join_is_told_as_a_walk_from_port_to_port_and_lifted_where_the_ports_meet() -> None:
    ways = [pull("C1.1", "K1", 50), pull("K1", "K2", 10), pull("K2", "K3", 30), pull("K3", "C1.2", 50)]
    run = only_run(*ways)
    (join,) = run.joins
    assert ids(join.pulls) == ["C1.1-K1", "K1-K2", "K2-K3", "K3-C1.2"]
    assert join.lift.id == "K2-K3"  # K2 is 60 ft from C1.1 and 80 ft from C1.2
    assert run.loops == ()


def test_a_pull_between_two_ports_joins_them() -> None:
    run = only_run(pull("C1.1", "C1.2"))
    assert [ids(join.pulls) for join in run.joins] == [["C1.1-C1.2"]]
    assert run.farthest() is None


def test_what_no_port_feeds() -> None:
    shape = topology(job([pull("C1.1", "K1"), pull("K2", "K3")], [device(tag) for tag in ("K1", "K2", "K4")]))
    assert [d.tag for d in shape.unfed_devices] == ["K2", "K4"]
    assert ids(shape.unfed_pulls) == ["K2-K3"]


def test_a_pull_without_one_end_feeds_nothing_and_joins_nothing() -> None:
    shape = topology(
        job([pull("C1.1", ""), pull("", "K2"), pull("C1.1", "K1")], [device("K1"), device("K2")])
    )
    assert ids(shape.unfed_pulls) == ["C1.1-", "-K2"]
    assert [d.tag for d in shape.unfed_devices] == ["K2"]
    assert [ids(run.pulls) for run in shape.runs] == [["C1.1-K1"]]


def test_unknown_ends_are_told_once_for_each_pull() -> None:
    pulls = [pull("C1.1", "S1"), pull("S1", "KX"), pull("KX", "KX"), pull("HE", "K1")]
    shape = topology(job(pulls, [device("K1")], splices=["S1"], head_ends=["HE"]))
    assert [(item.id, end) for item, end in shape.unknown_ends] == [("S1-KX", "KX"), ("KX-KX", "KX")]


def test_a_row_that_states_a_pull_again_counts_once() -> None:
    shape = topology(
        job([pull("C1.1", "K1", id="P1"), pull("K1", "C1.1", id="P1"), pull("C1.1", "K1", id="P2")])
    )
    (run,) = shape.runs
    assert ids(run.pulls) == ["P1", "P2"]
    assert [item.where.row for item in shape.repeated_pulls] == [3]
    assert len(run.loops) == 1  # P2 is a second cable


def test_a_spare_return_of_the_same_name_is_no_row_that_states_a_pull_again() -> None:
    shape = topology(job([pull("C1.1", "K1", id="P1"), pull("C1.1", "K1", id="P1", landed=False)]))
    assert shape.repeated_pulls == ()
    assert ids(shape.spares) == ["P1"]
    assert [ids(run.pulls) for run in shape.runs] == [["P1"]]


def test_a_pull_of_unknown_length_makes_the_distances_beyond_it_lower_bounds() -> None:
    run = only_run(pull("C1.1", "K1", 10), pull("K1", "K2", None), pull("K2", "K3", 5), pull("K1", "K4", 1))
    assert run.unmeasured == {"K2", "K3"}
    assert not run.measured
    assert run.distance_m["K3"] == pytest.approx(m_from_ft(15))


def test_the_schedule_may_be_empty() -> None:
    assert topology(job([])) == Topology(
        runs=(), unfed_devices=(), unfed_pulls=(), unknown_ends=(), repeated_pulls=(), spares=()
    )


@pytest.mark.parametrize("source", [{"head_ends": ["HE"]}, {}])
def test_a_device_that_is_named_like_a_source_stands_at_it(source: dict[str, list[str]]) -> None:
    """The list names the panel itself among the devices: no fault, and no run without pulls."""
    name = "HE" if source else "C1.1"
    a_job = job([pull("C1.1", "K1"), pull("HE", "K2")], [device(name), device("K1"), device("K2")],
                head_ends=["HE"])  # fmt: skip
    shape = topology(a_job)
    assert [run.name for run in shape.runs] == ["C1.1", "branch HE-K2 of HE"]
    assert shape.unfed_devices == ()
    assert topology(replace(a_job, pulls=())).runs == ()


# --- spare returns ------------------------------------------------------------------------------------


def test_an_unlanded_spare_return_is_no_part_of_the_run() -> None:
    shape = topology(job([pull("C1.1", "K1"), pull("K1", "K2"), pull("K2", "C1.1", landed=False)]))
    assert [(ids(run.pulls), run.loops) for run in shape.runs] == [(["C1.1-K1", "K1-K2"], ())]
    assert ids(shape.spares) == ["K2-C1.1"]


def test_what_a_spare_return_protects() -> None:
    a_job = job(
        [pull("C1.1", "K1"), pull("K1", "K2"), pull("K2", "K3"), pull("K2", "C1.1", landed=False, id="R1")]
    )
    protected, alone = single_points_of_failure(topology(a_job), a_job)
    assert (ids(protected), ids(alone)) == (["C1.1-K1", "K1-K2"], ["K2-K3"])


def test_spare_returns_without_an_end_protect_nothing() -> None:
    spares = [pull("K1", "", landed=False, id="R1"), pull("", "C1.1", landed=False, id="R2")]
    a_job = job([pull("C1.1", "K1"), *spares], [device("K1")])
    assert [ids(part) for part in single_points_of_failure(topology(a_job), a_job)] == [[], ["C1.1-K1"]]


@pytest.mark.parametrize("lengths_ft", [(60.0, 33.0), (33.0, 60.0), (None, 60.0)])
def test_of_two_rows_of_one_pull_the_longer_counts(lengths_ft: tuple[float | None, float]) -> None:
    rows = [pull("C1.1", "K1", length, id="P1") for length in lengths_ft]
    (run,) = topology(job(rows, [device("K1")])).runs
    assert run.cable_m == pytest.approx(60 * 0.3048)

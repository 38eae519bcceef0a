"""Runs as trees of ends, from the pulls of an audit."""

from auditor.report.job.run_tree import devices_without_pull, run_trees
from auditor.results.audit_result import Audit, PullResult
from tests.report.audits import FT, audit, device, pull, run


def laid(near: str, far: str, length_ft: float | None = 10.0, **changes: object) -> PullResult:
    length_m = None if length_ft is None else length_ft * FT
    return pull(f"{near}-{far}", 4, near=near, far=far, length_m=length_m, **changes)


def of(*pulls: PullResult, tags: str = "", unknown: str = "") -> Audit:
    devices = tuple(device(tag, row) for row, tag in enumerate(tags, 5))
    return audit(runs=(run(),), devices=devices, pulls=pulls, unknown_ends=frozenset(unknown))


def shape(job: Audit, place: int = 0) -> list[tuple[str, int | None, float | None]]:
    """(end, place of what feeds it, distance in feet) of each end of one tree."""
    return [
        (end.name, end.above, None if end.distance_m is None else round(end.distance_m / FT, 6))
        for end in run_trees(job)[place].ends
    ]


def test_a_chain_and_a_star():
    chain = of(laid("C1.1", "A"), laid("A", "B", 5.0), laid("C", "B", 7.0, feeds="C"), tags="ABC")
    assert shape(chain) == [("C1.1", None, 0.0), ("A", 0, 10.0), ("B", 1, 15.0), ("C", 2, 22.0)]
    star = of(laid("C1.1", "A", 30.0), laid("C1.1", "B", 10.0), laid("C1.1", "C", 20.0), tags="ABC")
    assert shape(star) == [("C1.1", None, 0.0), ("B", 0, 10.0), ("C", 0, 20.0), ("A", 0, 30.0)]


def test_what_has_most_behind_it_comes_last():
    job = of(laid("C1.1", "A", 1.0), laid("A", "B", 1.0), laid("C1.1", "C", 9.0), tags="ABC")
    assert [name for name, _, _ in shape(job)] == ["C1.1", "C", "A", "B"]


def test_a_length_that_is_not_known_leaves_all_behind_it_unknown():
    job = of(laid("C1.1", "A", None), laid("A", "B", 5.0), tags="AB")
    assert shape(job) == [("C1.1", None, 0.0), ("A", 0, None), ("B", 1, None)]


def test_what_closes_a_loop_hangs_at_one_end_and_is_met_at_the_other():
    loop = laid("B", "A", 4.0, feeds=None)
    (tree,) = run_trees(of(laid("C1.1", "A"), laid("A", "B"), loop, tags="AB"))
    assert [end.hanging for end in tree.ends] == [(), (), (loop,)]
    assert [end.met for end in tree.ends] == [(), (loop,), ()]


def test_a_spare_return_hangs_at_its_device():
    spare = laid("C1.1", "B", 40.0, landed=False, feeds=None, controller=None, port=None)
    (tree,) = run_trees(of(laid("C1.1", "A"), laid("A", "B"), spare, tags="AB"))
    assert [end.hanging for end in tree.ends] == [(), (), (spare,)]


def test_what_nothing_feeds_starts_at_the_end_that_should_have():
    loose = {"controller": None, "port": None, "feeds": None}
    pulls = (laid("B", "A", 5.0, **loose), laid("X", "B", 3.0, **loose), laid("Y", "Z", 1.0, **loose))
    job = of(laid("C1.1", "K"), *pulls, laid("Z", "Y", 1.0, **loose), tags="KABYZL", unknown="X")
    assert shape(job, 1) == [("X", None, 0.0), ("B", 0, 3.0), ("A", 1, 8.0)]
    assert shape(job, 2) == [("Y", None, 0.0), ("Z", 0, 1.0)]
    assert [tree.run for tree in run_trees(job)[1:]] == [None, None]
    assert devices_without_pull(job) == ["L"]


def test_a_row_that_states_a_pull_again_is_drawn_once():
    again = laid("A", "C1.1", 9.0, id="C1.1-A", controller=None, port=None, feeds=None)
    job = of(laid("C1.1", "A"), again, tags="A")
    assert len(run_trees(job)) == 1
    assert shape(job) == [("C1.1", None, 0.0), ("A", 0, 10.0)]


def test_branches_without_a_port_are_trees_of_their_own():
    branches = (
        laid("P", "A", 2.0, controller=None, port=None, branch="P-A"),
        laid("P", "B", 3.0, controller=None, port=None, branch="P-B"),
    )
    runs = tuple(run(None, controller=None, head_end="P", branch=each.branch) for each in branches)
    trees = run_trees(audit(runs=runs, pulls=branches, devices=(device("A", 5), device("B", 6))))
    assert [[end.name for end in tree.ends] for tree in trees] == [["P", "A"], ["P", "B"]]


def test_a_chain_of_five_thousand_is_no_deeper_than_a_list():
    pulls = [laid("C1.1", "K0")] + [laid(f"K{n}", f"K{n + 1}", 1.0) for n in range(5000)]
    ends = shape(of(*pulls))
    assert (len(ends), ends[-1]) == (5002, ("K5000", 5000, 5010.0))

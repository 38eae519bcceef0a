"""Small graphs whose number of loops and of bridges anyone can check, run through a pull schedule."""

import pytest

from auditor.bus.topology import Topology, single_points_of_failure, topology
from tests.builders import job, pull

# Circuit rank r = E - V + C and bridges, by their definitions (encyclopedia articles "Circuit rank" and
# "Bridge (graph theory)"): all edges of a tree are bridges, no edge of a cycle is one.
# name, edges, loops, bridges
GRAPHS = [
    ("path of 5", "ab bc cd de", 0, 4),
    ("star of 6", "ab ac ad ae af ag", 0, 6),
    ("cycle of 5", "ab bc cd de ea", 1, 0),
    ("complete graph of 4", "ab ac ad bc bd cd", 3, 0),
    ("seven bridges of Königsberg", "ab ab ac ac ad bd cd", 4, 0),
    ("two parallel pulls", "ab ab", 1, 0),
    ("triangle with a tail of 2", "ab bc ca cd de", 1, 2),
    ("pull from an end to itself", "ab bb", 1, 1),
    # Petersen graph: outer cycle, spokes, inner star; 10 ends and 15 pulls (from memory)
    ("Petersen graph", "ab bc cd de ea af bg ch di ej fh hj jg gi if", 6, 0),
    # V. K. Mehta, Principles of Power System, example 13.24 with its interconnector: 4 ends, 5 mains.
    ("Mehta 13.24", "ab bc cd da ac", 2, 0),
]


def shape_of(edges: str, start: str = "a") -> Topology:
    """The graph as pulls of 10 ft between devices, its first end being port C1.1."""
    names = {start: "C1.1"}
    pairs = [[names.get(end, end) for end in edge] for edge in edges.split()]
    return topology(job([pull(near, far, id=f"P{n}") for n, (near, far) in enumerate(pairs)]))


@pytest.mark.parametrize(("name", "edges", "loops", "bridges"), GRAPHS, ids=[row[0] for row in GRAPHS])
def test_loops_are_the_circuit_rank(name: str, edges: str, loops: int, bridges: int) -> None:
    shape = shape_of(edges)
    assert [len(run.loops) for run in shape.runs] == [loops]
    assert shape.runs[0].joins == ()


@pytest.mark.parametrize(("name", "edges", "loops", "bridges"), GRAPHS, ids=[row[0] for row in GRAPHS])
def test_bridges_are_single_points_of_failure(name: str, edges: str, loops: int, bridges: int) -> None:
    pairs = [["C1.1" if end == "a" else end for end in edge] for edge in edges.split()]
    a_job = job([pull(near, far, id=f"P{n}") for n, (near, far) in enumerate(pairs)])
    protected, alone = single_points_of_failure(topology(a_job), a_job)
    assert (len(protected), len(alone)) == (len(pairs) - bridges, bridges)


def test_two_separate_triangles_have_two_loops() -> None:
    """6 ends, 6 pulls, 2 parts: r = 6 - 6 + 2."""
    ring = [("C1.1", "K1"), ("K1", "K2"), ("K2", "C1.1"), ("C1.2", "K3"), ("K3", "K4"), ("K4", "C1.2")]
    shape = topology(job(pull(near, far) for near, far in ring))
    assert [(run.name, len(run.loops)) for run in shape.runs] == [("C1.1", 1), ("C1.2", 1)]

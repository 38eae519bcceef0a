"""Job -> graph -> runs, branches and loops; questions about the graph.

Nodes are ends: tags, splices, ports, head ends. Edges are landed pulls. A head end without a port
is split into one terminal a pull, since each of its branches may go to a port of its own.
"""

import heapq
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from auditor.job.model import Device, Job, Port, Pull, natural_key

MOST_WAYS = 20_000  # project convention: the longest way is a hard problem, and this many are quick
SOURCE = "\0source"  # all ports and head ends as one node; no cell can hold this text


@dataclass(frozen=True, slots=True, kw_only=True)
class Loop:
    """One independent loop. Lifting `lift` opens it and leaves every device's reach as it is."""

    pulls: tuple[Pull, ...]  # in the order of a walk round the loop, or from one source to the other
    lift: Pull


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Everything joined to one port, or to one pull at a head end without ports.

    Distances are the shortest paths from the nearest source [m]; a path over a pull of unknown
    length counts that pull as 0 and stands in `unmeasured`.
    """

    ports: tuple[Port, ...]  # sorted; more than one: joined ports
    head_ends: tuple[str, ...]  # sources without a port
    pulls: tuple[Pull, ...]  # landed, in the schedule's order
    devices: tuple[Device, ...]
    distance_m: Mapping[str, float]
    unmeasured: frozenset[str]
    feed: Mapping[str, Pull]  # end -> the pull that feeds it on the shortest path
    upstream: Mapping[str, str]  # end -> the next end towards the source
    loops: tuple[Loop, ...] = ()
    joins: tuple[Loop, ...] = ()  # cable paths that join two sources; `lift` is where they meet

    @property
    def sources(self) -> tuple[str, ...]:
        return (*(port.name for port in self.ports), *self.head_ends)

    @property
    def assigned(self) -> bool:
        return bool(self.ports)

    @property
    def home_runs(self) -> tuple[Pull, ...]:
        """The pulls that start at a source, in the schedule's order."""
        sources = set(self.sources)
        return tuple(pull for pull in self.pulls if pull.near in sources or pull.far in sources)

    @property
    def branch(self) -> str | None:
        return self.home_runs[0].id if self.home_runs and not self.assigned else None

    @property
    def shown(self) -> str:
        """The run's name in sentences: its port as the schedule spells it."""
        return self.ports[0].shown if self.ports else self.name

    @property
    def name(self) -> str:
        if self.ports:
            return self.ports[0].name
        return f"branch {self.branch} of {self.head_ends[0]}"

    @property
    def cable_m(self) -> float:
        """Length of all landed pulls whose length is known."""
        return sum(pull.length_m or 0.0 for pull in self.pulls)

    @property
    def measured(self) -> bool:
        return all(pull.length_m is not None for pull in self.pulls)

    @property
    def device_count(self) -> int:
        return sum(device.quantity for device in self.devices)

    def reach_m(self) -> dict[str, float]:
        """Cable distance from the nearest source to each device [m], by tag."""
        return {device.tag: self.distance_m[device.tag] for device in self.devices}

    def farthest(self) -> str | None:
        """The device with the greatest reach; the first in the list where several share it."""
        reach_m = self.reach_m()
        return max(reach_m, key=reach_m.__getitem__, default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Topology:
    """A job's runs, and what no port feeds."""

    runs: tuple[Run, ...]
    unfed_devices: tuple[Device, ...]
    unfed_pulls: tuple[Pull, ...]
    unknown_ends: tuple[tuple[Pull, str], ...]
    repeated_pulls: tuple[Pull, ...]  # rows that state a pull again: same id, same ends; the longest counts
    spares: tuple[Pull, ...]


def topology(job: Job) -> Topology:
    """The runs of a job, in the order of their ports, then of their first pulls in the schedule."""
    import networkx as nx

    pulls, repeated = _distinct(job.pulls)
    landed = [pull for pull in pulls if pull.landed and pull.near and pull.far]
    endless = {id(pull) for pull in pulls if pull.landed and not (pull.near and pull.far)}
    graph = nx.Graph()  # what is joined at all: parallel pulls do not matter here
    graph.add_nodes_from(device.tag for device in job.devices)
    ends = [(_terminal(pull, pull.near, job), _terminal(pull, pull.far, job)) for pull in landed]
    graph.add_edges_from(ends)
    components: list[tuple[set[_Node], list[Pull]]] = [(part, []) for part in nx.connected_components(graph)]
    pulls_of = {node: joined for component, joined in components for node in component}
    for pull, (near, _) in zip(landed, ends, strict=True):
        pulls_of[near].append(pull)
    devices_at = defaultdict(list)
    for device in job.devices:
        devices_at[device.tag].append(device)
    runs, unfed = [], []
    starts = job.ports.keys() | job.head_ends
    for component, joined in components:
        sources = {_end(node) for node in component} & starts
        if sources and joined:
            runs.append(_run(job, joined, sources, devices_at))
        elif not sources:
            unfed.append((component, joined))
    order = {id(pull): index for index, pull in enumerate(job.pulls)}
    runs.sort(key=lambda run: (not run.assigned, _port_keys(run), order[id(run.pulls[0])]))
    unfed_tags = {_end(node) for component, _ in unfed for node in component}
    unfed_pulls = endless | {id(pull) for _, joined in unfed for pull in joined}
    return Topology(
        runs=tuple(runs),
        unfed_devices=tuple(device for device in job.devices if device.tag in unfed_tags),
        unfed_pulls=tuple(pull for pull in pulls if id(pull) in unfed_pulls),
        unknown_ends=tuple(_unknown_ends(job, devices_at)),
        repeated_pulls=tuple(repeated),
        spares=tuple(pull for pull in pulls if not pull.landed),
    )


def loops_and_joins(
    pulls: Sequence[Pull], feed: Mapping[str, Pull], upstream: Mapping[str, str]
) -> tuple[tuple[Loop, ...], tuple[Loop, ...]]:
    """The independent loops of one run, and the paths that join its sources.

    There is one of either for each pull outside the tree of shortest paths; with one source there
    are E - V + C loops (circuit rank). Since the tree holds a shortest path to every end, lifting
    the pull outside it leaves the shortest greatest reach that any lifting can.
    """
    fed = {id(pull) for pull in feed.values()}
    joined: dict[str, str] = {}  # source -> a source it is already joined to

    def root(source: str) -> str:
        while source in joined:
            source = joined[source]
        return source

    loops, joins = [], []
    for pull in pulls:
        if id(pull) in fed:
            continue
        near, far = _to_source(pull.near, upstream), _to_source(pull.far, upstream)
        ends = root(near[-1]), root(far[-1])
        from_near, from_far = _ways_round(near, far, feed)
        if ends[0] == ends[1]:
            loops.append(Loop(pulls=(pull, *from_near, *reversed(from_far)), lift=pull))
        else:
            joins.append(Loop(pulls=(*reversed(from_near), pull, *from_far), lift=pull))
            joined[ends[0]] = ends[1]
    return tuple(loops), tuple(joins)


def single_points_of_failure(topology: Topology, job: Job) -> tuple[list[Pull], list[Pull]]:
    """(protected, unprotected) landed pulls when the spare returns could be landed in an emergency.

    A pull stays a single point of failure while it is a bridge of the graph with the spares added
    and all ports and head ends taken as one end.
    """
    import networkx as nx

    def end(name: str) -> str:
        return SOURCE if name in job.ports or name in job.head_ends else name

    landed = [pull for run in topology.runs for pull in run.pulls]
    graph = nx.MultiGraph()
    laid = [pull for pull in topology.spares if pull.near and pull.far]
    graph.add_edges_from((end(pull.near), end(pull.far)) for pull in (*landed, *laid))
    bridges = {frozenset(pair) for pair in nx.bridges(graph)}
    unprotected = [pull for pull in landed if frozenset((end(pull.near), end(pull.far))) in bridges]
    alone = {id(pull) for pull in unprotected}
    return [pull for pull in landed if id(pull) not in alone], unprotected


def greatest_distance(
    run: Run, *, longest_way: bool = False, with_sources: bool = False
) -> tuple[float, str, str]:
    """The greatest cable distance between two devices of a run [m], and which two.

    Parameters
    ----------
    with_sources : the run's ports and head ends count as devices
    longest_way : in a run with loops count the longest way between two devices, not the shortest;
        beyond `MOST_WAYS` ways the run's whole cable stands for it, which no way exceeds
    """
    tags = list(dict.fromkeys(device.tag for device in run.devices))
    tags += run.sources if with_sources and tags else ()
    adjacency = _adjacency(run.pulls)
    longest = longest_way and bool(run.loops)
    best = (0.0, "", "")
    for start in tags:
        distance_m = _longest_ways(adjacency, start) if longest else _shortest_paths(adjacency, [start])[0]
        if distance_m is None:
            return run.cable_m, tags[0], tags[-1]
        for end in tags:
            if distance_m.get(end, 0.0) > best[0]:
                best = (distance_m[end], start, end)
    return best


def _longest_ways(adjacency: "_Adjacency", start: str) -> dict[str, float] | None:
    """The longest way without repeating an end from one end to each other [m]; None: too many ways."""
    longest: dict[str, float] = {}
    ways = 0
    stack: list[tuple[str, float, frozenset[str]]] = [(start, 0.0, frozenset((start,)))]
    while stack:
        end, here_m, passed = stack.pop()
        ways += 1
        if ways > MOST_WAYS:
            return None
        longest[end] = max(here_m, longest.get(end, 0.0))
        for other, pull in adjacency[end]:
            if other not in passed:
                stack.append((other, here_m + (pull.length_m or 0.0), passed | {other}))
    return longest


def _port_keys(run: Run) -> tuple[object, ...]:
    return tuple(natural_key(port.name) for port in run.ports)


_Node = str | tuple[str, str, int, int]


def _terminal(pull: Pull, end: str, job: Job) -> _Node:
    """A port or a device is one node; a head end is one node for each pull."""
    return (end, pull.where.sheet, pull.where.row, pull.where.column) if end in job.head_ends else end


def _end(node: _Node) -> str:
    return node if isinstance(node, str) else node[0]


def _distinct(pulls: Iterable[Pull]) -> tuple[list[Pull], list[Pull]]:
    """(the pulls, each once; the rows that state one again): of rows with two lengths the longer counts."""
    rows: dict[object, list[Pull]] = defaultdict(list)
    for pull in pulls:
        named = (pull.id, frozenset((pull.near, pull.far)), pull.landed)
        rows[named if pull.id else id(pull)].append(pull)
    distinct: list[Pull] = []
    repeated: list[Pull] = []
    for same in rows.values():
        longest = max(same, key=lambda pull: -1.0 if pull.length_m is None else pull.length_m)
        distinct.append(longest)
        repeated += [pull for pull in same if pull is not longest]
    return distinct, repeated


def _unknown_ends(job: Job, devices_at: Mapping[str, list[Device]]) -> Iterable[tuple[Pull, str]]:
    known = job.ports.keys() | job.head_ends | job.splices | devices_at.keys()
    for pull in job.pulls:
        for end in dict.fromkeys((pull.near, pull.far)):
            if end and end not in known:
                yield pull, end


def _run(job: Job, pulls: Sequence[Pull], sources: set[str], devices_at: Mapping[str, list[Device]]) -> Run:
    distance_m, feed, upstream = _shortest_paths(_adjacency(pulls), sorted(sources))
    loops, joins = loops_and_joins(pulls, feed, upstream)
    unmeasured: set[str] = set()
    for end in distance_m:  # sources first, then by distance: the end above comes before
        if end in feed and (feed[end].length_m is None or upstream[end] in unmeasured):
            unmeasured.add(end)
    return Run(
        ports=tuple(job.ports[name] for name in sorted(sources & job.ports.keys(), key=natural_key)),
        head_ends=tuple(sorted(sources - job.ports.keys())),
        pulls=tuple(pulls),
        devices=tuple(
            device for end in distance_m if end not in job.head_ends for device in devices_at.get(end, ())
        ),
        distance_m=distance_m,
        unmeasured=frozenset(unmeasured),
        feed=feed,
        upstream=upstream,
        loops=loops,
        joins=joins,
    )


_Adjacency = Mapping[str, list[tuple[str, Pull]]]


def _adjacency(pulls: Iterable[Pull]) -> _Adjacency:
    adjacency: dict[str, list[tuple[str, Pull]]] = defaultdict(list)
    for pull in pulls:
        adjacency[pull.near].append((pull.far, pull))
        adjacency[pull.far].append((pull.near, pull))
    return adjacency


def _shortest_paths(
    adjacency: _Adjacency, sources: Sequence[str]
) -> tuple[dict[str, float], dict[str, Pull], dict[str, str]]:
    """Distances [m] in the order of settling, and the tree of shortest paths."""
    distance_m: dict[str, float] = {}
    feed: dict[str, Pull] = {}
    upstream: dict[str, str] = {}
    heap: list[tuple[float, int, str, str, Pull | None]] = [
        (0.0, i, name, "", None) for i, name in enumerate(sources)
    ]
    count = len(heap)
    while heap:
        here_m, _, end, above, pull = heapq.heappop(heap)
        if end in distance_m:
            continue
        distance_m[end] = here_m
        if pull is not None:
            feed[end], upstream[end] = pull, above
        for other, next_pull in adjacency.get(end, ()):
            if other not in distance_m:
                heapq.heappush(heap, (here_m + (next_pull.length_m or 0.0), count, other, end, next_pull))
                count += 1
    return distance_m, feed, upstream


def _to_source(end: str, upstream: Mapping[str, str]) -> list[str]:
    way = [end]
    while way[-1] in upstream:
        way.append(upstream[way[-1]])
    return way


def _ways_round(near: list[str], far: list[str], feed: Mapping[str, Pull]) -> tuple[list[Pull], list[Pull]]:
    """The tree's pulls from each of two ends to where their ways to the source meet, or to their sources."""
    while near and far and near[-1] == far[-1]:
        near.pop()
        far.pop()
    return [feed[end] for end in near if end in feed], [feed[end] for end in far if end in feed]

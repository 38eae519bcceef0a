"""What is true of a design under the profile two-wire-35w: figures from networkx, limits typed by hand.

Nothing here comes from the auditor. Limits: common practice, no published source.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import networkx as nx

from tests.offices.design import FOOT_M, Cable, Design, End, Port

CABLE_M, REACH_M, PORT_DEVICES = 2000 * FOOT_M, 1000 * FOOT_M, 50
CONTROLLER_DEVICES, CONTROLLER_W = 100, 35.0
OFF_SPECIFICATION, REVIEW_ABOVE = 0.5, 0.9
AS_GOOD_M = 0.05  # devices as far as this from the farthest are as good as it

FOLLOWS = {  # a fail of this rule may come with these
    "run-length": frozenset({"port-plan"}),
    "device-count": frozenset({"port-plan"}),
    "power": frozenset({"port-plan", "voltage"}),
    "reach": frozenset({"port-plan", "voltage"}),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What is measured on a run or on one branch of it; None: it rests on something not stated."""

    cable_m: float | None
    reach_m: float | None
    devices: int
    power_w: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    port: Port
    whole: Figures
    farthest: frozenset[str]  # tags; empty where the reach is not known
    cables: frozenset[str]
    looped: bool
    branches: tuple[Figures, ...] = ()  # one for each pull at the port
    names: frozenset[str] = frozenset()  # tight spellings, as the office may be understood


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    runs: tuple[Run, ...]
    verdict: str
    fails: frozenset[str]  # rules that fail
    may_fail: frozenset[str] = field(default=frozenset())  # rules that may fail too, as they follow
    other: "Truth | None" = None  # as the slip's writer meant it: a reading that asks may show its figures


def truth(design: Design) -> Truth:
    """Runs, verdict and failing rules of a design as it is written; beside it, those of one that is meant."""
    found = as_written(design)
    found = replace(found, runs=tuple(_with_branches(design, run) for run in found.runs))
    if design.slip is None:
        return found
    written, tag = design.slip
    pulls = tuple(replace(pull, far=tag) if pull.far == written else pull for pull in design.pulls)
    meant = truth(replace(design, pulls=pulls, slip=None, fault=""))
    return replace(found, other=meant)


def as_written(design: Design) -> Truth:
    """Runs without their branches, verdict and failing rules."""
    graph = _graph(design)
    runs = tuple(_run(design, graph, port) for port in design.ports)
    fails = frozenset(_fails(design, graph, runs))
    verdict = "fail" if fails else "review" if any(_reviews(design, runs)) else "pass"
    may = frozenset().union(*(FOLLOWS.get(rule, frozenset()) for rule in (*fails, design.fault)))
    return Truth(runs=runs, verdict=verdict, fails=fails, may_fail=may)


def named(found: Truth, names: dict[Port, frozenset[str]]) -> Truth:
    """The same truth with the spellings under which each run may be called."""
    runs = tuple(replace(run, names=names[run.port]) for run in found.runs)
    return replace(found, runs=runs, other=found.other and named(found.other, names))


def _graph(design: Design) -> nx.MultiGraph:
    graph = nx.MultiGraph()
    graph.add_nodes_from(design.ports)
    graph.add_nodes_from(device.tag for device in design.devices)
    for pull in design.pulls:
        length_m = None if pull.length is None else pull.length * design.metres
        graph.add_edge(pull.near, pull.far, length_m=length_m, known_m=length_m or 0.0, cable=pull.cable)
    return graph


def _run(design: Design, graph: nx.MultiGraph, port: Port) -> Run:
    part = graph.subgraph(nx.node_connected_component(graph, port)).copy()
    whole, farthest = _measured(design, part, port)
    rank = part.number_of_edges() - part.number_of_nodes() + 1
    return Run(
        port=port,
        whole=whole,
        farthest=farthest,
        cables=frozenset(cable for _, _, cable in part.edges(data="cable")),
        looped=rank > 0,
    )


def _with_branches(design: Design, run: Run) -> Run:
    graph, port = _graph(design), run.port
    whole = graph.subgraph(nx.node_connected_component(graph, port)).copy()
    beyond = whole.subgraph(set(whole) - {port}).copy()
    parts = (whole.subgraph(nodes | {port}).copy() for nodes in nx.connected_components(beyond))
    return replace(run, branches=tuple(_measured(design, part, port)[0] for part in parts))


def _measured(design: Design, part: nx.MultiGraph, port: Port) -> tuple[Figures, frozenset[str]]:
    devices = [device for device in design.devices if device.tag in part]
    lengths = [length_m for _, _, length_m in part.edges(data="length_m")]
    at = nx.single_source_dijkstra_path_length(part, port, weight="known_m")
    reach = max((at[device.tag] for device in devices), default=None)
    if None in lengths:
        reach = None
    far = [d.tag for d in devices if reach is not None and at[d.tag] >= reach - AS_GOOD_M]
    watts = [device.power_w for device in devices]
    figures = Figures(
        cable_m=None if None in lengths else sum(lengths),
        reach_m=reach,
        devices=sum(device.quantity for device in devices),
        power_w=None if None in watts else sum(d.quantity * d.power_w for d in devices),
    )
    return figures, frozenset(far)


def _fails(design: Design, graph: nx.MultiGraph, runs: tuple[Run, ...]) -> Iterator[str]:
    fed: set[End] = set().union(*(nx.node_connected_component(graph, port) for port in design.ports))
    if set(graph) - fed:
        yield "unfed"
    if {end for end in graph if isinstance(end, str)} - {d.tag for d in design.devices} - {*design.splices}:
        yield "unknown-end"
    if any(run.looped for run in runs):
        yield "loop"
    for run in runs:
        for rule, value, limit in _derated_limits(run):
            part = OFF_SPECIFICATION if _off_specification(design, run) else 1.0
            if value is not None and value > limit * part + 1e-6:
                yield rule
    for rule, value, limit in _controller_limits(design, runs):
        if value > limit + 1e-6:
            yield rule


def _reviews(design: Design, runs: tuple[Run, ...]) -> Iterator[bool]:
    """Whether something cannot be judged, or little is left of a limit."""
    for run in runs:
        yield _off_specification(design, run)
        yield None in (run.whole.cable_m, run.whole.power_w)
        part = OFF_SPECIFICATION if _off_specification(design, run) or not design.cables_stated else 1.0
        for _, value, limit in _derated_limits(run):
            yield value is not None and value > REVIEW_ABOVE * limit * part
    for _, value, limit in _controller_limits(design, runs):
        yield value > REVIEW_ABOVE * limit


def _derated_limits(run: Run) -> list[tuple[str, float | None, float]]:
    whole = run.whole
    return [
        ("run-length", whole.cable_m, CABLE_M),
        ("reach", whole.reach_m, REACH_M),
        ("device-count", whole.devices, PORT_DEVICES),
    ]


def _controller_limits(design: Design, runs: tuple[Run, ...]) -> Iterator[tuple[str, float, float]]:
    for controller in design.controllers:
        mine = [run.whole for run in runs if run.port.controller == controller]
        yield "power", sum(whole.power_w or 0.0 for whole in mine), CONTROLLER_W
        yield "device-count", sum(whole.devices for whole in mine), CONTROLLER_DEVICES


def _off_specification(design: Design, run: Run) -> bool:
    """Whether a stated cable of the run is off specification."""
    of: dict[str, Cable] = {cable.name: cable for cable in design.cables}
    return design.cables_stated and any(not of[name].in_specification for name in run.cables)


def hardest_load_w_ohm(design: Design, runs: tuple[Run, ...]) -> float:
    """Watts times the loop's ohms to the farthest device, of the worst run: below 144 at 24 V (a quarter
    of the voltage squared) any load can be delivered, wherever on the run it is drawn.

    Source: IEC 60028, 1/58 ohm mm² per m of copper at 20 degC, 0.393 % more a degree, at 30 degC.
    Cable that the workbook does not describe is taken as 0.5 mm².
    """
    area_mm2 = min(_area_mm2(cable.awg) for cable in design.cables) if design.cables_stated else 0.5
    ohm_per_m = 2 / 58 / area_mm2 * 1.0393
    return max((run.whole.power_w or 0.0) * (run.whole.reach_m or 0.0) * ohm_per_m for run in runs)


def may_lose_past_supply(design: Design, runs: tuple[Run, ...]) -> bool:
    """Whether a supply that the devices alone keep may be passed with the cable's loss.

    At most (watts/V)² times the ohms to the farthest device are lost, where V is the lowest voltage of a load far
    from collapse: 21 of 24 V.
    """
    hardest = hardest_load_w_ohm(design, runs)
    return any(
        value <= limit < value + value * hardest / 21**2
        for rule, value, limit in _controller_limits(design, runs)
        if rule == "power"
    )


def _area_mm2(awg: int) -> float:
    """ASTM B258: d = 0.127 mm x 92^((36 - n) / 39)."""
    return 3.14159265 / 4 * (0.127 * 92 ** ((36 - awg) / 39)) ** 2

"""What would mend a run whose voltage does not hold: thicker pulls, less load, or a second feed.

Each answer carries the flow it was checked with, solved anew; what no change of its kind mends is None.
A net is mended when it is solved and every node in `least_v` that still has its load keeps its voltage.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from auditor.calc.volts.flow import Flow, FlowStatus, solve
from auditor.calc.volts.net import Net
from auditor.units import ALMOST

T = TypeVar("T")
MOST_SETS = 200  # sets of pulls that are solved in search of the least cable; project convention
LIGHT = 1e-6  # of the load: little enough that currents and drops are in proportion to the loads


@dataclass(frozen=True, slots=True, kw_only=True)
class ThickerPulls:
    gauge: str
    links: tuple[int, ...]  # positions in the net's links, greatest current first
    least: bool  # no other pulls of that gauge mend the net with less cable: all were tried
    flow: Flow


@dataclass(frozen=True, slots=True, kw_only=True)
class LessLoad:
    take_off_w: float  # at the source's voltage
    nodes: tuple[str, ...]  # which loads go; empty: every load by the same factor
    factor: float  # on every load that stays
    flow: Flow


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondFeed:
    """A pull is lifted and its far end fed by a home run of its own, so that no two ports are joined."""

    node: str  # where the second feed enters
    lifted: int  # position in the net's links
    feed_ohm: float  # loop resistance of the new home run: the same route, the same conductor
    flow: Flow


def keeps(flow: Flow, least_v: Mapping[str, float]) -> bool:
    """Whether a flow is solved and every fed node has the voltage it needs, to one part in 10^9."""
    return flow.status is FlowStatus.SOLVED and all(
        flow.voltages_v[name] >= volts * ALMOST for name, volts in least_v.items() if name in flow.voltages_v
    )


def thicker_pulls(
    net: Net,
    least_v: Mapping[str, float],
    lengths_m: Sequence[float],
    gauges: Sequence[tuple[str, float]],
) -> ThickerPulls | None:
    """The smallest gauge that mends the net, on as little cable as that gauge needs.

    Parameters
    ----------
    net : the net as it is
    least_v : node -> voltage it needs [V]; empty: to be deliverable is enough
    lengths_m : one way, of each link in the net's order [m]
    gauges : name and resistance of one conductor [ohm/km], the thinnest first

    Notes
    -----
    Pulls are taken by falling current, the fewest that suffice, and those that prove needless are
    given back. From there all sets with less cable are searched, as far as `MOST_SETS` goes: a pull more
    never hurts, so that a branch whose pulls together do not mend is left whole.
    """
    by_current = _by_current(net)
    for gauge, ohm_per_km in gauges:
        ohms = [2 * length_m * ohm_per_km / 1000 for length_m in lengths_m]
        better = [k for k in by_current if 0 < ohms[k] < net.links[k][2]]

        def with_gauge(chosen: Sequence[int], ohms: Sequence[float] = ohms) -> Flow:
            return solve(_with_ohms(net, {k: ohms[k] for k in chosen}))

        def mends(picked: Sequence[int], with_gauge: Callable[..., Flow] = with_gauge) -> bool:
            return keeps(with_gauge(picked), least_v)

        head = _shortest_head(better, mends)
        if head is not None:
            chosen, least = _least_cable(better, lengths_m, mends, head)
            return ThickerPulls(gauge=gauge, links=tuple(chosen), least=least, flow=with_gauge(chosen))
    return None


def _least_cable(
    candidates: Sequence[int],
    lengths_m: Sequence[float],
    mends: Callable[[Sequence[int]], bool],
    known: Sequence[int],
) -> tuple[list[int], bool]:
    """The set of candidates with the least cable that mends, and whether all were searched.

    Parameters
    ----------
    known : a set that mends
    """
    best, best_m, tries = list(known), sum(lengths_m[k] for k in known), 0
    stack: list[tuple[int, list[int], float]] = [
        (0, [], 0.0)
    ]  # candidates decided, those taken, their length
    while stack:
        at, taken, taken_m = stack.pop()
        left = candidates[at:]
        nearest_m = min((lengths_m[k] for k in left), default=math.inf)
        if taken_m >= best_m * ALMOST:
            continue
        if tries >= MOST_SETS:
            return best, False
        tries += 1
        if mends(taken):
            best, best_m = taken, taken_m
        elif taken_m + nearest_m < best_m * ALMOST and mends([*taken, *left]):
            stack.append((at + 1, taken, taken_m))
            stack.append((at + 1, [*taken, left[0]], taken_m + lengths_m[left[0]]))
    return best, True


def less_load_everywhere(net: Net, least_v: Mapping[str, float]) -> LessLoad | None:
    """The greatest factor on every load that mends the net (to one part in 10^4, on the safe side)."""
    low, high = 0.0, 1.0
    if not keeps(solve(net.scaled(0)), least_v):
        return None
    while high - low > 1e-4:
        middle = (low + high) / 2
        low, high = (middle, high) if keeps(solve(net.scaled(middle)), least_v) else (low, middle)
    return LessLoad(
        take_off_w=_nominal_w(net, net.loads) * (1 - low), nodes=(), factor=low, flow=solve(net.scaled(low))
    )


def loads_to_take_off(net: Net, least_v: Mapping[str, float]) -> LessLoad | None:
    """The loads at the end of the greatest drops that must go, as few as that order needs."""
    light = solve(net.scaled(LIGHT))
    if light.status is not FlowStatus.SOLVED:
        return None
    worst_first = sorted(
        (name for name, loads in net.loads.items() if loads and name in light.voltages_v),
        key=lambda name: light.voltages_v[name],
    )

    def without(chosen: Sequence[str]) -> Flow:
        gone = set(chosen)
        return solve(replace(net, loads={name: at for name, at in net.loads.items() if name not in gone}))

    def mends(chosen: Sequence[str]) -> bool:
        gone = set(chosen)
        return keeps(without(chosen), {name: v for name, v in least_v.items() if name not in gone})

    chosen = _shortest_head(worst_first, mends)
    if chosen is None:
        return None
    return LessLoad(take_off_w=_nominal_w(net, chosen), nodes=tuple(chosen), factor=1.0, flow=without(chosen))


def second_feed(net: Net, least_v: Mapping[str, float]) -> SecondFeed | None:
    """The nearest place on the way to the greatest drop where a second feed mends the net.

    The pull that led there is lifted, so that each part hangs on its own port; the feed has the
    source's voltage and a home run of the same route and conductor. Only for a net without loops and
    with one source: None for others. Whether the controller has a port and the power is not asked.
    """
    light = solve(net.scaled(LIGHT))
    if len(net.sources) != 1 or light.status is not FlowStatus.SOLVED or not net.loads:
        return None
    if len(net.links) != len(light.voltages_v) - 1:
        return None
    ((source, source_v),) = net.sources.items()
    feed = "second feed"
    while feed in light.voltages_v:
        feed += "'"
    feed_ohm = 0.0
    for k, node in _way(net, source, light.lowest_at or source):
        feed_ohm += net.links[k][2]
        links = [*net.links[:k], (feed, node, feed_ohm), *net.links[k + 1 :]]
        flow = solve(replace(net, sources={source: source_v, feed: source_v}, links=links))
        if keeps(flow, least_v):
            return SecondFeed(node=node, lifted=k, feed_ohm=feed_ohm, flow=flow)
    return None


def _shortest_head(candidates: Sequence[T], mends: Callable[[Sequence[T]], bool]) -> list[T] | None:
    """The shortest head of `candidates` that mends, less what proves needless; None: not even all."""
    if not mends(candidates):
        return None
    low, high = 0, len(candidates)
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if mends(candidates[:middle]) else (middle + 1, high)
    chosen = list(candidates[:high])
    for item in reversed(candidates[:high]):
        fewer = [other for other in chosen if other != item]
        if mends(fewer):
            chosen = fewer
    return chosen


def _by_current(net: Net) -> list[int]:
    """Links that carry current, the greatest first; on a tree that is from the source on."""
    currents = solve(net.scaled(LIGHT)).link_currents_a
    carrying = [k for k, current in enumerate(currents) if current]
    return sorted(carrying, key=lambda k: -abs(currents[k]))


def _with_ohms(net: Net, ohms: Mapping[int, float]) -> Net:
    return replace(net, links=[(a, b, ohms.get(k, ohm)) for k, (a, b, ohm) in enumerate(net.links)])


def _nominal_w(net: Net, names: Sequence[str] | Mapping[str, object]) -> float:
    source_v = max(net.sources.values())
    return sum(load.power_at_w(source_v) for name in names for load in net.loads[name])


def _way(net: Net, source: str, target: str) -> list[tuple[int, str]]:
    """The links from the source to a node of a tree, each with its far end."""
    joined: dict[str, list[tuple[int, str]]] = {}
    for k, (a, b, _) in enumerate(net.links):
        joined.setdefault(a, []).append((k, b))
        joined.setdefault(b, []).append((k, a))
    came: dict[str, tuple[int, str]] = {source: (-1, source)}
    queue = [source]
    for node in queue:
        for k, other in joined.get(node, ()):
            if other not in came:
                came[other] = (k, node)
                queue.append(other)
    way = []
    while target != source:
        k, before = came[target]
        way.append((k, target))
        target = before
    return way[::-1]

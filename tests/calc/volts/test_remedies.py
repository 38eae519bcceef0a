"""What mends a run: small nets against all possibilities, and each answer solved anew."""

import random
from dataclasses import replace
from itertools import chain, combinations

import pytest

from auditor.calc.conductors import conductor, standard_gauges
from auditor.calc.volts.flow import FlowStatus, max_deliverable_factor, solve
from auditor.calc.volts.net import Net, NodeLoad
from auditor.calc.volts.remedies import (
    keeps,
    less_load_everywhere,
    loads_to_take_off,
    second_feed,
    thicker_pulls,
)

GAUGES = [
    (gauge.name, conductor(awg=gauge.awg, stranded=True, conductor_degc=30).ohm_per_km)
    for gauge in standard_gauges()
]
OHM_PER_KM = dict(GAUGES)


def net_of(pulls, watts, gauge="18 AWG", source_v=24.0):
    links = [(a, b, 2 * length_m * OHM_PER_KM[gauge] / 1000) for a, b, length_m in pulls]
    loads = {name: [NodeLoad(power_w=power_w)] for name, power_w in watts.items()}
    return Net(sources={"P": source_v}, links=links, loads=loads)


TRUNK = [("P", "A", 60), ("A", "B", 60), ("B", "C", 60), ("A", "D", 10)]
WATTS = {"A": 3, "B": 8, "C": 8, "D": 3}
LEAST = dict.fromkeys(WATTS, 20.0)


def lengths(pulls):
    return [length_m for _, _, length_m in pulls]


def test_the_run_of_these_tests_does_not_hold():
    flow = solve(net_of(TRUNK, WATTS))
    assert not keeps(flow, LEAST)
    assert flow.lowest_at == "C"


def subsets(items):
    return chain.from_iterable(combinations(items, size) for size in range(len(items) + 1))


def cheapest_by_trying_all(net, least_v, pulls):
    """The smallest gauge with which a set of pulls mends, and the least cable of all such sets."""
    for gauge, ohm_per_km in GAUGES:
        lengths_m = []
        for chosen in subsets(range(len(pulls))):
            links = list(net.links)
            for k in chosen:
                links[k] = (links[k][0], links[k][1], min(links[k][2], 2 * pulls[k][2] * ohm_per_km / 1000))
            if keeps(solve(replace(net, links=links)), least_v):
                lengths_m.append(sum(pulls[k][2] for k in chosen))
        if lengths_m:
            return gauge, min(lengths_m)
    return None


def cable_m(found, pulls):
    return sum(pulls[k][2] for k in found.links)


def test_the_smallest_gauge_on_the_least_cable():
    net = net_of(TRUNK, WATTS)
    found = thicker_pulls(net, LEAST, lengths(TRUNK), GAUGES)
    assert (found.gauge, cable_m(found, TRUNK)) == cheapest_by_trying_all(net, LEAST, TRUNK)
    assert found.least
    assert keeps(found.flow, LEAST)
    assert 3 not in found.links  # the short spur has no part in it


@pytest.mark.parametrize("seed", range(30))
def test_the_gauge_is_the_smallest_and_its_cable_the_least_on_random_trees(seed):
    draw = random.Random(seed)
    pulls = [(f"n{draw.randrange(i)}" if i > 1 else "P", f"n{i}", draw.uniform(10, 80)) for i in range(1, 7)]
    pulls = [("P" if a == "n0" else a, b, length_m) for a, b, length_m in pulls]
    net = net_of(pulls, {b: draw.uniform(1, 6) for _, b, _ in pulls})
    least_v = dict.fromkeys(net.loads, 21.5)
    found, best = (
        thicker_pulls(net, least_v, lengths(pulls), GAUGES),
        cheapest_by_trying_all(net, least_v, pulls),
    )
    if found is None:
        assert best is None
        return
    assert keeps(found.flow, least_v)
    assert found.gauge == best[0]
    assert found.least
    assert cable_m(found, pulls) == pytest.approx(best[1])
    for k in found.links:  # and not one of them is needless
        ohms = {j: 2 * pulls[j][2] * OHM_PER_KM[found.gauge] / 1000 for j in found.links if j != k}
        links = [(a, b, ohms.get(j, ohm)) for j, (a, b, ohm) in enumerate(net.links)]
        assert not keeps(solve(replace(net, links=links)), least_v)


def test_where_not_all_sets_are_searched_it_says_so():
    draw = random.Random(3)
    pulls = [
        ("P", "n0", 40),
        *((f"n{draw.randrange(i)}", f"n{i}", draw.uniform(5, 30)) for i in range(1, 40)),
    ]
    net = net_of(pulls, {b: 1.0 for _, b, _ in pulls})
    least_v = dict.fromkeys(net.loads, 21.0)
    found = thicker_pulls(net, least_v, lengths(pulls), GAUGES)
    assert not found.least
    assert keeps(found.flow, least_v)


def test_a_run_that_holds_needs_no_thicker_pull():
    found = thicker_pulls(net_of(TRUNK, {"C": 0.1}), {"C": 20}, lengths(TRUNK), GAUGES)
    assert found.links == ()


def test_what_no_gauge_mends():
    watts = {"C": 2000}
    assert thicker_pulls(net_of(TRUNK, watts), {}, lengths(TRUNK), GAUGES) is None


def test_what_cannot_be_delivered_is_mended_too():
    net = net_of(TRUNK, {"C": 40})
    assert solve(net).status is FlowStatus.NO_SOLUTION
    assert thicker_pulls(net, {}, lengths(TRUNK), GAUGES).flow.status is FlowStatus.SOLVED
    less = less_load_everywhere(net, {})
    assert less.factor == pytest.approx(max_deliverable_factor(net), abs=2e-4)
    assert less.take_off_w == pytest.approx(40 * (1 - max_deliverable_factor(net)), abs=0.01)
    shared = net_of(TRUNK, {"A": 30, "C": 15})
    assert solve(shared).status is FlowStatus.NO_SOLUTION
    assert second_feed(shared, {}).flow.status is FlowStatus.SOLVED


def test_a_loop_is_mended_by_thicker_pulls():
    ring = [*TRUNK, ("C", "P", 100)]
    net = net_of(ring, {"B": 20, "C": 15})
    assert not keeps(solve(net), {"B": 20})
    found = thicker_pulls(net, {"B": 20}, lengths(ring), GAUGES)
    assert keeps(found.flow, {"B": 20})


def test_less_load_everywhere_is_the_greatest_factor():
    net = net_of(TRUNK, WATTS)
    less = less_load_everywhere(net, LEAST)
    assert keeps(less.flow, LEAST)
    assert not keeps(solve(net.scaled(less.factor + 2e-4)), LEAST)
    assert less.take_off_w == pytest.approx(22 * (1 - less.factor))
    assert less_load_everywhere(net, {"A": 25}) is None


def test_the_devices_to_take_off_are_those_at_the_far_end():
    net = net_of(TRUNK, WATTS)
    less = loads_to_take_off(net, LEAST)
    assert less.nodes == ("C",)
    assert less.take_off_w == 8
    remaining = {name: volts for name, volts in LEAST.items() if name not in less.nodes}
    assert keeps(less.flow, remaining)
    assert loads_to_take_off(net, LEAST | {"P": 25}) is None  # the port itself cannot


def test_the_second_feed_enters_where_both_parts_hold():
    net = net_of(TRUNK, WATTS)
    feed = second_feed(net, LEAST)
    a, b, _ = net.links[feed.lifted]
    assert feed.node in (a, b)
    assert keeps(feed.flow, LEAST)
    route_m = {"A": 60, "B": 120, "C": 180}[feed.node]
    assert feed.feed_ohm == pytest.approx(2 * route_m * OHM_PER_KM["18 AWG"] / 1000)
    # nothing nearer does: of the three places on the way to C, try all
    nearer = [k for k, node in enumerate("ABC") if node < feed.node]
    for k in nearer:
        ohm = sum(net.links[j][2] for j in range(k + 1))
        links = [link for j, link in enumerate(net.links) if j != k] + [("Q", "ABC"[k], ohm)]
        assert not keeps(solve(replace(net, sources={"P": 24.0, "Q": 24.0}, links=links)), LEAST)


def test_no_second_feed_is_named_on_a_loop_or_where_none_helps():
    assert second_feed(net_of([*TRUNK, ("C", "P", 100)], WATTS), LEAST) is None
    assert second_feed(net_of([("P", "A", 500)], {"A": 20}), {"A": 20}) is None

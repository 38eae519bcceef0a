"""What a net settles at, what is proven, what is refused."""

import math
import random

import pytest

from auditor.calc.volts.flow import FlowStatus, max_deliverable_factor, solve
from auditor.calc.volts.net import Net, NodeLoad


def chain(n, ohm, watts, source_v=24.0):
    links = [(f"n{i}", f"n{i + 1}", ohm) for i in range(n)]
    return Net(
        sources={"n0": source_v},
        links=links,
        loads={f"n{i + 1}": [NodeLoad(power_w=watts)] for i in range(n)},
    )


def test_regression_chain_of_eight_constant_power_devices():
    # Computed by us as a fixed point from a stated set-up (8 devices, 10 m apart, 0.4329 ohm a section,
    # 1.196 W each, 24 V); no published answer.
    flow = solve(chain(8, 0.4329, 1.196))
    expected = [23.8232, 23.6682, 23.5351, 23.4239, 23.3349, 23.2680, 23.2234, 23.2011]
    assert [flow.voltages_v[f"n{i}"] for i in range(1, 9)] == pytest.approx(expected, abs=5e-5)


def test_a_net_without_loads_stands_at_its_source_voltage():
    flow = solve(Net(sources={"A": 24}, links=[("A", "B", 1)]))
    assert flow.voltages_v == {"A": 24, "B": 24}
    assert (flow.supplied_w, flow.loss_w, flow.lowest_v) == (0, 0, 24)


def test_a_loop_without_loads_is_solved_whatever_its_rounding():
    for ohm in (0.0509, 0.0204, 0.0321, 0.0128):
        net = Net(sources={"A": 24}, links=[("A", "B", ohm), ("A", "A", ohm)])
        assert solve(net).status is FlowStatus.SOLVED


def large_forest(watts, amperes=0.0, n=2500):
    """Two trees at two ports of different voltage, some of it far from the port."""
    draw = random.Random(5)
    links = [
        (f"n{draw.randint(max(0, i - 40), i - 1)}", f"n{i}", draw.uniform(0.01, 0.1)) for i in range(1, n)
    ]
    links += [(f"m{draw.randint(0, i - 1)}", f"m{i}", draw.uniform(0.01, 0.1)) for i in range(1, n)]
    loads = {f"{tree}{i}": [NodeLoad(power_w=watts, current_a=amperes)] for tree in "nm" for i in range(1, n)}
    return Net(sources={"n0": 24.0, "m0": 23.0}, links=links, loads=loads)


def test_a_large_forest_is_swept_to_the_same_voltages(monkeypatch):
    net = large_forest(0.01, 0.0001)
    swept = solve(net)
    monkeypatch.setattr("auditor.calc.volts.flow.FROM_NODES", math.inf)
    stepped = solve(net)
    assert (swept.steps, stepped.steps) == (0, pytest.approx(4, abs=2))
    assert swept.lowest_v < 0.9 * 24
    apart_v = [abs(swept.voltages_v[name] - stepped.voltages_v[name]) for name in stepped.voltages_v]
    assert max(apart_v) < 1e-9
    assert swept.supplied_w == pytest.approx(swept.delivered_w + swept.loss_w, rel=1e-9)


def test_next_to_its_collapse_a_large_forest_is_solved_by_newton_and_proven_above():
    net = large_forest(0.01)
    collapse = max_deliverable_factor(net)
    below, above = solve(net.scaled(collapse * (1 - 1e-5))), solve(net.scaled(collapse * (1 + 1e-5)))
    assert (below.status, above.status) == (FlowStatus.SOLVED, FlowStatus.NO_SOLUTION)
    assert below.steps > 0


def test_a_source_without_links():
    flow = solve(Net(sources={"A": 24}, links=[], loads={"A": [NodeLoad(power_w=12)]}))
    assert (flow.status, flow.source_currents_a) == (FlowStatus.SOLVED, {"A": 0.5})


def test_the_upper_of_the_two_solutions_is_followed():
    # V^2 - 24 V + 10 x 10 = 0: 18.63 V and 5.37 V
    flow = solve(Net(sources={"A": 24}, links=[("A", "B", 10)], loads={"B": [NodeLoad(power_w=10)]}))
    assert flow.lowest_v == pytest.approx(12 + math.sqrt(44), rel=1e-12)


def test_kinds_of_load_draw_their_nominal_power_at_the_stated_voltage():
    for kind in ("constant-power", "constant-current", "resistive"):
        assert NodeLoad.of(kind, 12, 24).power_at_w(24) == pytest.approx(12)
    at_half = [
        NodeLoad.of(kind, 12, 24).power_at_w(12)
        for kind in ("constant-power", "constant-current", "resistive")
    ]
    assert at_half == pytest.approx([12, 6, 3])


def test_mixed_loads_at_one_node():
    net = Net(
        sources={"A": 24},
        links=[("A", "B", 2)],
        loads={"B": [NodeLoad(power_w=6), NodeLoad(current_a=0.5), NodeLoad(siemens=0.02)]},
    )
    flow = solve(net)
    v = flow.lowest_v
    assert (24 - v) / 2 == pytest.approx(6 / v + 0.5 + 0.02 * v, rel=1e-12)


def test_parallel_pulls_share_the_current():
    net = Net(sources={"A": 24}, links=[("A", "B", 2), ("B", "A", 1)], loads={"B": [NodeLoad(current_a=3)]})
    flow = solve(net)
    assert flow.link_currents_a == pytest.approx([1, -2])


def test_a_pull_that_comes_back_to_its_own_end_carries_nothing():
    net = Net(sources={"A": 24}, links=[("A", "B", 2), ("B", "B", 1)], loads={"B": [NodeLoad(current_a=3)]})
    flow = solve(net)
    assert (flow.link_currents_a, flow.lowest_v) == (pytest.approx([3, 0]), pytest.approx(18))


def test_sources_that_are_joined_exchange_current():
    flow = solve(Net(sources={"A": 24, "B": 20}, links=[("A", "B", 2)]))
    assert flow.source_currents_a == {"A": 2, "B": -2}
    assert flow.supplied_w == pytest.approx(flow.loss_w)


def test_what_no_source_reaches_is_named_and_left_out():
    net = Net(
        sources={"A": 24},
        links=[("A", "B", 1), ("X", "Y", 1)],
        loads={"B": [NodeLoad(power_w=1)], "Y": [NodeLoad(power_w=1)], "Z": [NodeLoad(power_w=1)]},
    )
    flow = solve(net)
    assert flow.unfed == ("X", "Y", "Z")
    assert set(flow.voltages_v) == {"A", "B"}
    assert flow.link_currents_a[1] == 0
    assert flow.delivered_w == 1


def test_no_solution_is_proven_in_few_steps_either_side_of_the_collapse_point():
    net = chain(60, 0.5, 0.1)
    collapse = max_deliverable_factor(net)
    for distance in (1e-2, 1e-4, 1e-6):
        below, above = (
            solve(net.scaled(collapse * (1 - distance))),
            solve(net.scaled(collapse * (1 + distance))),
        )
        assert (below.status, above.status) == (FlowStatus.SOLVED, FlowStatus.NO_SOLUTION)
        assert max(below.steps, above.steps) < 25
        assert above.voltages_v == {}
        assert above.failed_at in {f"n{i}" for i in range(1, 61)}


def test_at_the_collapse_point_itself_no_proof_is_claimed():
    # 24 V behind 9 ohm: exactly 16 W
    at = Net(sources={"A": 24}, links=[("A", "B", 9)], loads={"B": [NodeLoad(power_w=16 * (1 + 1e-15))]})
    flow = solve(at)
    assert flow.status is FlowStatus.NOT_CONVERGED
    assert "no answer is given" in flow.reason


def test_running_out_of_steps_is_not_called_a_proof(monkeypatch):
    monkeypatch.setattr("auditor.calc.volts.flow.STEPS", 1)
    flow = solve(chain(3, 1, 1))
    assert flow.status is FlowStatus.NOT_CONVERGED
    assert flow.voltages_v == {}


def test_a_constant_current_that_needs_more_than_the_source_has():
    net = Net(sources={"A": 24}, links=[("A", "B", 10)], loads={"B": [NodeLoad(current_a=2.5)]})
    assert solve(net).status is FlowStatus.NO_SOLUTION


def test_the_collapse_factor_is_exact_for_one_load():
    net = Net(sources={"A": 24}, links=[("A", "B", 9.98)], loads={"B": [NodeLoad(power_w=35)]})
    assert max_deliverable_factor(net) * 35 == pytest.approx(24**2 / 4 / 9.98, rel=1e-6)


def test_the_collapse_factor_leaves_other_loads_alone():
    # what is left of the voltage after the constant current: 24 - 10 x 1 = 14 V behind 10 ohm
    net = Net(sources={"A": 24}, links=[("A", "B", 10)], loads={"B": [NodeLoad(power_w=1, current_a=1)]})
    assert max_deliverable_factor(net) == pytest.approx(14**2 / 40, rel=1e-6)
    hopeless = Net(sources={"A": 24}, links=[("A", "B", 10)], loads={"B": [NodeLoad(power_w=1, current_a=3)]})
    assert max_deliverable_factor(hopeless) == 0
    no_power = Net(sources={"A": 24}, links=[("A", "B", 10)], loads={"B": [NodeLoad(current_a=3)]})
    assert max_deliverable_factor(no_power) == 0
    without = Net(sources={"A": 24}, links=[("A", "B", 10)], loads={"B": [NodeLoad(current_a=1)]})
    assert max_deliverable_factor(without) == math.inf
    at_source = Net(sources={"A": 24}, links=[], loads={"A": [NodeLoad(power_w=1)]})
    assert max_deliverable_factor(at_source) == math.inf


def test_the_collapse_factor_does_not_see_the_scale_of_the_loads():
    net = chain(10, 0.5, 0.1)
    factors = [max_deliverable_factor(net.scaled(10.0**k)) * 10.0**k for k in (-9, 0, 9)]
    assert factors == pytest.approx([factors[1]] * 3, rel=1e-6)


def test_a_very_short_pull_beside_a_very_long_one_costs_no_digits():
    links = [("A", "B", 1e-9), ("B", "C", 10.0), ("C", "D", 1e-9), ("B", "D", 1e9)]
    for chosen in (links[:3], links):
        flow = solve(Net(sources={"A": 24}, links=chosen, loads={"D": [NodeLoad(current_a=1)]}))
        assert flow.status is FlowStatus.SOLVED
        assert flow.lowest_v == pytest.approx(14, abs=1e-6)
        assert flow.source_currents_a["A"] == pytest.approx(1, rel=1e-9)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ({"sources": {}}, "nothing feeds this net"),
        ({"sources": {"A": 0}}, "A feeds 0 V"),
        ({"sources": {"A": math.nan}}, "A feeds nan V"),
        ({"links": [("A", "B", 0)]}, "the pull A to B has 0 ohm"),
        ({"links": [("A", "B", -1)]}, "the pull A to B has -1 ohm"),
        ({"links": [("A", "B", math.inf)]}, "the pull A to B has inf ohm"),
        ({"loads": {"B": [NodeLoad(power_w=1e308)]}}, r"B draws 1e\+308 W"),
        ({"loads": {"B": [NodeLoad(power_w=math.nan)]}}, "B draws nan W"),
        ({"loads": {"B": [NodeLoad(current_a=-1)]}}, "B draws -1 A"),
    ],
)
def test_numbers_that_no_net_can_have_are_refused(arguments, said):
    with pytest.raises(ValueError, match=said):
        Net(**({"sources": {"A": 24}, "links": [("A", "B", 1)], "loads": {}} | arguments))


def test_a_load_of_unknown_kind_or_voltage_is_refused():
    with pytest.raises(ValueError, match="constant-power, constant-current or resistive"):
        NodeLoad.of("capacitive", 1, 24)
    with pytest.raises(ValueError, match="a current stated at 0 V"):
        NodeLoad.of("resistive", 1, 0)

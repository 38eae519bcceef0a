"""Worked examples that other people printed, typed as printed; tolerance half a unit of the last digit.

Mehta: V. K. Mehta and R. Mehta, Principles of Power System, chapter 13, as worked in the FOSSEE Python
textbook companions. Theraja: A Textbook of Electrical Technology, vol. III, chapter 40, same companions.
Lessons: Lessons in Electric Circuits, vol. I. Left out: Mehta 13.21, whose printed 217.5 V is
inconsistent, and Mehta 13.25, whose inputs were not at hand.
"""

import pytest

from auditor.calc.conductors import area_mm2_from_awg, conductor
from auditor.calc.volts.flow import FlowStatus, max_deliverable_factor, solve
from auditor.calc.volts.net import Net, NodeLoad
from auditor.units import m_from_ft
from tests.calc.wires import loop_ohm


def amperes(loads):
    return {name: [NodeLoad(current_a=current_a)] for name, current_a in loads.items()}


def line(source_v, places_m, currents_a, ohm_per_m, *, far_v=None, length_m=None):
    """Loads along one line, fed at «A» and, with `far_v`, at «Z» too."""
    names = ["A", *(f"{place:g}" for place in places_m)]
    at_m = [0.0, *places_m]
    sources = {"A": source_v}
    if far_v is not None:
        names, at_m, sources = [*names, "Z"], [*at_m, length_m], {"A": source_v, "Z": far_v}
    links = [(names[i], names[i + 1], (at_m[i + 1] - at_m[i]) * ohm_per_m) for i in range(len(names) - 1)]
    loads = amperes(dict(zip(names[1:], currents_a, strict=False)))
    return solve(Net(sources=sources, links=links, loads=loads))


def volts(flow, *names):
    assert flow.status is FlowStatus.SOLVED
    return [flow.voltages_v[name] for name in names]


def test_mehta_13_1_four_loads_in_line():
    flow = line(300, [500, 1000, 1600, 2000], [100, 150, 200, 50], 0.02 / 1000)
    assert volts(flow, "500", "1000", "1600", "2000") == pytest.approx([295.0, 291.0, 288.0, 287.6], abs=0.05)


def test_mehta_13_4_with_the_books_rounded_resistance():
    flow = line(250, [75, 175, 225], [12, 15, 20], 2 * 0.066 / 100)
    assert volts(flow, "75", "175", "225") == pytest.approx([245.35, 240.73, 239.41], abs=0.005)


def test_mehta_13_3_unequal_conductors():
    flow = line(600, [2000, 6000], [40, 20], 0.28 / 1000)
    assert volts(flow, "2000", "6000") == pytest.approx([566.4, 544.0], abs=0.05)


def test_theraja_40_3_smallest_area_for_a_drop():
    # rho 1.78e-8 ohm m, greatest drop 10 V; the drop is in inverse proportion to the area
    drop_at_1_mm2 = 2000 - line(2000, [40, 100, 150, 250], [30, 40, 100, 50], 2 * 0.0178).lowest_v
    assert drop_at_1_mm2 / 10 == pytest.approx(116.412, abs=0.0005)


def test_4_a_over_100_ft_of_16_awg():
    # Electrician2, "voltage drop": 4.99 ohm/kft, 4.0 V, 16.7 % of 24 V (it rounds the volts first)
    copper = conductor(awg=16, stranded=True, coated=False, conductor_degc=75)
    flow = line(24, [1], [4], loop_ohm(m_from_ft(100), copper.ohm_per_km))
    assert 24 - flow.lowest_v == pytest.approx(4.0, abs=0.05)
    assert 24 - flow.lowest_v == pytest.approx(3.992, abs=0.0005)
    assert (24 - flow.lowest_v) / 24 * 100 == pytest.approx(16.63, abs=0.005)


def test_lessons_25_a_over_2300_ft():
    # rho 10.09 ohm cmil/ft; 230 V, greatest drop 10 V: 116,035 cmil, choose 2/0
    drop_at_1000_cmil = 20000 - line(20000, [1], [25], 2 * 2300 * 10.09 / 1000).lowest_v
    assert drop_at_1000_cmil * 1000 / 10 == pytest.approx(116_035, abs=0.5)
    circular_mils = [area_mm2_from_awg(awg) * 4 / 3.14159265 / 25.4e-3**2 for awg in (0, -1)]
    assert circular_mils[0] < 116_035 < circular_mils[1]


def test_lessons_25_a_cannot_flow_through_14_awg():
    ohm = 10.09 * 2300 / 4107
    assert ohm == pytest.approx(5.651, abs=0.0005)
    assert 2 * ohm == pytest.approx(11.301, abs=0.0005)
    # short-circuit current 20.352 A: what lies above it cannot flow
    for current_a, status in (
        (25, FlowStatus.NO_SOLUTION),
        (20.353, FlowStatus.NO_SOLUTION),
        (20.351, FlowStatus.SOLVED),
    ):
        assert line(230, [1], [current_a], 2 * ohm).status is status


def test_lessons_250_ohm_behind_two_wires():
    for wire_ohm, printed_v, digit in ((15, 12.5, 0.1), (15.909, 12.42, 0.01)):
        net = Net(
            sources={"A": 14},
            links=[("A", "B", wire_ohm), ("B", "C", wire_ohm)],
            loads={"C": [NodeLoad(siemens=1 / 250)]},
        )
        flow = solve(net)
        assert flow.lowest_v == pytest.approx(printed_v, abs=digit / 2)
    assert flow.link_currents_a[0] * 15.909 == pytest.approx(0.79, abs=0.005)  # drop of one wire at 35 degC


def test_lessons_250_ohm_current():
    net = Net(sources={"A": 14}, links=[("A", "C", 30)], loads={"C": [NodeLoad(siemens=1 / 250)]})
    assert solve(net).source_currents_a["A"] * 1000 == pytest.approx(50, abs=0.5)


def test_dali_manual_300_m_of_1_5_mm2():
    # DALI manual 2013, p. 60: 0.25 A, 56 m/(ohm mm2): 1.786 V, 0.214 V left of 2 V
    flow = line(16, [300], [0.25], 2 / (56 * 1.5))
    assert 16 - flow.lowest_v == pytest.approx(1.786, abs=0.0005)
    assert 2 - (16 - flow.lowest_v) == pytest.approx(0.214, abs=0.0005)


def uniform(length_m, a_per_m, ohm_per_m, source_v, *, far_v=None, parts=100):
    """A uniform load as equal parts, each at its middle, with a node at every end of a part."""
    step = length_m / parts
    places = [step * (i + 1) / 2 for i in range(2 * parts)]
    currents = [a_per_m * step, 0.0] * parts
    if far_v is not None:
        places, currents = places[:-1], currents[:-1]
    return line(source_v, places, currents, ohm_per_m, far_v=far_v, length_m=length_m)


def test_mehta_13_5_uniform_load():
    flow = uniform(200, 2, 2 * 0.3 / 1000, 500)
    assert [500 - v for v in volts(flow, "150", "200")] == pytest.approx([22.5, 24.0], abs=0.05)


def test_mehta_13_14_uniform_load_fed_at_both_ends():
    flow = uniform(1000, 0.5, 2 * 0.05 / 1000, 220, far_v=220)
    assert 220 - min(flow.voltages_v.values()) == pytest.approx(6.25, abs=0.005)
    assert volts(flow, "500") == pytest.approx([213.75], abs=0.005)


def test_theraja_40_2_counts_one_wire():
    # the line of Mehta 13.5, the drop of one conductor only
    assert 500 - uniform(200, 2, 0.3 / 1000, 500).lowest_v == pytest.approx(12.0, abs=0.05)
    both_ends = uniform(200, 2, 0.3 / 1000, 500, far_v=500)
    assert 500 - both_ends.lowest_v == pytest.approx(3.0, abs=0.05)


def test_mehta_13_11_two_supplies():
    flow = line(230, [50, 75, 100, 150], [25, 50, 30, 40], 2 * 0.3 / 1000, far_v=235, length_m=200)
    assert flow.link_currents_a == pytest.approx([33.33, 8.33, -41.67, -71.67, -111.67], abs=0.005)
    assert (flow.lowest_at, flow.lowest_v) == ("75", pytest.approx(228.875, abs=0.0005))


def test_theraja_40_6_two_equal_supplies():
    flow = line(200, [500, 1200, 1500], [50, 100, 150], 0.1 / 1000, far_v=200, length_m=1750)
    assert flow.link_currents_a[0] == pytest.approx(88.6, abs=0.05)
    assert flow.link_currents_a[-1] == pytest.approx(-211.4, abs=0.05)
    assert volts(flow, "500", "1200", "1500") == pytest.approx([195.6, 192.9, 194.7], abs=0.05)


def test_theraja_40_7_two_equal_supplies():
    # the length of the line was not at hand: 200 m, as in Mehta's example of the same load points
    flow = line(250, [50, 75, 100, 150], [50, 40, 30, 25], 0.08 / 100, far_v=250, length_m=200)
    assert (flow.lowest_at, flow.lowest_v) == ("75", pytest.approx(246.0, abs=0.05))


def ring(source_v, links, loads):
    return solve(Net(sources={"A": source_v}, links=links, loads=amperes(loads)))


def test_mehta_13_22_ring():
    ohm_per_m = 2 * 0.03 / 100
    links = [("A", "B", 150 * ohm_per_m), ("C", "B", 50 * ohm_per_m), ("A", "C", 100 * ohm_per_m)]
    flow = ring(240, links, {"B": 120, "C": 80})
    assert flow.link_currents_a == pytest.approx([86.67, 33.33, 113.33], abs=0.005)
    assert volts(flow, "B", "C") == pytest.approx([232.2, 233.2], abs=0.05)


def test_mehta_13_23_ring():
    links = [("A", "B", 0.1), ("B", "C", 0.05), ("D", "C", 0.01), ("E", "D", 0.025), ("A", "E", 0.075)]
    flow = ring(240, links, {"B": 10, "C": 20, "D": 30, "E": 10})
    assert flow.link_currents_a == pytest.approx([29.04, 19.04, 0.96, 30.96, 40.96], abs=0.005)
    assert flow.lowest_at == "C"


MEHTA_13_24 = [("A", "B", 0.02), ("B", "C", 0.018), ("C", "D", 0.025), ("D", "A", 0.02)]


def test_mehta_13_24_ring():
    flow = ring(250, MEHTA_13_24, {"B": 150, "C": 300, "D": 250})
    assert volts(flow, "B", "D") == pytest.approx([243.265, 242.735], abs=0.0005)
    assert volts(flow, "C") == pytest.approx([239.903], abs=0.001)  # the book cuts off 239.9036


def test_mehta_13_24_ring_with_interconnector():
    # the book's intermediates are rounded: allow 0.1 V
    flow = ring(250, [*MEHTA_13_24, ("A", "C", 0.02)], {"B": 150, "C": 300, "D": 250})
    assert volts(flow, "B", "C", "D") == pytest.approx([245.92, 244.97, 245.11], abs=0.1)


# IEEE 802.3: source V, loop ohm (from memory), W at the device, printed V at the device, digit, A, digit,
# W at the source, digit; a PoE reference table in a cable-tester manual. Type 4's 90 W allows for an
# unbalance of the pairs that this circuit does not have: left out; its 41.1 V is 41.18 V cut off.
POE = [
    (44, 20, 12.95, 37.0, 0.1, 0.350, 0.001, 15.4, 0.1),
    (50, 12.5, 25.5, 42.5, 0.1, 0.600, 0.001, 30, 1),
    (50, 6.25, 51, 42.5, 0.1, 1.2, 0.1, 60, 1),
    (52, 6.25, 71.3, 41.1, 0.1, 1.73, 0.01, None, None),
]


@pytest.mark.parametrize(
    ("source_v", "ohm", "watts", "volt", "v_digit", "amp", "a_digit", "source_w", "w_digit"), POE
)
def test_constant_power_roots_of_ieee_802_3(
    source_v, ohm, watts, volt, v_digit, amp, a_digit, source_w, w_digit
):
    net = Net(sources={"A": source_v}, links=[("A", "B", ohm)], loads={"B": [NodeLoad(power_w=watts)]})
    flow = solve(net)
    cut_off = source_v == 52
    assert flow.lowest_v == pytest.approx(volt, abs=v_digit if cut_off else v_digit / 2)
    assert flow.link_currents_a[0] == pytest.approx(amp, abs=a_digit / 2)
    if source_w is not None:
        assert flow.supplied_w == pytest.approx(source_w, abs=w_digit / 2)


def test_collapse_of_one_load():
    # 44 V behind 20 ohm: no solution above V^2/(4R) = 24.2 W
    net = Net(sources={"A": 44}, links=[("A", "B", 20)], loads={"B": [NodeLoad(power_w=1)]})
    assert max_deliverable_factor(net) == pytest.approx(24.2, rel=1e-6)

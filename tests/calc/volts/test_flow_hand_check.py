"""The figures of docs/hand_check.md, computed by the program and looked for on the page."""

from pathlib import Path

import pytest

from auditor.calc.conductors import conductor
from auditor.calc.volts.flow import FlowStatus, max_deliverable_factor, solve
from auditor.calc.volts.net import Net, NodeLoad
from auditor.calc.volts.remedies import thicker_pulls
from auditor.units import KFT_PER_KM, m_from_ft
from tests.calc.wires import loop_ohm

PAGE = (Path(__file__).parents[3] / "docs" / "hand_check.md").read_text(encoding="utf-8")


def printed(text, unit=""):
    """A figure as the page prints it, with half a unit of its last digit."""
    assert f"{text}{unit}" in PAGE
    decimals = len(text.partition(".")[2])
    return pytest.approx(float(text.replace("−", "-").replace(",", "")), abs=0.5 * 10**-decimals)


def loop(awg, degc=75):
    copper = conductor(awg=awg, stranded=True, coated=False, conductor_degc=degc)
    return loop_ohm(m_from_ft(1000), copper.ohm_per_km)


def net_of(source_v, ohm, watts=35):
    return Net(sources={"P": source_v}, links=[("P", "D", ohm)], loads={"D": [NodeLoad(power_w=watts)]})


def most_w(net):
    return max_deliverable_factor(net) * net.constant_power_w()


def test_lines_1_to_3_the_guess_that_does_not_settle():
    assert loop(16) == printed("9.98", " ohm")
    guessed_a = 35 / 24
    assert guessed_a == printed("1.458", " A")
    assert guessed_a * loop(16) == printed("14.554", " V")
    left_v = 24 - guessed_a * loop(16)
    assert left_v == printed("9.446", " V")
    assert 35 / left_v == printed("3.705", " A")
    assert 35 / left_v * loop(16) == printed("36.98", " V")


def test_line_4_no_voltage_exists():
    assert 4 * loop(16) * 35 == printed("1,397.2")
    assert 24**2 - 4 * loop(16) * 35 == printed("−821.2")
    assert solve(net_of(24, loop(16))).status is FlowStatus.NO_SOLUTION


def test_line_5_the_most_at_24_v():
    net = net_of(24, loop(16))
    assert most_w(net) == printed("14.43", " W")
    at_most = solve(net.scaled(max_deliverable_factor(net)))
    assert at_most.lowest_v == pytest.approx(12, abs=0.05)
    assert at_most.loss_w == pytest.approx(at_most.delivered_w, rel=0.01)


def test_line_6_36_v_at_75_degc():
    assert solve(net_of(36, loop(16))).status is FlowStatus.NO_SOLUTION
    assert most_w(net_of(36, loop(16))) == printed("32.46", " W")
    assert 36**2 - 4 * loop(16) * 35 == printed("−101.2")


def test_at_30_degc():
    copper = conductor(awg=16, stranded=True, coated=False, conductor_degc=30)
    assert copper.ohm_per_km / KFT_PER_KM == printed("4.265", " ohm")
    assert loop(16, 30) == printed("8.529", " ohm")
    assert most_w(net_of(24, loop(16, 30))) == printed("16.88", " W")
    assert most_w(net_of(36, loop(16, 30))) == printed("37.99", " W")
    flow = solve(net_of(36, loop(16, 30)))
    assert flow.lowest_v == printed("23.05", " V")
    assert flow.source_currents_a["P"] == printed("1.519", " A")
    assert flow.loss_w == printed("19.67", " W")
    assert flow.supplied_w == printed("54.67", " W")


@pytest.mark.parametrize(
    ("awg", "watts", "most", "volts", "amperes", "lost"),
    [
        (12, 35, "36.36", "14.32", "2.443", "23.64"),
        (10, 35, "58.06", "19.56", "1.789", "7.94"),
        (16, 12, "14.43", "16.92", "0.709", "5.02"),
    ],
)
def test_what_would_mend_it(awg, watts, most, volts, amperes, lost):
    net = net_of(24, loop(awg), watts)
    assert most_w(net) == printed(most, " W")
    flow = solve(net)
    assert flow.lowest_v == printed(volts, " V")
    assert flow.source_currents_a["P"] == printed(amperes, " A")
    assert flow.loss_w == printed(lost, " W")


def test_14_awg_does_not_and_12_awg_is_the_smallest():
    assert solve(net_of(24, loop(14))).status is FlowStatus.NO_SOLUTION
    assert most_w(net_of(24, loop(14))) == printed("22.93", " W")
    ohms = {awg: loop(awg) / 2 / m_from_ft(1) for awg in (18, 16, 14, 12, 10)}
    gauges = [(f"{awg} AWG", ohm_per_km) for awg, ohm_per_km in ohms.items()]
    found = thicker_pulls(net_of(24, loop(16)), {}, [m_from_ft(1000)], gauges)
    assert found.gauge == "12 AWG"


def test_where_35_w_end_on_16_awg():
    longest_ft = 1000 * max_deliverable_factor(net_of(24, loop(16)))
    assert longest_ft == printed("412", " ft")

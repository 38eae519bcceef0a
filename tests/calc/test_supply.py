"""Budget, start and nameplate limits of a supply; what a duty does to a bus."""

import math

import pytest

from auditor.calc.supply import budget, class_2_limit, start_s
from auditor.calc.volts.duty import average_w, hold_up_capacitance_f, hold_up_v, power_phase
from auditor.calc.volts.flow import solve
from auditor.calc.volts.net import Net, NodeLoad


def test_headroom_of_a_trade_lesson():
    # a training lesson: 3.1 A x 1.25 = 3.875 A, choose 4 A; watts at 1 V stand for its amperes
    assert budget(3.1, 4).advised_w == pytest.approx(3.875, abs=0.0005)
    # a tech tip: 25 % on 0.762 A is 0.953 A
    assert budget(0.762, 1).advised_w == pytest.approx(0.953, abs=0.0005)


def test_a_budget_says_what_is_left():
    asked = budget(34, 35)
    assert (asked.drawn_w, asked.spare_w, asked.used) == (34, 1, pytest.approx(34 / 35))
    assert budget(37, 35).spare_w == -2


@pytest.mark.parametrize("numbers", [(1, 0), (-1, 35), (1, 35, -1), (math.nan, 35), (1, math.inf)])
def test_a_budget_of_impossible_numbers_is_refused(numbers):
    with pytest.raises(ValueError, match="W"):
        budget(*numbers)


# NFPA 70 (NEC) chapter 9 table 11: V, dc, VA, A (rounded as printed in our extract). 24 V follows from the
# row over 20 to 30 V; 36 V and 48 V from a row of table 11(B) that is from memory.
CLASS_2 = [
    (24, True, 100, 4.167, 0.001),
    (24, False, 100, 4.167, 0.001),
    (36, True, 100, 2.78, 0.01),
    (48, True, 100, 2.08, 0.01),
]


@pytest.mark.parametrize(("volts", "dc", "va", "amperes", "digit"), CLASS_2)
def test_class_2_nameplates(volts, dc, va, amperes, digit):
    limit = class_2_limit(volts, dc=dc)
    assert limit.power_va == va
    assert limit.current_a == pytest.approx(amperes, abs=digit / 2)


def test_class_2_rows_say_what_is_from_memory():
    assert "from memory" in class_2_limit(36).source
    assert "from memory" not in class_2_limit(12, dc=False).source


def test_class_2_up_to_20_v_and_above_150_v():
    # table 11(A): 5.0 x Vmax VA and 5.0 A up to 20 V
    limit = class_2_limit(12, dc=False)
    assert (limit.power_va, limit.current_a) == (60, 5.0)
    assert class_2_limit(20).power_va == 100
    assert class_2_limit(151) is None
    assert class_2_limit(0) is None


def test_start():
    # 50 devices of 1000 uF to 24 V at 2 A, 0.5 A already drawn: 0.05 x 24 / 1.5 s
    assert start_s(0.05, 24, 2, 0.5) == pytest.approx(0.8)
    assert start_s(0.05, 24, 2, 2) == math.inf


def net(power_w):
    return Net(sources={"A": 24}, links=[("A", "B", 5)], loads={"B": [NodeLoad(power_w=power_w)]})


def test_a_duty_raises_the_current_of_the_power_phase():
    flow = solve(power_phase(net(6), 0.8))
    volts = flow.lowest_v
    assert flow.link_currents_a[0] == pytest.approx(6 / (volts * 0.8))
    assert average_w(flow.delivered_w, 0.8) == pytest.approx(6)
    assert flow.lowest_v < solve(net(6)).lowest_v
    assert solve(power_phase(net(6), 1)).lowest_v == solve(net(6)).lowest_v


@pytest.mark.parametrize("duty", [0, -0.5, 1.01, math.nan])
def test_an_impossible_duty_is_refused(duty):
    with pytest.raises(ValueError, match="power duty"):
        power_phase(net(1), duty)


def test_hold_up_is_the_energy_of_a_capacitor():
    # 0.5 W for 2 ms is 1 mJ; 100 uF at 20 V holds 20 mJ, so 19 mJ stay: sqrt(2 x 0.019 / 1e-4)
    assert hold_up_v(0.5, 100e-6, 20, 2e-3) == pytest.approx(math.sqrt(380))
    assert hold_up_v(0.5, 100e-6, 20, 50e-3) is None
    assert hold_up_capacitance_f(0.5, 20, math.sqrt(380), 2e-3) == pytest.approx(100e-6)
    with pytest.raises(ValueError, match="no capacitor"):
        hold_up_capacitance_f(0.5, 18, 18, 2e-3)
    with pytest.raises(ValueError, match="above zero"):
        hold_up_v(0.5, 0, 20, 2e-3)

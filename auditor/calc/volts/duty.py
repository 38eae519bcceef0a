"""A bus that sends power and data in turns: what flows in the power phase, what sags in the data phase.

The values of duty, phase length and capacitance are a profile's, and assumptions until the maker of
the bus states them.
"""

import math
from dataclasses import replace

from auditor.calc.volts.net import Net


def power_phase(net: Net, power_duty: float) -> Net:
    """The net during the power phase, when it carries the whole period's energy.

    Parameters
    ----------
    net : loads as averages over the period
    power_duty : fraction of time in which power is sent, above 0 and at most 1

    Returns
    -------
    the same net with every load divided by the duty: a device of P watts draws P / (V x duty)

    Raises
    ------
    ValueError : a duty out of range
    """
    _refuse_duty(power_duty)
    if power_duty == 1:
        return net
    loads = {name: [load.times(1 / power_duty) for load in loads] for name, loads in net.loads.items()}
    return replace(net, loads=loads)


def average_w(phase_w: float, power_duty: float) -> float:
    """Average over the period of a power (drawn, lost or supplied) that flows in the power phase only [W]."""
    _refuse_duty(power_duty)
    return phase_w * power_duty


def hold_up_v(power_w: float, capacitance_f: float, start_v: float, data_phase_s: float) -> float | None:
    """Voltage that a device's own capacitor still has at the end of the data phase.

    Parameters
    ----------
    power_w : constant power drawn from the capacitor [W]
    capacitance_f : hold-up capacitance of the device [F], > 0
    start_v : voltage at the end of the power phase [V]
    data_phase_s : how long no power comes [s]

    Returns
    -------
    volts; None: the capacitor is empty before power comes back

    Source
    ------
    Energy of a capacitor: C (V1^2 - V2^2) / 2 = P t.
    """
    if not capacitance_f > 0:
        raise ValueError(f"a hold-up capacitance of {capacitance_f:g} F holds nothing; it must be above zero")
    squared = start_v**2 - 2 * power_w * data_phase_s / capacitance_f
    return math.sqrt(squared) if squared > 0 else None


def hold_up_capacitance_f(power_w: float, start_v: float, least_v: float, data_phase_s: float) -> float:
    """The least hold-up capacitance with which a device keeps `least_v` through the data phase [F].

    Raises
    ------
    ValueError : the device is at or below its least voltage before the data phase begins
    """
    if not start_v > least_v:
        raise ValueError(
            f"the device has {start_v:g} V and needs {least_v:g} V: no capacitor holds it up from there"
        )
    return 2 * power_w * data_phase_s / (start_v**2 - least_v**2)


def _refuse_duty(power_duty: float) -> None:
    if not 0 < power_duty <= 1:
        raise ValueError(f"a power duty of {power_duty:g} is not above 0 and at most 1")

"""The only place where a conversion factor is typed. Inside the project: m, mm2, V, A, W, ohm, degC.

Source of the factors: the international foot of 1959, exactly 0.3048 m (NIST SP 811, appendix B).
"""

import math
import re
from collections.abc import Mapping

FOOT_M = 0.3048
KFT_PER_KM = 1 / FOOT_M  # thousands of feet in one kilometre
LENGTH_TOLERANCE_M = 0.001  # project convention: lengths that add up to the limit keep it
RELATIVE_TOLERANCE = 1e-9  # project convention, for every other quantity
ALMOST = 1 - RELATIVE_TOLERANCE  # what is so much of a figure that is asked for keeps it

LENGTH_M: Mapping[str, float] = {
    "m": 1.0,
    "cm": 0.01,
    "mm": 0.001,
    "km": 1000.0,
    "ft": FOOT_M,
    "in": FOOT_M / 12,
    "yd": FOOT_M * 3,
}
POWER_W: Mapping[str, float] = {"W": 1.0, "mW": 0.001, "kW": 1000.0}
CURRENT_A: Mapping[str, float] = {"A": 1.0, "mA": 0.001}
VOLTAGE_V: Mapping[str, float] = {"V": 1.0, "kV": 1000.0}
CAPACITANCE_NF: Mapping[str, float] = {"nF": 1.0, "pF": 0.001, "uF": 1000.0}
CAPACITANCE_NF_PER_M: Mapping[str, float] = {
    "pF/ft": 0.001 / FOOT_M,
    "pF/m": 0.001,
    "nF/km": 0.001,
    "nF/m": 1.0,
}
RESISTANCE_OHM_PER_KM: Mapping[str, float] = {
    "ohm/km": 1.0,
    "ohm/m": 1000.0,
    "ohm/kft": 1 / FOOT_M,
    "ohm/ft": 1000 / FOOT_M,
}
TIME_S: Mapping[str, float] = {"s": 1.0, "ms": 0.001, "us": 1e-6}
ANGLE_DEG: Mapping[str, float] = {"deg": 1.0}
TEMPERATURE_DEGC: Mapping[str, float] = {"degC": 1.0}

_QUANTITY = re.compile(r"\s*([+-]?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?)\s*([^\d\s].*?)?\s*")


def m_from_ft(length_ft: float) -> float:
    return length_ft * FOOT_M


def parse_quantity(text: str, factors: Mapping[str, float]) -> float:
    """A quantity with its unit as a profile writes it, e.g. `2000 ft`.

    Parameters
    ----------
    text : a number and a unit; no thousands separators
    factors : unit -> factor to the project's own unit

    Raises
    ------
    ValueError : not a finite number with one of these units; the message says what was wanted
    """
    match = _QUANTITY.fullmatch(text)
    if match is None or match[2] not in factors or not math.isfinite(float(match[1])):
        raise ValueError(f"wanted a number with one of the units {', '.join(factors)}, found {text!r}")
    return float(match[1]) * factors[match[2]]


def length_text(length_m: float, unit: str, digits: int = 1) -> str:
    """A length for a message, in the schedule's own unit: `1,050 ft`, `320.5 m`."""
    return f"{number_text(length_m / LENGTH_M[unit], digits)} {unit}"


def number_text(value: float, digits: int = 1) -> str:
    """A number with thousands separators and no trailing zeros: `1,050`, `36.5`."""
    text = f"{value:,.{digits}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def exceeds(measured: float, limit: float | None, unit: str) -> bool:
    """Whether a measured value breaks a limit: a metre quantity by more than 1 mm, any other by
    more than one part in 10^9. No limit is never broken."""
    if limit is None:
        return False
    tolerance = LENGTH_TOLERANCE_M if unit == "m" else abs(limit) * RELATIVE_TOLERANCE
    return measured > limit + tolerance


def quantity_text(value: float, unit: str, length_unit: str) -> str:
    """A measured value for a message; lengths in the schedule's own unit, a count without unit."""
    if unit == "m":
        return length_text(value, length_unit)
    if unit == "devices" and value == 1:
        return "1 device"
    if unit == "A" and abs(value) < 1:
        return f"{number_text(value * 1000)} mA"
    digits = 0 if unit in ("", "devices") else 2 if unit in ("V", "A") else 1
    return f"{number_text(value, digits)} {unit}".rstrip()

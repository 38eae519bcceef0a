"""The grammar of cells: powers, currents, counts, yes and no."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import lru_cache

from auditor.intake.formats.cells import Fault, Value, WithUnit
from auditor.intake.grammar.numbers import UNKNOWN, Separators, UnreadableError, number, plain
from auditor.intake.grammar.units import NO, NOTHING, UNIT_OF, YES
from auditor.units import (
    ANGLE_DEG,
    CAPACITANCE_NF_PER_M,
    CURRENT_A,
    POWER_W,
    RESISTANCE_OHM_PER_KM,
    VOLTAGE_V,
    number_text,
)

NOMINAL_V = 24.0  # of the bus; what a current without its voltage is taken at, and said
MAX_POWER_W = 100_000.0  # project conventions: past these a value is a slip of the pen
MAX_VOLTAGE_V = 10_000.0
MAX_QUANTITY_TEXT = 80  # characters; a longer text is no quantity
POWER_UNITS = {**POWER_W, "VA": POWER_W["W"], "mVA": POWER_W["mW"]}  # VA: the active power is at most that
_NUMBER_UNIT = re.compile(
    r"(\d[\d.,' ]*?(?:\s+\d+/\d+)?|[.,]\d+|\d+/\d+)\s*([^\d\s][^\d]*(?:1000\s*ft)?)?\s*"
)
_PARTS = frozenset({2, 3, 4, 5, 8, 10, 16, 32, 64, 100})  # 1/2, 3/8; 6/12 is no fraction that people write
VOLTS = re.compile(  # `40 mA @ 24 V`, `40 mA a 24 V`, `40 mA 24 V`; the A of a unit is no `a`
    r"(?:@\s*|\b(?:at|bei|bij|sous|à)\s*|(?<=[aw]\s)a\s+|(?<=ma)\s+|(?<=\d\sa)\s+|(?<=\da)\s+)(\d+(?:[.,]\d+)?)\s*v"
)


@dataclass(frozen=True, slots=True)
class Context:
    """What a column says about its numbers."""

    unit: str | None = None  # of bare numbers
    separators: Separators = UNKNOWN
    volts: float | None = None  # the voltage that the heading states a current at


def shown(value: Value) -> str:
    """The cell's own text, for messages."""
    if isinstance(value, Fault):
        return value.text
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if type(value) is WithUnit:
        return f"{shown(float(value))} {value.unit}"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, datetime) and value.time() == time():
        return value.date().isoformat()
    return str(value)


def words(value: Value) -> str:
    """A text cell: trimmed, inner line breaks and runs of blanks made one blank."""
    return " ".join(value.split()) if isinstance(value, str) else shown(value)


def is_blank(value: Value) -> bool:
    return isinstance(value, str) and not value.strip()


def circle_mm2(diameter_mm: float) -> float:
    """The area of a round conductor [mm2]."""
    return math.pi / 4 * diameter_mm**2


def scalar(value: Value, what: str) -> str:
    """The text of a cell that should hold one quantity.

    Raises
    ------
    UnreadableError : an error cell, a formula without a value, a date, a yes/no, or a stand-in for nothing
    """
    if isinstance(value, Fault):
        raise UnreadableError(value.reason)
    if isinstance(value, bool):
        raise UnreadableError(f"yes/no where a {what} belongs")
    if isinstance(value, date | time | timedelta):
        raise UnreadableError(f"a date where a {what} belongs; format the cell as a number and type it again")
    text = plain(str(value)) if not isinstance(value, str) or len(value) <= MAX_QUANTITY_TEXT else "-"
    if text.casefold() in NOTHING:
        raise UnreadableError(f"not a {what}")
    return text


def quantity(value: Value, what: str, factors: Mapping[str, float], context: Context) -> float:
    """A number with its unit in the cell or in the heading, in the project's own unit.

    Raises
    ------
    UnreadableError : says why
    """
    if isinstance(value, int | float) and not isinstance(value, bool):
        amount, unit = float(value), value.unit if type(value) is WithUnit else context.unit
    else:
        text = scalar(value, what)
        negative, text = text.startswith("-"), text.lstrip("+-").strip()
        match = _NUMBER_UNIT.fullmatch(text)
        if match is None:
            raise UnreadableError(f"not a {what}")
        amount = _fraction(match[1], context.separators, what) * (-1 if negative else 1)
        unit = context.unit if match[2] is None else _unit(match[2], factors, what)
    if not math.isfinite(amount):
        raise UnreadableError("not a number")
    if unit is None or unit not in factors:
        example = "ft or m" if "ft" in factors else next(iter(factors))
        raise UnreadableError(f"no unit; write it in the cell or in the heading, e.g. {example}")
    if amount < 0:
        raise UnreadableError(f"a negative {what}")
    return amount * factors[unit]


def _unit(text: str, factors: Mapping[str, float], what: str) -> str:
    unit = UNIT_OF.get(text.strip().casefold()) or UNIT_OF.get(text.strip(" .").casefold())
    if unit is None or unit not in factors:
        raise UnreadableError(f"{text.strip()!r} is no unit of a {what}")
    return unit


def _fraction(text: str, column: Separators, what: str) -> float:
    try:
        if "/" not in text:
            return number(text, column)
        whole, _, parts = text.rpartition(" ")
        top, bottom = map(int, parts.split("/"))
        if bottom not in _PARTS or top >= bottom:
            raise UnreadableError(f"not a {what}; {parts} may be a date")
        return (number(whole, column) if whole.strip() else 0.0) + top / bottom
    except UnreadableError as cause:
        raise UnreadableError(f"not a {what}" if str(cause) == "not a number" else str(cause)) from None


def power_w(value: Value, context: Context, volts: float | None) -> tuple[float, float | None, bool]:
    """A power, or a current with its voltage.

    Returns
    -------
    power [W], the voltage that a current was stated at [V], whether it is the nominal one for want of another

    Parameters
    ----------
    volts : the voltage in another column or in a labelled cell [V]; the cell's and the heading's
        own stand above it
    """
    if isinstance(value, str):
        stated = VOLTS.search(plain(value).casefold())
        if stated:
            volts_here: float | None = float(stated[1].replace(",", "."))
            value = plain(value).casefold()[: stated.start()].strip(" ,;(")
        else:
            volts_here = context.volts or volts
    else:
        volts_here = (value.volts if type(value) is WithUnit else None) or context.volts or volts
    try:
        current_a = quantity(value, "current", CURRENT_A, context)
    except UnreadableError:
        watts = quantity(value, "power", POWER_UNITS, context)
        if watts > MAX_POWER_W:
            raise UnreadableError(f"implausible: more than {number_text(MAX_POWER_W)} W") from None
        return watts, None, False
    if volts_here is None:
        return current_a * NOMINAL_V, None, True
    watts = current_a * volts_here
    if watts > MAX_POWER_W:
        raise UnreadableError(f"implausible: more than {number_text(MAX_POWER_W)} W")
    return watts, volts_here, False


def voltage_v(value: Value, context: Context) -> float:
    volts = quantity(value, "voltage", VOLTAGE_V, context)
    if volts > MAX_VOLTAGE_V:
        raise UnreadableError(f"implausible: more than {number_text(MAX_VOLTAGE_V)} V")
    return volts


def capacitance_nf_per_m(value: Value, context: Context) -> float:
    return quantity(value, "capacitance", CAPACITANCE_NF_PER_M, context)


def ohm_per_km(value: Value, context: Context) -> float:
    return quantity(value, "resistance", RESISTANCE_OHM_PER_KM, context)


def angle_deg(value: Value, context: Context) -> float:
    degrees = quantity(value, "angle", ANGLE_DEG, Context("deg", context.separators))
    if degrees > 180:
        raise UnreadableError("not an angle between two cables: more than 180 degrees")
    return degrees


def count(value: Value, what: str = "quantity") -> int:
    """A whole number of at least one: `2`, `2 ea`, `x 2`.

    Raises
    ------
    UnreadableError : fractional, zero, negative, a yes/no, a percentage, or no number
    """
    if isinstance(value, int | float) and not isinstance(value, bool):
        amount = float(value)
    else:
        text = scalar(value, what).casefold()
        match = re.fullmatch(r"(?:x\s*)?([+-]?\d+(?:[.,]\d+)?)\s*(%|[^\d%]*)", text)
        if match is None:
            raise UnreadableError(f"not a {what}")
        if match[2] == "%":
            raise UnreadableError(f"a percentage where a {what} belongs")
        amount = float(match[1].replace(",", "."))
    if not math.isfinite(amount) or not amount.is_integer():
        raise UnreadableError(f"not a whole number; a {what} is 1, 2, 3 ...")
    if amount < 1:
        raise UnreadableError(f"a {what} of {number_text(amount)}; it is at least 1")
    if amount > 1_000_000:
        raise UnreadableError("implausible: more than a million")
    return int(amount)


@lru_cache(maxsize=4096)
def _yes_no(text: str, yes: frozenset[str], no: frozenset[str]) -> bool | None:
    if text in YES | yes:
        return True
    if text in NO | no:
        return False
    return None


def yes_no(value: Value, yes: frozenset[str] = frozenset(), no: frozenset[str] = frozenset()) -> bool:
    """Yes or no in any of the four languages, or in the column's own words."""
    if isinstance(value, bool):
        return value
    if value in (0.0, 1.0):
        return bool(value)
    if isinstance(value, Fault):
        raise UnreadableError(value.reason)
    answer = _yes_no(plain(shown(value)).casefold(), yes, no)
    if answer is None:
        raise UnreadableError("neither yes nor no")
    return answer

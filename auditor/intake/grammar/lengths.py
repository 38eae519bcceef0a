"""The grammar of lengths: `120'`, `12'-6"`, `12 ft 6`, `36.5 m`, `12 m 50 cm`."""

import math
import re

from auditor.intake.formats.cells import Value
from auditor.intake.grammar.numbers import UnreadableError
from auditor.intake.grammar.units import UNIT_OF
from auditor.intake.grammar.values import Context, _fraction, quantity, scalar
from auditor.units import (
    LENGTH_M,
    number_text,
)

MAX_LENGTH_M = 100_000.0  # project conventions: past these a value is a slip of the pen
MIN_LENGTH_M = 0.001
_FEET_INCHES = re.compile(
    r"(?:(?P<ft>\d[\d., ]*?)\s*(?:'(?!')|ft\.?|feet|foot)\s*-?\s*)?"
    r"(?:(?P<in>\d+(?:\.\d+)?)?(?:(?:(?<=\d)[\s-]+)?(?P<num>\d+)/(?P<den>\d+))?\s*(?:\"|''|in\.?|inch|inches)?)?"
)
_MIXED = re.compile(r"(\d[\d.,]*)\s*([a-z]+)\s*(\d[\d.,]*)\s*([a-z]+)")
_THOUSANDS_APOSTROPHE = re.compile(r"\d{1,3}(?:'\d{3})+(?:[.,]\d+)?")


def length_m(value: Value, context: Context, what: str = "length", *, zero: bool = False) -> float:
    """A length in metres: `120'`, `12'-6"`, `12 ft 6`, `36.5 m`, `3 yd`, a bare number where the
    heading has the unit.

    Parameters
    ----------
    zero : whether it may be nothing: a distance to mains is, where the cables touch

    Raises
    ------
    UnreadableError : says why
    """
    if type(value) is float:
        if context.unit is None:
            raise UnreadableError("no unit; write it in the cell or in the heading, e.g. ft or m")
        metres = value * LENGTH_M[context.unit]
        if MIN_LENGTH_M <= metres <= MAX_LENGTH_M:
            return metres
    else:
        metres = _text_length_m(value, context, what)
    if not math.isfinite(metres):
        raise UnreadableError("not a number")
    if metres < 0:
        raise UnreadableError(f"a negative {what}")
    if metres == 0 and zero:
        return 0.0
    if metres == 0:
        raise UnreadableError(f"zero; a {what} is more than that")
    if metres > MAX_LENGTH_M:
        raise UnreadableError(f"implausible: more than {number_text(MAX_LENGTH_M / 1000)} km")
    if metres < MIN_LENGTH_M:
        raise UnreadableError("implausible: less than a millimetre")
    return metres


def _text_length_m(value: Value, context: Context, what: str) -> float:
    if isinstance(value, str):
        text = scalar(value, what).casefold()
        if _THOUSANDS_APOSTROPHE.fullmatch(text) is None:
            in_feet = _feet_inches_m(text, context, what)
            if in_feet is not None:
                return in_feet
            match = _MIXED.fullmatch(text)
            if match is not None:
                return _mixed_m(match, context, what)
    return quantity(value, what, LENGTH_M, context)


def _feet_inches_m(text: str, context: Context, what: str) -> float | None:
    match = _FEET_INCHES.fullmatch(text)
    if match is None or not re.search(r"['\"]|ft|feet|foot|in", text) or not re.search(r"\d", text):
        return None
    if match["ft"] is None and not re.search(r"\"|''|in", text):
        return None
    feet = _fraction(match["ft"], context.separators, what) if match["ft"] else 0.0
    inches = float(match["in"] or 0)
    if match["num"]:
        if int(match["den"]) == 0:
            raise UnreadableError(f"not a {what}")
        inches += int(match["num"]) / int(match["den"])
    if match["ft"] and inches >= 12:
        raise UnreadableError(f"not a {what}: {number_text(inches, 3)} inches are more than a foot")
    return (feet + inches / 12) * LENGTH_M["ft"]


def _mixed_m(match: re.Match[str], context: Context, what: str) -> float:
    """Two units in one cell, the greater first: `12 m 50 cm`."""
    larger, smaller = (UNIT_OF.get(match[i], "") for i in (2, 4))
    if LENGTH_M.get(larger, 0) <= LENGTH_M.get(smaller, 1):
        raise UnreadableError(f"not a {what}")
    first, second = (_fraction(match[i], context.separators, what) for i in (1, 3))
    return first * LENGTH_M[larger] + second * LENGTH_M[smaller]

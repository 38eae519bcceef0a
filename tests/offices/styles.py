"""Which units an office writes its lengths and powers in, and where it says so."""

from collections.abc import Set
from dataclasses import dataclass
from random import Random

from tests.offices.dice import Dice


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthStyle:
    where: str  # where the unit is said
    unit: str  # what is written
    comma: bool = False  # text with a decimal comma


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerStyle:
    where: str  # where the unit is said; "legend": the watts stand in a legend by type
    unit: str  # "W", "mW" or "mA"
    volts: bool = True  # whether milliamps say their voltage
    comma: bool = False


# headings that are a unit
WORD_HEADINGS = {
    "en": {"ft": "Feet|Ft|FEET|Footage", "m": "Metres|Meters"},
    "it": {"m": "Metri"},
    "nl": {"m": "Meters"},
    "de": {"m": "Meter"},
    "fr": {"m": "Mètres"},
    "es": {"m": "Metros"},
}
LENGTHS_SAID = {  # where the unit of the lengths is said -> how often
    "heading": 8,
    "word": 1,
    "cell": 3,
    "prime": 1,
    "feet and inches": 2,
    "unit column": 2,
    "line above": 2,
    "line below": 1,
    "notes sheet": 1,
    "number format": 1,
    "second heading row": 2,
    "nowhere": 1,
}
POWERS_SAID = {
    "heading": 8,
    "word": 2,
    "cell": 2,
    "line above": 1,
    "number format": 1,
    "second heading row": 1,
    "legend": 4,
}
_IN_HEADING = frozenset(("heading", "word", "second heading row"))


def length_style(
    rng: Dice, unit: str, language: str, removed: bool, words_known: bool, plain: bool = False
) -> LengthStyle:
    """A way to write lengths that the headings have room for; plain: as numbers of the unit itself."""
    no = set(_IN_HEADING) if removed else set()
    no |= {"prime", "feet and inches"} if unit == "m" or plain else set()
    if not words_known or unit not in WORD_HEADINGS.get(language, {}):
        no.add("word")
    where = drawn(rng, LENGTHS_SAID, no)
    if where in ("prime", "feet and inches"):
        return LengthStyle(where=where, unit="ft")
    free = where in ("heading", "line above", "line below", "second heading row")
    if unit == "m" and free and not plain and rng.seldom(0.15):
        unit = rng.choice(("mm", "mm", "cm"))
    comma = unit == "m" and language != "en" and where != "number format" and rng.seldom(0.35)
    return LengthStyle(where=where, unit=unit, comma=comma)


def power_style(rng: Dice, language: str, removed: bool, words_known: bool, legend: str) -> PowerStyle:
    """A way to write powers; in a legend by type "always", "may be" or "never"."""
    no = set(_IN_HEADING) if removed else set()
    no |= ({"legend"} if legend == "never" else set()) | (set() if words_known else {"word"})
    where = drawn(rng, POWERS_SAID, set(POWERS_SAID) - {"legend"} if legend == "always" else no)
    if where == "word":
        return PowerStyle(where=where, unit="W")
    unit = rng.choice(("W", "W", "W", "W", "mW", "mA", "mA"))
    volts = unit != "mA" or not rng.seldom(0.4) or where == "line above"
    comma = language != "en" and where != "number format" and unit == "W" and rng.seldom(0.3)
    return PowerStyle(where=where, unit=unit, volts=volts, comma=comma)


def drawn(rng: Random, said: dict[str, int], no: Set[str] = frozenset()) -> str:
    """One of these names, as often as its weight says."""
    choices = {where: weight for where, weight in said.items() if where not in no}
    return rng.choices(list(choices), list(choices.values()))[0]

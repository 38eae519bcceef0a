"""What a heading names and the unit it states: an exact table of headings; a near miss is a suggestion only."""

import json
import re
import unicodedata
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import _lru_cache_wrapper, lru_cache
from pathlib import Path
from typing import Any, TypeVar

from auditor.intake.numbers import plain
from auditor.intake.spellings import UNIT_OF
from auditor.job.model import TableKind
from auditor.units import CAPACITANCE_NF_PER_M, LENGTH_M, RESISTANCE_OHM_PER_KM, VOLTAGE_V

HEADERS = Path(__file__).with_name("headers.json")
MAX_HEADING = 60  # characters; a longer text is a note
_POWER = frozenset({"W", "mW", "kW", "VA", "mVA", "A", "mA"})
UNITS_OF_FIELD: Mapping[str, frozenset[str]] = {
    "length_m": frozenset(LENGTH_M),
    "mains_parallel_m": frozenset(LENGTH_M),
    "mains_crossing_deg": frozenset({"deg"}),
    "power_w": _POWER,
    "total_power_w": _POWER,
    "idle_w": _POWER,
    "start_w": _POWER,
    "at_voltage_v": frozenset(VOLTAGE_V),
    "min_voltage_v": frozenset(VOLTAGE_V),
    "supply_voltage_v": frozenset(VOLTAGE_V),
    "supply_power_w": _POWER,
    "insulation_v": frozenset(VOLTAGE_V),
    "capacitance_nf_per_m": frozenset(CAPACITANCE_NF_PER_M),
    "ohm_per_km": frozenset(RESISTANCE_OHM_PER_KM),
    "gauge": frozenset({"AWG", "mm2", "mm"}),
    "allowance_per_end_m": frozenset(LENGTH_M),
}
_UNITS = frozenset().union(*UNITS_OF_FIELD.values())


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading's text split into what it names and the unit it states."""

    stems: tuple[str, ...]  # spellings to look up, the fullest first
    unit: str | None
    volts: float | None = None  # "mA @ 24 V"


@dataclass(frozen=True, slots=True)
class OwnHeadings:
    """Headings that an office adds to the shipped ones; each counts before those."""

    spellings: tuple[tuple[str, str, str], ...] = ()  # kind, field, heading
    decimal_comma: bool = False  # whoever writes these headings writes 41,5 for 41.5

    @property
    def language(self) -> str:
        return OWN_WITH_COMMA if self.decimal_comma else OWN


T = TypeVar("T")
OWN, OWN_WITH_COMMA = "own", "own, with decimal commas"  # beside the languages of `headers.json`
OWN_LANGUAGES = frozenset({OWN, OWN_WITH_COMMA})
SHIPPED = OwnHeadings()
_own: ContextVar[OwnHeadings] = ContextVar("headings", default=SHIPPED)
_remembered: list["_lru_cache_wrapper[Any]"] = []


def remembered(maxsize: int) -> Callable[[Callable[..., T]], "_lru_cache_wrapper[T]"]:
    """`lru_cache` for what depends on the headings that are known."""

    def remember(function: Callable[..., T]) -> "_lru_cache_wrapper[T]":
        _remembered.append(lru_cache(maxsize)(function))
        return _remembered[-1]

    return remember


@contextmanager
def known_headings(own: OwnHeadings) -> Iterator[None]:
    """Within the block an office's headings are known as well as the shipped ones."""
    if own == _own.get():
        yield
        return
    before = _own.set(own)
    _forget()
    try:
        yield
    finally:
        _own.reset(before)
        _forget()


def _forget() -> None:
    for function in _remembered:
        function.cache_clear()


Vocabulary = Mapping[str, Mapping[str, tuple[tuple[str, str], ...]]]  # kind -> stem -> (field, language)


@lru_cache(maxsize=1024)  # an office has few headings, and each is asked about many times
def fold(text: str) -> str:
    """A heading without case, accents and punctuation."""
    text = unicodedata.normalize("NFKD", plain(text).casefold())
    text = "".join(c for c in text if not unicodedata.combining(c))
    return " ".join(re.sub(r"\W+|_", " ", text.replace("#", " no ")).split())


def vocabulary() -> Vocabulary:
    """The headings that are known, folded; a combined sheet knows those of devices and of pulls."""
    return _vocabulary(_own.get())


def own_kinds() -> dict[str, tuple[str, ...]]:
    """Kind of table (or `labels`) -> the fields that an office may name its headings for."""
    known = _vocabulary(SHIPPED)
    fields = {kind: {field for names in known[kind].values() for field, _ in names} for kind in known}
    return {kind: tuple(sorted(fields[kind])) for kind in known if kind in _KINDS or kind == "labels"}


@lru_cache(maxsize=16)
def _vocabulary(added: OwnHeadings) -> Vocabulary:
    data = json.loads(HEADERS.read_text(encoding="utf-8"))
    kinds: dict[str, dict[str, Any]] = {
        kind: fields for kind, fields in data.items() if isinstance(fields, dict)
    }
    for kind, field, spelling in added.spellings:
        kinds[kind].setdefault(field, {}).setdefault(added.language, []).append(spelling)
    own = kinds["combined"]
    left = {"id", "near", "far", "note", "chain", "port", "controller", *own}
    kinds["combined"] = {
        **own,
        **kinds["devices"],
        **{f: v for f, v in kinds["pulls"].items() if f not in left},
    }
    return {kind: _stems(fields) for kind, fields in kinds.items()}


def _stems(fields: Mapping[str, Mapping[str, Sequence[str]]]) -> dict[str, tuple[tuple[str, str], ...]]:
    stems: dict[str, dict[str, str]] = {}
    for name, languages in fields.items():
        for language, spellings in languages.items():
            for spelling in spellings:
                for variant in {fold(spelling), fold(_without_umlauts(spelling))}:
                    known = stems.setdefault(variant, {})
                    if name not in known or language in OWN_LANGUAGES:
                        known[name] = language
    return {stem: _own_first(names) for stem, names in stems.items()}


def _own_first(names: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """Where an office says what a heading means, what it may mean elsewhere does not count."""
    own = tuple(item for item in names.items() if item[1] in OWN_LANGUAGES)
    return own or tuple(names.items())


def _without_umlauts(text: str) -> str:
    return text.replace("ä", "ae").replace("ö", "oe").replace("ü", "ue").replace("ß", "ss")


@lru_cache(maxsize=8192)
def heading(text: str) -> Heading:
    """A heading's stems and unit: `Length (ft)`, `Length [m]`, `Len. ft`, `Current mA @ 24 V`."""
    clean = plain(text[: 4 * MAX_HEADING])
    stated = re.search(
        r"(?:@|\bat\b|\bbei\b|\bà\b)\s*(\d+(?:[.,]\d+)?)\s*v(?:dc|olts?)?\b", clean, re.IGNORECASE
    )
    volts = float(stated[1].replace(",", ".")) if stated else None
    if stated:
        clean = (clean[: stated.start()] + clean[stated.end() :]).strip()
    brackets = re.findall(r"[(\[{]([^)\]}]*)[)\]}]", clean)
    bare = re.sub(r"[(\[{][^)\]}]*[)\]}]", " ", clean)
    stems = [fold(clean), fold(bare)]
    unit = next((unit for inner in brackets if (unit := _unit_in(inner))), None)
    if unit is None:
        unit, rest = _trailing_unit(bare)
        stems.append(fold(rest))
    return Heading(tuple(dict.fromkeys(stem for stem in stems if stem)), unit, volts)


def _unit_in(text: str) -> str | None:
    text = re.sub(r"^(in|en)\s+(?=\S)", "", text.strip().casefold())
    unit = UNIT_OF.get(text) or UNIT_OF.get(text.strip(" ."))
    if unit is None and text:
        unit = UNIT_OF.get(re.split(r"[\s,;]+", text)[0])
    return unit if unit in _UNITS else None


def _trailing_unit(text: str) -> tuple[str | None, str]:
    """A unit at the end of a heading (or alone in it), and the heading without it."""
    parts = re.split(r"[\s,;:]+", text.strip().casefold())
    for take in (3, 2, 1):
        unit = UNIT_OF.get(" ".join(parts[-take:]).strip(".")) if len(parts) >= take else None
        if unit in _UNITS:
            rest = parts[:-take]
            if rest and rest[-1] in ("in", "en"):
                rest = rest[:-1]
            return unit, " ".join(rest)
    first = re.sub(r"/(?:device|unit|each|ea|pcs?|fixture)$", "", parts[0].strip(".")) if parts else ""
    unit = UNIT_OF.get(first)
    return (unit if unit in _UNITS else None), text


@remembered(maxsize=8192)
def candidates(kind: str, text: str) -> tuple[tuple[str, str], ...]:
    """The fields (with the heading's language) that a heading can name in one kind of table."""
    table, head = vocabulary()[kind], heading(text)
    for stem in head.stems:
        found = table.get(stem)
        if found:
            if head.unit is not None and len(found) > 1:
                fitting = tuple(item for item in found if head.unit in UNITS_OF_FIELD.get(item[0], ()))
                return fitting or found
            return found
    return ()


@remembered(maxsize=4096)
def suggestion(text: str, kind: str) -> str | None:
    """The field whose spelling a heading nearly is, where one stands out; never used by itself."""
    from rapidfuzz import fuzz, process

    words = vocabulary()[kind]
    stem = next(reversed(heading(text).stems), "")
    best = process.extract(stem, list(words), scorer=fuzz.ratio, limit=5, score_cutoff=80)
    if len(stem) < 4 or not best:
        return None
    first = words[best[0][0]][0][0]
    rivals = [score for match, score, _ in best if words[match][0][0] != first]
    return first if not rivals or best[0][1] - max(rivals) >= 5 else None


@remembered(maxsize=8192)
def is_known(text: str) -> bool:
    """Whether a text is a heading of any table (in the shipped words)."""
    if len(text) > MAX_HEADING:
        return False
    stems = heading(text).stems
    return any(stem in table for stem in stems for kind, table in vocabulary().items() if kind in _KINDS)


_KINDS = frozenset(TableKind)

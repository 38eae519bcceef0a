"""What a whole heading names and the unit it states: an exact table; a near miss is a suggestion only."""

import re
from collections.abc import Callable, Container, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import _lru_cache_wrapper, lru_cache
from typing import Any, TypeVar

from auditor.intake.grammar.numbers import plain
from auditor.intake.grammar.units import UNIT_OF
from auditor.intake.words.files import FIRST, languages
from auditor.intake.words.fold import fold, folded, spread, without_umlauts
from auditor.units import CAPACITANCE_NF_PER_M, LENGTH_M, RESISTANCE_OHM_PER_KM, VOLTAGE_V

MAX_HEADING = 60  # characters; a longer text is a note
LABELS = "labels"  # stands beside the kinds of table where they are listed
LENGTHS = "lengths"  # a list of pulls for the reader alone: no kind that people name
_LENGTH, _VOLTAGE = frozenset(LENGTH_M), frozenset(VOLTAGE_V)
_POWER = frozenset({"W", "mW", "kW", "VA", "mVA", "A", "mA"})
UNITS_OF_FIELD: Mapping[str, frozenset[str]] = {
    **dict.fromkeys(
        (
            "length_m", "mains_parallel_m", "allowance_per_end_m", "start_mark_m", "end_mark_m", "distance_m",
            "part_length_m", "conduit_length_m", "stock_length_m",
        ),
        _LENGTH,
    ),
    **dict.fromkeys(("power_w", "total_power_w", "idle_w", "start_w", "supply_power_w"), _POWER),
    **dict.fromkeys(("at_voltage_v", "min_voltage_v", "supply_voltage_v", "insulation_v"), _VOLTAGE),
    "mains_crossing_deg": frozenset({"deg"}),
    "capacitance_nf_per_m": frozenset(CAPACITANCE_NF_PER_M),
    "ohm_per_km": frozenset(RESISTANCE_OHM_PER_KM),
    "gauge": frozenset({"AWG", "mm2", "mm"}),
}  # fmt: skip
_UNITS = frozenset().union(*UNITS_OF_FIELD.values())
_AT_VOLTS = re.compile(
    r"(?:(?:@|\b(?:at|bei|bij|sous|à|a)\b)\s*|(?<=^ma)\s+|(?<=[\W_]ma)[\s_]+)(\d+(?:[.,]\d+)?)[\s_]*v(?:olts?)?\s?(?:dc|cc)?\b",
    re.IGNORECASE,
)
_IN_BRACKETS = re.compile(r"[(\[{]([^)\]}]*)[)\]}]")
_PRICE_PER = re.compile(r"(?:[€£$¥]|\b(?:eur|gbp|usd|chf))\s*/", re.IGNORECASE)
_EACH = re.compile(r"/(?:device|unit|each|ea|pcs?|fixture|stk|stück|st)$")
_EACH_WORDS = frozenset({"each", "ea", "apiece"})  # `Bus W each`
_BEFORE_UNIT = frozenset({"in", "en"})  # `Length in feet`, `Longueur en m`


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
OWN, OWN_WITH_COMMA = "own", "own, with decimal commas"  # beside the languages that have a file
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


Names = tuple[tuple[str, str], ...]  # (field, language)
Vocabulary = Mapping[str, Mapping[str, Names]]  # kind of table -> stem -> names


def vocabulary() -> Vocabulary:
    """The headings that are known, folded; a combined sheet knows those of devices and of pulls."""
    return _vocabulary(_own.get())


def kinds() -> tuple[str, ...]:
    """The kinds of table that have headings."""
    return tuple(kind for kind in _vocabulary(SHIPPED) if kind != LABELS)


def own_kinds() -> dict[str, tuple[str, ...]]:
    """Kind of table (or `labels`) -> the fields that an office may name its headings for."""
    return {kind: tuple(sorted(fields)) for kind, fields in _shipped().items() if kind != LENGTHS}


def fields_of(kind: str) -> frozenset[str]:
    """The fields that a kind of table can have."""
    return frozenset(_shipped()[kind])


Texts = dict[str, list[tuple[str, str]]]  # field -> (language, text)
_NOT_BESIDE_A_FEED = {  # what a row of a pull schedule says and a row that is fed by another one does not
    "id", "near", "far", "note", "chain", "port", "controller", "tag", "far_terminal", "far_place",
}  # fmt: skip


@lru_cache(maxsize=1)
def _shipped() -> Mapping[str, Texts]:
    """Kind of table -> field -> the texts of all languages, each in the order of the files."""
    found: dict[str, Texts] = {}
    for code, language in languages().items():
        for kind, fields in {**language.headings, LABELS: language.labels}.items():
            for field, texts in fields.items():
                found.setdefault(kind, {}).setdefault(field, []).extend((code, text) for text in texts)
    return {**found, "combined": _combined(found), "lengths": found["pulls"]}


def _combined(of: Mapping[str, Texts]) -> Texts:
    found = {field: list(texts) for field, texts in of["combined"].items()}
    for kind in ("devices", "pulls"):
        for field, texts in of[kind].items():
            if _counts_beside_a_feed(kind, field, of["combined"]):
                found.setdefault(field, []).extend(texts)
    return found


def _counts_beside_a_feed(kind: str, field: str, own: Container[str]) -> bool:
    """Whether headings of devices or pulls stand for a field in a combined sheet too."""
    return field not in own and (kind == "devices" or (kind == "pulls" and field not in _NOT_BESIDE_A_FEED))


@lru_cache(maxsize=16)
def _vocabulary(added: OwnHeadings) -> Vocabulary:
    if added == SHIPPED:
        return {kind: _stems(fields) for kind, fields in _shipped().items()}
    names = {kind: dict(stems) for kind, stems in _vocabulary(SHIPPED).items()}
    own = languages()[FIRST].headings["combined"]
    for kind, field, text in added.spellings:
        both = _counts_beside_a_feed(kind, field, own)
        for table in (names[kind], names["combined"]) if both else (names[kind],):
            for stem in _spellings(text):
                before = [item for item in table.get(stem, ()) if item[1] in OWN_LANGUAGES]
                table[stem] = (*before, (field, added.language))
    return names


def _stems(fields: Texts) -> dict[str, Names]:
    stems: dict[str, dict[str, str]] = {}
    for field, texts in fields.items():
        for code, text in texts:
            for stem in _spellings(text):
                stems.setdefault(stem, {}).setdefault(field, code)
    return {stem: tuple(names.items()) for stem, names in stems.items()}


def _spellings(text: str) -> tuple[str, ...]:
    """A text folded, with and without its umlauts written out."""
    bare = without_umlauts(text)
    return (folded(text),) if bare == text else (folded(text), folded(bare))


@lru_cache(maxsize=8192)
def heading(text: str) -> Heading:
    """A heading's stems and unit: `Length (ft)`, `Length [m]`, `Len. ft`, `LEN_M`, `Current mA @ 24 V`."""
    clean = plain(text[: 4 * MAX_HEADING])
    if _PRICE_PER.search(clean):
        return Heading((fold(_PRICE_PER.sub(" price per ", clean)),), None)
    if _AT_VOLTS.search(clean) is None and _AT_VOLTS.search(spread(clean)):
        clean = spread(clean)  # `CURRENT_MA_AT_24_V`
    stated = _AT_VOLTS.search(clean)
    volts = float(stated[1].replace(",", ".")) if stated else None
    if stated:
        clean = f"{clean[: stated.start()]} {clean[stated.end() :]}".strip()
    bare = spread(_IN_BRACKETS.sub(" ", clean))
    stems = [fold(clean), fold(bare)]
    unit = next((unit for inner in _IN_BRACKETS.findall(clean) if (unit := _unit_in(inner))), None)
    if unit is None:
        unit, rest = _trailing_unit(_IN_BRACKETS.sub(" ", clean))
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
    words = re.split(r"[\s,;:]+", text.strip().casefold())
    if len(words) > 1 and words[-1].strip(".") in _EACH_WORDS:
        words = words[:-1]
    for take in (3, 2, 1):
        last = words[-take:]
        unit = UNIT_OF.get(" ".join(last).strip(".")) if len(words) >= take else None
        if unit is None and take == 2 and len(words) >= take:
            unit = UNIT_OF.get("/".join(last)) or UNIT_OF.get("".join(last))  # `CAP_PF_M`, `AreaMm²`
        if unit in _UNITS:
            rest = words[:-take]
            return unit, " ".join(rest[:-1] if rest and rest[-1] in _BEFORE_UNIT else rest)
    unit = UNIT_OF.get(_EACH.sub("", words[0].strip("."))) if words else None
    return (unit if unit in _UNITS else None), text


@remembered(maxsize=8192)
def candidates(kind: str, text: str) -> Names:
    """The fields (with the heading's language) that a whole heading can name in one kind of table."""
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
    """Whether a text is a heading of any table."""
    if len(text) > MAX_HEADING:
        return False
    known = vocabulary()
    return any(stem in known[kind] for stem in heading(text).stems for kind in known if kind != LABELS)


def label(text: str) -> Names:
    """What a text before a value names outside the tables."""
    return candidates(LABELS, text)


def decimal_comma(language: str) -> bool:
    """Whether whoever writes headings of a language writes 41,5 for 41.5."""
    known = languages().get(language)
    return known.decimal_comma if known else language == OWN_WITH_COMMA

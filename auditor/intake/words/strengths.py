"""How strongly a heading speaks for each field: whole headings fully, the words of longer ones in part."""

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache

from auditor.intake.words.files import LAST, languages
from auditor.intake.words.fold import folded, parts, without_umlauts
from auditor.intake.words.headings import (
    UNITS_OF_FIELD,
    candidates,
    fields_of,
    heading,
    kinds,
    remembered,
)
from auditor.intake.words.lists import word_list
from auditor.intake.words.roles import ALONE, OTHER, RULES

SAYS = 0.6  # how strongly a heading must speak for a field to say it; project convention
MAIN = ("pulls", "devices", "combined")  # the kinds that a job is made of
MAX_WORDS = 8  # a heading with more is a sentence
_RANK = 0.05  # what a later field of one heading has less
_SIDE_LIST = 0.5  # of a field that the main kinds name otherwise: «Size» of a reel is its length
_BY_WORDS = 0.9  # of a heading whose words are all known; the others have less
_BY_UNIT = 0.6
_OF_UNIT: Mapping[str, str] = {
    **dict.fromkeys(("ft", "m", "yd", "in"), "length_m"),
    **dict.fromkeys(("W", "mW", "kW", "VA", "mVA", "mA"), "power_w"),
    **dict.fromkeys(("pF/ft", "pF/m", "nF/km", "nF/m"), "capacitance_nf_per_m"),
    **dict.fromkeys(("AWG", "mm2"), "gauge"),
}
_OF_A_FEED = frozenset({"near", "port", "controller", "near_terminal", "near_place"})
_MONEY = re.compile(r"[€£$¥]|\b(?:EUR|GBP|USD|CHF)\b")
_COSTS = frozenset({"cost", "price", OTHER})
_OHMS = re.compile(r"[ΩΩ]")  # that were measured; those of a cable have a unit, Ω/km
_EITHER = re.compile(r"[/|;\n]")
_LINKS = ("s", "n", "en", "es", "er", "e", "-", "")  # between the parts of a compound: Leitung-s-länge


@remembered(maxsize=8192)
def said(text: str, kind: str | None = None) -> Mapping[str, float]:
    """Field -> how strongly a heading speaks for it, from 0 to 1; `other` stands for other matters.

    A whole heading counts 1 (its later meanings a little less), words of a longer one 0.4 to 0.9. The
    unit pushes: `Run (ft)` is a length. Two-row headings come joined by a blank: `FROM Device`.

    Parameters
    ----------
    kind : only the fields of one kind of table; None: of any, the side lists (reels, cables ...) only for
        fields that pulls and devices do not have
    """
    found = _exact(text, kind) or _of_other_matter(text) or _of_both(text, kind) or _of_words(text, kind)
    if _begins_as_feed(text, kind, found):
        found = {"near": _BY_UNIT}
    if _MONEY.search(text):
        found = {name: strength for name, strength in found.items() if name in _COSTS} or {OTHER: 1.0}
    return _with_unit(text, kind, found)


def _begins_as_feed(text: str, kind: str | None, found: Mapping[str, float]) -> bool:
    """Whether two words that say what feeds a row begin a longer heading: `Fed from box`."""
    other_kind = kind is not None and "near" not in fields_of(kind)
    if other_kind or not _OF_A_FEED.isdisjoint(found) or heading(text).unit is not None:
        return False
    first = text.split()
    return 2 < len(first) <= MAX_WORDS and "near" in _exact(" ".join(first[:2]), "combined")


def says(text: str, *fields: str) -> bool:
    """Whether a heading says one of these fields."""
    strengths = said(text) if text else {}
    return any(strengths.get(field, 0.0) >= SAYS for field in fields)


def _exact(text: str, kind: str | None) -> dict[str, float]:
    found: dict[str, float] = {}
    main = frozenset().union(*map(fields_of, MAIN))
    for one in (kind,) if kind else kinds():
        for rank, (field, _) in enumerate(candidates(one, text)):
            strength = 1 - _RANK * rank
            if kind is None and one not in MAIN and field in main:
                strength *= _SIDE_LIST
            found[field] = max(strength, found.get(field, 0.0))
    return found


def _of_other_matter(text: str) -> dict[str, float]:
    ohms = _OHMS.search(text) is not None and heading(text).unit is None
    return {OTHER: 1.0} if ohms or folded(text) in word_list("other_matter") else {}


def _of_both(text: str, kind: str | None) -> dict[str, float]:
    """What the two halves of `From / Von` or `Tag/ID` both say."""
    halves = [half for half in _EITHER.split(text) if half.strip()]
    if not 2 <= len(halves) <= 3:
        return {}
    each = [_exact(half, kind) for half in halves]
    shared = set(each[0]).intersection(*each[1:])
    return {field: 0.95 * min(one[field] for one in each) for field in each[0] if field in shared}


def _with_unit(text: str, kind: str | None, found: Mapping[str, float]) -> Mapping[str, float]:
    """Fields that a heading's unit does not fit count less; where none is left the unit says one."""
    unit = heading(text).unit
    field = _OF_UNIT.get(unit or "")
    if field is None or OTHER in found or (kind is not None and field not in fields_of(kind)):
        return found
    fitting = {name: x for name, x in found.items() if unit in UNITS_OF_FIELD.get(name, ())}
    rest = {name: x * 0.4 for name, x in found.items() if name not in fitting}
    return {**(fitting or {field: _BY_UNIT}), **rest}


def _of_words(text: str, kind: str | None) -> dict[str, float]:
    """By the words of a longer heading, in the language that knows most of them."""
    stems = heading(text).stems
    words = parts(stems[-1]) if stems else ()
    if not 0 < len(words) <= MAX_WORDS:
        return {}
    if kind == "controllers" and "power_w" in _exact(text, "devices"):
        return {}  # what its devices draw: `Load (W)`, `Consumo (W)`
    readings = [_reading(words, code) for code in languages()]
    best = max(share for share, _ in readings)
    found: dict[str, float] = {}
    for share, fields in readings:
        if share == best:
            for field, strength in fields.items():
                if kind is None or field == OTHER or field in fields_of(kind):
                    found[field] = max(strength, found.get(field, 0.0))
    return found


def _reading(words: tuple[str, ...], code: str) -> tuple[float, dict[str, float]]:
    """(share of the words that a language knows, field -> strength)."""
    known = [_groups(word, code) for word in words]
    content = [groups for groups in known if "filler" not in groups]
    groups = frozenset().union(*content)
    share = sum(map(bool, content)) / len(content) if content else 0.0
    if not groups or _is_rate(words, known):
        return share, {}
    head = next((group for group in RULES if group in groups), None)
    if head is None or (head in ALONE and share < 0.5):
        return share, {}
    strength = _BY_WORDS if share == 1 else 0.75 if share >= 0.5 else 0.6
    fields = next(fields for needed, fields in RULES[head] if needed <= groups)
    return share, {field: strength * part for field, part in fields.items()}


def _is_rate(words: tuple[str, ...], known: Sequence[frozenset[str]]) -> bool:
    """Whether a number is one for each of something else: `Qty per room` counts no devices."""
    at = next((i for i, word in enumerate(words) if word in word_list("per")), len(words))
    return at + 1 < len(words) and any("quantity" in groups for groups in known[:at])


@lru_cache(maxsize=16384)
def _groups(word: str, code: str) -> frozenset[str]:
    """The groups of a word in one language (or among technical names), also as a plural or a compound."""
    known = _tokens(code)
    found = known.get(word) or (known.get(word[:-1]) if word.endswith("s") and len(word) > 3 else None)
    return found or frozenset(_compound(word, known))


def _compound(word: str, known: Mapping[str, frozenset[str]]) -> Iterator[str]:
    """The groups of both parts of a compound: Ziel-gerät, Leitung-s-länge."""
    for cut in range(len(word) - 3, 2, -1):
        first, second = word[:cut], known.get(word[cut:])
        if second is None or len(word) - cut < 4:
            continue
        for link in _LINKS:
            stem = first.removesuffix(link) if first.endswith(link) else ""
            if len(stem) > 2 and stem in known:
                yield from known[stem] | second
                return


@lru_cache(maxsize=16)
def _tokens(code: str) -> Mapping[str, frozenset[str]]:
    """Folded word -> its groups, of a language and of technical names."""
    found: dict[str, set[str]] = {}
    for one in dict.fromkeys((code, LAST)):
        for group, texts in languages()[one].tokens.items():
            for text in texts:
                for word in {folded(text), folded(without_umlauts(text))}:
                    found.setdefault(word, set()).add(group)
    for phrase in word_list("other_matter"):
        if " " not in phrase:
            found.setdefault(phrase, set()).add("other")
    return {word: frozenset(groups) for word, groups in found.items()}


def languages_of(text: str) -> tuple[str, ...]:
    """The languages that know a heading whole, else those that know most of its words."""
    whole = dict.fromkeys(code for kind in kinds() for _, code in candidates(kind, text))
    if whole:
        return tuple(whole)
    words = parts(text)
    shares = {code: _reading(words, code)[0] for code in languages()} if words else {}
    best = max(shares.values(), default=0.0)
    return tuple(code for code, share in shares.items() if share == best > 0)

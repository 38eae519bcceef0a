"""Lists of words: totals, void, by others, ports, splices and so on, over all languages."""

import re
from collections.abc import Iterable, Mapping
from functools import lru_cache

from auditor.intake.grammar.numbers import plain
from auditor.intake.words.files import Language, languages
from auditor.intake.words.fold import folded, without_umlauts

NEVER = re.compile(r"(?!)")
INFLECTED = frozenset({"void", "void_strong", "unjoined", "spare", "landed"})  # lists of what a row is


@lru_cache(maxsize=1)
def list_names() -> frozenset[str]:
    """The names of all lists."""
    return frozenset(name for language in languages().values() for name in language.lists)


@lru_cache(maxsize=256)
def word_list(name: str) -> frozenset[str]:
    """The phrases of a list over all languages, folded; marks of punctuation as `key` gives them."""
    return frozenset().union(*_by_language(name).values())


@lru_cache(maxsize=256)
def matcher(name: str) -> re.Pattern[str]:
    """Finds the phrases of a list in a folded text, as whole words, the longest first."""
    phrases = sorted((p for p in word_list(name) if p[:1].isalnum()), key=lambda p: (-len(p), p))
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, phrases))})(?!\w)") if phrases else NEVER


@lru_cache(maxsize=256)
def _by_language(name: str) -> Mapping[str, frozenset[str]]:
    if name not in list_names():
        raise KeyError(name)
    found = {code: frozenset(_keys(language.lists.get(name, ()))) for code, language in languages().items()}
    if name not in INFLECTED:
        return found
    return {code: frozenset(_inflected(phrases, languages()[code])) for code, phrases in found.items()}


def _inflected(phrases: Iterable[str], language: Language) -> Iterable[str]:
    """Each phrase with all endings of its last word: `supprimé`, `supprimées`."""
    for phrase in phrases:
        yield phrase
        for ending, all_endings in language.inflections.items():
            if phrase.endswith(ending):
                yield from (phrase.removesuffix(ending) + other for other in all_endings)


def _keys(phrases: Iterable[str]) -> Iterable[str]:
    for phrase in phrases:
        yield folded(phrase) or plain(phrase)
        yield folded(without_umlauts(phrase)) or plain(phrase)


def languages_in_list(name: str, phrase: str) -> tuple[str, ...]:
    """The languages in whose list a folded phrase stands."""
    return tuple(code for code, phrases in _by_language(name).items() if phrase in phrases)

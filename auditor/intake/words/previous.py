"""Texts that say «the previous one» in place of a name."""

from functools import cache

from auditor.intake.words.files import languages
from auditor.intake.words.fold import fold

MOST_WORDS = 3  # of a text such as «previous device»
_OTHER = frozenset({"last", "laatste", "hop"})  # also said of lengths and ends


def says_previous(value: object) -> bool:
    """Whether a text says «the previous one» and no name."""
    if not isinstance(value, str) or any(map(str.isdigit, value)):
        return False
    folded = fold(value).split()
    return 0 < len(folded) <= MOST_WORDS and not _previous().isdisjoint(folded)


@cache
def _previous() -> frozenset[str]:
    tokens = (text for language in languages().values() for text in language.tokens.get("previous", ()))
    return frozenset(fold(text) for text in tokens if len(text) > 3) - _OTHER

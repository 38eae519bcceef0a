"""Texts as they are compared: without case, accents and punctuation, and names of exports taken apart."""

import re
import unicodedata
from functools import lru_cache

from auditor.intake.grammar.numbers import plain

_FOLDED = re.compile(r"[a-z0-9]+(?: [a-z0-9]+)*")
_PUNCTUATION = re.compile(r"[\W_]+")
_CAMEL = re.compile(r"[a-z][A-Z]|[A-Z]{2}[a-z]")
_WORDS_IN_CAMEL = re.compile(  # `LenFt`, `SrcTag`, `CBLId`; a unit such as mA, kW or pF is one word
    r"(?:m(?:VA|[AWV])|k(?:VA|[WV])|[pnu]F)(?![a-z])|[A-Z]+(?![a-z])|"
    r"[A-Z]?[a-z]+?(?=(?<!oo)(?<!te)(?<!er)(?:m(?:VA|[AWV])|k[WV]|[pn]F)(?![a-z])|[^a-z]|$)|[^A-Za-z]+"
)
_NUMBER = re.compile(r"\bn\.[oº°](?!\w)")  # `N.º` is `Nº`
_DIGITS_BEHIND = re.compile(r"(?<=[a-z]{3})(?=\d)")


@lru_cache(maxsize=8192)  # an office has few headings, and each is asked about many times
def fold(text: str) -> str:
    """A text without case, accents and punctuation."""
    return folded(text)


def folded(text: str) -> str:
    """`fold` without its memory, for what is asked once."""
    if _FOLDED.fullmatch(text):
        return text
    text = plain(text).casefold()
    if "#" in text:
        text = text.replace("#", " no ")
    text = _NUMBER.sub("no", text)
    text = without_accents(text)
    return _PUNCTUATION.sub(" ", text).strip()


def without_accents(text: str) -> str:
    if text.isascii():
        return text
    return "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))


def key(text: str) -> str:
    """A folded text; of one that is all punctuation, such as a ditto mark, its plain characters."""
    return fold(text) or plain(text)


def without_umlauts(text: str) -> str:
    return text.replace("ä", "ae").replace("ö", "oe").replace("ü", "ue").replace("ß", "ss")


def spread(text: str) -> str:
    """A name of an export in words: `SrcTag` as `Src Tag`, `LEN_M` as `LEN M`; other texts as they are."""
    text = text.replace("_", " ")
    if _CAMEL.search(text) is None:
        return text
    return " ".join(" ".join(_WORDS_IN_CAMEL.findall(word)) for word in text.split())


def parts(text: str) -> tuple[str, ...]:
    """The folded words of a heading, `End1` as two."""
    return tuple(_DIGITS_BEHIND.sub(" ", fold(spread(text))).split())

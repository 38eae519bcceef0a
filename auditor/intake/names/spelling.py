"""When two spellings are one name."""

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache

from auditor.intake.grammar.numbers import plain

_LOOKALIKES = str.maketrans({"o": "0", "l": "1", "i": "1", "|": "1"})
_MAY_LOOK_ALIKE = re.compile(r"[^\n!-~]|[oil|\-_.,/]|(?<!\d)0", re.IGNORECASE)
_LEADING_ZEROS = re.compile(r"(?<!\d)0+(?=\d)")
_BLANKS, _MARKS, _MARKS_BETWEEN_DIGITS = (
    re.compile(pattern) for pattern in (r"\s+", r"[\-_.,/]+", r"(?<=\d)[\-_.,/]+(?=\d)")
)
_LETTERS = re.compile(r"[\W_]*([^\W\d_]+)")
_FOREIGN = str.maketrans("авеԁкмнорстухігԛѕјӏοаеорсух", "abedkmhopctyxirqsjloaeopcyx")


@lru_cache(maxsize=16384)  # a tag stands in several columns and is compared many times
def spelling(text: str) -> str:
    """A name without case, spaces, dashes and leading zeros: `k-07` and `K7` are one."""
    bare = text.lower() if text.isascii() and text.isalnum() else _bare(plain(text).casefold())
    return _LEADING_ZEROS.sub("", bare) if "0" in bare else bare


def likeness(text: str) -> str:
    """A name in which characters that look alike are one: O and 0, l and 1, А and A."""
    if text.isascii() and text.isalnum():
        key = text.lower().translate(_LOOKALIKES)
        return _LEADING_ZEROS.sub("", key) if "0" in key else key
    text = unicodedata.normalize("NFKD", plain(text).casefold())
    text = "".join(c for c in text if not unicodedata.combining(c))
    return _LEADING_ZEROS.sub("", _bare(text).translate(_FOREIGN).translate(_LOOKALIKES))


def _bare(text: str) -> str:
    """Without separators; between two digits they stay, since 1-1 is not 11."""
    return _MARKS.sub("", _MARKS_BETWEEN_DIGITS.sub("~", _BLANKS.sub("", text)))


def letters_of(tag: str) -> str:
    """The letters that a tag begins with: devices of one kind share them; empty where it begins otherwise."""
    match = _LETTERS.match(tag)
    return match[1].casefold() if match else ""


def first_word(text: str) -> str:
    """A name without what follows it: `K7 (north wall)`, `K7 - kitchen`."""
    return spelling(re.split(r"\s*[(\[,;:]|\s+-\s+|\s{1,}", plain(text), maxsplit=1)[0])


def lookalikes(tags: Iterable[str]) -> list[tuple[str, str]]:
    """Pairs of different tags that are probably the same."""
    tags = list(tags)
    if not _MAY_LOOK_ALIKE.search("\n".join(tags)) and len({tag.lower() for tag in tags}) == len(set(tags)):
        return []
    seen: dict[str, str] = {}
    pairs = []
    for tag in tags:
        key = likeness(tag)
        first = seen.setdefault(key, tag)
        if first != tag:
            pairs.append((first, tag))
    return pairs

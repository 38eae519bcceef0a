"""Several tags in one cell: `KP-01 thru KP-04`, `KP-1/2/3`, `KP-1, KP-2`."""

import itertools
import re
from dataclasses import dataclass
from functools import lru_cache

from auditor.intake.grammar.numbers import plain

LEAST_DIGITS, MOST_NUMBERS = 3, 40  # of tags that are numbers, and of one range of them; project convention
MOST = 500  # tags of one range; project convention
_WORD = r"thru|through|to|bis|à|a|al|hasta|t/m|tot|até|until"
_TO = re.compile(rf"\s*(?:\s(?:{_WORD})\s|\.{{2,}}|…|\s-\s|(?<=\d)-(?=[^\W\d_]))\s*", re.IGNORECASE)
_LIST = re.compile(r"\s*[,;&+\n]\s*|\s+/\s+|\s+(?:and|und|et|y|e|en)\s+", re.IGNORECASE)
_SLASHES = re.compile(r"(?P<stem>.*?\D)(?P<numbers>\d+(?:\s*/\s*\d+)+)")
_NUMBERED = re.compile(r"(?P<stem>.*?)(?P<number>\d+)")


@dataclass(frozen=True, slots=True)
class TagList:
    """The tags that one cell holds, in order."""

    tags: tuple[str, ...]
    backwards: bool = False  # the range was written from its last tag to its first


def each_tag(text: str) -> tuple[str, ...]:
    """The tags that a text names: those of a list or a range, else the text itself."""
    several = tags_in(text)
    return (text,) if several is None else several.tags


@lru_cache(maxsize=8192)
def tags_in(text: str) -> TagList | None:
    """The tags of a cell that holds more than one; None: it holds one name."""
    text = plain(text)
    if not any(map(str.isdigit, text)) or len(text) > 2000 or text[:1] in "=+":
        return None
    if text[:1] == "-" and (not text[1:2].isalpha() or "+" in text or "=" in text):
        return None  # `-K1+X2` is one place in a cabinet, `-K1, -K2` are two things
    return _range(text) or _slashes(text) or _listed(text)


def _range(text: str) -> TagList | None:
    """`KP-01 thru KP-04`, parted where both sides have one stem: `1-RM-01 - 1-RM-04`."""
    for to in _TO.finditer(text):
        first, last = text[: to.start()], text[to.end() :]
        found = _between(first, last)
        if found is not None and not (to[0] == "-" and _is_numbered_within(first, last)):
            return found
    return None


def _is_numbered_within(first: str, last: str) -> bool:
    """Whether a dash without blanks joins a room and its device, `S207-S1`: the numbers differ in width, or fall."""
    digits = [re.sub(r"\D", "", end)[-4:] for end in (first, last)]
    return len(digits[0]) > len(digits[1]) or (len(digits[0]) == len(digits[1]) and digits[1] < digits[0])


def _between(first_text: str, last_text: str) -> TagList | None:
    first, last = _NUMBERED.fullmatch(first_text.strip()), _NUMBERED.fullmatch(last_text.strip())
    if first is None or last is None:
        return None
    stem = first["stem"]
    if last["stem"] and _folded(last["stem"]) != _folded(stem):
        return None
    low, high = int(first["number"]), int(last["number"])
    if not stem.strip() and not _are_names(first["number"], last["number"]):
        return None
    if low == high or abs(high - low) >= MOST:
        return None
    width = (
        len(first["number"])
        if len(first["number"]) == len(last["number"]) or first["number"][0] == "0"
        else 0
    )
    numbers = range(min(low, high), max(low, high) + 1)
    return TagList(tuple(f"{stem}{number:0{width}d}" for number in numbers), backwards=high < low)


def _follow(numbers: list[str]) -> bool:
    """Whether each number is the one after the one before, `1106/1107`, of digits enough for tags."""
    pairs = itertools.pairwise(numbers)
    return len(numbers[0]) >= LEAST_DIGITS and all(
        int(b) == int(a) + 1 and len(a) == len(b) for a, b in pairs
    )


def _are_names(first: str, last: str) -> bool:
    """Whether numbers alone may be tags that follow each other: `1106..1108`, not `10 to 240`."""
    return len(first) == len(last) >= LEAST_DIGITS and 0 < int(last) - int(first) < MOST_NUMBERS


def _folded(stem: str) -> str:
    return re.sub(r"[\W_]+", "", stem.casefold())


def _slashes(text: str) -> TagList | None:
    """`KP-111/112/113`: numbers of one width that rise; `C1/1` is a port."""
    alone = re.split(r"\s*/\s*", text)
    if len(alone) > 1 and all(map(str.isdigit, alone)) and _follow(alone):
        return TagList(tuple(alone))
    stem, numbers = _behind_slashes(text)
    if not numbers or len({*map(len, numbers)}) > 1 or (len(numbers) < 3 and len(numbers[0]) < 2):
        return None
    return TagList(tuple(stem + number for number in numbers))


def slashed(text: str, count: int) -> TagList | None:
    """`CL-1/2` as so many tags, where something else says how many they are; None: it names another number."""
    stem, numbers = _behind_slashes(plain(text))
    if stem.endswith("/") or len(numbers) != count:
        return None
    return TagList(tuple(stem + number for number in numbers))


def _behind_slashes(text: str) -> tuple[str, list[str]]:
    """(what stands before, the rising numbers with slashes between them); without such numbers none."""
    match = _SLASHES.fullmatch(text)
    numbers = [number.strip() for number in match["numbers"].split("/")] if match else []
    rising = all(int(a) < int(b) for a, b in itertools.pairwise(numbers))
    return (match["stem"], numbers) if match and rising else ("", [])


def _listed(text: str) -> TagList | None:
    parts = [part for part in _LIST.split(text) if part]
    if len(parts) < 2 or not all(any(map(str.isdigit, part)) for part in parts):
        return None
    first = _NUMBERED.fullmatch(parts[0])
    if first is None or any(
        len(part) > 24 or (" " in part.strip() and len(part.split()) > 2) for part in parts
    ):
        return None
    tags: list[str] = []
    for part in parts:
        inner = tags_in(part)
        if inner is not None:
            tags += inner.tags
        else:
            tags.append(first["stem"] + part if part.isdigit() else part)
    stems = {_folded(m["stem"]) if (m := _NUMBERED.fullmatch(tag)) else tag for tag in tags}
    return TagList(tuple(tags)) if len(stems) <= max(1, len(tags) // 2) or len(tags) > 2 else None

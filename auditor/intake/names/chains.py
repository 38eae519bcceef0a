"""Several ends in one cell, in order: `C1.1 > K1 (120 ft) > K2`."""

import re
from collections.abc import Collection
from functools import lru_cache

from auditor.intake.grammar.values import words
from auditor.intake.names.ports import port_alone, spelled

CHAIN_MARK = re.compile(r"\s*(?:[-–—=]*[>→➔➜»]+|\s(?:then|dann|puis|luego|poi|dan)\s)\s*")
_DASHED = re.compile(
    r"\S{0,20}\d\S{0,20}|[^\W\d]{1,6}\S{0,20}(?:[/.:]\S{1,8})"
)  # an end beside a dash: `S101`, `LCP/A`
_DASH = re.compile(r"\s+[-–—]\s+")
_WORDED = re.compile(  # `C1.1 to KP-1`: both ends of one pull
    r"(?P<near>[^\s,;]+(?: [^\s,;]+){0,3}) (?:to|nach|naar|vers|à|a) (?P<far>[^\s,;]+(?: [^\s,;]+){0,3})"
)
_STEM = re.compile(r"\d+$")
_PARTED = re.compile(r"[\s,;>→➔➜»(\[]")  # without one of these a text is one end
_LIST = re.compile(r"\s*[,;\n]\s*")
_SLASH = re.compile(r"\s+/\s+")
_LENGTHS = re.compile(r"\s*[;/+|]\s*|,\s+|\s+-\s+|\n")
_LENGTH = re.compile(r"[(\[]\s*([^)\]]*\d[^)\]]*)[)\]]")


def split_chain(text: str) -> list[tuple[str, str | None]]:
    """(end, the length in its brackets) of each step of a chain."""
    if not _PARTED.search(text):
        return [(text, None)] if text else []
    return list(_steps_of(text))


@lru_cache(maxsize=4096)
def _steps_of(text: str) -> tuple[tuple[str, str | None], ...]:
    parts = CHAIN_MARK.split(text)
    if len(parts) == 1 and is_dashed(text):
        parts = _DASH.split(text)
    if len(parts) == 1:
        parts = _LIST.split(_LENGTH.sub(lambda found: found[0].replace(",", "."), text))
    if len(parts) == 1 and is_slashed(text):
        parts = _SLASH.split(text)
    if len(parts) == 1:
        parts = _loosely(text)
    if len(parts) == 1 and (worded := _worded(text)) is not None:
        parts = [*worded]
    steps: list[tuple[str, str | None]] = []
    for part in parts:
        found = _LENGTH.search(part)
        if found and (port := port_alone(found[1].strip())) is not None and port.worded:
            steps.append((words(part).strip(" ,;"), None))  # `C2 (port 1)` is one name
            continue
        steps.append((words(_LENGTH.sub("", part)).strip(" ,;"), found[1].strip() if found else None))
    return tuple(step for step in steps if step[0])


def _loosely(text: str) -> list[str]:
    """Names of several words with dashes or slashes between: `SH 1 - SH 2`, but not `K7 - kitchen`."""
    for mark in (_DASH, _SLASH):
        parts = mark.split(text)
        numbered = all(any(map(str.isdigit, part)) for part in parts)
        if (len(parts) > 2 or (len(parts) == 2 and numbered)) and not any(map(port_alone, parts)):
            return parts
    return [text]


def is_dashed(text: str) -> bool:
    """Whether a text is ends with dashes between: `S101 - S102`."""
    parts = _DASH.split(text.strip())
    return len(parts) > 1 and all(map(_DASHED.fullmatch, parts))


def _worded(text: str) -> tuple[str, str] | None:
    """The two ends with a word between, `C1.1 to KP-1`; digits stand in both, and no short number alone."""
    match = _WORDED.fullmatch(text.strip())
    if match is None or not all(any(map(str.isdigit, end)) and len(end) > 1 for end in match.groups()):
        return None
    return match["near"], match["far"]


def all_worded(texts: Collection[str]) -> bool:
    """Whether each text names two ends with a word between, a port among them: not `KP-1 to KP-4` alone."""
    pairs = [pair for text in texts if (pair := _worded(text)) is not None]
    apart = sum(_STEM.sub("", near) != _STEM.sub("", far) for near, far in pairs)
    ports = any(spelled(near) or spelled(far) for near, far in pairs)
    return len(pairs) == len(texts) > 1 and apart * 4 > len(pairs) and ports


def is_slashed(text: str) -> bool:
    """Whether a text is ends with slashes between, `KP-1 / KP-2`, and no port: `LCP-1 / PORT 1`."""
    parts = _SLASH.split(text.strip())
    ends = len(parts) > 1 and all(map(_DASHED.fullmatch, parts))
    return ends and not any(port_alone(part) for part in parts)


def split_lengths(text: str, count: int) -> list[str]:
    """The parts of a cell that may hold so many lengths: `120 / 80 / 60 ft`."""
    parts = [part for part in _LENGTHS.split(text) if part.strip()]
    if len(parts) == 1 and text.count(",") == count - 1:
        parts = text.split(",")
    return parts


def names_in_chain(text: str) -> list[str]:
    return [name for name, _ in split_chain(text)]

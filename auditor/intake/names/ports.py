"""How a port can be written: its controller's name and its own last part."""

import re
from dataclasses import dataclass
from functools import cache, lru_cache

from auditor.intake.grammar.numbers import plain
from auditor.intake.words import word_list

_LAST = r"(?P<port>\d{1,2}|[a-h])"
_ENDS_LIKE_A_CONTROLLER = re.compile(r".*(?:\d|(?:^|[\s\-_.#])[a-z])", re.IGNORECASE)

_BY_STEM = re.compile(  # behind a dash only a letter with a number: `BC-1` is a controller
    r"(?P<name>.*[^\W_])\s*(?:[.:/]\s*(?P<port>[a-z]?\d{1,2}|[a-h])|(?:[\-_]|(?<=\d)\s)(?P<lettered>[a-z]\d{1,2}))",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Spelled:
    """One way to read a text as a port."""

    controller: str  # empty where the text names the port alone
    port: str
    worded: bool  # a word for a port stands in it


def as_words(names: frozenset[str]) -> str:
    """Words as the alternatives of a pattern, the longest first."""
    return "|".join(
        re.escape(name).replace(r"\ ", r"[\s.\-]*") for name in sorted(names, key=len, reverse=True)
    )


def _port_words() -> str:
    """The words for a port as alternatives of a pattern; of single letters only P."""
    return f"(?:{as_words(frozenset(word for word in word_list('port') if len(word) > 1) | {'p'})})"


@cache
def _forms() -> tuple[tuple[re.Pattern[str], bool], ...]:
    word = _port_words()
    flags = re.IGNORECASE
    return (
        (re.compile(rf"{word}[\s.#\-]*{_LAST}\s*(?:[\-/,:]|\s(?:of|on|at|an|am|von|de|du|del|van|di|su)\s|\s)\s*(?P<name>.*[^\W\d].*)", flags), True),
        (re.compile(rf"(?P<name>.*?[^\s.:/,\-_(\[])(?:\s*[.:/,\-_(\[]\s*|\s+|(?<=\d)){word}[\s.#\-:]*{_LAST}\s*[)\]]?", flags), True),
        (re.compile(rf"(?P<name>.*?[^\s.:/,\-_])\s*(?P<mark>[.:/,\-_])\s*{_LAST}", flags), False),
        (re.compile(r"(?P<name>.*?[^\s.:/,\-_])\s*[/:]\s*(?P<port>[a-z]{1,2}\d{1,2})", flags), False),  # `UC1/D1`
        (re.compile(rf"(?P<name>.*?[^\W_])\s+{_LAST}", flags), False),
    )  # fmt: skip


@cache
def _alone() -> re.Pattern[str]:
    word = _port_words()
    return re.compile(rf"(?P<word>{word})?[\s.#\-]*{_LAST}", re.IGNORECASE)


@lru_cache(maxsize=8192)
def port_alone(text: str) -> Spelled | None:
    """`PORT 1`, `P2`, `1`: a port whose controller stands elsewhere."""
    bare = plain(text)
    match = _alone().fullmatch(bare)
    if match is None or (match["word"] is not None and not _stands_apart(bare, match)):
        return None
    return Spelled("", port_number(match["port"]), match["word"] is not None)


def _stands_apart(text: str, match: re.Match[str]) -> bool:
    """A port's letter behind a word stands apart from it: `PORT A`, `PA`, no `porte`."""
    at = match.start("port")
    if match["port"].isdigit() or at == 0 or not text[at - 1].isalpha():
        return True
    word = re.search(r"[^\W\d_]+$", text[:at])
    return word is not None and word[0] in ("p", "P", "CH")  # `PA`, `CHA`, no `charge`


@lru_cache(maxsize=8192)
def spelled(text: str) -> tuple[Spelled, ...]:
    """The ways in which a text may name a port, those with a word for it first.

    `C1.1`, `C1-P2`, `CTRL-1 / PORT 1`, `HUB-A:1`, `PORT 1 - LCP-1`, `LCP-1 (PORT 1)`, `ST1 Ausgang 1`.
    """
    bare = plain(text).strip(" .,;")
    found: dict[tuple[str, str], Spelled] = {}
    for form, worded in _forms():
        match = form.fullmatch(bare)
        if match is None or (worded and not _stands_apart(bare, match)):
            continue
        name = match["name"].strip(" .,:/-([")
        if not name or not any(map(str.isalpha, name)):
            continue
        if not worded and not _ENDS_LIKE_A_CONTROLLER.fullmatch(name):
            continue
        port = port_number(match["port"])
        found.setdefault((name, port), Spelled(name, port, worded))
    return tuple(found.values())


@cache
def _within() -> re.Pattern[str]:
    word = _port_words()
    return re.compile(
        rf"(?P<name>\w[\w.\-]*)[\s/.,:\-–(]*(?<![^\W_]){word}[\s.#\-:]*{_LAST}(?!\w)", re.IGNORECASE
    )


def ports_in(text: str) -> list[str]:
    """The ports that a line names by a word: `HEU-A PORT 1 - floor 1`, `Tronco, desde CT1 salida 1`."""
    bare = plain(text)
    return [
        match[0]
        for match in _within().finditer(bare)
        if _ENDS_LIKE_A_CONTROLLER.fullmatch(match["name"])
        and any(map(str.isalpha, match["name"]))
        and spelled(match[0])
    ]


@lru_cache(maxsize=8192)
def by_stem(text: str) -> Spelled | None:
    """A text as a port where other roots have its stem, or a word for a controller is its stem: `HUB/1`, `QB1.L1`."""
    match = _BY_STEM.fullmatch(plain(text).strip(" .,;"))
    if match is None:
        return None
    return Spelled(match["name"], port_number(match["port"] or match["lettered"]), False)


def port_number(text: str) -> str:
    return text.upper().lstrip("0") or "0"

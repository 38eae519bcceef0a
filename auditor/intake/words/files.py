"""The vocabulary's files: one a language, each with headings, tokens, labels and lists."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

FOLDER = Path(__file__).parent
FIRST, LAST = "en", "technical"  # the files whose order counts: whose words come first, and whose last
Fields = Mapping[str, Sequence[str]]  # field -> texts


@dataclass(frozen=True, slots=True)
class Language:
    """The words of one language, as its file has them."""

    name: str
    decimal_comma: bool  # whoever writes these headings writes 41,5 for 41.5
    headings: Mapping[str, Fields]  # kind of table -> field -> whole headings
    tokens: Fields  # what a single word speaks for
    labels: Fields  # what stands before a value outside the tables
    lists: Mapping[str, Sequence[str]]
    inflections: Mapping[str, Sequence[str]]  # ending of a word that says what a row is -> all its endings


@lru_cache(maxsize=1)
def languages() -> Mapping[str, Language]:
    """All languages by the name of their file, `en` and so on."""
    files = sorted(FOLDER.glob("*.json"), key=lambda file: (file.stem == LAST, file.stem != FIRST, file.stem))
    return {file.stem: _read(file) for file in files}


def _read(file: Path) -> Language:
    data = json.loads(file.read_text(encoding="utf-8"))
    return Language(
        name=data["language"],
        decimal_comma=data["decimal_comma"],
        headings=data.get("headings", {}),
        tokens=data.get("tokens", {}),
        labels=data.get("labels", {}),
        lists=data.get("lists", {}),
        inflections=data.get("inflections", {}),
    )

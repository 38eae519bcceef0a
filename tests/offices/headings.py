"""Headings of columns: in a language, as an export names them, in no language at all."""

import re
from dataclasses import dataclass, field
from random import Random

from tests.offices.book import Column, Table
from tests.offices.dice import Dice
from tests.offices.words import LANGUAGES, language

EXPORTS = ("technical", "camel", "snake")
SHOWN = ("{word} ({unit})", "{word} [{unit}]", "{word}, {unit}", "{word} {unit}", "{word} {in_} {unit}")
_HEADS = ("b", "br", "d", "dr", "f", "g", "gl", "k", "l", "m", "n", "p", "r", "s", "t", "tr", "v", "z")
_TAILS = ("l", "m", "n", "nd", "r", "sk", "sh", "th", "x", "")


@dataclass(slots=True)
class Headings:
    """Words for the columns of one workbook: the same role in tables of one kind has the same word."""

    kind: str  # a language, one of EXPORTS, "invented" or "none"
    rng: Dice
    words: dict[str, str]
    shown: str  # how a unit stands beside a word
    before_unit: str  # "in"
    capitals: bool = False
    chosen: dict[tuple[str, str], str] = field(default_factory=dict)

    @property
    def removed(self) -> bool:
        return self.kind == "none"

    @property
    def speak(self) -> bool:
        """Whether a reader who knows the trade's languages understands them."""
        return self.kind in LANGUAGES or self.kind in EXPORTS

    def dress(self, table: Table) -> None:
        """A heading for each column that has none, no two alike in one table."""
        taken = {column.heading for column in table.columns if column.heading}
        for column in table.columns:
            if not column.heading and not column.bare:
                word = column.word or self._word(table.kind, column.role, taken)
                taken.add(word)
                column.heading = self.with_unit(word, column)

    def with_unit(self, word: str, column: Column) -> str:
        unit = column.shown_unit
        if self.kind in EXPORTS:
            tail = re.sub(r"\W+", "_", unit).strip("_").upper()
            return self._export(f"{word}_{tail}" if tail else word)
        word = word.upper() if self.capitals else word
        return self.shown.format(word=word, unit=unit, in_=self.before_unit) if unit else word

    def _word(self, table: str, role: str, taken: set[str]) -> str:
        if (table, role) not in self.chosen:
            self.chosen[table, role] = self._new(role, taken)
        word = self.chosen[table, role]
        return word if word not in taken else self._new(role, taken)

    def _new(self, role: str, taken: set[str]) -> str:
        if self.kind == "invented":
            return next(word for word in iter(lambda: invented(self.rng), None) if word not in taken)
        choices = [word for word in self.words[role].split("|") if word not in taken]
        return self.rng.choice(choices or [f"{self.words[role].split('|')[0]} 2"])

    def _export(self, name: str) -> str:
        if self.kind == "camel":
            return "".join(part.capitalize() for part in name.split("_"))
        return name.lower() if self.kind == "snake" else name


def headings(kind: str, rng: Dice) -> Headings:
    source = language(kind if kind in LANGUAGES else "technical" if kind in EXPORTS else "en")
    return Headings(
        kind=kind,
        rng=rng,
        words=source.HEADINGS,
        before_unit=getattr(source, "SAYS", {}).get("in", "in"),
        shown=SHOWN[0] if kind == "invented" else rng.choice(SHOWN[:2] * 2 + SHOWN),
        capitals=kind in LANGUAGES and rng.seldom(0.2),
    )


def invented(rng: Random) -> str:
    """A word of no language: two or three syllables."""
    parts = [
        rng.choice(_HEADS) + rng.choice("aeiou") + rng.choice(_TAILS) for _ in range(rng.choice((1, 2, 2)))
    ]
    word = "".join(parts).capitalize()
    return word if len(word) > 3 else word + "ol"

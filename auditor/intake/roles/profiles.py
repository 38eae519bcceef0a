"""What a column's values show: one pass over the tables of one form, kept as sets."""

import itertools
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Any

from auditor.intake.blocks.grid import is_quantity
from auditor.intake.blocks.tables import TableBlock
from auditor.intake.formats.cells import Value, WithUnit
from auditor.intake.grammar.numbers import plain
from auditor.intake.grammar.units import NOTHING, UNIT_OF
from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.chains import CHAIN_MARK, all_worded, is_dashed, is_slashed, names_in_chain
from auditor.intake.names.ports import port_alone
from auditor.intake.names.ranges import tags_in
from auditor.intake.names.spelling import spelling
from auditor.intake.words import heading, key, says, word_list

MAX_CHAIN = 2000
MAX_NAME = 60
LEAST_IN_CHAINS = 3  # names of a table's chains
ONCE = 0.9  # share of the names in chains that stand once; project convention
LEAST_COUNTED = 3  # names that count; project convention
_COUNTED = re.compile(r"(?P<stem>.*?)(?P<number>\d{1,9})\D{0,2}")
_UNIT_BEHIND = re.compile(r"[\d.,]\s*(['\"]|[^\W\d_][^\d]*)$")
_NAMES_LISTED = re.compile(r"\s*[,;]\s+|\s+/\s+")  # of texts whose line breaks are commas
MOSTLY_PLACED = 0.7  # share of the names with a place behind; project convention
_PLACED = re.compile(r"([^()\s][^()]*?\d[^()\s]*) \([^()]*[^\W\d_]{3}[^()]*\)")
_PUSH = re.compile(r"(?:\s|[\-–—•·>]+(?=\s))*")
_LEVEL = re.compile(r"\d{1,3}(?:\.\d{1,3})*")


@dataclass(kw_only=True)
class ColumnProfile:
    """One column of all tables of one form."""

    column: int
    header: str
    group: str
    values: list[Value]  # of all rows, blanks included
    sheets: int = 1  # over how many sheets the tables stand
    by_table: list[list[Value]] = field(default_factory=list)
    unit_beside: str | None = None  # the unit in the next column, where that holds nothing else
    suits: dict[str, float | None] = field(default_factory=dict)  # role -> how well the values suit it
    worded: dict[str, dict[str, tuple[float, str]]] = field(
        default_factory=dict
    )  # kind of table -> what the heading may name in it
    depths: tuple[int, ...] = ()  # the columns of a tree's depths that are gathered in this one

    @property
    def lower(self) -> str:
        """The heading without the text that stands above several columns."""
        return self.header.removeprefix(self.group).strip() if self.group else self.header

    @cached_property
    def filled(self) -> list[Value]:
        return [v for v in self.values if not isinstance(v, str) or not _is_nothing(v)]

    @cached_property
    def share_filled(self) -> float:
        return len(self.filled) / max(1, len(self.values))

    @cached_property
    def quantities(self) -> float:
        """Share of the filled cells that are numbers, with or without a unit."""
        sample = self.filled[:200]
        return sum(map(is_quantity, sample)) / max(1, len(sample))

    @cached_property
    def numbers(self) -> list[float]:
        return [float(v) for v in self.filled if isinstance(v, float)]

    @cached_property
    def texts(self) -> set[str]:
        """The distinct values as they are shown, blanks made one."""
        return {words(v.replace("\n", ", ") if isinstance(v, str) else v) for v in set(self.filled)}

    @cached_property
    def _words(self) -> dict[Value, str]:
        """Each distinct value that is not blank -> its words."""
        return {v: words(v) for v in set(self.values) if not is_blank(v)}

    @cached_property
    def keys(self) -> frozenset[str]:
        """The distinct values as names; a cell of several tags gives each of them."""
        found: set[str] = set()
        for text in self._without_places():
            if len(text) <= MAX_NAME * 4 and not is_ditto(text):
                several = tags_in(text)
                if several is not None:
                    found.update(map(spelling, several.tags))
                elif len(names := _NAMES_LISTED.split(text)) > 1:
                    found.update(map(spelling, names))
                if len(text) <= MAX_NAME:
                    found.add(spelling(text))
        return frozenset(found - {""})

    def _without_places(self) -> set[str]:
        """The texts, without the place in brackets behind a name where most have one: `WP08 (Watch room)`."""
        bare = {text: match[1] for text in self.texts if (match := _PLACED.fullmatch(text))}
        named = {
            text: name for text, name in bare.items() if port_alone(text[len(name) :].strip(" ()")) is None
        }
        if len(named) <= MOSTLY_PLACED * len(self.texts):
            return self.texts
        return {named.get(text, text) for text in self.texts}

    @cached_property
    def distinct(self) -> float:
        """Share of the filled cells that are the first of their value, in the table where most are not."""
        shares = []
        for values in self.by_table or [self.values]:
            own = [self._words[v] for v in values if v in self._words]
            if own:
                shares.append(len(set(own)) / len(own))
        return min(shares, default=0.0)

    @cached_property
    def is_counter(self) -> bool:
        """1, 2, 3 … in the order of the rows."""
        own = [v for v in (self.by_table or [self.values])[0] if not is_blank(v)]
        try:
            counted = [float(v) for v in own]  # type: ignore[arg-type]
        except (TypeError, ValueError):
            return False
        steps = [b - a for a, b in itertools.pairwise(counted)]
        return len(counted) > 2 and all(step == 1 for step in steps)

    @property
    def counts_rows(self) -> bool:
        """Whether it counts from 1: 1101, 1102 … may be names."""
        return self.is_counter and bool(self.numbers) and min(self.numbers) <= 1

    @cached_property
    def counts_up(self) -> bool:
        """Whether each name is the one above it with the next number: `W001`, `W002` are the numbers of pulls."""
        parts = [_COUNTED.fullmatch(words(value)) for value in self.filled]
        if len(parts) < LEAST_COUNTED or len({part and part["stem"] for part in parts}) > 1:
            return False
        numbers = [int(part["number"]) for part in parts if part is not None]
        return all(after == before + 1 for before, after in itertools.pairwise(numbers))

    @cached_property
    def units(self) -> Counter[str]:
        """Units that stand in the cells."""
        found: Counter[str] = Counter()
        for value in self.filled[:200]:
            if type(value) is WithUnit:
                found[value.unit] += 1
            elif isinstance(value, str) and is_quantity(value):
                match = _UNIT_BEHIND.search(plain(value).casefold())
                unit = UNIT_OF.get(match[1].strip(" .")) if match else None
                if unit == "in" and "'" in plain(value):
                    unit = "ft"  # feet and inches
                if unit:
                    found[unit] += 1
        return found

    @cached_property
    def is_units(self) -> bool:
        """Whether each filled cell is nothing but a unit."""
        units = set()
        for value in set(self.filled):
            unit = UNIT_OF.get(plain(value).casefold().strip(" .")) if isinstance(value, str) else None
            if unit is None:
                return False
            units.add(unit)
        return bool(units) and units != {"in"}  # IN is a terminal

    @cached_property
    def heading_unit(self) -> str | None:
        return heading(self.header).unit or heading(self.lower).unit

    @cached_property
    def unit(self) -> str | None:
        """The unit that the heading states, else the one in most of the cells."""
        if self.heading_unit is not None:
            return self.heading_unit
        if self.is_units:
            return UNIT_OF.get(plain(str(self.filled[0])).casefold().strip(" ."))
        common = self.units.most_common(1)
        if not common and self.unit_beside is not None:
            return self.unit_beside
        return common[0][0] if common and common[0][1] * 2 > len(self.filled[:200]) else None

    @cached_property
    def is_chain(self) -> bool:
        """Whether the cells hold several ends in order: `C1.1 > K1 > K2`."""
        texts = [text[:MAX_CHAIN] for text in self.texts]
        marked = sum(
            CHAIN_MARK.search(text) is not None or is_dashed(text) or is_slashed(text) for text in texts
        )
        return bool(texts) and (marked * 2 > len(texts) or all_worded(texts))

    @cached_property
    def chains(self) -> list[list[str]] | None:
        """The names of each row's chain; None: the column holds no chains."""
        if self.quantities > 0.2 or not any(len(text) > 3 for text in self.texts):
            return None
        of_text = {value: names_in_chain(value) for value in self.values if isinstance(value, str)}
        found = [of_text[value] if isinstance(value, str) else [] for value in self.values]
        names = [spelling(name) for own in found for name in own]
        several = sum(len(own) > 1 for own in found)
        if len(names) < LEAST_IN_CHAINS or several * 2 < sum(map(bool, found)) or not several:
            return None
        numbers = any(map(is_quantity, names)) and not says(self.header, "chain")
        apart = len(set(names)) >= ONCE * len(names) and not numbers
        return found if apart else None

    @cached_property
    def is_levels(self) -> bool:
        """Whether the cells are level numbers: 1, 1.1, 1.1.1."""
        texts = [words(v) for v in self.filled]
        if len(texts) < 3 or not all(_LEVEL.fullmatch(text) for text in texts):
            return False
        below = [text for text in texts if "." in text]
        known = sum(text.rpartition(".")[0] in self.texts for text in below)
        return len(below) > 1 and known >= 0.7 * len(below)

    @cached_property
    def is_indented(self) -> bool:
        """Whether blanks before the names make a tree: each row at most one step deeper than the row above."""
        depths = [pushed_by(v) for v in self.filled if isinstance(v, str)]
        if len(depths) < 3 or len(set(depths)) < 2 or depths[0] != min(depths):
            return False
        steps = sorted(set(depths))
        at = [steps.index(depth) for depth in depths]
        return all(b - a <= 1 for a, b in itertools.pairwise(at)) and sum(at) > len(at) // 3

    @cached_property
    def restarts(self) -> bool:
        """1, 2, 3, 1, 2 …: places on ports, in the order of the rows."""
        filled = [v for v in (self.by_table or [self.values])[0] if not is_blank(v)]
        own = [v for v in filled if isinstance(v, float)]
        if len(own) < 3 or len(own) < len(filled) or own[0] != 1:
            return False
        steps = [(b == 1 or b == a + 1) for a, b in itertools.pairwise(own)]
        return all(steps) and own.count(1.0) > 1 and max(own) > 1 and self.heading_unit is None

    @cached_property
    def names(self) -> float:
        """Share of the filled cells that may be names: short, and no quantity with a unit."""
        sample = self.filled[:200]
        fit = sum(
            (isinstance(v, str) and len(v) <= MAX_NAME and not self._has_unit(v)) or isinstance(v, float)
            for v in sample
        )
        return fit / max(1, len(sample))

    @cached_property
    def with_digits(self) -> float:
        return sum(any(map(str.isdigit, t)) for t in self.texts) / max(1, len(self.texts))

    def _has_unit(self, value: str) -> bool:
        return is_quantity(value) and not plain(value).replace(".", "").replace(",", "").isdigit()


def pushed_by(text: str) -> int:
    """How far blanks, or dashes with blanks between, push a name in: `- - KP-1`."""
    match = _PUSH.match(text)
    return match.end() if match else 0


@lru_cache(maxsize=4096)
def _is_nothing(text: str) -> bool:
    bare = text.strip().casefold()
    return not bare or bare in NOTHING or bare == "null"


def is_ditto(value: Any) -> bool:
    """Whether a cell says «as above»."""
    if not isinstance(value, str) or not 0 < len(value) <= 12:
        return False
    return key(value) in _dittos()


def _dittos() -> frozenset[str]:
    return word_list("ditto")


def same_form(tables: Iterable[TableBlock]) -> list[list[TableBlock]]:
    """Tables whose headings are the same, over all sheets; one without headings stands alone."""
    groups: dict[object, list[TableBlock]] = {}
    for table in tables:
        key = (
            (tuple(sorted(table.headers.items())), tuple(sorted(table.groups.items())), _numbers_below(table))
            if table.headers and table.drawing is None
            else id(table)
        )
        groups.setdefault(key, []).append(table)
    return list(groups.values())


def _numbers_below(table: TableBlock) -> bool:
    """Whether numbers stand below headings that only count: a grid of lengths beside one of names."""
    counted = [column for column, text in table.headers.items() if text.isdigit()]
    if len(counted) * 2 <= len(table.headers) or table.first_row > len(table.sheet.rows):
        return False
    return is_quantity(table.sheet.value(table.first_row, counted[0]))


def profiles_of(tables: Sequence[TableBlock], rows_of: Sequence[Sequence[int]]) -> dict[int, ColumnProfile]:
    """column -> its profile over all tables of one form.

    Parameters
    ----------
    rows_of : the rows of each table that may be records
    """
    first = min(table.first_column for table in tables)
    last = max(table.last_column for table in tables)
    found = {}
    cells = [[table.sheet.rows[row - 1] for row in rows] for table, rows in zip(tables, rows_of, strict=True)]
    for column in range(first, last + 1):
        by_table = [[c[column - 1] if len(c) >= column else "" for c in own] for own in cells]
        values = [value for own in by_table for value in own]
        header = tables[0].headers.get(column, "")
        if header or any(not is_blank(value) for value in values):
            found[column] = ColumnProfile(
                column=column,
                header=header,
                group=tables[0].groups.get(column, ""),
                values=values,
                sheets=len({table.sheet.name for table in tables}),
                by_table=by_table,
            )
    for column, profile in found.items():
        beside = found.get(column + 1)
        if beside is not None and beside.is_units and profile.quantities > 0.5:
            profile.unit_beside = beside.unit
    return found

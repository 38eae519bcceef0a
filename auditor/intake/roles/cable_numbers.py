"""The number of each cable in a list of cores: it changes with every two rows, so it is no type of cable."""

from collections.abc import Mapping
from dataclasses import replace
from itertools import groupby

from auditor.intake.grammar.values import words
from auditor.intake.roles.claims import Claim
from auditor.intake.roles.evidence import LEAST_WORDS, by_words
from auditor.intake.roles.profiles import ColumnProfile

LEAST_CABLES = 3  # that a list of cores numbers; project convention
_CORES = frozenset({2, 3, 4})  # rows of one cable


def number_cables(taken: dict[str, Claim], used: set[int], columns: Mapping[int, ColumnProfile]) -> None:
    """Give the column that is headed as a cable and numbers the cables its role, and the type to another one."""
    if "core" not in taken or "cable" not in taken or "id" in taken:
        return
    claim = taken["cable"]
    if (claim.relations or 0.0) > 0.0 or not _numbers_cables(columns[claim.column]):
        return
    taken["id"] = replace(taken.pop("cable"), field="id", relations=None)
    for number, column in columns.items():
        strength, language = by_words("pulls", column).get("cable", (0.0, ""))
        if number not in used and strength >= LEAST_WORDS and column.distinct < 0.5:
            taken["cable"] = Claim("cable", number, 1.0, strength, language, None)
            used.add(number)
            return


def _numbers_cables(column: ColumnProfile) -> bool:
    """Whether each name stands in two to four rows, one below the other, and nowhere else."""
    runs = [(text, sum(1 for _ in rows)) for text, rows in groupby(map(words, column.filled))]
    names = {text for text, _ in runs}
    return (
        len(names) >= LEAST_CABLES
        and len(names) == len(runs)
        and column.with_digits > 0.9
        and {count for _, count in runs} <= _CORES
    )

"""A column for each depth of a tree, `L0 | L1 | L2`: read as one column of names that blanks push in."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from auditor.intake.formats.cells import Value
from auditor.intake.grammar.values import is_blank, words
from auditor.intake.roles.profiles import ColumnProfile

LEAST_ROWS = 4
_NUMBERED = re.compile(r"(?P<stem>\D*)(?P<number>\d{1,2})(?P<rest>\D*)")


def with_steps_gathered(columns: Mapping[int, ColumnProfile]) -> dict[int, ColumnProfile]:
    """The columns of a table, those of the depths of a tree gathered in the first of them."""
    depths = _numbered_alike(columns)
    rows = list(zip(*(columns[c].values for c in depths), strict=True)) if len(depths) > 1 else []
    at = [_depth(cells) for cells in rows]
    if len(at) < LEAST_ROWS or not _is_tree([depth for depth in at if depth is not None], len(depths)):
        return dict(columns)
    if any(depth is None for depth in at):
        return dict(columns)
    names: list[Value] = [pushed_in(cells) for cells in rows]
    first = columns[depths[0]]
    gathered = replace(first, values=names, by_table=[names], depths=tuple(depths))
    return {
        c: gathered if c == depths[0] else p for c, p in columns.items() if c == depths[0] or c not in depths
    }


def pushed_in(cells: Sequence[Value]) -> str:
    """The one name of a row behind as many blanks as its depth."""
    depth = _depth(cells)
    return "" if depth is None else "  " * depth + words(cells[depth])


def _numbered_alike(columns: Mapping[int, ColumnProfile]) -> list[int]:
    """Neighbours whose headings are one word and rising numbers: `Level 1`, `Level 2`."""
    found: list[int] = []
    for column, profile in sorted(columns.items()):
        match = _NUMBERED.fullmatch(profile.header)
        before = _NUMBERED.fullmatch(columns[found[-1]].header) if found else None
        follows = (
            match is not None
            and before is not None
            and column == found[-1] + 1
            and (match["stem"], match["rest"]) == (before["stem"], before["rest"])
            and int(match["number"]) == int(before["number"]) + 1
        )
        if follows:
            found.append(column)
        elif len(found) > 1:
            break
        else:
            found = [column] if match else []
    return found


def _depth(cells: Sequence[Value]) -> int | None:
    """Which of a row's cells is filled, where only one is."""
    filled = [index for index, value in enumerate(cells) if not is_blank(value)]
    return filled[0] if len(filled) == 1 and isinstance(cells[filled[0]], str) else None


def _is_tree(depths: Sequence[int], columns: int) -> bool:
    """Whether each row stands at most one step deeper than the row above, and each column is used."""
    return (
        bool(depths)
        and depths[0] == 0
        and len(set(depths)) == columns
        and all(below - above <= 1 for above, below in pairwise(depths))
    )

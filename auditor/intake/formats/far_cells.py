"""Cells far away from all others: they are read, and named."""

from collections.abc import Sequence
from typing import Any

from auditor.job.listing import names_text
from auditor.job.model import CellRef

FAR_ROWS, FAR_COLUMNS = 1_000, 100  # so many empty ones set a cell apart; project convention
NAMED = 5  # of such cells


def far_notes(title: str, rows: Sequence[Sequence[Any]]) -> tuple[str, ...]:
    """A sentence that names the cells far away from most others; none where there are none."""
    home_rows = _home([row for row, cells in enumerate(rows, 1) if cells], FAR_ROWS)
    filled: set[int] = set()
    for cells in rows:
        filled.update(column for column, value in enumerate(cells, 1) if value != "")
    home_columns = _home(sorted(filled), FAR_COLUMNS)
    stray = [
        CellRef(title, row, column).a1
        for row, cells in enumerate(rows, 1)
        for column, value in enumerate(cells, 1)
        if value != "" and (row not in home_rows or column not in home_columns)
    ]
    if not stray:
        return ()
    named = names_text(stray, NAMED)
    what = "stands" if len(stray) == 1 else "stand"
    they = "it is read, but look whether it belongs" if len(stray) == 1 else "look whether they belong"
    return (f"{named} on {title!r} {what} far away from all other cells; {they} there",)


def _home(filled: Sequence[int], gap: int) -> range:
    """The rows or columns that most filled ones stand in, up to the next gap so wide."""
    starts = [i for i in range(len(filled)) if i == 0 or filled[i] - filled[i - 1] > gap]
    groups = [filled[start:end] for start, end in zip(starts, [*starts[1:], len(filled)], strict=True)]
    most = max(groups, key=len, default=[0])
    return range(most[0], most[-1] + 1)

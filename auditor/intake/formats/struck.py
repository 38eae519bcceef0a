"""Cells of whose text a part is struck through: that part is not read, and it is said."""

from collections import defaultdict
from collections.abc import Mapping, Sequence

from auditor.intake.formats.cells import Sheet
from auditor.job.model import CellRef
from auditor.ooxml.shared_strings import Run

NAMED = 5  # cells that the note names
Place = tuple[int, int]  # row and column from 1


def leave_out_struck(sheet: Sheet, texts: Mapping[Place, Sequence[Run]]) -> None:
    """Let the sheet hold what is not struck of these cells' texts. A cell with nothing else keeps its text
    and counts as struck."""
    struck = defaultdict(set, {row: set(columns) for row, columns in sheet.struck.items()})
    dropped: dict[Place, str] = {}
    for (row, column), runs in texts.items():
        own = column in struck.get(row, ())
        kept = _joined(runs, own, wanted=False)
        gone = _joined(runs, own, wanted=True)
        if kept:
            struck[row].discard(column)
        elif gone:
            struck[row].add(column)
        if kept and gone:
            sheet.put(row, column, kept)
            dropped[row, column] = gone
    sheet.struck = {row: frozenset(columns) for row, columns in struck.items() if columns}
    sheet.struck_parts = dropped
    sheet.notes += _notes(sheet.name, dropped)


def _joined(runs: Sequence[Run], own: bool, *, wanted: bool) -> str:
    """The text of the runs that are struck, or of those that are not, without blanks around it."""
    return "".join(text for text, struck in runs if (own if struck is None else struck) is wanted).strip()


def _notes(title: str, dropped: Mapping[Place, str]) -> tuple[str, ...]:
    if not dropped:
        return ()
    named = [f"{text!r} in {CellRef(title, *place).a1}" for place, text in sorted(dropped.items())[:NAMED]]
    more = f" and in {len(dropped) - NAMED:,} more cells" if len(dropped) > NAMED else ""
    return (f"text that is struck through is not read: {', '.join(named)}{more} on {title!r}",)

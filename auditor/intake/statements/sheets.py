"""Sheets that do not hold, by their names: `OLD Pulls`, `VERVALLEN Kabelstaat`, `VOID`."""

from collections.abc import Iterator, Sequence

from auditor.intake.formats.cells import Sheet
from auditor.intake.statements.facts import VOID, Fact
from auditor.intake.words import fold, matcher, spread
from auditor.job.model import CellRef


def void_sheets(sheets: Sequence[Sheet]) -> Iterator[Fact]:
    """A void fact for each sheet whose name says so, unless all of them would be void."""
    void = [sheet for sheet in sheets if _says_void(sheet.name)]
    if len(void) < len(sheets):
        for sheet in void:
            yield Fact(kind=VOID, value=sheet.name, where=CellRef(sheet.name, 1, 1))


def _says_void(name: str) -> bool:
    folded = fold(spread(name))
    return matcher("void_strong").search(folded) is not None or matcher("void").search(folded) is not None

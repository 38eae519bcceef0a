"""Sheets that do not hold, by their names: `OLD Pulls`, `VERVALLEN Kabelstaat`, `VOID`."""

from collections.abc import Iterator, Sequence

from auditor.intake.formats.cells import Sheet
from auditor.intake.statements.facts import VOID, Fact
from auditor.intake.words import fold, is_known, matcher, said, spread, word_list
from auditor.job.model import CellRef


def void_sheets(sheets: Sequence[Sheet]) -> Iterator[Fact]:
    """A void fact for each sheet whose name says so, unless all of them would be void."""
    void = [sheet for sheet in sheets if _says_void(sheet.name)]
    if len(void) < len(sheets):
        for sheet in void:
            yield Fact(kind=VOID, value=sheet.name, where=CellRef(sheet.name, 1, 1))


def _says_void(name: str) -> bool:
    folded = fold(spread(name))
    match = (
        None if len(folded) < 2 else matcher("void_strong").search(folded) or matcher("void").search(folded)
    )
    return match is not None and not _before_a_name(match[0], folded[match.end() :])


def _before_a_name(word: str, rest: str) -> bool:
    """Whether the word may belong to a place: `Old Mill`, not `Old Pulls`."""
    following = rest.split()
    return (
        word in word_list("void_or_name")
        and bool(following)
        and not (said(following[0]) or is_known(following[0]) or any(map(str.isdigit, following[0])))
    )

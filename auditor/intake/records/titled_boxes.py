"""Boxes in a short list without headings, below a title that names them: `Junction boxes`, then `BD1 | hall ceiling`."""

from collections.abc import Collection, Iterator, Sequence

from auditor.intake.formats.cells import Sheet
from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.spelling import spelling
from auditor.intake.words import fold, matcher

MOST_CELLS = 3  # of a row of such a list; project convention


def titled_boxes(sheets: Sequence[Sheet], ends: Collection[str]) -> Iterator[str]:
    """The ends of pulls that stand below a title of boxes.

    Parameters
    ----------
    ends : the ends of the pulls, without their spelling
    """
    for sheet in sheets:
        below = False
        for cells in sheet.rows:
            filled = [value for value in cells if not is_blank(value)]
            if len(filled) == 1:
                below = matcher("splice").search(fold(words(filled[0]))) is not None
            elif not below or not filled or len(filled) > MOST_CELLS:
                below = False
            elif isinstance(filled[0], str) and spelling(words(filled[0])) in ends:
                yield words(filled[0])

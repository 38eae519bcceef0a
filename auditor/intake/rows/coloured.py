"""Rows filled in a colour that a key beside the table explains: `red - omitted`, `grey - by others`."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from auditor.intake.blocks.grid import filled_cells
from auditor.intake.formats.cells import Book, Sheet
from auditor.intake.grammar.values import words
from auditor.intake.rows.part import Part
from auditor.intake.said import reading
from auditor.intake.words import fold, matcher, word_list
from auditor.job.model import CellRef

MOSTLY = 0.5  # share of a row's cells that gives it their colour; of a table's rows, that makes it no mark
LONGEST_KEY = 80  # characters of a text that explains a colour
BESIDE = 2  # columns from a patch of colour to the text that explains it


@dataclass(frozen=True, slots=True)
class ColourKey:
    """What a colour says of the rows that are filled with it."""

    colour: str
    text: str
    where: CellRef
    void: bool  # else another trade's


def leave_out_coloured(parts: Sequence[Part], book: Book) -> None:
    """Leave out the rows whose colour a key explains as void or as another trade's, and say so."""
    keys = {key.colour: key for sheet in book.sheets for key in _keys(sheet, parts)}
    for part in parts if keys else ():
        by_key: dict[ColourKey, list[int]] = {}
        for index, row in enumerate(part.rows):
            key = keys.get(_colour_of(part, row))
            if key is not None:
                by_key.setdefault(key, []).append(index)
        by_key = {key: own for key, own in by_key.items() if len(own) < MOSTLY * len(part.rows)}
        for key, indices in by_key.items():
            out = [part.rows[index] for index in indices]
            (part.other.void if key.void else part.other.trades).extend(out)
            message = f"the rows in the colour of cell {key.where.a1} on {key.where.sheet!r} are left out: it says {key.text!r}"
            part.remarks.append(reading(part.table.sheet.name, message, key.where))
        left_out = {index for indices in by_key.values() for index in indices}
        if left_out:
            part.take([index for index in range(len(part.rows)) if index not in left_out])


def _colour_of(part: Part, row: int) -> str:
    """The colour of most filled cells of a record; empty: they have none in common."""
    table = part.table
    cells = filled_cells(table.sheet.rows[row - 1], table.first_column, table.last_column)
    colours = [table.sheet.fills.get((row, column), "") for column in cells]
    found = max(set(colours), key=colours.count, default="")
    return found if colours.count(found) > MOSTLY * len(colours) else ""


def _keys(sheet: Sheet, parts: Sequence[Part]) -> Iterator[ColourKey]:
    """The texts outside the records that stand in or beside a colour and say that its rows do not count."""
    inside = {
        (row, column)
        for part in parts
        if part.table.sheet is sheet
        for row in part.rows
        for column in range(part.table.first_column, part.table.last_column + 1)
    }
    for row, cells in enumerate(sheet.rows if sheet.fills else (), 1):
        for column, value in filled_cells(cells).items():
            if not isinstance(value, str) or len(value) > LONGEST_KEY or (row, column) in inside:
                continue
            near = (sheet.fills.get((row, at), "") for at in range(column, max(0, column - BESIDE) - 1, -1))
            colour = next((colour for colour in near if colour), "")
            says = _says(value)
            if colour and says is not None:
                yield ColourKey(colour, words(value), CellRef(sheet.name, row, column), says)


def _says(text: str) -> bool | None:
    """True: void; False: another trade's; None: neither."""
    folded = fold(text)
    if matcher("void").search(folded):
        return True
    others = matcher("other_trade").search(folded) or any(
        phrase in folded for phrase in word_list("others") if " " in phrase
    )
    return False if others else None

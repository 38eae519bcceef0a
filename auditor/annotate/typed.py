"""Text that somebody typed on our sheets or over our columns: it goes with them, so it must be said.

A cell beyond what we wrote is theirs in any program. Inside, a text is theirs when it is none of those
that the mark remembers; figures are not compared, for every program computes them anew. Libraries that
drop the mark leave nothing to compare with but the column itself: among verdicts or figures, another
text is theirs.
"""

import zlib
from array import array
from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import islice

from auditor.annotate.answers import NOTHING_TYPED, TypedCells
from auditor.annotate.columns import Placed
from auditor.annotate.our_columns import Ours, sheet_part, written_areas
from auditor.annotate.sheet_settings import VERDICTS
from auditor.ooxml.refs import Area, letters
from auditor.ooxml.rows import SheetPart
from auditor.ooxml.rowscan import Cell
from auditor.ooxml.texts import Texts
from auditor.ooxml.workbook_part import WorkbookPart

MOST_TEXTS = 20_000  # of more the mark remembers none: it would outgrow the copy
_NAMED = 5  # cells that the sentence names


def prints(texts: Iterable[str]) -> frozenset[int]:
    """A number for each text, blanks left out: programs write these anew."""
    return frozenset(zlib.crc32("".join(text.split()).encode("utf-8", "replace")) for text in texts)


def remembered(texts: Collection[str], placed: Iterable[Placed]) -> bytes:
    """What the mark is to hold: of the texts of our sheets and of our columns."""
    columns = [column for each in placed for column in each.added.columns]
    if len(texts) + sum(len(column.values) for column in columns) > MOST_TEXTS:
        return b""
    beside = {value for column in columns for value in column.values.values() if isinstance(value, str)}
    return array("I", sorted(prints([*texts, *beside, *(column.header for column in columns)]))).tobytes()


def unpacked(data: bytes) -> frozenset[int]:
    return frozenset(array("I", data[: len(data) // 4 * 4]))


def typed_over(
    book: WorkbookPart, ours: Ours, known: frozenset[int], asked: TypedCells = NOTHING_TYPED
) -> Iterator[str]:
    """A sentence that names the cells; none where nothing was typed.

    Parameters
    ----------
    known : `prints` of what we wrote; empty where nobody remembers
    asked : answers that are taken over, which no sentence is to name
    """
    found = list(_cells(book, ours, known, asked))
    if found:
        more = f" and {len(found) - _NAMED:,} more" if len(found) > _NAMED else ""
        names = ", ".join(islice(found, _NAMED))
        yield (
            f"What was typed on added sheets or over added columns goes with them: {names}{more}. The file "
            f"that was "
            "read still holds it; notes beside the tables stay."
        )


def _cells(book: WorkbookPart, ours: Ours, known: frozenset[int], asked: TypedCells) -> Iterator[str]:
    texts, written = Texts(book), written_areas(book)
    for name in sorted(ours.sheets):
        taken = {(row, column) for sheet, row, column in asked.places if sheet == name}
        where = [each[name] for each in (written, asked.sheets) if name in each]
        yield from _on_sheet(book, texts, name, where, known, beyond=True, taken=taken)
    for name, areas in ours.columns.items():
        if known:
            yield from _on_sheet(book, texts, name, areas, known, beyond=False)
        else:
            yield from _odd_in_columns(book, texts, name, areas)


def _on_sheet(
    book: WorkbookPart, texts: Texts, name: str, areas: Sequence[Area], known: frozenset[int], *,
    beyond: bool, taken: Collection[tuple[int, int]] = (),
) -> Iterator[str]:  # fmt: skip
    """`beyond`: all that stands outside the areas counts too; `taken`: row and column of cells that are not lost."""
    part = sheet_part(book, name)
    if part is None:
        return
    for row in part.rows:
        for cell in part.cells(row):
            inside = any(each.has(row.number, cell.column) for each in areas)
            if (
                cell.valued
                and (row.number, cell.column) not in taken
                and (_is_theirs(part, texts, cell, known) if inside else beyond)
            ):
                yield _place(book, name, cell.column, row.number)


def _odd_in_columns(book: WorkbookPart, texts: Texts, name: str, columns: Sequence[Area]) -> Iterator[str]:
    """Texts that are no verdict, in columns of which most cells hold verdicts or figures."""
    part = sheet_part(book, name, max((each.bottom for each in columns), default=0))
    if part is None:
        return
    held: dict[Area, list[tuple[int, bool]]] = {each: [] for each in columns}
    for row in part.rows:
        cells = {cell.column: cell for cell in part.cells(row) if cell.valued}
        for each in columns:
            if each.top < row.number <= each.bottom and (cell := cells.get(each.left)):
                odd = texts.is_text(part, cell) and texts.of(part, cell).strip() not in {"", *VERDICTS}
                held[each].append((row.number, odd))
    for each, found in held.items():
        theirs = [number for number, odd in found if odd]
        if 2 * len(theirs) < len(found):
            yield from (_place(book, name, each.left, number) for number in theirs)


def _is_theirs(part: SheetPart, texts: Texts, cell: Cell, known: frozenset[int]) -> bool:
    if not known or not texts.is_text(part, cell):
        return False
    text = texts.of(part, cell)
    return "_x" not in text and bool(text.strip()) and prints([text]).isdisjoint(known)


def _place(book: WorkbookPart, name: str, column: int, row: int) -> str:
    sheet = book.sheet(name)
    return f"'{sheet.name if sheet else name}'!{letters(column)}{row}"

"""Sheets without a table: the row that is nearest to a heading, for a person to correct."""

from collections.abc import Iterator

from auditor.intake.formats.cells import Sheet
from auditor.intake.headings import MAX_HEADING, UNITS_OF_FIELD, candidates, heading, vocabulary
from auditor.intake.layout import LayoutColumn, LayoutTable, letters
from auditor.intake.values import is_blank, shown, words
from auditor.job.field_words import word_of
from auditor.job.model import TableKind

MAX_ROWS = 60  # a heading stands near the top
MAX_COLUMNS = 60
LEAST = 2  # headings that are known or nearly so, and at least half of the row: fewer are chance
CLOSE = 80.0  # of 100; project convention; rapidfuzz ratio
SAMPLES = 3


def nearest_table(sheet: Sheet) -> LayoutTable | None:
    """The row whose texts are nearest to the headings of one kind of table; that kind stands in the reasons.

    Returns
    -------
    a table of kind None, which is not read until a person writes its kind; None: no row comes near
    """
    best: tuple[int, int, TableKind, dict[int, tuple[str, str]]] | None = None
    for row, cells in enumerate(sheet.rows[:MAX_ROWS], 1):
        texts = {
            c: words(v) for c, v in enumerate(cells[:MAX_COLUMNS], 1) if isinstance(v, str) and v.strip()
        }
        if len(texts) < LEAST or any(type(value) is float for value in cells[:MAX_COLUMNS]):
            continue
        for kind in TableKind:
            fields = _fields(kind, texts)
            if len(fields) >= max(LEAST, len(texts) / 2) and (best is None or len(fields) > best[0]):
                best = len(fields), row, kind, fields
    return _table(sheet, *best[1:]) if best else None


def _fields(kind: TableKind, texts: dict[int, str]) -> dict[int, tuple[str, str]]:
    """column -> (field, the known word), each field once."""
    found: dict[int, tuple[str, str]] = {}
    for column, text in texts.items():
        taken = {field for field, _ in found.values()}
        near = next((item for item in _near(kind, text) if item[0] not in taken), None)
        if near is not None:
            found[column] = near
    return found


def _near(kind: TableKind, text: str) -> Iterator[tuple[str, str]]:
    from rapidfuzz import fuzz, process

    if len(text) > MAX_HEADING:
        return
    for field, _ in candidates(kind, text):
        yield field, text
    known = vocabulary()[kind]
    stem = next(reversed(heading(text).stems), "")
    if len(stem) > 2:
        for word, _, _ in process.extract(stem, list(known), scorer=fuzz.ratio, limit=4, score_cutoff=CLOSE):
            for field, _ in known[word]:
                yield field, word


def _table(sheet: Sheet, row: int, kind: TableKind, fields: dict[int, tuple[str, str]]) -> LayoutTable:
    columns = []
    for column, value in enumerate(sheet.rows[row - 1][:MAX_COLUMNS], 1):
        if is_blank(value):
            continue
        field = fields[column][0] if column in fields else None
        word = word_of(field) if field else None
        reason = (
            f'nearest is {word!r}: to read it so, write "{kind}" as the table\'s kind'
            if field
            else "no known heading"
        )
        unit = heading(words(value)).unit
        columns.append(
            LayoutColumn(
                column=letters(column),
                heading=words(value),
                field=field,
                unit=unit if field and unit in UNITS_OF_FIELD.get(field, ()) else None,
                reason=f"not read; {reason}" if field else f"not read: {reason}",
                sample=tuple(_sample(sheet, row, column)),
            )
        )
    return LayoutTable(
        sheet=sheet.name, kind=None, heading_rows=(row,), last_row=None, columns=tuple(columns)
    )


def _sample(sheet: Sheet, row: int, column: int) -> Iterator[str]:
    below = (sheet.value(at, column) for at in range(row + 1, row + MAX_ROWS))
    filled = [shown(value)[:60] for value in below if not is_blank(value)]
    yield from filled[:SAMPLES]

"""Tables that were not understood: a note on each, and what the best of a sheet may have been meant as."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from auditor.intake.blocks.tables import TableBlock
from auditor.intake.layout import LayoutColumn, LayoutTable, letters
from auditor.intake.layout_apply import samples_of
from auditor.intake.roles.found import FoundTable
from auditor.intake.said import reading
from auditor.intake.words import UNITS_OF_FIELD, candidates, heading, kinds, vocabulary
from auditor.job.field_words import word_of
from auditor.job.model import CellRef, Remark, TableKind

_OF_REVISIONS = frozenset({"revision", "date", "description", "note", "status"})
LEAST_KNOWN = 2  # headings that make a table worth a word: known ones, or nearly known
CLOSE = 80.0  # of 100, how like a known heading another one is; project convention
MOST_NEAR = 4  # known headings that are looked at for one that is not


def notes_of_unread(blocks: Iterable[TableBlock], tables: Sequence[FoundTable]) -> Iterator[Remark]:
    """A note for each table with known headings that is not read, on a sheet where another one is."""
    for block in blocks:
        texts = list(block.headers.values())
        if sum(map(_is_of_a_job, texts)) < LEAST_KNOWN or not any(
            table.sheet is block.sheet for table in tables
        ):
            continue
        listed = ", ".join(map(repr, texts[:6]))
        message = (
            f"the table headed {listed} is not read; if it belongs to this job, say in a layout what it is"
        )
        where = CellRef(block.sheet.name, block.header_rows[-1], min(block.headers))
        yield reading(block.sheet.name, message, where)


def _is_of_a_job(text: str) -> bool:
    """Whether a heading is known and not one that the list of a drawing's revisions has too."""
    return any(field not in _OF_REVISIONS for kind in kinds() for field, _ in candidates(kind, text))


def nearest_tables(blocks: Iterable[TableBlock], tables: Sequence[FoundTable]) -> list[LayoutTable]:
    """For each sheet without a table what may be meant as one: not read until someone writes its kind."""
    read = {table.sheet.name for table in tables}
    by_sheet: dict[str, list[TableBlock]] = {}
    for block in blocks:
        if block.sheet.name not in read:
            by_sheet.setdefault(block.sheet.name, []).append(block)
    return [near for own in by_sheet.values() if (near := _nearest(own)) is not None]


def _nearest(blocks: Sequence[TableBlock]) -> LayoutTable | None:
    """The block whose headings come nearest to those of one kind; None: none has half of them."""
    tries = [(block, kind, _near_fields(kind, block.headers)) for block in blocks for kind in TableKind]
    close = [one for one in tries if len(one[2]) >= max(LEAST_KNOWN, len(one[0].headers) / 2)]
    if not close:
        return None
    block, kind, fields = max(close, key=lambda one: len(one[2]))
    columns = [_column(block, kind, column, fields.get(column)) for column in sorted(block.headers)]
    return LayoutTable(
        sheet=block.sheet.name,
        kind=None,
        heading_rows=block.header_rows,
        last_row=None,
        columns=tuple(columns),
    )


def _column(block: TableBlock, kind: TableKind, column: int, field: str | None) -> LayoutColumn:
    text = block.headers[column]
    unit = heading(text).unit
    reason = "not read: no known heading"
    if field is not None:
        reason = (
            f'not read; nearest is {word_of(field)!r}: to read it so, write "{kind}" as the table\'s kind'
        )
    return LayoutColumn(
        column=letters(column),
        heading=text,
        field=field,
        unit=unit if field is not None and unit in UNITS_OF_FIELD.get(field, ()) else None,
        reason=reason,
        sample=tuple(samples_of(block, column)),
    )


def _near_fields(kind: TableKind, headers: Mapping[int, str]) -> dict[int, str]:
    """column -> the field that its heading names or nearly names, each field once."""
    found: dict[int, str] = {}
    for column, text in sorted(headers.items()):
        near = next((field for field in _named(kind, text) if field not in found.values()), None)
        if near is not None:
            found[column] = near
    return found


def _named(kind: TableKind, text: str) -> Iterator[str]:
    from rapidfuzz import fuzz, process

    yield from (field for field, _ in candidates(kind, text))
    known, stem = vocabulary()[kind], next(reversed(heading(text).stems), "")
    if len(stem) > 2:
        like = process.extract(stem, list(known), scorer=fuzz.ratio, limit=MOST_NEAR, score_cutoff=CLOSE)
        yield from (field for word, _, _ in like for field, _ in known[word])

"""Tables that were not understood: a note where another one of their sheet is read."""

from collections.abc import Iterable, Iterator, Sequence

from auditor.intake.blocks.tables import TableBlock
from auditor.intake.roles.found import FoundTable
from auditor.intake.said import reading
from auditor.intake.words import is_known
from auditor.job.model import CellRef, Remark

LEAST_KNOWN = 2  # headings that make a table worth a note


def notes_of_unread(blocks: Iterable[TableBlock], tables: Sequence[FoundTable]) -> Iterator[Remark]:
    """A note for each table with known headings that is not read, on a sheet where another one is."""
    for block in blocks:
        texts = list(block.headers.values())
        if sum(map(is_known, texts)) < LEAST_KNOWN or not any(table.sheet is block.sheet for table in tables):
            continue
        listed = ", ".join(map(repr, texts[:6]))
        message = (
            f"the table headed {listed} is not read; if it belongs to this job, say in a layout what it is"
        )
        where = CellRef(block.sheet.name, block.header_rows[-1], min(block.headers))
        yield reading(block.sheet.name, message, where)

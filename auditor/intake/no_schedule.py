"""A workbook of which no pulls are read: one question where a table may list them, else a refusal."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations
from pathlib import PurePath

from auditor.intake.asking.questions import NONE, list_of_pulls
from auditor.intake.blocks.tables import TableBlock
from auditor.intake.document import Document
from auditor.intake.names.ports import spelled
from auditor.intake.records.refusal import has_pulls, refuse
from auditor.intake.roles.evidence import by_words
from auditor.intake.roles.first_look import may_be_record
from auditor.intake.roles.found import FoundTable
from auditor.intake.roles.kinds import titled
from auditor.intake.roles.profiles import ColumnProfile, profiles_of
from auditor.intake.said import choices, chosen, reading, to_decide
from auditor.intake.statements.facts import VOID
from auditor.job.model import Job, Question, TableKind
from auditor.units import LENGTH_M

LEAST_ROWS, LEAST_SHARED = 3, 3  # rows of a table; names that its two columns of ends have in common
MOST = 0.5  # share of a column's cells that must be lengths or ports
MOST_SHEETS = 6  # that a sentence names
_BESIDE = (TableKind.CABLES, TableKind.CONTROLLERS, TableKind.LEGEND, TableKind.SPLICES)
_OF_REELS = frozenset({"price", "on_shelf", "stock_length_m", "drum"})


def job_that_asks(document: Document, name: str) -> Job | None:
    """None: pulls are read. Else a job that holds nothing but the question which table lists them.

    Raises
    ------
    UnusableFileError : no table may be a schedule; one sentence says what was looked for and found
    """
    if has_pulls(document.tables):
        return None
    tables = list(_may_be_schedules(document))
    one = _question(document, tables) if tables else None
    if one is None or chosen(one, document.answers) == NONE:
        refuse(document.book, document.tables, document.file)
    remark = to_decide(one, "reading", then="Nothing is judged until it is answered")
    return Job(
        name=document.labels.job_name or document.title_block.number or PurePath(name).stem,
        title_block=document.title_block,
        profile_name=document.labels.profile_name,
        remarks=(
            *(reading("file", note) for note in document.book.notes),
            *document.remarks,
            replace(remark, closes=True),
        ),
    )


def _question(document: Document, tables: Sequence[TableBlock]) -> Question | None:
    """Which table lists the pulls, and in which columns."""
    none = choices((NONE, "the workbook holds no pull schedule and is unreadable"))
    sheets = ", ".join(
        repr(name) for name in list(dict.fromkeys(block.sheet.name for block in tables))[:MOST_SHEETS]
    )
    sentence = (
        f"no table is understood as the list of pulls: which one lists them, on {sheets}, and where do the two ends of each "
        "pull stand?"
    )
    return list_of_pulls(document, sentence, rest=none)


def _may_be_schedules(document: Document) -> Iterator[TableBlock]:
    """The tables of which no kind but a device list is known, and which hold lengths or names of ends."""
    beside = {
        (table.sheet.name, table.first_row, table.first_column)
        for table in document.tables
        if table.kind in _BESIDE or _lists_reels(table)
    }
    void = list(document.facts.of(VOID))
    bare = [
        table for table in document.bare if not any(f.holds(table.sheet.name, table.first_row) for f in void)
    ]
    for block in (*document.blocks, *bare):
        rows = [row for row in range(block.first_row, block.last_row + 1) if may_be_record(block, row)]
        if len(rows) < LEAST_ROWS or (block.sheet.name, block.first_row, block.first_column) in beside:
            continue
        columns = profiles_of([block], [rows])
        if any(map(_holds_lengths, columns.values())) or _holds_ends(columns):
            yield block


def _lists_reels(table: FoundTable) -> bool:
    """Whether a table lists reels for sure: a length and a cable alone may be a pull's as well."""
    named = titled(TableKind.REELS, table.sheet.name) or not _OF_REELS.isdisjoint(table.columns)
    return table.kind is TableKind.REELS and named


def _holds_lengths(column: ColumnProfile) -> bool:
    return column.quantities > MOST and (column.unit in LENGTH_M or "length_m" in by_words("pulls", column))


def _holds_ends(columns: Mapping[int, ColumnProfile]) -> bool:
    """Whether a column holds ports or chains, or two columns name the same things."""
    named = [column for column in columns.values() if column.names > MOST]
    ports = any(
        sum(bool(spelled(text)) for text in column.texts) > MOST * len(column.texts) for column in named
    )
    chains = any(column.is_chain for column in columns.values())
    return ports or chains or any(len(a.keys & b.keys) >= LEAST_SHARED for a, b in combinations(named, 2))

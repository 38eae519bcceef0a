"""Sheets of which no table is read and that name ports of this job beside numbers: they may hold its other pulls."""

from collections.abc import Iterator

from auditor.intake.document import Document
from auditor.intake.formats.cells import Sheet
from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.ports import spelled
from auditor.intake.names.spelling import spelling
from auditor.intake.said import asked, choices, untried
from auditor.intake.statements.facts import VOID
from auditor.intake.words import fold, matcher
from auditor.job.model import CellRef, Job, Question

LEAST_NUMBERS = 6  # cells of a sheet that may hold lengths; project convention
LONGEST_PORT = 24  # characters
MOST_ROWS = 2_000  # of a sheet that is looked at; project convention


def unread_sheets(document: Document, job: Job) -> Iterator[Question]:
    """A question where a sheet without a table that is read names a port that no pull has, or one in several rows."""
    read = {table.sheet.name for table in document.tables}
    void = {fact.where.sheet for fact in document.facts.of(VOID)}
    controllers = {spelling(port.controller) for port in job.ports.values()}
    known = {(spelling(port.controller), port.port) for port in job.ports.values()}
    for sheet in document.book.sheets:
        if sheet.name in read | void or len(sheet.rows) > MOST_ROWS or _numbers(sheet) < LEAST_NUMBERS:
            continue
        named = list(_ports(sheet, controllers))
        seen: set[tuple[str, str]] = set()
        for where, text, port in named:
            if port not in known or port in seen:
                sentence = (
                    f"{sheet.name!r} names the port {text} in {where.a1} and no table of it is read: does it list pulls or "
                    "devices?"
                )
                no = choices(("no", "the sheet stays unread, the job is judged without it"))
                yes = untried("yes", "a layout says which of its columns hold the ends and the length")
                yield asked("unread-sheet", (sheet.name,), sentence, (*no, yes), where)
                break
            seen.add(port)


def _numbers(sheet: Sheet) -> int:
    return sum(isinstance(value, float) for cells in sheet.rows for value in cells)


def _ports(sheet: Sheet, controllers: set[str]) -> Iterator[tuple[CellRef, str, tuple[str, str]]]:
    """The ports of known controllers that a sheet names, but for spare ones: (cell, text, controller and port)."""
    for row, cells in enumerate(sheet.rows, 1):
        texts = [(column, value) for column, value in enumerate(cells, 1) if isinstance(value, str)]
        if any(matcher("spare").search(fold(value)) for _, value in texts if not is_blank(value)):
            continue
        for column, value in texts:
            if len(value) > LONGEST_PORT:
                continue
            option = next((o for o in spelled(words(value)) if spelling(o.controller) in controllers), None)
            if option is not None:
                yield (
                    CellRef(sheet.name, row, column),
                    words(value),
                    (spelling(option.controller), option.port),
                )

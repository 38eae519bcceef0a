"""A workbook without a pull schedule: what was looked for and what was found."""

from collections.abc import Iterable, Sequence
from pathlib import PurePath
from typing import NoReturn

from auditor.errors import UnusableFileError
from auditor.intake.formats.cells import Book, Format, Sheet
from auditor.intake.grammar.values import words
from auditor.intake.roles.found import FoundTable
from auditor.intake.words import fold, suggestion
from auditor.job.field_words import word_of
from auditor.job.model import TableKind


def has_pulls(tables: Iterable[FoundTable]) -> bool:
    return any(table.kind in (TableKind.PULLS, TableKind.COMBINED) for table in tables)


def refuse(book: Book, tables: Sequence[FoundTable], name: str) -> NoReturn:
    """Refuse a workbook without pulls.

    Raises
    ------
    UnusableFileError : says what was looked for and what was found
    """
    sheets = ", ".join(f"{sheet.name!r}" for sheet in book.sheets[:8]) or "no sheet"
    seen = [text for table in tables for text in table.headers.values()] or _first_texts(book.sheets)
    found = f"; found {', '.join(repr(text) for text in seen[:10])}" if seen else "; the sheets hold no text"
    near = {text: suggestion(text, TableKind.PULLS) for text in seen}
    maybe = [
        f"{text!r} may be {word_of(f)!r}"
        for text, f in near.items()
        if f in ("near", "far", "length_m") and word_of(f) not in fold(text).split()
    ]
    hint = f" ({', '.join(maybe)})" if maybe else ""
    what = (
        "the file is text with a workbook's name; "
        if book.format is Format.CSV and _is_workbook_name(name)
        else ""
    )
    raise UnusableFileError(
        f'{name}: {what}no pull schedule found; looked for a row with "from", "to" and "length", or "tag", "fed from" and '
        f'"length", on {sheets}{found}{hint}'
    )


def _is_workbook_name(name: str) -> bool:
    return PurePath(name).suffix.casefold() in (".xlsx", ".xlsm", ".xltx", ".xls", ".xlsb", ".ods")


def _first_texts(sheets: Iterable[Sheet]) -> list[str]:
    texts = (
        words(value)
        for sheet in sheets
        for cells in sheet.rows[:50]
        for value in cells[:50]
        if isinstance(value, str)
    )
    return [text[:40] for text in dict.fromkeys(texts) if text][:10]

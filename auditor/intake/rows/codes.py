"""Codes of a status column that the workbook itself explains: `R | Retired`, `ACT in service; RET retired`."""

import re
from collections.abc import Iterator, Sequence

from auditor.intake.formats.cells import Book, Value
from auditor.intake.grammar.values import is_blank, words
from auditor.intake.roles.evidence import OF_A_STATUS
from auditor.intake.rows.part import Part
from auditor.intake.words import fold, matcher
from auditor.job.model import TableKind

LONGEST_CODE = 5  # characters
MOST_ROWS = 400  # of a sheet that explains codes; project convention
_CLAUSE = re.compile(r"[.;:(]|\s[-–—]\s")
_EQUALS = re.compile(r"(?<!\w)(\w{1,5})\s*=\s*([^=,;:.(]+)")  # `A = active, D = deleted`
_JUDGED = (TableKind.PULLS, TableKind.COMBINED, TableKind.DEVICES)


def explain_codes(parts: Sequence[Part], book: Book) -> None:
    """Write what a key on another sheet says of a status's code in its place."""
    coded = [part for part in parts if part.table.kind in _JUDGED and part.has("status")]
    codes = {words(value) for part in coded for value in part.values("status") if _is_code(value)}
    meaning = dict(_meanings(codes, book, {part.table.sheet.name for part in parts})) if codes else {}
    for part in coded if meaning else ():
        part.give("status", [meaning.get(words(value), value) for value in part.values("status")])


def _is_code(value: Value) -> bool:
    text = words(value)
    known = any(matcher(name).fullmatch(fold(text)) for name in OF_A_STATUS)
    return not is_blank(value) and len(text) <= LONGEST_CODE and text.isupper() and not known


def _meanings(codes: set[str], book: Book, taken: set[str]) -> Iterator[tuple[str, str]]:
    """(code, the first clause of what is said of it) of every code that is explained."""
    for sheet in book.sheets:
        if sheet.name in taken or len(sheet.rows) > MOST_ROWS:
            continue
        for cells in sheet.rows:
            for at, value in enumerate(cells):
                text = words(value)
                if text in codes and at + 1 < len(cells) and len(words(cells[at + 1])) > LONGEST_CODE:
                    yield text, _CLAUSE.split(words(cells[at + 1]))[0].strip()
                elif ";" in text:
                    yield from _in_a_sentence(text, codes)
                elif "=" in text:
                    yield from ((m[1], m[2].strip()) for m in _EQUALS.finditer(text) if m[1] in codes)


def _in_a_sentence(text: str, codes: set[str]) -> Iterator[tuple[str, str]]:
    for clause in text.split(";"):
        code, _, said = clause.strip().partition(" ")
        if code in codes and said:
            yield code, _CLAUSE.split(said.strip(" =:-"))[0].strip()

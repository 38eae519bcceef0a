"""A way to read a table as the text of an answer, and back: by its sheet, headings and letters."""

import re
from collections.abc import Iterator, Mapping, Sequence

from auditor.intake.blocks.tables import TableBlock
from auditor.intake.grammar.values import is_blank, shown
from auditor.intake.roles.first_look import may_be_record
from auditor.intake.roles.given import Given
from auditor.job.model import CellRef, TableKind

WORDS: Mapping[str, str] = {  # role -> how it is called in an answer, in this order
    "controller": "panel",
    "near": "from",
    "near_terminal": "at port",
    "port": "on port",
    "sequence": "by place",
    "level": "by level",
    "chain": "along",
    "far": "to",
    "tag": "tag",
    "type": "kind",
    "length_m": "length",
    "power_w": "power",
}
SAMPLES, LONGEST_SAMPLE = 3, 24
_CLAUSE = re.compile(rf"(?::|,) (?:{'|'.join(WORDS.values())}) (?=['\"]|column [A-Z])")


def answer_of(blocks: Sequence[TableBlock], given: Given) -> str:
    """The text of an answer: the sheet, and each column with its heading, letter and first cell."""
    clauses = [
        f"{word} {_place(blocks[0], column)}{_first_cells(blocks[0], column, 1)}"
        for word, column in _columns(given)
    ]
    return f"{_sheets(blocks)}: {', '.join(clauses)}"


def explained(blocks: Sequence[TableBlock], given: Given) -> str:
    """How the table is read then: each column with its first cells."""
    clauses = [
        f"{word} {_place(blocks[0], column)}{_first_cells(blocks[0], column, SAMPLES)}"
        for word, column in _columns(given)
    ]
    return f"{_sheets(blocks)} is read so: {', '.join(clauses)}"


def given_by(answer: str, blocks: Sequence[TableBlock]) -> dict[int, Given]:
    """id of a table -> what an answer says of it; a column is known by its heading, else by its letter.

    Parameters
    ----------
    blocks : the tables of the workbook
    """
    clauses = len(_CLAUSE.findall(answer))
    if not clauses:
        return {}
    named = [block for block in blocks if answer.startswith(repr(block.sheet.name))]
    others = [block for block in blocks if block.headers] if not named else []
    for found in (_exact, _by_heading):
        for block in (*named, *others):
            columns = {role: column for role, column in found(answer, block) if column is not None}
            if len(set(columns.values())) == len(columns) == clauses:
                own = Given(kind=_kind(columns), columns=columns)
                return {id(each): own for each in alike(block, blocks)}
    return {}


def _kind(columns: Mapping[str, int]) -> TableKind:
    if columns.keys() == {"type", "power_w"}:
        return TableKind.LEGEND
    return TableKind.DEVICES if "tag" in columns else TableKind.PULLS


def alike(block: TableBlock, blocks: Sequence[TableBlock]) -> list[TableBlock]:
    """The table and those that are read as it is: with its headings, or without any and of its columns."""
    if block.headers:
        return [each for each in blocks if each.headers == block.headers]
    span = (block.first_column, block.last_column)
    kinds = _kinds_of_cells(block)
    others = [
        each
        for each in blocks
        if not each.headers
        and (each.first_column, each.last_column) == span
        and _kinds_of_cells(each) == kinds
    ]
    return [block, *(each for each in others if each is not block)]


def _kinds_of_cells(block: TableBlock) -> list[bool | None]:
    """Of each column whether most of its cells are numbers; None: they are blank."""
    rows = [row for row in range(block.first_row, block.last_row + 1) if may_be_record(block, row)]
    found: list[bool | None] = []
    for column in range(block.first_column, block.last_column + 1):
        values = [v for row in rows if not is_blank(v := block.sheet.value(row, column))]
        numbers = sum(not isinstance(value, str) for value in values)
        found.append(numbers * 2 > len(values) if values else None)
    return found


def _columns(given: Given) -> Iterator[tuple[str, int]]:
    yield from ((word, given.columns[role]) for role, word in WORDS.items() if role in given.columns)


def _exact(answer: str, block: TableBlock) -> Iterator[tuple[str, int | None]]:
    """(role, the column whose heading and letter an answer names)."""
    for role, word in WORDS.items():
        columns = range(block.first_column, block.last_column + 1)
        yield role, next((c for c in columns if _names(answer, word, re.escape(_place(block, c)))), None)


def _by_heading(answer: str, block: TableBlock) -> Iterator[tuple[str, int | None]]:
    """(role, the one column whose heading an answer names, wherever it stands now)."""
    for role, word in WORDS.items():
        found = [
            column
            for column, text in block.headers.items()
            if text and _names(answer, word, rf"{re.escape(repr(text))} in [A-Z]+")
        ]
        yield role, found[0] if len(found) == 1 else None


def _names(answer: str, word: str, place: str) -> bool:
    return re.search(rf"(?::|,) {word} {place}(?= \(|, |$)", answer) is not None


def _sheets(blocks: Sequence[TableBlock]) -> str:
    names = list(dict.fromkeys(block.sheet.name for block in blocks))
    return repr(names[0]) if len(names) == 1 else f"{names[0]!r} and {len(names) - 1} more"


def _place(block: TableBlock, column: int) -> str:
    header, letters = block.headers.get(column, ""), CellRef("", 1, column).a1[:-1]
    return f"{header!r} in {letters}" if header else f"column {letters}"


def _first_cells(block: TableBlock, column: int, count: int) -> str:
    rows = range(block.first_row, min(block.last_row, block.first_row + 50) + 1)
    values = (block.sheet.value(row, column) for row in rows if may_be_record(block, row))
    texts = list(dict.fromkeys(shown(value)[:LONGEST_SAMPLE] for value in values if not is_blank(value)))
    more = ", …" if len(texts) > count > 1 else ""
    return f" ({', '.join(texts[:count])}{more})" if texts else ""

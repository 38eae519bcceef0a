"""Which rows may be records, before anything is known of the columns."""

from collections.abc import Iterable
from functools import lru_cache

from auditor.intake.blocks.grid import filled_cells
from auditor.intake.blocks.tables import TableBlock
from auditor.intake.formats.cells import Value
from auditor.intake.grammar.values import words
from auditor.intake.words import fold, matcher, word_list

LONGEST_TOTAL = 40  # characters of a cell in which a total is named


def may_be_record(table: TableBlock, row: int) -> bool:
    """A row with more than one cell filled that is not struck through, no heading again and no total."""
    if row > len(table.sheet.rows):
        return False
    filled = filled_cells(table.sheet.rows[row - 1], table.first_column, table.last_column)
    if len(filled) < 2 or is_rule(filled.values()):
        return False
    if row in table.sheet.struck and len(table.sheet.struck[row] & filled.keys()) * 2 > len(filled):
        return False
    if sum(_is_heading(value, table.headers.get(column)) for column, value in filled.items()) >= 2:
        return False
    texts = [value for value in filled.values() if isinstance(value, str)]
    return not any(is_total(text) for text in texts[:3])


def _is_heading(value: Value, header: str | None) -> bool:
    """Whether a cell holds the heading of its column again."""
    if not header or (isinstance(value, str) and value[:1] not in (header[:1], " ", "\n", "\t")):
        return False
    return words(value) == header


def is_rule(values: Iterable[object]) -> bool:
    """Whether the cells of a row only draw a line: `---`, `===`."""
    return all(isinstance(value, str) and not any(map(str.isalnum, value)) for value in values)


@lru_cache(maxsize=4096)
def is_total(text: str) -> bool:
    """Whether a short text says that its row sums others up."""
    if not text[:1].isalpha() or len(text) > LONGEST_TOTAL:
        return False
    folded = fold(text)
    if folded in word_list("total_alone"):
        return True
    found = matcher("total").search(folded)
    return found is not None and (found.start() == 0 or found.end() == len(folded))

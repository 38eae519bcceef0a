"""Tables that stand side by side under one row of headings."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from auditor.intake.blocks.grid import texts_of
from auditor.intake.blocks.tables import SheetBlocks, TableBlock
from auditor.intake.formats.cells import Sheet
from auditor.intake.grammar.values import is_blank
from auditor.intake.words import fold, says

LEAST_ALIKE = 2  # headings that two tables side by side have in common


def apart(blocks: SheetBlocks) -> SheetBlocks:
    """A sheet's blocks with tables that stand abreast each by itself."""
    return replace(blocks, tables=[part for table in blocks.tables for part in tables_abreast(table)])


def tables_abreast(table: TableBlock) -> list[TableBlock]:
    """The tables that a block holds beside one another; the block alone where it holds one.

    Two stand abreast where a blank column parts columns of the same headings, or columns under a title each,
    and where headings that say what feeds come again in the same order.
    """
    if not table.header_rows or table.drawing is not None:
        return [table]
    texts = texts_of(table.sheet, table.header_rows[-1], table.first_column, table.last_column)
    headings = {column: fold(text) for column, text in texts.items()}
    starts = _by_blank_columns(table, headings) or _by_repetition(headings)
    if len(starts) < 2:
        return [table]
    ends = [start - 1 for start in starts[1:]] + [table.last_column]
    return [_part(table, texts, first, last) for first, last in zip(starts, ends, strict=True)]


def _by_blank_columns(table: TableBlock, headings: Mapping[int, str]) -> list[int]:
    """First columns of the parts between blank columns, where each part may be a table."""
    blank = [c for c in range(table.first_column, table.last_column + 1) if _is_blank(table, c)]
    starts = [c for c in headings if c == min(headings) or c - 1 in blank]
    if len(starts) < 2:
        return []
    parts = [
        {
            column: text
            for column, text in headings.items()
            if first <= column and (last is None or column < last)
        }
        for first, last in zip(starts, [*starts[1:], None], strict=True)
    ]
    alike = all(len(set(one.values()) & set(other.values())) >= LEAST_ALIKE for one, other in pairwise(parts))
    feeds = all(any(says(text, "near") for text in part.values()) for part in parts)
    return starts if (alike and feeds) or _each_titled(table, parts) else []


def _is_blank(table: TableBlock, column: int) -> bool:
    rows = table.sheet.rows[table.header_rows[0] - 1 : table.last_row]
    return all(len(cells) < column or is_blank(cells[column - 1]) for cells in rows)


def _each_titled(table: TableBlock, parts: Sequence[Mapping[int, str]]) -> bool:
    """Whether a text stands over the first column of each part and over no other."""
    above = texts_of(table.sheet, table.header_rows[-1] - 1, table.first_column, table.last_column)
    return set(above) == {min(part) for part in parts} and all(len(part) > 1 for part in parts)


def _by_repetition(headings: Mapping[int, str]) -> list[int]:
    """First columns of headings that come again in the same order, without a column between."""
    columns = sorted(headings)
    count = len(columns)
    if count < 4 or columns[-1] - columns[0] >= count:
        return []
    own = [headings[column] for column in columns]
    for period in range(2, count // 2 + 1):
        if count % period == 0 and own == own[:period] * (count // period):
            return columns[::period] if any(says(text, "near") for text in own[:period]) else []
    return []


def _part(table: TableBlock, texts: Mapping[int, str], first: int, last: int) -> TableBlock:
    """One of the tables, down to its own last row, with what stands over it as its title."""
    own = {column: text for column, text in texts.items() if first <= column <= last}
    used = [
        row for row in range(table.first_row, table.last_row + 1) if _filled(table.sheet, row, first, last)
    ]
    return replace(
        table,
        header_rows=table.header_rows[-1:],
        headers=own,
        groups={},
        last_row=max(used, default=table.last_row),
        first_column=min(own),
        last_column=max(own),
    )


def _filled(sheet: Sheet, row: int, first: int, last: int) -> bool:
    return row <= len(sheet.rows) and not all(map(is_blank, sheet.rows[row - 1][first - 1 : last]))

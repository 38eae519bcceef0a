"""Tables out of cells: where a heading row stands, and which rows below it are its data."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from auditor.intake.cells import Sheet, Value
from auditor.intake.fields import (
    MAX_HEADING,
    Understood,
    Vocabulary,
    is_known,
    understand,
    vocabulary,
)
from auditor.intake.values import is_blank, words
from auditor.model import TableKind

SAMPLE_ROWS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundTable:
    """A table on a sheet; rows and columns from 1, `last_row` the last row that may be its data."""

    sheet: Sheet
    understood: Understood
    header_rows: tuple[int, ...]
    headers: dict[int, str]  # column -> its whole heading
    first_row: int
    last_row: int
    first_column: int
    last_column: int

    @property
    def kind(self) -> TableKind:
        return self.understood.kind

    @property
    def columns(self) -> dict[str, int]:
        return {name: use.column for name, use in self.understood.columns.items()}


def find_tables(sheet: Sheet, known: Vocabulary | None = None) -> list[FoundTable]:
    """All tables of a sheet, in reading order."""
    known = known or vocabulary()
    width = max(map(len, sheet.rows), default=0)
    found = list(_in_columns(sheet, 1, width, 1, len(sheet.rows), known))
    found.sort(key=lambda table: (table.header_rows[0], table.first_column))
    return found


def _in_columns(
    sheet: Sheet, left: int, right: int, top: int, bottom: int, known: Vocabulary
) -> Iterator[FoundTable]:
    """Tables within a rectangle; what lies beside a narrower table is searched again."""
    if left > right or top > bottom:
        return
    starts: list[list[FoundTable]] = []
    row = top
    while row <= bottom:
        tables = _tables_at(sheet, row, left, right, known) if _may_be_header(sheet, row, left, right) else []
        if tables and not (starts and _repeats(starts[-1], tables)):
            starts.append(tables)
            row = tables[0].header_rows[-1]
        row += 1
    for index, tables in enumerate(starts):
        end = starts[index + 1][0].header_rows[0] - 1 if index + 1 < len(starts) else bottom
        for table in tables:
            yield replace(table, last_row=end)


def _may_be_header(sheet: Sheet, row: int, left: int, right: int) -> bool:
    cells = sheet.rows[row - 1]
    if left > 1 or right < len(cells):
        cells = cells[left - 1 : right]
    if float in map(type, cells):
        return False
    seen = 0
    for value in cells:
        if type(value) is str and value:
            if is_known(value):
                return True
            seen += 1
            if seen == 4:
                return False
    return False


def _texts(sheet: Sheet, row: int, left: int, right: int) -> dict[int, str]:
    cells = sheet.rows[row - 1] if 0 < row <= len(sheet.rows) else []
    return {
        column: words(value)
        for column, value in enumerate(cells[left - 1 : right], left)
        if isinstance(value, str) and value.strip()
    }


def _tables_at(sheet: Sheet, row: int, left: int, right: int, known: Vocabulary) -> list[FoundTable]:
    """The tables whose heading starts in this row, side by side; empty where it is no heading."""
    texts = _texts(sheet, row, left, right)
    tables = []
    for first, last in _stretches(texts, left):
        table = _table(sheet, row, {c: t for c, t in texts.items() if first <= c <= last}, known)
        if table is not None:
            tables.append(table)
    return tables


def _stretches(texts: dict[int, str], left: int) -> list[tuple[int, int]]:
    """Runs of heading cells without a gap."""
    runs: list[tuple[int, int]] = []
    for column in sorted(texts):
        if runs and column == runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], column)
        else:
            runs.append((column, column))
    return runs


def _table(sheet: Sheet, row: int, texts: dict[int, str], known: Vocabulary) -> FoundTable | None:
    if len(texts) < 2 or max(map(len, texts.values())) > MAX_HEADING * 4:
        return None
    found = understand(texts, _samples(sheet, row, texts), known)
    if found is None:
        return None
    columns = sorted(texts)
    return FoundTable(
        sheet=sheet,
        understood=found,
        header_rows=(row,),
        headers=texts,
        first_row=row + 1,
        last_row=len(sheet.rows),
        first_column=columns[0],
        last_column=columns[-1],
    )


def _samples(sheet: Sheet, row: int, texts: dict[int, str]) -> dict[int, list[Value]]:
    below = sheet.rows[row : row + SAMPLE_ROWS]
    return {
        column: [
            cells[column - 1] for cells in below if len(cells) >= column and not is_blank(cells[column - 1])
        ]
        for column in texts
    }


def _repeats(tables: Sequence[FoundTable], again: Sequence[FoundTable]) -> bool:
    """A heading that is printed again on every page is no new table."""
    return [t.headers for t in tables] == [t.headers for t in again]

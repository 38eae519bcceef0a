"""Tables out of cells: where a heading row stands, and which rows below it are its data."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import islice

from auditor.intake.ends import likeness
from auditor.intake.fields import CHAIN_MARK, Understood, understand
from auditor.intake.formats.cells import Book, Sheet, Value
from auditor.intake.headings import MAX_HEADING, is_known
from auditor.intake.values import is_blank, words
from auditor.job.model import TableKind

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


def find_tables(sheet: Sheet) -> list[FoundTable]:
    """All tables of a sheet, in reading order."""
    width = max(map(len, sheet.rows), default=0)
    found = list(_in_columns(sheet, 1, width, 1, len(sheet.rows)))
    found.sort(key=lambda table: (table.header_rows[0], table.first_column))
    return found


def without_other_lists(book: Book, tables: Sequence[FoundTable]) -> list[FoundTable]:
    """The tables without lists that only look like device lists: no power, and not one tag of them at
    the end of a pull, while another list's tags are. What is left out is said in the book's notes."""
    lists = [table for table in tables if table.kind is TableKind.DEVICES]
    if len(lists) < 2 or all("power_w" in table.columns for table in lists):
        return list(tables)
    ends = {
        likeness(text) for table in tables for name in ("near", "far") for text in _column_texts(table, name)
    }

    def joined(table: FoundTable) -> bool:
        return any(likeness(tag) in ends for tag in _column_texts(table, "tag"))

    if not any(map(joined, lists)):
        return list(tables)
    others = [table for table in lists if "power_w" not in table.columns and not joined(table)]
    for table in others:
        book.notes += (
            f"the table on '{table.sheet.name}' is not read as a device list: it gives no power, and no pull ends "
            "at one of its tags",
        )
    return [table for table in tables if table not in others]


def _column_texts(table: FoundTable, name: str) -> Iterator[str]:
    column = table.columns.get(name)
    for row in range(table.first_row, table.last_row + 1) if column else ():
        value = table.sheet.value(row, column or 0)
        if isinstance(value, str) and value:
            yield value


def _in_columns(sheet: Sheet, left: int, right: int, top: int, bottom: int) -> Iterator[FoundTable]:
    """Tables within a rectangle; what lies beside a narrower table is searched again."""
    if left > right or top > bottom:
        return
    starts: list[list[FoundTable]] = []
    above = 0  # the last row of the heading above
    for row in _may_be_headers(sheet, left, right, top, bottom):
        if row > above:
            tables = _tables_at(sheet, row, left, right)
            if tables and not (starts and (_repeats(starts[-1], tables) or _beside(starts[-1], tables))):
                starts.append(tables)
                above = tables[0].header_rows[-1]
    for index, tables in enumerate(starts):
        end = starts[index + 1][0].header_rows[0] - 1 if index + 1 < len(starts) else bottom
        edge = left
        if index + 1 < len(starts) and _is_under(tables, starts[index + 1]):
            continue
        for table in tables:
            yield replace(table, last_row=end)
            yield from _in_columns(sheet, edge, table.first_column - 1, table.header_rows[0], end)
            edge = table.last_column + 1
        yield from _in_columns(sheet, edge, right, tables[0].header_rows[0], end)


def _may_be_headers(sheet: Sheet, left: int, right: int, top: int, bottom: int) -> Iterator[int]:
    """A fast look: rows with a known heading among their first texts and no number beside them; one
    that stands past an empty cell is somebody's note."""
    number = right  # where the last row had its first number: a list has it there in every row
    for row, whole in enumerate(sheet.rows[top - 1 : bottom], top):
        cells: Sequence[Value] = whole if left == 1 and right >= len(whole) else whole[left - 1 : right]
        if number < len(cells) and type(cells[number]) is float and "" not in cells[:number]:
            continue
        types = list(map(type, cells))
        if float in types:
            number = types.index(float)
            if "" not in cells[:number]:
                continue
            cells = _first_stretch(cells)
            if float in map(type, cells):
                continue
        if _starts_known(cells):
            yield row


def _starts_known(cells: Sequence[Value]) -> bool:
    """Whether one of the first texts is a known heading."""
    texts = (value for value in cells if type(value) is str and value)
    return any(map(is_known, islice(texts, 4)))


def _first_stretch(cells: Sequence[Value]) -> Sequence[Value]:
    """The cells from the first filled one to the next empty one."""
    start = next((index for index, value in enumerate(cells) if value != ""), 0)
    end = next((index for index in range(start, len(cells)) if cells[index] == ""), len(cells))
    return cells[start:end]


def _texts(sheet: Sheet, row: int, left: int, right: int) -> dict[int, str]:
    cells = sheet.rows[row - 1] if 0 < row <= len(sheet.rows) else []
    return {
        column: words(value)
        for column, value in enumerate(cells[left - 1 : right], left)
        if isinstance(value, str) and value.strip()
    }


def _tables_at(sheet: Sheet, row: int, left: int, right: int) -> list[FoundTable]:
    """The tables whose heading starts in this row, side by side; empty where it is no heading."""
    upper = _texts(sheet, row, left, right)
    if max(map(len, upper.values())) > MAX_HEADING * 4:
        return []
    best = _side_by_side(sheet, (row,), upper)
    lower = _texts(sheet, row + 1, left, right)
    is_data = float in map(type, sheet.rows[row][left - 1 : right]) if lower else True
    if not is_data and not any(map(CHAIN_MARK.search, lower.values())):
        two = _side_by_side(sheet, (row, row + 1), _joined(sheet, row, upper, lower))
        alone = _side_by_side(sheet, (row + 1,), lower) if two else []  # under a line that adds nothing
        if _weight(two) > max(_weight(best), _weight(alone)):
            best = two
    return best


def _weight(tables: Sequence[FoundTable]) -> tuple[int, int]:
    uses = [use for table in tables for use in table.understood.columns.values()]
    return len(uses), sum(use.unit is not None for use in uses)


def _joined(sheet: Sheet, row: int, upper: dict[int, str], lower: dict[int, str]) -> dict[int, str]:
    """Headings over two rows, each column's two texts as one: a text above several columns counts
    for all of them."""
    spread = dict(upper)
    for first, start, last, end in sheet.merges:
        if first <= row <= last and start in upper:
            spread |= dict.fromkeys(range(start, min(end, start + 50) + 1), upper[start])
    for column in sorted(lower):
        if column not in spread and column - 1 in spread and column - 1 in lower and column not in upper:
            spread[column] = spread[column - 1]
    shared = {c for c, text in spread.items() if any(spread.get(c + side) == text for side in (-1, 1))}
    joined = {}
    for column in sorted(spread.keys() | lower.keys()):
        above, below = spread.get(column, ""), lower.get(column, "")
        whole = f"{above} {below}".strip()
        if column in upper or column in lower:
            options = (whole, below, "" if below and column in shared else above)
            joined[column] = next((text for text in options if text and is_known(text)), whole)
    return joined


def _side_by_side(sheet: Sheet, rows: tuple[int, ...], texts: dict[int, str]) -> list[FoundTable]:
    parts = _stretches(texts)
    tables = [table for part in parts if (table := _table(sheet, rows, part)) is not None]
    if (len(tables) == 1 and len(parts) > 1) or not tables:
        whole = _table(sheet, rows, _near(parts))
        if whole is not None and (not tables or len(whole.columns) > len(tables[0].columns)):
            tables = [whole]
    return [part for table in tables for part in _split(table, rows)]


def _stretches(texts: dict[int, str]) -> list[dict[int, str]]:
    """Runs of heading cells without a gap."""
    runs: list[dict[int, str]] = []
    for column in sorted(texts):
        if runs and column - 1 in runs[-1]:
            runs[-1][column] = texts[column]
        else:
            runs.append({column: texts[column]})
    return runs


def _near(parts: Sequence[dict[int, str]]) -> dict[int, str]:
    """The widest run with its neighbours at most two blank columns away: columns without a heading."""
    if not parts:
        return {}
    middle = max(range(len(parts)), key=lambda index: len(parts[index]))
    near = dict(parts[middle])
    for part in reversed(parts[:middle]):
        near |= part if min(near) - max(part) <= 3 else {}
    for part in parts[middle + 1 :]:
        near |= part if min(part) - max(near) <= 3 else {}
    return near


def _split(table: FoundTable, rows: tuple[int, ...]) -> list[FoundTable]:
    """Two tables that touch: the headings left over at one side make a table of their own."""
    used = set(table.columns.values())
    for side in (
        {c: t for c, t in table.headers.items() if c < min(used)},
        {c: t for c, t in table.headers.items() if c > max(used)},
    ):
        other = _table(table.sheet, rows, side)
        if other is not None:
            rest = {c: t for c, t in table.headers.items() if c not in side}
            own = _table(table.sheet, rows, rest)
            return sorted(filter(None, (own, other)), key=lambda one: one.first_column)
    return [table]


def _table(sheet: Sheet, rows: tuple[int, ...], texts: dict[int, str]) -> FoundTable | None:
    if not texts:
        return None
    found = understand(texts, _samples(sheet, rows[-1]), sheet.name)
    if found is None:
        return None
    return FoundTable(
        sheet=sheet,
        understood=found,
        header_rows=rows,
        headers=texts,
        first_row=rows[-1] + 1,
        last_row=len(sheet.rows),
        first_column=min(texts),
        last_column=_last_column(sheet, rows[-1], max(texts)),
    )


def _last_column(sheet: Sheet, row: int, last: int) -> int:
    """Columns of data without a heading, right beside the last one with a heading, belong to it."""
    below = sheet.rows[row : row + SAMPLE_ROWS]
    top = sheet.rows[row - 1]
    while (len(top) <= last or is_blank(top[last])) and any(
        len(cells) > last and not is_blank(cells[last]) for cells in below
    ):
        last += 1
    return last


def _samples(sheet: Sheet, row: int) -> Callable[[int], list[Value]]:
    """The first filled cells below a heading, by its column; looked up only where they decide."""

    @cache
    def sample(column: int) -> list[Value]:
        below = sheet.rows[row : row + SAMPLE_ROWS]
        values = (cells[column - 1] for cells in below if len(cells) >= column)
        return [value for value in values if not is_blank(value)]

    return sample


def overlap(one: FoundTable, other: FoundTable) -> bool:
    """Whether two tables share a column."""
    return one.first_column <= other.last_column and other.first_column <= one.last_column


def _beside(tables: Sequence[FoundTable], later: Sequence[FoundTable]) -> bool:
    """A heading beside the rows of a table ends nothing; it is found when that side is searched."""
    return not any(overlap(one, other) for one in tables for other in later)


def _repeats(tables: Sequence[FoundTable], again: Sequence[FoundTable]) -> bool:
    """A heading that is printed again on every page is no new table."""
    return [table.headers for table in tables] == [table.headers for table in again]


def _is_under(tables: Sequence[FoundTable], later: Sequence[FoundTable]) -> bool:
    """A heading right above a fuller one only gathers its columns: `DEVICE | LOAD | BUS` over what is read."""
    return (
        later[0].header_rows[0] == tables[0].first_row
        and _weight(later) >= _weight(tables)
        and all(any(overlap(one, other) for other in later) for one in tables)
    )

"""A sheet's tables and the lines around them."""

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from auditor.intake.blocks.grid import filled_cells, is_quantity, shape_of, texts_of
from auditor.intake.blocks.headings import (
    HeadingRows,
    heading_at,
    heads_chains,
    known_share,
    with_group_above,
)
from auditor.intake.blocks.hops import Drawing
from auditor.intake.formats.cells import Sheet, Value
from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.ports import spelled
from auditor.intake.words import is_known, said

SAMPLE_ROWS = 300  # rows of a sheet in which a blank column is looked for first
ONCE = 0.7  # share of the values of a column of tags that are the first of their kind; project convention
_OWN = frozenset({"tag", "name"})  # fields that name a row
SAME_ROWS = 0.7  # share of rows that two strips have in common where a blank column parts one table


@dataclass(frozen=True, slots=True, kw_only=True)
class TableBlock:
    """A table; rows and columns from 1. `header_rows` is empty where it has no heading."""

    sheet: Sheet
    header_rows: tuple[int, ...]
    headers: dict[int, str]  # column -> its whole heading
    groups: dict[int, str] = field(default_factory=dict)  # column -> what stands above several columns
    first_row: int
    last_row: int
    first_column: int
    last_column: int
    drawing: Drawing | None = None  # whose pulls are the rows of the table


def title_above(table: TableBlock) -> str:
    """The text that stands alone in one of the two rows above a table, or nothing."""
    top = (table.header_rows or (table.first_row,))[0]
    for row in (top - 1, top - 2):
        filled = (
            filled_cells(table.sheet.rows[row - 1], table.first_column, table.last_column) if row > 0 else {}
        )
        if filled:
            texts = [words(value) for value in filled.values() if isinstance(value, str)]
            return texts[0] if len(filled) == 1 and texts else ""
    return ""


@dataclass(frozen=True, slots=True)
class Line:
    """A row outside every table, within its strip of columns."""

    sheet: Sheet
    row: int
    cells: dict[int, Value]

    @property
    def text(self) -> str:
        """The first text of the row."""
        return next((words(value) for value in self.cells.values() if isinstance(value, str)), "")


@dataclass(frozen=True, slots=True)
class SheetBlocks:
    tables: list[TableBlock]
    lines: list[Line]


def blocks_of(sheet: Sheet) -> SheetBlocks:
    """All tables and lines of a sheet, in reading order."""
    tables: list[TableBlock] = []
    lines: list[Line] = []
    for left, right in _strips(sheet):
        own = _tables_in(sheet, left, right)
        tables += own
        lines += _lines_in(sheet, own, left, right)
    tables.sort(key=lambda table: (table.first_row, table.first_column))
    lines.sort(key=lambda line: (line.row, min(line.cells)))
    return SheetBlocks(tables, lines)


def _strips(sheet: Sheet) -> list[tuple[int, int]]:
    """Stretches of columns that blank columns part, each (first, last)."""
    width = max(map(len, sheet.rows), default=0)
    used = [False] * width
    for cells in sheet.rows[:SAMPLE_ROWS]:
        for at, value in enumerate(cells):
            if not used[at] and not is_blank(value):
                used[at] = True
    blank = [at for at in range(width) if not used[at]]
    for cells in sheet.rows[SAMPLE_ROWS:] if blank else ():
        inside = blank[: bisect_left(blank, len(cells))]
        found = [at for at in inside if not is_blank(cells[at])]
        for at in found:
            used[at] = True
        blank = [at for at in blank if not used[at]] if found else blank
        if not blank:
            break
    strips: list[tuple[int, int]] = []
    for column in (at + 1 for at in range(width) if used[at]):
        if strips and strips[-1][1] == column - 1:
            strips[-1] = strips[-1][0], column
        else:
            strips.append((column, column))
    return _joined(sheet, strips)


def _joined(sheet: Sheet, strips: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """The strips, those made one that are parts of one table."""
    joined: list[tuple[int, int]] = []
    for strip in strips:
        if joined and _is_one_table(sheet, joined[-1], strip):
            joined[-1] = joined[-1][0], strip[1]
        else:
            joined.append(strip)
    return joined


def _is_one_table(sheet: Sheet, one: tuple[int, int], other: tuple[int, int]) -> bool:
    if one[0] == one[1] or other[0] == other[1]:
        return True
    left, right = _rows_of(sheet, *one), _rows_of(sheet, *other, least=1)
    first = min(left & right, default=0)  # a title block above a short list is of one strip alone
    left, right = ({row for row in rows if row >= first} for rows in (left, right))
    if not first or len(left & right) < SAME_ROWS * len(left | right):
        return False
    return not (_stands_alone(sheet, *one) and _stands_alone(sheet, *other))


def _rows_of(sheet: Sheet, left: int, right: int, least: int = 2) -> set[int]:
    """The rows in which so many cells of a strip are filled."""
    return {
        row
        for row, cells in enumerate(sheet.rows[:SAMPLE_ROWS], 1)
        if len(filled_cells(cells, left, right)) >= least
    }


def _stands_alone(sheet: Sheet, left: int, right: int) -> bool:
    """Whether a strip's own headings make a table: a tag with more, both ends, a name with its data."""
    for row in range(1, min(len(sheet.rows), 60) + 1):
        texts = texts_of(sheet, row, left, right)
        if len(texts) >= 2 and sum(map(is_known, texts.values())) * 2 >= len(texts):
            fields = {
                column: {name for name in said(text) if name not in _OWN or _once_each(sheet, row, column)}
                for column, text in texts.items()
            }
            named = set().union(*fields.values())
            if named & {"tag", "chain"} or {"near", "far"} <= named or {"name", "gauge"} <= named:
                return True
    return False


def _once_each(sheet: Sheet, heading_row: int, column: int) -> bool:
    """Whether the values below a heading mostly stand once each, as tags do and codes do not."""
    values = [sheet.value(row, column) for row in range(heading_row + 1, len(sheet.rows[:SAMPLE_ROWS]) + 1)]
    filled = [value for value in values if not is_blank(value)]
    return len(set(filled)) >= ONCE * len(filled)


def _tables_in(sheet: Sheet, left: int, right: int) -> list[TableBlock]:
    starts: list[tuple[int, HeadingRows]] = []  # first row of the data, heading
    past = 0  # the last row of the heading above
    at_start = True
    for row, cells in enumerate(sheet.rows, 1):
        if row <= past:
            continue
        if starts and not at_start and float in map(type, cells[left - 1 : right]):
            continue
        filled = filled_cells(cells, left, right)
        if len(filled) < 2:
            at_start = True
            if not starts and heads_chains(sheet, row, filled):
                starts.append((row + 1, HeadingRows((row,), texts_of(sheet, row, left, right), {})))
            continue
        found = heading_at(sheet, row, left, right, at_start=at_start)
        if found is None and at_start and starts:
            found = _with_more(starts[-1][1], texts_of(sheet, row, left, right), row)
        if (
            found is not None
            and starts
            and not at_start
            and row > starts[-1][0]
            and _like_above(sheet, row, filled, left, right)
        ):
            found = None
        if (
            found is not None
            and starts
            and starts[-1][0] == row
            and known_share(found) < known_share(starts[-1][1])
        ):
            found = None  # a row of words below a heading that is known better
        if found is not None and not (starts and _repeats(sheet, found, starts[-1][1])):
            past = found.rows[-1]
            found = with_group_above(sheet, found, left, right)
            if starts and starts[-1][0] == row:  # a heading with no row of its own only gathers the columns
                found = replace(found, groups=_gathered(starts[-1][1].texts, found.texts))
                starts.pop()
            starts.append((past + 1, found))
        elif found is None and at_start and not starts and _is_data(sheet, row, filled, left, right):
            starts.append((row, HeadingRows((), {}, {})))
        at_start = False
    return [_table(sheet, starts, index, left, right) for index in range(len(starts))]


def _with_more(above: HeadingRows, texts: dict[int, str], row: int) -> HeadingRows | None:
    """The headings of the table above with more behind them, as those of another table; None: it is none."""
    more = len(texts) > len(above.texts) > 1
    return HeadingRows((row,), texts, {}) if more and above.texts.items() <= texts.items() else None


def _repeats(sheet: Sheet, found: HeadingRows, above: HeadingRows) -> bool:
    """Whether a heading of one row comes again within its table, of several rows one of them; all begin it anew."""
    if len(found.rows) > 1:
        return False
    left, right = min(found.texts), max(found.texts)
    return found.texts == above.texts or any(
        found.texts == texts_of(sheet, row, left, right) for row in above.rows
    )


def _like_above(sheet: Sheet, row: int, filled: dict[int, Value], left: int, right: int) -> bool:
    """Whether a row has the form of the row above it, as data has."""
    above = filled_cells(sheet.rows[row - 2], left, right)
    shared = filled.keys() & above.keys()
    same = sum(
        shape_of(words(filled[c])) == shape_of(words(above[c])) and any(map(str.isdigit, words(filled[c])))
        for c in shared
    )
    return same >= 1 and len(shared) * 2 > len(filled)


def _gathered(upper: dict[int, str], lower: dict[int, str]) -> dict[int, str]:
    groups: dict[int, str] = {}
    last = ""
    for column in sorted(lower):
        last = upper.get(column, last)
        if last:
            groups[column] = last
    return groups


def _is_data(sheet: Sheet, row: int, filled: dict[int, Value], left: int, right: int) -> bool:
    """Whether rows without a heading begin here: two of the same form with a quantity in each, or three with a
    name of their own in each."""
    if len(filled) < 3 or row >= len(sheet.rows):
        return False
    below = filled_cells(sheet.rows[row], left, right)
    shared = filled.keys() & below.keys()
    if len(shared) < 3 or len(shared) * 3 < 2 * max(len(filled), len(below)):
        return False
    alike = sum(
        is_quantity(filled[c]) == is_quantity(below[c])
        and (is_quantity(filled[c]) or shape_of(words(filled[c])) == shape_of(words(below[c])))
        for c in shared
    )
    quantities = any(is_quantity(filled[c]) for c in shared)
    return alike >= 2 and (quantities or _have_names(sheet, row, shared))


def _have_names(sheet: Sheet, row: int, columns: Iterable[int]) -> bool:
    """Whether a column holds another name of one form, with digits, in each of three rows."""
    if row + 1 >= len(sheet.rows):
        return False
    rows = sheet.rows[row - 1 : row + 2]
    for column in columns:
        names = [words(cells[column - 1]) if len(cells) >= column else "" for cells in rows]
        one_form = len({shape_of(name) for name in names}) == 1 and any(map(str.isdigit, names[0]))
        if one_form and len(set(names)) == len(names) and not any(map(is_quantity, names)):
            return True
    return False


def _table(
    sheet: Sheet, starts: Sequence[tuple[int, HeadingRows]], index: int, left: int, right: int
) -> TableBlock:
    first, head = starts[index]
    last = len(sheet.rows)
    if index + 1 < len(starts):
        following = starts[index + 1][1].rows
        last = (following[0] if following else starts[index + 1][0]) - 1
        while last >= first and len(filled_cells(sheet.rows[last - 1], left, right)) < 2:
            last -= 1  # the title of the table below
    groups = head.groups or _port_above(sheet, head, first, left, right)
    used = sorted(_used_columns(sheet, head, first, last, left, right))
    while last >= first and not filled_cells(sheet.rows[last - 1], used[0], used[-1]):
        last -= 1
    return TableBlock(
        sheet=sheet,
        header_rows=head.rows,
        headers=head.texts,
        groups=groups,
        first_row=first,
        last_row=last,
        first_column=used[0],
        last_column=used[-1],
    )


def _port_above(sheet: Sheet, head: HeadingRows, first: int, left: int, right: int) -> dict[int, str]:
    """The port that a line right above a heading names: it stands over all columns."""
    row = (head.rows[0] if head.rows else first) - 1
    filled = filled_cells(sheet.rows[row - 1], left, right) if row > 0 else {}
    texts = [words(value) for value in filled.values() if isinstance(value, str)]
    if len(filled) != 1 or not texts or len(texts[0]) > 24 or not head.rows or len(head.texts) > 4:
        return {}
    return dict.fromkeys(head.texts, texts[0]) if spelled(texts[0]) else {}


def _used_columns(sheet: Sheet, head: HeadingRows, first: int, last: int, left: int, right: int) -> set[int]:
    """The columns of a table: those with a heading, and those right beside them with values below."""
    if not head.rows:
        return set(range(left, right + 1))
    used = set(range(min(head.texts), max(head.texts) + 1))
    sample = sheet.rows[first - 1 : min(last, first + 39)]
    for step in (1, -1):
        at = (max(used) if step > 0 else min(used)) + step
        while left <= at <= right and sum(len(c) >= at and not is_blank(c[at - 1]) for c in sample) * 2 > len(
            sample
        ):
            used.add(at)
            at += step
    return used


def _lines_in(sheet: Sheet, tables: Sequence[TableBlock], left: int, right: int) -> Iterator[Line]:
    """The rows of a strip that stand in no table, and what stands beside a narrower one."""
    row = 1
    for table in [*tables, None]:
        top = len(sheet.rows) + 1 if table is None else (table.header_rows or (table.first_row,))[0]
        for at in range(row, top):
            filled = filled_cells(sheet.rows[at - 1], left, right)
            if filled:
                yield Line(sheet, at, filled)
        if table is None:
            return
        if (table.first_column, table.last_column) != (left, right):
            for at in range(top, table.last_row + 1):
                beside = {
                    column: value
                    for column, value in filled_cells(sheet.rows[at - 1], left, right).items()
                    if not table.first_column <= column <= table.last_column
                }
                if beside:
                    yield Line(sheet, at, beside)
        row = table.last_row + 1

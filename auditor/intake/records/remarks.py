"""What the reader says of its own work: rows left out, hidden parts, guesses it did not make."""

import json
from collections.abc import Iterable, Iterator, Sequence
from functools import cache

from auditor.intake.formats.cells import Book
from auditor.intake.grammar.values import is_blank
from auditor.intake.names.spelling import lookalikes
from auditor.intake.records.columns import MOST_ASKED, Columns
from auditor.intake.records.unread_columns import near_misses
from auditor.intake.roles.found import FoundTable
from auditor.intake.roles.kinds import OF_THE_OFFICE
from auditor.intake.rows.sort import LeftOut
from auditor.intake.said import NO_ANSWERS, Answers, question, reading
from auditor.intake.words import is_known
from auditor.job.field_words import word_of
from auditor.job.model import CellRef, Device, Remark, TableKind
from auditor.resources import shipped


def of_book(book: Book, tables: Sequence[FoundTable]) -> list[Remark]:
    """What holds for whole sheets."""
    said = [reading("file", note) for note in book.notes]
    for sheet in book.sheets:
        corner = CellRef(sheet.name, 1, 1)
        used = any(table.sheet is sheet for table in tables)
        messages = list(sheet.notes)
        if sheet.hidden and used:
            messages.append("the sheet is hidden; it is audited all the same")
        said += [reading(sheet.name, message, corner) for message in messages]
    read = {table.sheet.name for table in tables}
    idle = [s.name for s in book.sheets if s.name not in read and s.value(1, 1) not in _starter_titles()]
    if idle:
        listed = ", ".join(map(repr, idle[:12])) + (f" and {len(idle) - 12} more" if len(idle) > 12 else "")
        said.append(reading("file", f"no table is read on {listed}"))
    return said


@cache
def _starter_titles() -> frozenset[str]:
    """The first cell of the instructions in the starter workbooks, which hold no table."""
    templates = shipped("templates").glob("blank.*.json")
    return frozenset(json.loads(each.read_text("utf-8"))["how_to"]["title"] for each in templates)


def of_table(
    table: FoundTable, records: Sequence[int], other: LeftOut, answers: Answers = NO_ANSWERS
) -> list[Remark]:
    """Rows left out, hidden rows and columns that are read, and headings that are nearly known."""
    said = []
    for rows, what in (
        (other.struck, "struck through, so taken as deleted"),
        (other.totals, "totals"),
        (other.headings, "headings of sections or pages"),
        (other.notes, "notes"),
        (other.void, "marked as void"),
        (other.trades, "of another trade, they touch nothing of this bus"),
        (other.ports, "the ports themselves"),
    ):
        if rows:
            said.append(_of_row(table, rows[0], f"{rows_text(rows)} left out: {what}"))
    hidden = [row for row in records if row in table.sheet.hidden_rows] if table.sheet.hidden_rows else []
    if hidden:
        said.append(
            _of_row(table, hidden[0], f"{rows_text(hidden)} hidden in the workbook; audited all the same")
        )
    for use in table.understood.columns.values():
        if use.column in table.sheet.hidden_columns:
            place = CellRef(table.sheet.name, table.heading_row, use.column)
            said.append(
                reading(use.header, f"the column {use.header!r} is hidden; it is read all the same", place)
            )
    own = {
        use.header: word_of(use.field)
        for use in table.understood.columns.values()
        if use.reason.endswith(OF_THE_OFFICE)
    }
    if own:
        listed = ", ".join(f"{header!r} as the {word}" for header, word in own.items())
        said.append(_of_row(table, table.heading_row, f"read as headings.json says: {listed}"))
    if not records:
        where = CellRef(table.sheet.name, table.heading_row, table.first_column)
        message = "the table has a heading and no rows; fill it in or delete it"
        said.append(
            Remark(rule="missing-value", level="review", subject=_title(table), message=message, where=where)
        )
    return said + near_misses(table, records, answers) + list(_other_headings(table, records))


def of_long_rows(table: FoundTable, records: Sequence[int], tables: Sequence[FoundTable]) -> list[Remark]:
    """Rows of a text file with more cells than headings: `1,250` without quotation marks is two cells."""
    end = max(table.headers, default=table.last_column)
    beside = min((other.first_column - 1 for other in tables if other.first_column > end), default=None)
    rest = slice(end, beside)
    long = [row for row in records if any(not is_blank(value) for value in table.sheet.rows[row - 1][rest])]
    if len(long) * 2 > len(records):  # a column without a heading
        return []
    return [
        question(
            _title(table),
            f"row {row} has more cells than there are headings; a number or text with the separator in it must "
            "stand in quotation marks, look at the whole row",
            CellRef(table.sheet.name, row, end + 1),
        )
        for row in long[:MOST_ASKED]
    ]


def of_merges(table: FoundTable, spread: Sequence[tuple[int, int, int]]) -> list[Remark]:
    """Merged cells that were read in each of their rows."""
    return [
        reading(
            table.headers.get(column, ""),
            f"the cell merged over rows {first} to {last} under {table.headers.get(column, '')!r} is read in each of them",
            CellRef(table.sheet.name, first, column),
        )
        for first, last, column in spread
    ]


def _other_headings(table: FoundTable, records: Sequence[int]) -> Iterator[Remark]:
    """Rows read as records though all that stands in them are headings: of a table that was not recognised."""
    if table.kind in (TableKind.PULLS, TableKind.COMBINED):
        return
    for row in records:
        cells = table.sheet.rows[row - 1][table.first_column - 1 : table.last_column]
        if float in map(type, cells):
            continue
        cells = [cell for cell in cells if cell != ""]
        texts = [cell for cell in cells if type(cell) is str and not any(map(str.isdigit, cell))]
        if len(texts) == len(cells) > 1 and all(map(is_known, texts)):
            where = CellRef(table.sheet.name, row, table.first_column)
            listed = ", ".join(map(repr, texts[:6]))
            message = (
                f"row {row} looks like the headings of another table ({listed}); it and the rows below are read as {table.kind}: "
                "give that table its headings, or say in a layout what it is"
            )
            yield question(_title(table), message, where)


def of_columns(columns: Iterable[Columns]) -> list[Remark]:
    """How whole columns and single cells were read, where that is not plain."""
    columns = list(columns)
    said = [
        reading(use.header, message.format(use.header), CellRef(one.sheet, one.table.heading_row, use.column))
        for one in columns
        for use, message in one.said
    ]
    return list(dict.fromkeys([*said, *(remark for one in columns for remark in one.remarks)]))


def of_tags(devices: Sequence[Device]) -> list[Remark]:
    """Tags that differ only by case, blanks, dashes, leading zeros or characters that look alike."""
    pairs = lookalikes(dict.fromkeys(device.tag for device in devices if device.tag))
    rows: dict[str, CellRef] = {}
    for device in devices if pairs else ():
        rows.setdefault(device.tag, device.where)
    return [
        Remark(
            rule="double-entry",
            level="review",
            subject=second,
            message=f"{second} is probably the same as {first} in row {rows[first].row} on {rows[first].sheet!r}; "
            "write both the same way or give them tags that differ clearly",
            where=rows[second],
        )
        for first, second in pairs
    ]


def rows_text(rows: Sequence[int]) -> str:
    """`row 7`, `rows 7, 9 and 12 more`."""
    listed = ", ".join(map(str, rows[:12])) + (f" and {len(rows) - 12} more" if len(rows) > 12 else "")
    return f"row {listed}" if len(rows) == 1 else f"rows {listed}"


def _title(table: FoundTable) -> str:
    return f"{table.kind} table on {table.sheet.name!r}"


def _of_row(table: FoundTable, row: int, message: str) -> Remark:
    return reading(_title(table), message, CellRef(table.sheet.name, row, table.first_column))

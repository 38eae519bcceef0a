"""A workbook's bytes to its Job: tables out of cells, fields out of tables, Job last."""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import PurePath
from typing import TypeVar

from auditor.errors import UnusableFileError
from auditor.intake import records
from auditor.intake.cells import Book, Sheet, read_book
from auditor.intake.columns import Columns
from auditor.intake.ends import Ends
from auditor.intake.fields import heading
from auditor.intake.labels import Labelled, read_labels
from auditor.intake.rows import LeftOut, sort_rows
from auditor.intake.tables import FoundTable, find_tables
from auditor.intake.values import words
from auditor.model import Cable, CellRef, Controller, Job, Pull, Remark, Table, TableKind

N = TypeVar("N", Cable, Controller)

COMMA_LANGUAGES = frozenset({"de", "fr", "es"})


@dataclass(slots=True)
class Reading:
    """What is gathered while the tables of one workbook are read."""

    tables: list[Table] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    left_out: int = 0
    rows_read: int = 0


def read_job(data: bytes, name: str) -> Job:
    """The job that a workbook states.

    Parameters
    ----------
    data : the file's bytes; its kind is recognised from them
    name : the file's name, for messages and for the job's name

    Raises
    ------
    UnusableFileError : the file cannot be read, or holds no pull schedule; one sentence says why
    """
    book = read_book(data, PurePath(name).name)
    tables = [table for sheet in book.sheets for table in find_tables(sheet)]
    _require_pulls(book, tables, PurePath(name).name)
    return build_job(book, tables, name)


def build_job(book: Book, tables: Sequence[FoundTable], name: str) -> Job:
    """The job of tables that are already found."""
    reading = Reading()
    labels, remarks = read_labels(book, tables)
    reading.remarks += _sheet_remarks(book, tables) + remarks
    comma = _decimal_comma(book, tables)
    parts = [(table, *_record_rows(table, reading)) for table in tables]

    def columns_of(*kinds: TableKind) -> list[Columns]:
        return [Columns(table, rows, comma) for table, rows in parts if table.kind in kinds]

    scheduled = _distinct(columns_of(TableKind.CONTROLLERS), records.controllers, reading)
    cables = _distinct(columns_of(TableKind.CABLES), records.cables, reading)
    device_columns = columns_of(TableKind.DEVICES, TableKind.COMBINED)
    ends = _ends(device_columns, scheduled)
    supply = records.Supply(labels.supply_voltage_v or _only_voltage(scheduled))
    devices = [device for columns in device_columns for device in records.devices(columns, ends, supply)]
    pull_columns = columns_of(TableKind.PULLS, TableKind.COMBINED)
    pulls = [pull for columns in pull_columns for pull in records.pulls(columns, ends, labels.length_unit)]
    reels = [
        reel for columns in columns_of(TableKind.REELS) for reel in records.reels(columns, labels.length_unit)
    ]
    return Job(
        name=labels.job_name or PurePath(name).stem,
        devices=tuple(devices),
        pulls=tuple(pulls),
        cables=_with_named(cables, pulls),
        controllers=_with_ports(scheduled, ends),
        ports=dict(sorted(ends.ports.items())),
        head_ends=frozenset(ends.head_ends.values()),
        splices=frozenset(ends.splices.values()),
        length_unit=_length_unit(pull_columns, labels),
        profile_name=labels.profile_name,
        reels=tuple(reels),
        allowance_per_end_m=labels.allowance_per_end_m,
        waste=labels.waste,
        tables=tuple(reading.tables),
        remarks=tuple(reading.remarks + ends.remarks),
        rows_read=reading.rows_read,
        rows_left_out=reading.left_out,
    )


def _require_pulls(book: Book, tables: Sequence[FoundTable], name: str) -> None:
    if any(table.kind in (TableKind.PULLS, TableKind.COMBINED) for table in tables):
        return
    sheets = ", ".join(f"{sheet.name!r}" for sheet in book.sheets[:8]) or "no sheet"
    seen = [heading_ for table in tables for heading_ in table.headers.values()] or _first_texts(book.sheets)
    found = f"; found {', '.join(repr(text) for text in seen[:10])}" if seen else "; the sheets hold no text"
    raise UnusableFileError(
        f'{name}: no pull schedule found; looked for a row with "from", "to" and "length", or "tag", "fed from" and '
        f'"length", on {sheets}{found}'
    )


def _first_texts(sheets: Iterable[Sheet]) -> list[str]:
    texts = (
        words(value)
        for sheet in sheets
        for cells in sheet.rows[:50]
        for value in cells[:50]
        if isinstance(value, str)
    )
    return [text[:40] for text in dict.fromkeys(texts) if text][:10]


def _record_rows(table: FoundTable, reading: Reading) -> tuple[list[int]]:
    """The rows read as records; the table and what is left out are noted."""
    rows, other = sort_rows(table)
    reading.rows_read += len(rows) + other.count()
    reading.left_out += other.count()
    reading.remarks += _left_out_remarks(table, other)
    if not rows:
        reading.remarks.append(
            _remark(
                table, table.header_rows[-1], "missing-value", "review", "the table has a heading and no rows"
            )
        )
    last = max([*rows, table.header_rows[-1]])
    reading.tables.append(
        Table(
            kind=table.kind,
            sheet=table.sheet.name,
            header_row=table.header_rows[-1],
            first_row=table.first_row,
            last_row=last,
            first_column=table.first_column,
            last_column=table.last_column,
            columns=table.columns,
            rows=tuple(rows),
        )
    )
    return (rows,)


def _remark(table: FoundTable, row: int, rule: str, level: str, message: str) -> Remark:
    where = CellRef(table.sheet.name, row, table.first_column)
    return Remark(
        rule=rule,
        level=level,
        subject=f"{table.kind} table on {table.sheet.name!r}",
        message=message,
        where=where,
    )


def _left_out_remarks(table: FoundTable, other: LeftOut) -> Iterable[Remark]:
    for rows, what in (
        (other.struck, "struck through, so taken as deleted"),
        (other.totals, "totals"),
        (other.headings, "headings of sections or pages"),
        (other.notes, "notes"),
    ):
        if rows:
            yield _remark(table, rows[0], "reading", "note", f"{_rows_text(rows)} left out: {what}")


def _rows_text(rows: Sequence[int]) -> str:
    listed = ", ".join(map(str, rows[:12])) + (f" and {len(rows) - 12} more" if len(rows) > 12 else "")
    return f"row {listed}" if len(rows) == 1 else f"rows {listed}"


def _sheet_remarks(book: Book, tables: Sequence[FoundTable]) -> list[Remark]:
    remarks = [Remark(rule="reading", level="note", subject="file", message=note) for note in book.notes]
    for sheet in book.sheets:
        if sheet.hidden and any(table.sheet is sheet for table in tables):
            message = f"the sheet {sheet.name!r} is hidden; it is audited all the same"
            remarks.append(
                Remark(
                    rule="reading",
                    level="note",
                    subject=sheet.name,
                    message=message,
                    where=CellRef(sheet.name, 1, 1),
                )
            )
    return remarks


def _decimal_comma(book: Book, tables: Sequence[FoundTable]) -> bool | None:
    """What the file's separator or its headings' language say about 41,5; None: nothing."""
    if book.decimal_comma:
        return True
    languages = Counter(language for table in tables for language in table.understood.languages)
    foreign = sum(languages[language] for language in COMMA_LANGUAGES)
    return True if foreign > languages["en"] else None


def _distinct(
    columns: Sequence[Columns], read: Callable[[Columns], list[N]], reading: Reading
) -> dict[str, N]:
    """Records by name, the first row of a name; a second row is remarked."""
    found: dict[str, N] = {}
    for one in columns:
        for item in read(one):
            if item.name and item.name in found:
                reading.remarks.append(
                    Remark(
                        rule="double-entry",
                        level="review",
                        subject=item.name,
                        message=f"{item.name} stands twice on {one.sheet!r}; the row further up is used",
                        where=item.where,
                    )
                )
            elif item.name:
                found[item.name] = item
    return found


def _ends(device_columns: Sequence[Columns], scheduled: dict[str, Controller]) -> Ends:
    tags = frozenset(tag for columns in device_columns for tag in columns.texts("tag") if tag)
    known = {name: controller.ports for name, controller in scheduled.items()}
    for columns in device_columns:
        for text in columns.texts("controller"):
            if text and text not in known and text not in tags:
                known.setdefault(text, None)
    places = frozenset(c.head_end for c in scheduled.values() if c.head_end)
    return Ends(tags=tags, controllers=known, places=places)


def _only_voltage(scheduled: dict[str, Controller]) -> float | None:
    volts = {c.supply_voltage_v for c in scheduled.values()} - {None}
    return volts.pop() if len(volts) == 1 else None


def _with_named(cables: dict[str, Cable], pulls: Iterable[Pull]) -> dict[str, Cable]:
    named = {pull.cable for pull in pulls if pull.cable}
    return cables | {name: Cable(name=name) for name in sorted(named) if name not in cables}


def _with_ports(scheduled: dict[str, Controller], ends: Ends) -> dict[str, Controller]:
    named = {port.controller for port in ends.ports.values()}
    return scheduled | {name: Controller(name=name) for name in sorted(named) if name not in scheduled}


def _length_unit(pull_columns: Sequence[Columns], labels: Labelled) -> str:
    """The unit that most lengths are typed in: "ft" or "m"."""
    feet = metres = 0
    for columns in pull_columns:
        use = columns.table.understood.columns.get("length_m")
        if use is None:
            continue
        unit = use.unit or labels.length_unit
        values = columns.raw("length_m")
        texts = [value for value in values if type(value) is str and value]
        own = [
            heading(text).unit or ("ft" if text.endswith(("'", '"', "’", "″", "′", "”")) else unit)
            for text in texts
        ]
        units = Counter(own) + Counter({unit: len(values) - len(texts)})
        feet += units["ft"] + units["in"] + units["yd"]
        metres += units["m"] + units["cm"] + units["mm"] + units["km"]
    return "m" if metres > feet else "ft"

"""A workbook's bytes to its Job: tables out of cells, fields out of tables, Job last."""

import gc
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import PurePath
from typing import TypeVar

from auditor.errors import UnusableFileError
from auditor.intake import chain, records, remarks
from auditor.intake import values as grammar
from auditor.intake.cells import Book, Sheet, read_book
from auditor.intake.columns import Columns
from auditor.intake.ends import Ends, spelling
from auditor.intake.fields import heading, suggestion
from auditor.intake.guard import Format
from auditor.intake.labels import Labelled, read_labels
from auditor.intake.layout import Layout, apply_layout
from auditor.intake.rows import LeftOut, sort_rows
from auditor.intake.tables import FoundTable, find_tables
from auditor.intake.totals import check_totals
from auditor.intake.values import words
from auditor.model import Cable, Controller, Device, Job, Pull, Remark, Table, TableKind
from auditor.units import CURRENT_A, LENGTH_M

N = TypeVar("N", Cable, Controller)

COMMA_LANGUAGES = frozenset({"de", "fr", "es"})  # their numbers are written 41,5


@dataclass(slots=True)
class Part:
    """One table with its rows sorted."""

    table: FoundTable
    rows: list[int]
    other: LeftOut


@dataclass(slots=True)
class Reading:
    """What is gathered while the tables of one workbook are read."""

    parts: list[Part]
    decimal_comma: bool | None
    remarks: list[Remark] = field(default_factory=list)
    columns: list[Columns] = field(default_factory=list)

    def columns_of(self, *kinds: TableKind) -> list[Columns]:
        """A fresh reading of the columns of all tables of these kinds."""
        found = [
            Columns(part.table, part.rows, self.decimal_comma)
            for part in self.parts
            if part.table.kind in kinds
        ]
        self.columns += found
        return found


def read_job(data: bytes, name: str, layout: Layout | None = None) -> Job:
    """The job that a workbook states.

    Parameters
    ----------
    data : the file's bytes; its kind is recognised from them
    name : the file's name, for messages and for the job's name
    layout : how a person says that the sheets are to be understood; None: as found

    Raises
    ------
    UnusableFileError : the file cannot be read, or holds no pull schedule; one sentence says why
    LayoutError : the layout does not fit the file
    """
    file = PurePath(name).name
    with _collector_paused():
        book = read_book(data, file)
        tables = found_tables(book, file, layout)
        _require_pulls(book, tables, file)
        return build_job(book, tables, name)


@contextmanager
def _collector_paused() -> Iterator[None]:
    """Reading makes a great many objects and no cycles: the collector's passes over a large workbook
    would cost a sixth of the time and find nothing. Freezing and unfreezing moves what was made to
    the oldest generation without looking at it."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.freeze()
            gc.unfreeze()
            gc.enable()


def found_tables(book: Book, file: str, layout: Layout | None = None) -> list[FoundTable]:
    """All tables of a workbook, as found or as a layout says."""
    if layout is not None:
        return apply_layout(layout, book, file)
    return [table for sheet in book.sheets for table in find_tables(sheet)]


def build_job(book: Book, tables: Sequence[FoundTable], name: str) -> Job:
    """The job of tables that are already found."""
    parts = [Part(table, *sort_rows(table)) for table in tables]
    reading = Reading(parts, _decimal_comma(book, tables))
    labels, label_remarks = read_labels(book, tables)
    scheduled = _distinct(reading.columns_of(TableKind.CONTROLLERS), records.controllers, reading)
    cables = _distinct(reading.columns_of(TableKind.CABLES), records.cables, reading)
    device_columns = reading.columns_of(TableKind.DEVICES, TableKind.COMBINED)
    ends = _ends(device_columns, scheduled)
    supply = records.Supply(labels.supply_voltage_v or _only_voltage(scheduled))
    devices = [device for columns in device_columns for device in records.devices(columns, ends, supply)]
    pulls = _pulls(reading, devices, ends, labels.length_unit)
    reels = [
        reel for one in reading.columns_of(TableKind.REELS) for reel in records.reels(one, labels.length_unit)
    ]
    unit = _length_unit(reading.columns, labels)
    said = remarks.of_book(book, tables) + label_remarks
    for part in parts:
        said += remarks.of_table(part.table, part.rows, part.other)
        said += _totals(part, devices, pulls, unit)
    said += reading.remarks + remarks.of_columns(reading.columns) + remarks.of_tags(devices) + ends.remarks
    used = {end for pull in pulls for end in (pull.near, pull.far)}
    return Job(
        name=labels.job_name or PurePath(name).stem,
        devices=tuple(devices),
        pulls=tuple(pulls),
        cables=_with_named(cables, pulls),
        controllers=_with_ports(scheduled, ends),
        ports=dict(sorted(ends.ports.items())),
        head_ends=frozenset(ends.head_ends.values()) & used,
        splices=frozenset(ends.splices.values()),
        length_unit=unit,
        profile_name=labels.profile_name,
        reels=tuple(reels),
        allowance_per_end_m=labels.allowance_per_end_m,
        waste=labels.waste,
        tables=tuple(_stated(part) for part in parts),
        remarks=tuple(said),
        rows_read=sum(len(part.rows) + part.other.count() for part in parts),
        rows_left_out=sum(part.other.count() for part in parts),
    )


def _pulls(reading: Reading, devices: Sequence[Device], ends: Ends, length_unit: str | None) -> list[Pull]:
    pulls: list[Pull] = []
    for columns in reading.columns_of(TableKind.PULLS, TableKind.COMBINED):
        read = chain.pulls if "chain" in columns and "near" not in columns else records.pulls
        pulls += read(columns, ends, length_unit)
    return _with_device_ports(pulls, devices, ends, reading)


def _with_device_ports(
    pulls: Sequence[Pull], devices: Sequence[Device], ends: Ends, reading: Reading
) -> list[Pull]:
    """Head ends without a port, and blank ends, take the port that the device list states for the
    device at the other end."""
    stated = {d.tag: d for d in devices if d.port}
    if not stated:
        return list(pulls)
    head_ends = set(ends.head_ends.values())
    result = []
    for pull in pulls:
        for side, other in (("near", pull.far), ("far", pull.near)):
            here, device = getattr(pull, side), stated.get(other)
            if device is not None and (here in head_ends or not here):
                port = _port_at(here, device, ends)
                if port is not None:
                    pull = replace(pull, **{side: port})  # type: ignore[arg-type]  # noqa: PLW2901
                    message = f"{pull.id} starts at {port}, as the device list says of {other}"
                    reading.remarks.append(
                        Remark(
                            rule="reading", level="note", subject=pull.id, message=message, where=pull.where
                        )
                    )
        result.append(pull)
    return result


def _port_at(here: str, device: Device, ends: Ends) -> str | None:
    """The port's name, unless the head end is another controller than the device's."""
    named = next((name for name in ends.controllers if here and spelling(name) == spelling(here)), None)
    controller = device.controller or named
    if controller is None or device.port is None or (named is not None and named != controller):
        return None
    return ends.port(controller, device.port)


def _totals(part: Part, devices: Sequence[Device], pulls: Sequence[Pull], unit: str) -> list[Remark]:
    """The stated totals of a table against what was read from its rows."""
    table = part.table
    if not part.other.totals:
        return []
    rows = set(part.rows)
    if table.kind in (TableKind.PULLS, TableKind.COMBINED):
        lengths = {
            p.where.row: p.length_m
            for p in pulls
            if p.where.sheet == table.sheet.name and p.where.row in rows
        }
        use = table.understood.columns.get("length_m")
        stated = use.unit if use and use.unit else unit
        return check_totals(
            table, part.other.totals, lengths, "length_m", grammar.length_m, stated, LENGTH_M[stated]
        )
    if table.kind is TableKind.DEVICES and _watts(table) is not None:
        powers = {
            d.where.row: None if d.power_w is None else d.power_w * d.quantity
            for d in devices
            if d.where.sheet == table.sheet.name and d.where.row in rows
        }
        return check_totals(table, part.other.totals, powers, "power_w", records.watts, "W", 1.0)
    return []


def _stated(part: Part) -> Table:
    table, rows = part.table, part.rows
    factor = _watts(table)
    return Table(
        kind=table.kind,
        sheet=table.sheet.name,
        header_row=table.header_rows[-1],
        first_row=table.first_row,
        last_row=max([*rows[-1:], table.header_rows[-1]]),
        first_column=table.first_column,
        last_column=table.last_column,
        columns=dict(sorted(table.columns.items(), key=lambda item: item[1])),
        rows=tuple(rows),
        plain_power_rows=frozenset(_plain_power_rows(part)) if factor is not None else frozenset(),
        power_w_per_unit=factor or 1.0,
    )


def _watts(table: FoundTable) -> float | None:
    """What a plain number in the power column is in watts; None: its heading does not say."""
    use = table.understood.columns.get("power_w")
    if use is None or use.unit is None or table.kind not in (TableKind.DEVICES, TableKind.COMBINED):
        return None
    if use.unit in grammar.POWER_UNITS:
        return grammar.POWER_UNITS[use.unit]
    return CURRENT_A[use.unit] * use.volts if use.volts else None


def _plain_power_rows(part: Part) -> Iterable[int]:
    columns = part.table.columns
    power, quantity = columns["power_w"] - 1, columns.get("quantity", 0) - 1
    for row in part.rows:
        cells = part.table.sheet.rows[row - 1]
        if len(cells) > power and type(cells[power]) is float:
            count = cells[quantity] if 0 <= quantity < len(cells) else ""
            if count == "" or (type(count) is float and count >= 1):
                yield row


def _require_pulls(book: Book, tables: Sequence[FoundTable], name: str) -> None:
    if any(table.kind in (TableKind.PULLS, TableKind.COMBINED) for table in tables):
        return
    sheets = ", ".join(f"{sheet.name!r}" for sheet in book.sheets[:8]) or "no sheet"
    seen = [text for table in tables for text in table.headers.values()] or _first_texts(book.sheets)
    found = f"; found {', '.join(repr(text) for text in seen[:10])}" if seen else "; the sheets hold no text"
    near = {text: suggestion(text, TableKind.PULLS) for text in seen}
    maybe = [
        f"{text!r} may be {remarks.WORD_OF_FIELD.get(f, f)!r}"
        for text, f in near.items()
        if f in ("near", "far", "length_m")
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


def _length_unit(all_columns: Sequence[Columns], labels: Labelled) -> str:
    """The unit that most lengths are typed in: "ft" or "m"."""
    feet = metres = 0
    for columns in all_columns:
        use = columns.table.understood.columns.get("length_m")
        if use is None or columns.table.kind not in (TableKind.PULLS, TableKind.COMBINED):
            continue
        unit = use.unit or labels.length_unit
        texts = [value for value in columns.raw("length_m") if type(value) is str and value]
        units = Counter(_own_unit(text, unit) for text in texts) + Counter(
            {unit: len(columns.rows) - len(texts)}
        )
        feet += units["ft"] + units["in"] + units["yd"]
        metres += units["m"] + units["cm"] + units["mm"] + units["km"]
    return "m" if metres > feet else "ft"


def _own_unit(text: str, unit: str | None) -> str | None:
    return "ft" if text.endswith(("'", '"', "’", "″", "′", "”")) else heading(text).unit or unit

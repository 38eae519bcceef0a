"""A workbook's bytes to its Job: tables out of cells, fields out of tables, Job last."""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import PurePath
from typing import TypeVar

from auditor.gc_pause import paused
from auditor.intake import chain, device_rows, part_rows, pull_rows, remarks
from auditor.intake.added import refuse_added
from auditor.intake.columns import Columns
from auditor.intake.device_ports import with_device_ports
from auditor.intake.ends import Ends
from auditor.intake.formats.cells import Book, Format, WithUnit
from auditor.intake.formats.read import read_book
from auditor.intake.headings import OWN_WITH_COMMA, SHIPPED, OwnHeadings, heading, known_headings
from auditor.intake.labels import Labelled, read_labels
from auditor.intake.layout import Layout
from auditor.intake.layout_apply import apply_layout
from auditor.intake.refusal import require_pulls
from auditor.intake.rows import sort_rows, spread_merges
from auditor.intake.stated import Part, stated_table, totals
from auditor.intake.tables import FoundTable, find_tables, without_other_lists
from auditor.job.model import Cable, Controller, Device, Job, Pull, Remark, TableKind

N = TypeVar("N", Cable, Controller)
COMMA_LANGUAGES = frozenset({"de", "fr", "es", OWN_WITH_COMMA})  # their numbers are written 41,5


@dataclass(slots=True)
class Reading:
    """What is gathered while the tables of one workbook are read."""

    parts: list[Part]
    decimal_comma: bool | None
    decimal_comma_settled: bool = False  # the office's own file of headings says so
    remarks: list[Remark] = field(default_factory=list)
    columns: list[Columns] = field(default_factory=list)

    def columns_of(self, *kinds: TableKind) -> list[Columns]:
        """A fresh reading of the columns of all tables of these kinds."""
        found = [
            Columns(part.table, part.rows, self.decimal_comma, settled=self.decimal_comma_settled)
            for part in self.parts
            if part.table.kind in kinds
        ]
        self.columns += found
        return found


def read_job(data: bytes, name: str, layout: Layout | None = None, headings: OwnHeadings = SHIPPED) -> Job:
    """The job that a workbook states.

    Parameters
    ----------
    data : the file's bytes; its kind is recognised from them
    name : the file's name, for messages and for the job's name
    layout : how a person says that the sheets are to be understood; None: as found
    headings : those that an office adds to the shipped ones

    Raises
    ------
    UnusableFileError : the file cannot be read, holds no pull schedule or sheets that an audit added; one sentence says why
    LayoutError : the layout does not fit the file
    """
    file = PurePath(name).name
    with paused(), known_headings(headings):
        book = read_book(data, file)
        refuse_added(book, file)
        tables = found_tables(book, file, layout)
        require_pulls(book, tables, file)
        return build_job(book, tables, name)


def found_tables(book: Book, file: str, layout: Layout | None = None) -> list[FoundTable]:
    """All tables of a workbook, as found or as a layout says."""
    if layout is not None:
        return apply_layout(layout, book, file)
    return without_other_lists(book, [table for sheet in book.sheets for table in find_tables(sheet)])


def build_job(book: Book, tables: Sequence[FoundTable], name: str) -> Job:
    """The job of tables that are already found."""
    merged = [spread_merges(table) for table in tables]
    parts = [Part(table, *sort_rows(table)) for table in tables]
    comma = _decimal_comma(book, tables)
    reading = Reading(parts, comma, comma is True and _says_so_itself(tables))
    labels, label_remarks = read_labels(book, parts)
    scheduled = _distinct(reading.columns_of(TableKind.CONTROLLERS), part_rows.controllers, reading)
    cables = _distinct(reading.columns_of(TableKind.CABLES), part_rows.cables, reading)
    device_columns = reading.columns_of(TableKind.DEVICES, TableKind.COMBINED)
    ends = _ends(device_columns, scheduled)
    supply = device_rows.Supply(labels.supply_voltage_v or _only_voltage(scheduled))
    devices = [device for columns in device_columns for device in device_rows.devices(columns, ends, supply)]
    pulls = _pulls(reading, devices, ends, labels.length_unit)
    reels = [
        reel
        for one in reading.columns_of(TableKind.REELS)
        for reel in part_rows.reels(one, labels.length_unit)
    ]
    unit = _length_unit(reading.columns, labels)
    said = remarks.of_book(book, tables) + label_remarks + remarks.of_length_unit(tables, labels)
    for part, spread in zip(parts, merged, strict=True):
        said += remarks.of_table(part.table, part.rows, part.other) + remarks.of_merges(part.table, spread)
        if book.format is Format.CSV:
            said += remarks.of_long_rows(part.table, part.rows, tables)
        said += totals(part, devices, pulls, unit)
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
        tables=tuple(stated_table(part) for part in parts),
        remarks=tuple(said),
        rows_read=sum(len(part.rows) + part.other.count() for part in parts),
        rows_left_out=sum(part.other.count() for part in parts),
    )


def _pulls(reading: Reading, devices: Sequence[Device], ends: Ends, length_unit: str | None) -> list[Pull]:
    pulls: list[Pull] = []
    for columns in reading.columns_of(TableKind.PULLS, TableKind.COMBINED):
        read = chain.pulls if "chain" in columns and "near" not in columns else pull_rows.pulls
        pulls += read(columns, ends, length_unit)
    return with_device_ports(pulls, devices, ends, reading.remarks)


def _decimal_comma(book: Book, tables: Sequence[FoundTable]) -> bool | None:
    """What the file's separator or its headings' language say about 41,5; None: nothing."""
    if book.decimal_comma:
        return True
    languages = Counter(language for table in tables for language in table.understood.languages)
    foreign = sum(languages[language] for language in COMMA_LANGUAGES)
    return True if foreign > languages["en"] else None


def _says_so_itself(tables: Sequence[FoundTable]) -> bool:
    return any(OWN_WITH_COMMA in table.understood.languages for table in tables)


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
        values = columns.raw("length_m")
        typed = [_own_unit(value, unit) for value in values if type(value) is str and value]
        typed += [value.unit for value in values if type(value) is WithUnit]
        units = Counter(typed) + Counter({unit: len(columns.rows) - len(typed)})
        feet += units["ft"] + units["in"] + units["yd"]
        metres += units["m"] + units["cm"] + units["mm"] + units["km"]
    return "m" if metres > feet else "ft"


def _own_unit(text: str, unit: str | None) -> str | None:
    return "ft" if text.endswith(("'", '"', "’", "″", "′", "”")) else heading(text).unit or unit

"""The job out of tables whose rows are sorted."""

import itertools
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from pathlib import PurePath
from typing import TYPE_CHECKING, TypeVar

from auditor.intake.formats.cells import Format, Value, WithUnit
from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.chains import split_chain
from auditor.intake.names.ends import Ends, is_controller, is_splice
from auditor.intake.names.ports import spelled
from auditor.intake.names.spelling import spelling
from auditor.intake.records import chain, remarks
from auditor.intake.records import parts as part_records
from auditor.intake.records import pulls as pull_records
from auditor.intake.records.cable_names import with_cable_names
from auditor.intake.records.columns import Columns
from auditor.intake.records.device_ports import with_device_ports
from auditor.intake.records.devices import Supply
from auditor.intake.records.devices import devices as read_devices
from auditor.intake.records.legend import Kind, legend_of, with_legend
from auditor.intake.records.length_unit import of_length_unit, stated_unit
from auditor.intake.records.listed_controllers import listed_controllers
from auditor.intake.records.local_ports import give_homes, ports_alone, said_of_ports
from auditor.intake.records.spelled_alike import settle_alike
from auditor.intake.records.stated import stated_table, totals
from auditor.intake.records.titled_boxes import titled_boxes
from auditor.intake.records.unlisted import read_as_listed, unlisted_controllers
from auditor.intake.records.unread_values import numbers_not_read
from auditor.intake.rows.part import Part
from auditor.intake.statements.facts import CURRENT_VOLTS, POWER_UNIT, SUPPLY_VOLTAGE
from auditor.intake.words import OWN_WITH_COMMA, decimal_comma, fold, heading, matcher
from auditor.job.model import Cable, Controller, Device, Job, Pull, Remark, TableKind

if TYPE_CHECKING:
    from auditor.intake.document import Document

N = TypeVar("N", Cable, Controller)
_SCHEDULES = (TableKind.PULLS, TableKind.COMBINED)
NOMINAL_V = 24.0  # the bus's nominal voltage where nothing states one


class Assembly:
    """What is gathered while the records of one workbook are made."""

    def __init__(self, document: "Document") -> None:
        self.document = document
        self.remarks: list[Remark] = list(document.remarks)
        self.columns: list[Columns] = []
        self.comma = _decimal_comma(document)
        self.settled = self.comma is True and any(
            OWN_WITH_COMMA in part.table.understood.languages for part in document.parts
        )

    def columns_of(self, *kinds: TableKind) -> list[Columns]:
        """A fresh reading of the columns of all tables of these kinds."""
        found = [self._columns(part) for part in self.document.parts if part.table.kind in kinds]
        self.columns += found
        return found

    def unit_of(self, columns: Columns) -> str | None:
        """The unit that is stated for lengths without one."""
        fact = stated_unit(columns.table, self.document.facts)
        return fact.value if fact else None

    def _columns(self, part: Part) -> Columns:
        return Columns(
            part.table,
            part.rows,
            self.comma,
            settled=self.settled,
            given=part.given,
            homes=part.homes,
            answers=part.answers,
        )


def assemble(document: "Document", name: str) -> Job:
    """The job of a document whose rows are sorted."""
    assembly = Assembly(document)
    labels, parts = document.labels, document.parts
    scheduled = _distinct(assembly.columns_of(TableKind.CONTROLLERS), part_records.controllers, assembly)
    cables = _distinct(assembly.columns_of(TableKind.CABLES), part_records.cables, assembly)
    supply = Supply(_supply_voltage(document, scheduled))
    legend = legend_of(assembly.columns_of(TableKind.LEGEND), supply)
    device_columns = assembly.columns_of(TableKind.DEVICES, TableKind.COMBINED)
    pull_columns = assembly.columns_of(*_SCHEDULES)
    heads = listed_controllers(device_columns, pull_columns)
    ends = _ends(device_columns, pull_columns, scheduled, heads, assembly)
    devices: list[Device] = []
    for columns in device_columns:
        devices += _devices(columns, ends, heads, supply, legend, assembly)
    pulls = _pulls(pull_columns, ends, assembly)
    if (alone := ports_alone(pull_columns, ends)) is not None:
        said_alone = said_of_ports(alone, document.answers)
        if give_homes(parts, alone, document.answers):
            return assemble(replace(document, remarks=[*document.remarks, said_alone]), name)
        assembly.remarks.append(said_alone)
    assembly.remarks += unlisted_controllers(ends, pulls, document)
    pulls = with_device_ports(pulls, devices, ends, assembly.remarks)
    pulls, cables, said_of_cables = with_cable_names(pulls, cables, document)
    assembly.remarks += said_of_cables
    reels = [
        reel
        for one in assembly.columns_of(TableKind.REELS)
        for reel in part_records.reels(one, assembly.unit_of(one))
    ]
    unit = _length_unit(assembly)
    said = remarks.of_book(document.book, document.tables) + assembly.remarks
    said += of_length_unit(document.tables, document.facts, document.answers)
    for part in parts:
        said += (
            remarks.of_table(part.table, part.rows, part.other, part.answers)
            + part.remarks
            + numbers_not_read(part)
        )
        if document.book.format is Format.CSV:
            said += remarks.of_long_rows(part.table, part.rows, document.tables)
        said += totals(part, devices, pulls, unit)
    said += remarks.of_columns(assembly.columns) + remarks.of_tags(devices) + ends.remarks
    used = {end for pull in pulls for end in (pull.near, pull.far)}
    block = document.title_block
    return Job(
        name=labels.job_name or block.number or PurePath(name).stem,
        title_block=block,
        devices=tuple(devices),
        pulls=tuple(pulls),
        cables=cables,
        controllers=_with_ports(scheduled, ends),
        ports=dict(sorted(ends.ports.items())),
        head_ends=ends.head_end_names() & used,
        open_ends=frozenset(document.open_ends) | frozenset(ends.asked),
        splices=frozenset(ends.splices.values()),
        length_unit=unit,
        profile_name=labels.profile_name,
        reels=tuple(reels),
        allowance_per_end_m=labels.allowance_per_end_m,
        waste=labels.waste,
        tables=tuple(stated_table(part) for part in parts if part.table.header_rows),
        remarks=tuple(said),
        rows_read=sum(len(set(part.rows)) + len(part.joined) + part.other.count() for part in parts),
        rows_left_out=sum(part.other.count() for part in parts),
        part=document.part,
    )


def _devices(
    columns: Columns,
    ends: Ends,
    heads: frozenset[str],
    supply: Supply,
    legend: dict[str, Kind],
    assembly: Assembly,
) -> list[Device]:
    at = columns.sheet, columns.table.first_row
    unit = assembly.document.facts.agreed(POWER_UNIT, *at)
    volts = assembly.document.facts.at(CURRENT_VOLTS, *at)
    own = Supply(volts.value) if volts else supply
    found = read_devices(columns, ends, own, unit.value if unit else None)
    found, said = with_legend(found, columns, legend)
    others = {spelling(name) for name in (*ends.boxes, *boxes_in(columns))} | heads
    found = [device for device in found if spelling(device.tag) not in others]
    assembly.remarks += said
    return found


def _pulls(
    all_columns: Sequence[Columns],
    ends: Ends,
    assembly: Assembly,
) -> list[Pull]:
    pulls: list[Pull] = []
    for columns in all_columns:
        read = chain.pulls if "chain" in columns and "near" not in columns else pull_records.pulls
        pulls += read(columns, ends, assembly.unit_of(columns))
    return pulls


def _decimal_comma(document: "Document") -> bool | None:
    """What the file's separator or its headings' language say about 41,5; None: nothing."""
    if document.book.decimal_comma:
        return True
    languages = Counter(language for table in document.tables for language in table.understood.languages)
    foreign = sum(count for language, count in languages.items() if decimal_comma(language))
    return True if foreign > languages["en"] else None


def _distinct(
    columns: Sequence[Columns], read: Callable[[Columns], list[N]], assembly: Assembly
) -> dict[str, N]:
    """Records by name, the first row of a name; a second row is remarked."""
    found: dict[str, N] = {}
    for one in columns:
        for item in read(one):
            if item.name and _is_same(found.get(item.name), item):
                continue  # a list of drums names its cable in each row
            if item.name and item.name in found:
                assembly.remarks.append(
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


def _is_same(one: Cable | Controller | None, other: Cable | Controller) -> bool:
    """Whether two rows of one name say the same of a cable."""
    if not isinstance(one, Cable) or not isinstance(other, Cable):
        return False
    return replace(one, where=other.where, cells=other.cells) == other


def _ends(
    device_columns: Sequence[Columns],
    pull_columns: Sequence[Columns],
    scheduled: dict[str, Controller],
    heads: frozenset[str],
    assembly: Assembly,
) -> Ends:
    boxes = frozenset(
        text for columns in assembly.columns_of(TableKind.SPLICES) for text in columns.texts("name") if text
    ) | frozenset(box for columns in device_columns for box in boxes_in(columns))
    boxes |= _drawn_boxes(device_columns, pull_columns)
    boxes |= frozenset(
        titled_boxes(assembly.document.book.sheets, _typed_boxes(device_columns, pull_columns))
    )
    keys = frozenset(map(spelling, boxes)) | heads
    tags = frozenset(
        tag for columns in device_columns for tag in columns.texts("tag") if tag and spelling(tag) not in keys
    )
    known = {name: controller.ports for name, controller in scheduled.items()}
    known |= {
        tag: None
        for columns in device_columns
        for tag in columns.texts("tag")
        if tag and spelling(tag) in heads
    }
    for columns in [*device_columns, *pull_columns]:
        pairs = zip(columns.texts("controller"), columns.texts("slot"), strict=True)
        whole = pull_records.panels_of_two(columns)
        for text in (c if c in whole else pull_records.with_slot(c, slot) for c, slot in pairs):
            if text and text not in known and text not in tags and "port" in columns:
                known.setdefault(text, None)
    places = frozenset(c.head_end for c in scheduled.values() if c.head_end)
    ports = frozenset(box for box in boxes if spelled(box) and not is_splice(box))
    ends = Ends(tags=tags, controllers=known, places=places, boxes=boxes - ports)
    typed = list(_typed_ends(pull_columns, ends))
    assembly.remarks += settle_alike(ends, typed, assembly.document.answers)
    ends.learn(typed)
    read_as_listed(ends, assembly.document.answers)
    return ends


def _typed_boxes(device_columns: Sequence[Columns], pull_columns: Sequence[Columns]) -> frozenset[str]:
    """What the pulls end at and no list of devices has, without its spelling."""
    ends = (
        text
        for columns in pull_columns
        for name in ("near", "far")
        if name in columns
        for text in columns.texts(name)
    )
    listed = {spelling(tag) for columns in device_columns for tag in columns.texts("tag") if tag}
    return frozenset(spelling(text) for text in ends if text) - listed


def _drawn_boxes(device_columns: Sequence[Columns], pull_columns: Sequence[Columns]) -> frozenset[str]:
    """The boxes that drawings of pulls name, but for those that a list has as devices."""
    drawings = [columns.table.drawing for columns in pull_columns]
    listed = {spelling(tag) for columns in device_columns for tag in columns.texts("tag") if tag}
    boxes = frozenset().union(*(drawing.boxes for drawing in drawings if drawing is not None))
    return frozenset(box for box in boxes if spelling(box) not in listed)


def boxes_in(columns: Columns) -> Iterable[str]:
    """The rows of a list of devices, or of devices with their pulls, that are boxes and draw nothing."""
    powers = [columns.raw(name) for name in ("power_w", "total_power_w") if name in columns]
    kinds = [columns.texts(name) for name in ("description", "type")]
    fed = columns.table.kind is TableKind.COMBINED
    tags = columns.texts("tag")
    drawing = {
        _stem(tag)
        for index, tag in enumerate(tags)
        if tag and not all(_draws_nothing(own[index]) for own in powers)
    }
    for index, tag in enumerate(tags):
        if not tag or not all(_draws_nothing(own[index]) for own in powers):
            continue
        if not powers and not (fed and is_splice(tag)):
            continue
        if fed and any(option.worded or is_controller(option.controller) for option in spelled(tag)):
            yield tag  # a port: a spare return comes back to it
            continue
        said_of = [text for own in kinds if (text := own[index])] or _texts_of(columns, index)
        says_box = any(matcher("splice").search(fold(text)) for text in said_of)
        if says_box or (powers and fed and is_splice(tag) and _stem(tag) not in drawing):
            yield tag


def _stem(tag: str) -> str:
    """What stands before the last number of a tag: devices of one kind share it."""
    return tag.rstrip("0123456789").casefold()


def _texts_of(columns: Columns, index: int) -> list[str]:
    """The texts in a record's row that no field holds."""
    used = set(columns.table.columns.values())
    row, table = columns.rows[index], columns.table
    others = (c for c in range(table.first_column, table.last_column + 1) if c not in used)
    return [words(value) for c in others if isinstance(value := table.sheet.value(row, c), str) and value]


def _draws_nothing(value: Value) -> bool:
    """Whether a cell of a power is blank, nought or a dash."""
    return is_blank(value) or value == 0 or (isinstance(value, str) and not value.strip("-–— "))


def _typed_ends(pull_columns: Sequence[Columns], ends: Ends) -> Iterable[tuple[str, str, str | None]]:
    """(near, far, home) of all pulls as they are typed; an end that a terminal completes is left out."""
    for columns in pull_columns:
        homes = pull_records.homes_of(columns, ends)
        if "near" not in columns and "chain" in columns:
            for text, home in zip(columns.texts("chain"), homes, strict=True):
                steps = split_chain(text or "")
                fed = bool(steps) and chain.is_length(steps[0][1])
                names = [*([""] if fed else []), *(name for name, _ in steps)]
                yield from ((a, b, home) for a, b in itertools.pairwise(names))
            continue
        far = "far" if "far" in columns else "tag"
        terminals = columns.texts("near_terminal" if "near_terminal" in columns else "port")
        rows = zip(columns.texts("near"), columns.texts(far), terminals, homes, strict=True)
        for near, end, terminal, home in rows:
            listed = near is not None and (terminal is None or ends.is_listed(near))
            yield (near or "") if listed or not terminal else "", end or "", home


def _supply_voltage(document: "Document", scheduled: dict[str, Controller]) -> float | None:
    fact = next(document.facts.of(SUPPLY_VOLTAGE), None)
    volts = {c.supply_voltage_v for c in scheduled.values()} - {None}
    return (
        document.labels.supply_voltage_v
        or (volts.pop() if len(volts) == 1 else None)
        or (fact.value if fact else None)
    )


def _with_ports(scheduled: dict[str, Controller], ends: Ends) -> dict[str, Controller]:
    named = {port.controller for port in ends.ports.values()}
    return scheduled | {name: Controller(name=name) for name in sorted(named) if name not in scheduled}


def _length_unit(assembly: Assembly) -> str:
    """The unit that most lengths are typed in: "ft" or "m"."""
    feet = metres = 0
    for columns in assembly.columns:
        if "length_m" not in columns or columns.table.kind not in _SCHEDULES:
            continue
        given = columns.given.get("length_m")
        unit = columns.use("length_m").unit or assembly.unit_of(columns)
        values = columns.raw("length_m")
        typed = [_own_unit(value, unit) for value in values if type(value) is str and value]
        typed += [value.unit for value in values if type(value) is WithUnit]
        units = Counter(typed) + Counter({unit: len(columns.rows) - len(typed)})
        if given and given.units:
            units = Counter(one or unit for one in given.units)
        feet += units["ft"] + units["in"] + units["yd"]
        metres += units["m"] + units["cm"] + units["mm"] + units["km"]
    return "m" if metres > feet else "ft"


def _own_unit(text: str, unit: str | None) -> str | None:
    return "ft" if text.endswith(("'", '"', "’", "″", "′", "”")) else heading(text).unit or unit

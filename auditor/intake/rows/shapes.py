"""Rows that hold several records: a port in each column, a kind of device in each column."""

import re

from auditor.intake.blocks.hops import Drawing
from auditor.intake.formats.cells import Value
from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.ranges import tags_in
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.first_look import is_total
from auditor.intake.roles.found import FoundTable
from auditor.intake.roles.kinds import GRID, STEPS, ColumnUse, Understood
from auditor.intake.roles.shapes import MATRIX, PORT_COLUMNS
from auditor.intake.roles.steps import pushed_in
from auditor.intake.rows.given import Given
from auditor.intake.rows.part import Part
from auditor.intake.rows.sort import LeftOut, sort_rows

LONGEST_NAME = 5  # words of a device's name
_WATTS = re.compile(r"(?<![\w.,])(\d+(?:[.,]\d+)?\s*m?W)(?!\w)")
_TAG_LIST = re.compile(r"\s*[,;/\n]\s*|\s{2,}|\s+(?:and|und|et|y|e|en)\s+")


def shaped_part(table: FoundTable, ends: frozenset[str]) -> Part | None:
    """The records of a table of an unusual shape; None: its rows are records.

    Parameters
    ----------
    ends : names at which pulls end, without their spelling
    """
    if table.drawing is not None:
        return _drawn(table, table.drawing)
    if table.understood.shape == PORT_COLUMNS:
        return _port_columns(table)
    if table.understood.shape == MATRIX:
        return _matrix(table, ends)
    if table.understood.shape == GRID:
        return _grid(table)
    return _steps(table) if table.understood.shape == STEPS else None


def _drawn(table: FoundTable, drawing: Drawing) -> Part:
    """The pulls of a drawing."""
    hops = drawing.hops
    part = Part(table, [hop.row for hop in hops], LeftOut())
    part.given = {
        "near": Given([hop.near for hop in hops], [hop.near_column for hop in hops]),
        "far": Given([hop.far for hop in hops], [hop.column for hop in hops]),
        "length_m": Given([hop.length for hop in hops], [hop.length_column for hop in hops]),
    }
    return part


def _grid(table: FoundTable) -> Part:
    """In each row the name at its place feeds the next one, the row's own name the first; or their lengths."""
    uses = table.understood.columns
    key = uses["near"] if "near" in uses else uses["id"]
    places = [use for name, use in uses.items() if name.startswith("place ")]
    rows: list[int] = []
    before: list[Value] = []
    values: list[Value] = []
    joined: list[Value] = []
    at: list[int] = []
    other = LeftOut()
    for row in range(table.first_row, table.last_row + 1):
        start = words(table.sheet.value(row, key.column))
        own = [
            (number, use.column, table.sheet.value(row, use.column)) for number, use in enumerate(places, 1)
        ]
        filled = [one for one in own if not is_blank(one[2])]
        if not start or is_total(start) or not filled or start == key.header:
            _leave_out(table, row, other)
            continue
        last = start
        for number, column, value in filled:
            rows.append(row)
            before.append(last)
            values.append(value)
            joined.append(f"{start} / {number}")
            at.append(column)
            last = words(value)
    return _of_grid(table, rows, other, before, values, joined, at)


def _of_grid(
    table: FoundTable,
    rows: list[int],
    other: LeftOut,
    before: list[Value],
    values: list[Value],
    joined: list[Value],
    at: list[int],
) -> Part:
    uses = table.understood.columns
    first = uses["place 1"]
    if "id" in uses:
        unit = next((use.unit for use in uses.values() if use.unit), None)
        length = ColumnUse("length_m", first.column, first.header, unit, reason=first.reason)
        part = Part(_with(table, {"id": uses["id"], "length_m": length}), rows, other)
        part.given = {"id": Given(joined), "length_m": Given(values, at)}
        return part
    far = ColumnUse("far", first.column, first.header, reason=first.reason)
    part = Part(_with(table, {"near": uses["near"], "far": far}), rows, other)
    part.given = {
        "near": Given(before, [c - 1 for c in at]),
        "far": Given(values, at),
        "place": Given(joined),
    }
    return part


def _steps(table: FoundTable) -> Part:
    """Each row's one name, pushed in by its depth."""
    uses = table.understood.columns
    depths = [use.column for name, use in uses.items() if name.startswith("step ")]
    rows, other = sort_rows(table)
    cells = [[table.sheet.value(row, column) for column in depths] for row in rows]
    names: list[Value] = [pushed_in(own) for own in cells]
    at = [
        next((column for column, value in zip(depths, own, strict=True) if not is_blank(value)), depths[0])
        for own in cells
    ]
    columns = {name: use for name, use in uses.items() if not name.startswith("step ")}
    part = Part(_with(table, columns), rows, other)
    part.given = {"tag": Given(names, at), "level": Given(list(names), at)}
    return part


def _port_columns(table: FoundTable) -> Part:
    """Down each column the device above feeds the next one, the port the first."""
    rows: list[int] = []
    near: list[Value] = []
    far: list[Value] = []
    length: list[Value] = []
    at: list[int] = []
    other = LeftOut()
    uses = table.understood.columns
    ports = [use for name, use in uses.items() if name.startswith("device ")]
    for use in ports:
        before = use.header
        for row in range(table.first_row, table.last_row + 1):
            value = table.sheet.value(row, use.column)
            text = words(value)
            if _is_note(table, row, use.column):
                other.notes.append(row)
                continue
            if is_blank(value) or is_total(text):
                if is_total(text) and row not in other.totals:
                    other.totals.append(row)
                continue
            rows.append(row)
            near.append(before)
            far.append(text)
            length.append(table.sheet.value(row, use.column + 1))
            at.append(use.column)
            before = text
    unit = next((u.unit for name, u in uses.items() if name.startswith("length ") and u.unit), None)
    columns = {
        "near": ColumnUse(
            "near", ports[0].column, ports[0].header, reason="the heading, then the device above"
        ),
        "far": ColumnUse("far", ports[0].column, ports[0].header, reason="the devices below a port"),
        "length_m": ColumnUse("length_m", ports[0].column + 1, "length", unit, reason="beside each device"),
    }
    part = Part(_with(table, columns), rows, other)
    part.given = {
        "near": Given(near, at),
        "far": Given(far, at),
        "length_m": Given(length, [column + 1 for column in at]),
    }
    return part


def _is_note(table: FoundTable, row: int, column: int) -> bool:
    """Whether a text without a length is a sentence below the devices."""
    text = words(table.sheet.value(row, column))
    sentence = text.endswith((".", "!")) or len(text.split()) > LONGEST_NAME
    return sentence and is_blank(table.sheet.value(row, column + 1))


def _matrix(table: FoundTable, ends: frozenset[str]) -> Part:
    """Each tag in a cell is a device of its row's room and its column's kind."""
    uses = table.understood.columns
    kinds = [use for name, use in uses.items() if name.startswith("kind ")]
    room = uses.get("room")
    rows: list[int] = []
    tags: list[Value] = []
    rooms: list[Value] = []
    power: list[Value] = []
    kind: list[Value] = []
    at: list[int] = []
    other = LeftOut()
    each = _watts_in_headings(kinds)
    watts = None if each else _watts_row(table, kinds)
    for row in range(table.first_row, table.last_row + 1):
        found = [
            (tag, use)
            for use in kinds
            for tag in _tags(table.sheet.value(row, use.column))
            if spelling(tag) in ends or (any(map(str.isdigit, tag)) and any(map(str.isalpha, tag)))
        ]
        if not found and row != watts:
            _leave_out(table, row, other)
        for tag, use in found:
            rows.append(row)
            tags.append(tag)
            rooms.append(table.sheet.value(row, room.column) if room else "")
            power.append(table.sheet.value(watts, use.column) if watts else each.get(use.column, ""))
            kind.append(use.header)
            at.append(use.column)
    columns = {
        "tag": ColumnUse("tag", kinds[0].column, kinds[0].header, reason="tags in the cells"),
        "type": ColumnUse("type", kinds[0].column, kinds[0].header, reason="the heading of the tag's column"),
    }
    if room:
        columns["room"] = room
    if each:
        columns["power_w"] = ColumnUse(
            "power_w", kinds[0].column, kinds[0].header, reason="the headings name the watts"
        )
    if watts:
        columns["power_w"] = ColumnUse(
            "power_w",
            kinds[0].column,
            words(table.sheet.value(watts, table.first_column)),
            "W",
            reason="the row of watts",
        )
    part = Part(_with(table, columns), rows, other)
    part.given = {
        "tag": Given(tags, at),
        "type": Given(kind, at),
        "room": Given(rooms),
        "power_w": Given(power, at),
    }
    if not room:
        del part.given["room"]
    if not watts and not each:
        del part.given["power_w"]
    return part


def _watts_in_headings(kinds: list[ColumnUse]) -> dict[int, str]:
    """column -> the watts that its heading states: `Keypad 0.35 W`."""
    found = {use.column: match[1] for use in kinds if (match := _WATTS.search(use.header))}
    return found if len(found) == len(kinds) else {}


def _tags(value: Value) -> list[str]:
    if not isinstance(value, str) or is_blank(value) or is_total(value):
        return []
    found = tags_in(value)
    return (
        list(found.tags) if found else [text for text in map(words, _TAG_LIST.split(value.strip())) if text]
    )


def _watts_row(table: FoundTable, kinds: list[ColumnUse]) -> int | None:
    """The row that gives each kind's watts; past a row of totals a row of watts is a sum."""
    for row in range(table.first_row, min(table.last_row, table.first_row + 60) + 1):
        values = [table.sheet.value(row, use.column) for use in kinds]
        before = [words(v) for v in table.sheet.rows[row - 1][: kinds[0].column - 1] if isinstance(v, str)]
        first = " ".join(before).casefold()
        if any(map(is_total, before)):
            return None
        if sum(isinstance(v, float) for v in values) * 2 > len(values) and re.search(
            r"\b(?:watts?|w|power|leistung|puissance|potencia|potenza|vermogen)\b", first
        ):
            return row
    return None


def _leave_out(table: FoundTable, row: int, other: LeftOut) -> None:
    cells = [
        v for v in table.sheet.rows[row - 1][table.first_column - 1 : table.last_column] if not is_blank(v)
    ]
    if cells:
        (other.totals if any(isinstance(v, float) for v in cells[1:]) else other.notes).append(row)


def _with(table: FoundTable, columns: dict[str, ColumnUse]) -> FoundTable:
    from dataclasses import replace

    understood = table.understood
    return replace(
        table, understood=Understood(understood.kind, columns, understood.languages, shape=understood.shape)
    )

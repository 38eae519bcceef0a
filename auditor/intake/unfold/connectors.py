"""Ends with their connector in the same cell: `BK-1 / IN`, `+H1-K2:A` are the devices BK-1 and +H1-K2."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from auditor.intake.blocks.tables import TableBlock
from auditor.intake.formats.cells import Value
from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.ports import spelled
from auditor.intake.names.spelling import spelling
from auditor.intake.said import reading
from auditor.intake.words import says
from auditor.job.model import CellRef, Remark

SAMPLE = 12  # rows that are looked at before a table is looked at in full
MOST = 0.8  # share of a column's cells with a connector; project convention
LISTED = 0.6  # share of the devices in front of the connectors that another table lists
FEW = 12  # values of a column that tells kinds of cable apart
_END = re.compile(r"(?P<device>\S.*?)\s*[/:]\s*(?P<connector>[^\s/:][^/:]{0,11})")


@dataclass(frozen=True, slots=True)
class _Ends:
    """The two columns of a table that hold ends with connectors: row -> (device, connector)."""

    near: int
    far: int
    of_near: Mapping[int, tuple[str, str]]
    of_far: Mapping[int, tuple[str, str]]


def connectors_apart(tables: Sequence[TableBlock]) -> tuple[list[TableBlock], list[Remark]]:
    """The tables, each end of a pull without the connector of a device that another table lists."""
    found: list[TableBlock] = []
    said: list[Remark] = []
    for table in tables:
        ends = _ends_of(table)
        names = _names_elsewhere(table, tables) if ends is not None else frozenset()
        if ends is None or not _are_listed(ends, names):
            found.append(table)
            continue
        found.append(_without_connectors(table, ends, names))
        message = "the ends are read without the connectors of the devices behind them"
        where = CellRef(table.sheet.name, table.first_row, ends.near)
        said.append(reading(table.headers.get(ends.near, table.sheet.name), message, where))
    return found, said


def _ends_of(table: TableBlock) -> _Ends | None:
    """The two columns in which most cells end with a connector; None: there are not two."""
    if table.drawing is not None:
        return None
    columns = range(table.first_column, table.last_column + 1)
    sample = range(table.first_row, min(table.last_row, table.first_row + SAMPLE) + 1)
    likely = [c for c in columns if _with_connector(table, c, sample) is not None]
    rows = range(table.first_row, table.last_row + 1)
    found = [(c, own) for c in likely if (own := _with_connector(table, c, rows)) is not None]
    if len(found) != 2:
        return None
    (one, of_one), (other, of_other) = found
    if says(table.headers.get(other, ""), "near") and not says(table.headers.get(one, ""), "near"):
        return _Ends(other, one, of_other, of_one)
    return _Ends(one, other, of_one, of_other)


def _with_connector(table: TableBlock, column: int, rows: Sequence[int]) -> dict[int, tuple[str, str]] | None:
    values = [(row, table.sheet.value(row, column)) for row in rows]
    texts = [(row, words(value)) for row, value in values if isinstance(value, str) and not is_blank(value)]
    split = {row: (m["device"], m["connector"]) for row, text in texts if (m := _END.fullmatch(text))}
    return split if len(texts) > 1 and len(split) >= MOST * len(texts) else None


def _names_elsewhere(table: TableBlock, tables: Sequence[TableBlock]) -> frozenset[str]:
    """The names that stand once each in a column of another table, without their spelling."""
    found: set[str] = set()
    for other in tables:
        if other is table or other.drawing is not None:
            continue
        for column in range(other.first_column, other.last_column + 1):
            values = [other.sheet.value(row, column) for row in range(other.first_row, other.last_row + 1)]
            texts = [words(v) for v in values if isinstance(v, str) and not is_blank(v)]
            if len(texts) > 1 and len(set(texts)) >= 0.95 * len(texts):
                found |= set(map(spelling, texts))
    return frozenset(found)


def _are_listed(ends: _Ends, names: frozenset[str]) -> bool:
    """Whether most devices at the far ends are listed, and the ends as they stand are not."""
    devices = {spelling(device) for device, _ in ends.of_far.values()}
    whole = {spelling(device + connector) for device, connector in ends.of_far.values()}
    return len(devices & names) >= LISTED * len(devices) and len(whole & names) * 2 < len(whole)


def _without_connectors(table: TableBlock, ends: _Ends, names: frozenset[str]) -> TableBlock:
    sources = _sources(table, ends, names)
    rows: list[list[Value]] = [list(cells) for cells in table.sheet.rows]
    for column, own in ((ends.near, ends.of_near), (ends.far, ends.of_far)):
        for row, (device, connector) in own.items():
            if (spelling(device), connector) not in sources:
                rows[row - 1][column - 1] = device
    headers = {
        column: text.partition("/")[0].strip() if column in (ends.near, ends.far) else text
        for column, text in table.headers.items()
    }
    return replace(table, sheet=replace(table.sheet, rows=rows), headers=headers)


def _sources(table: TableBlock, ends: _Ends, names: frozenset[str]) -> set[tuple[str, str]]:
    """The ends that keep their connector, as it is their port: of what is fed by nothing, or by other cables only."""
    fed: dict[str, list[int]] = {}
    for row, (device, _) in ends.of_far.items():
        fed.setdefault(spelling(device), []).append(row)
    of_listed = {connector for device, connector in ends.of_near.values() if spelling(device) in names}
    found = set()
    for row, (device, connector) in ends.of_near.items():
        key = spelling(device)
        is_port = any(option.worded for option in spelled(f"{device} / {connector}"))
        unlisted = key not in names and key not in fed and connector not in of_listed  # else a slip in a tag
        if unlisted or (is_port and _other_cables(table, row, fed.get(key, []), ends)):
            found.add((key, connector))
    return found


def _other_cables(table: TableBlock, row: int, fed: Sequence[int], ends: _Ends) -> bool:
    """Whether a column with few values tells the cable in a row from all those that lead to its device."""
    for column in range(table.first_column, table.last_column + 1):
        if column in (ends.near, ends.far):
            continue
        values = {words(table.sheet.value(r, column)) for r in ends.of_near}
        own = words(table.sheet.value(row, column))
        if len(values) <= FEW and own and own not in {words(table.sheet.value(r, column)) for r in fed}:
            return True
    return not fed

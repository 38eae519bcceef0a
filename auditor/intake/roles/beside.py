"""A list of devices that stands beside the pulls under one row of headings, its rows in an order of their own."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from auditor.intake.blocks.tables import SheetBlocks, TableBlock
from auditor.intake.formats.cells import Value
from auditor.intake.grammar.values import is_blank
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.evidence import by_words, share
from auditor.intake.roles.first_look import may_be_record
from auditor.intake.roles.profiles import ColumnProfile, profiles_of
from auditor.intake.words import candidates

LISTED = 0.5  # share of the tags that must be far ends of the pulls beside them; project convention
OTHER_ROWS = 0.5  # share of the rows in which the tag is none of the row's ends


def list_apart(blocks: SheetBlocks) -> SheetBlocks:
    """A sheet's blocks, a list of devices that stands beside pulls as a table of its own."""
    return replace(blocks, tables=[part for table in blocks.tables for part in _parts(table)])


def _parts(table: TableBlock) -> list[TableBlock]:
    near, far = _plain(table, "near"), _plain(table, "far")
    if near is None or far is None or not _any_tag(table):
        return [table]
    rows = [row for row in range(table.first_row, table.last_row + 1) if may_be_record(table, row)]
    columns = profiles_of([table], [rows])
    ends = sorted((near, far))
    if near not in columns or far not in columns:
        return [table]
    for column, profile in columns.items():
        outside = column < ends[0] or column > ends[1]
        if outside and _lists_others(profile, columns[near], columns[far]):
            first = _first_of_pulls(columns, ends[0]) if column < ends[0] else column
            if first > table.first_column:
                return [_cut(table, table.first_column, first - 1), _cut(table, first, table.last_column)]
    return [table]


def _plain(table: TableBlock, field: str) -> int | None:
    """The one column whose whole heading is a word for this end."""
    found = [
        column
        for column, text in table.headers.items()
        if any(name == field for name, _ in candidates("pulls", text))
    ]
    return found[0] if len(found) == 1 else None


def _any_tag(table: TableBlock) -> bool:
    """Whether a heading is a word for a device's tag."""
    texts = (
        whole
        for column, text in table.headers.items()
        for whole in (text, text.removeprefix(table.groups.get(column, "")).strip())
    )
    return any(name == "tag" for text in texts for name, _ in candidates("devices", text))


def _lists_others(tag: ColumnProfile, near: ColumnProfile, far: ColumnProfile) -> bool:
    """Whether a column names the ends of the pulls beside it, but not each in its own row."""
    if by_words("devices", tag).get("tag", (0.0, ""))[0] < 0.9 or tag.distinct < 1.0:
        return False
    if tag.quantities > 0.5 or share(tag.keys, far.keys) < LISTED:
        return False  # a device is fed by one of the pulls
    rows = [
        (spelling(str(own)), {spelling(str(end)) for end in ends})
        for own, *ends in zip(tag.values, near.values, far.values, strict=True)
        if not is_blank(own) and not all(map(is_blank, ends))
    ]
    return bool(rows) and sum(own not in ends for own, ends in rows) >= OTHER_ROWS * len(rows)


def _first_of_pulls(columns: Mapping[int, ColumnProfile], first_end: int) -> int:
    """The column at which the pulls begin: their number stands before their ends."""
    before = columns.get(first_end - 1)
    return first_end - 1 if before is not None and "id" in by_words("pulls", before) else first_end


def _cut(table: TableBlock, first: int, last: int) -> TableBlock:
    headers = {column: text for column, text in table.headers.items() if first <= column <= last}
    groups = {column: text for column, text in table.groups.items() if first <= column <= last}
    cells = [
        table.sheet.rows[row - 1][first - 1 : last] for row in range(table.first_row, table.last_row + 1)
    ]
    return replace(
        table,
        headers=headers,
        groups=groups,
        first_column=first,
        last_column=last,
        last_row=table.first_row + _last_filled(cells),
    )


def _last_filled(rows: Sequence[Sequence[Value]]) -> int:
    return max((at for at, cells in enumerate(rows) if any(not is_blank(cell) for cell in cells)), default=0)

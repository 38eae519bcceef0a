"""What is written beside a table, as the caller hands it over, and where it goes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from auditor.job.model import Table
from auditor.ooxml.refs import LAST_COLUMN, Area, areas
from auditor.ooxml.rows import SheetPart

OURS = " (audit)"  # behind a heading of ours that the table has too
_FAR_APART = 6  # stacked tables whose places differ by more columns than this are not aligned


@dataclass(frozen=True, slots=True, kw_only=True)
class AddedColumn:
    """One column written beside a table."""

    header: str
    width: float  # in characters of the workbook's default font
    kind: Literal["verdict", "text", "number"]
    number_format: str | None = None  # as a spreadsheet writes it, e.g. `0.0`
    values: Mapping[int, str | float | None]  # sheet row -> value
    links: Mapping[int, str] = field(default_factory=dict)  # sheet row -> place, e.g. `'Audit'!A12`


@dataclass(frozen=True, slots=True, kw_only=True)
class AddedColumns:
    """The columns written beside one table."""

    table: Table
    columns: tuple[AddedColumn, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NotPlaced:
    """A table beside which nothing is written, and why, in one sentence."""

    table: Table
    reason: str


@dataclass(frozen=True, slots=True)
class Placed:
    """Columns with the place found for them."""

    added: AddedColumns
    first: int  # the sheet column of the first one
    heading_lines: float = 1.0  # that the headings take, in lines of the sheet's font

    @property
    def last(self) -> int:
        return self.first + len(self.added.columns) - 1

    @property
    def area(self) -> Area:
        table = self.added.table
        return Area(table.header_row, self.first, table.last_row, self.last)


def place(
    sheet: SheetPart, group: Sequence[AddedColumns], blocked: Sequence[Area], preferred: Mapping[int, int]
) -> list[Placed]:
    """Places for the columns of one sheet's tables, right of everything that stands in their rows.

    Parameters
    ----------
    blocked : areas that must not be entered: merged cells, list objects
    preferred : index in `group` -> the column where an earlier annotation stood; taken when free. Where
        somebody has typed behind it and there are more columns now, those that do not fit any more
        stand apart, beyond

    Returns
    -------
    one place a table or two, in the order of `group`; it may lie beyond the last column of a sheet
    """
    starts = [_first_free(sheet, each, blocked) for each in group]
    starts = _aligned(group, starts)
    placed: list[Placed] = []
    order = sorted(range(len(group)), key=lambda index: (group[index].table.first_column, index))
    found: dict[int, list[Placed]] = {}
    for index in order:
        each, found[index] = Placed(group[index], starts[index]), []
        old, count = preferred.get(index), len(group[index].columns)
        fitting = 0 if old is None else _fitting(sheet, Placed(group[index], old), blocked, placed)
        if old is not None and 2 * fitting >= count:
            found[index].append(Placed(_some(group[index], 0, fitting), old))
            each = Placed(_some(group[index], fitting, count), starts[index])
        placed += found[index]
        while clash := next((other for other in placed if other.area.meets(each.area)), None):
            each = Placed(each.added, clash.last + 2)
        if each.added.columns:
            found[index].append(each)
            placed.append(each)
    return [each for index in range(len(group)) for each in found[index]]


def has_room(placed: Placed) -> bool:
    return placed.last <= LAST_COLUMN


def merged_areas(sheet: SheetPart) -> list[Area]:
    merges = sheet.tree.root.first("mergeCells")
    return (
        [area for node in merges.children for area in areas(node.attributes.get("ref", ""))] if merges else []
    )


def _first_free(sheet: SheetPart, added: AddedColumns, blocked: Sequence[Area]) -> int:
    table = added.table
    last = table.last_column
    for row in sheet.rows:
        if table.header_row <= row.number <= table.last_row:
            last = max(last, (row.extent or sheet.extent(row))[0])
    band = Area(table.header_row, 1, table.last_row, LAST_COLUMN)
    return 1 + max([last, *(area.right for area in blocked if area.meets(band))])


def _aligned(group: Sequence[AddedColumns], starts: list[int]) -> list[int]:
    """Tables that stand one above the other get the same first column unless that is far off."""
    farthest = max(starts, default=0)
    stacked = len(group) > 1 and all(
        one.table.last_row < other.table.header_row or other.table.last_row < one.table.header_row
        for at, one in enumerate(group)
        for other in group[at + 1 :]
    )
    if not stacked:
        return starts
    return [farthest if farthest - start <= _FAR_APART else start for start in starts]


def _some(added: AddedColumns, first: int, end: int) -> AddedColumns:
    return replace(added, columns=added.columns[first:end]) if end - first < len(added.columns) else added


def _fitting(sheet: SheetPart, wanted: Placed, blocked: Sequence[Area], placed: Sequence[Placed]) -> int:
    """How many of the columns find their place free, from the first one on."""
    count = len(wanted.added.columns)
    while count and not _is_free(
        sheet, replace(wanted, added=_some(wanted.added, 0, count)), blocked, placed
    ):
        count -= 1
    return count


def _is_free(sheet: SheetPart, wanted: Placed, blocked: Sequence[Area], placed: Sequence[Placed]) -> bool:
    """Whether nothing that counts stands in the area."""
    area = wanted.area
    if wanted.first <= wanted.added.table.last_column or wanted.last > LAST_COLUMN:
        return False
    if any(area.meets(other) for other in [*blocked, *(each.area for each in placed)]):
        return False
    for row in sheet.rows:
        if not area.top <= row.number <= area.bottom or sheet.extent(row)[0] < area.left:
            continue
        if any(cell.valued and area.left <= cell.column <= area.right for cell in sheet.cells(row)):
            return False
    return True

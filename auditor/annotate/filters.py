"""Filters and list objects (the tables of a spreadsheet program) beside which our columns stand."""

from collections.abc import Sequence
from dataclasses import replace

from auditor.annotate.columns import OURS, AddedColumns, Placed
from auditor.ooxml.list_objects import ListObject
from auditor.ooxml.refs import LAST_COLUMN, Area, area, on_sheet, sheet_areas
from auditor.ooxml.rows import SheetPart
from auditor.ooxml.workbook_part import ListedSheet, WorkbookPart
from auditor.ooxml.xmltree import Edit, append_to, quoted, set_attribute

FILTER_NAME = "_xlnm._FilterDatabase"  # ISO/IEC 29500-1, 18.2.5: the hidden name of a sheet's filter


def blocked_by(objects: Sequence[ListObject], group: Sequence[AddedColumns]) -> list[Area]:
    """Areas to stay out of. A list object that can be widened over our columns ends at its right
    edge; of any other we stay one free column clear."""
    blocked = []
    for each in objects:
        where = each.area
        if not any(can_widen(each, added) for added in group):
            where = Area(where.top, where.left, where.bottom, min(where.right + 1, LAST_COLUMN))
        blocked.append(where)
    return blocked


def told_apart(added: AddedColumns, objects: Sequence[ListObject]) -> AddedColumns:
    """The columns with other headings where a list object has the same ones: it may hold none twice."""
    for each in objects:
        theirs = {name.casefold() for name in each.columns}
        columns = tuple(
            replace(column, header=column.header + OURS)
            if _heading(column.header).casefold() in theirs
            else column
            for column in added.columns
        )
        other = replace(added, columns=columns)
        if not can_widen(each, added) and can_widen(each, other):
            return other
    return added


def can_widen(each: ListObject, added: AddedColumns) -> bool:
    """Whether the list object is the annotated table and can take our headings as its own."""
    table, where = added.table, each.area
    if not each.plain or where.top != table.header_row or where.bottom < table.last_row:
        return False
    if where.left > table.first_column or where.right < table.last_column:
        return False
    names = [_heading(column.header).casefold() for column in added.columns]
    names += [name.casefold() for name in each.columns]
    return len(set(names)) == len(names) and "" not in names


def widening_edits(each: ListObject, placed: Placed) -> list[Edit]:
    """Widen a list object over our columns: range, filter and columns agree with the heading cells."""
    tree, where = each.tree, each.area
    edits = [set_attribute(tree, tree.root, "ref", str(_to(where, placed.last)))]
    own_filter = tree.root.first("autoFilter")
    filtered = area(own_filter.attributes.get("ref", "")) if own_filter else None
    if own_filter is not None and filtered is not None:
        edits.append(set_attribute(tree, own_filter, "ref", str(_to(filtered, placed.last))))
    columns = tree.root.first("tableColumns")
    assert columns is not None
    number = max((node.whole("id", 0) for node in columns.children), default=0)
    written = b""
    for offset, column in enumerate(placed.added.columns, 1):
        opening = f'<{tree.prefix}tableColumn id="{number + offset}" name='.encode()
        written += opening + quoted(_heading(column.header)) + b"/>"
    total = str(len(columns.children) + len(placed.added.columns))
    return [*edits, set_attribute(tree, columns, "count", total), append_to(tree, columns, written)]


def widened(objects: Sequence[ListObject], placed: Placed, sheet: SheetPart) -> ListObject | None:
    """The list object that is to be widened over these columns."""
    for each in objects:
        if placed.first == each.area.right + 1 and can_widen(each, placed.added):
            below = Area(placed.area.bottom + 1, placed.first, each.area.bottom, placed.last)
            if not _anything_in(sheet, below):
                return each
    return None


def widen_filter(book: WorkbookPart, sheet: ListedSheet, part: SheetPart, placed: Placed) -> list[Edit]:
    """Widen the sheet's filter over our columns where it filters the annotated table; the hidden
    name of the filter moves with it."""
    node, table = part.tree.root.first("autoFilter"), placed.added.table
    where = area(node.attributes.get("ref", "")) if node else None
    if node is None or where is None or where.top != table.header_row or where.right != placed.first - 1:
        return []
    new = _to(where, placed.last)
    name = book.name(FILTER_NAME, sheet.index)
    if name is not None and [found for _, found in sheet_areas(name.text)] == [where]:
        book.set_name(FILTER_NAME, sheet.index, on_sheet(sheet.name, new))
    return [set_attribute(part.tree, node, "ref", str(new))]


def _heading(text: str) -> str:
    """A heading as a list object's column holds it: line breaks escaped."""
    return text.replace("\r", "").replace("\n", "_x000a_")


def _to(where: Area, right: int) -> Area:
    return Area(where.top, where.left, where.bottom, right)


def _anything_in(sheet: SheetPart, where: Area) -> bool:
    for row in sheet.rows:
        if where.top <= row.number <= where.bottom and sheet.extent(row)[0] >= where.left:
            return True
    return False

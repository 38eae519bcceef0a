"""Our columns and sheets taken out of an annotated workbook that was edited since.

A spreadsheet program has written every part anew, so nothing can be undone byte for byte. Our
hidden defined names, which it moved along, say where our columns and sheets are now.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from auditor.writeback.columns import AddedColumns
from auditor.writeback.filters import FILTER_NAME, list_objects
from auditor.writeback.package import Package
from auditor.writeback.printing import PRINT_AREA
from auditor.writeback.refs import LAST_COLUMN, LAST_ROW, Area, area, areas, on_sheet, sheet_areas
from auditor.writeback.rows import SheetPart
from auditor.writeback.workbook import CONTENT_TYPES, Book, DefinedName, relationships, relationships_name
from auditor.writeback.xmltree import Edit, Node, Tree, as_utf8, escaped, parse, set_attribute, splice

OUR_NAMES = "_auditor."  # our hidden defined names begin so
_COLUMN = re.compile(r"_auditor\.column\.(\d+)\.\d+")


@dataclass(frozen=True, slots=True)
class Ours:
    """What the hidden names say is ours."""

    sheets: frozenset[str]
    columns: Mapping[str, Sequence[Area]]  # sheet -> one area a column
    groups: Mapping[tuple[str, str], Area]  # sheet and number of the table -> area of all its columns


def name_of_column(group: int, column: int) -> str:
    return f"{OUR_NAMES}column.{group}.{column}"


def name_of_sheet(number: int) -> str:
    return f"{OUR_NAMES}sheet.{number}"


def ours(book: Book) -> Ours:
    sheets: set[str] = set()
    columns: dict[str, list[Area]] = {}
    groups: dict[tuple[str, str], Area] = {}
    for name in book.names:
        if not name.name.startswith(OUR_NAMES):
            continue
        match = _COLUMN.fullmatch(name.name)
        for sheet, where in sheet_areas(name.text):
            if match is None:
                sheets.add(sheet.casefold())
                continue
            columns.setdefault(sheet, []).append(where)
            known = groups.get((sheet, match[1]), where)
            groups[sheet, match[1]] = Area(
                min(known.top, where.top),
                min(known.left, where.left),
                max(known.bottom, where.bottom),
                max(known.right, where.right),
            )
    return Ours(frozenset(sheets), columns, groups)


def former_places(
    sheet: str, group: Sequence[AddedColumns], groups: Mapping[tuple[str, str], Area]
) -> dict[int, int]:
    """Index in `group` -> the first column where an earlier annotation of that table stands."""
    left = sorted((area.left, area.top) for (name, _), area in groups.items() if name == sheet)
    found: dict[int, int] = {}
    for index in sorted(range(len(group)), key=lambda index: group[index].table.first_column):
        table = group[index].table
        rows = range(table.header_row, table.last_row + 1)
        match = next((each for each in left if each[1] in rows and each[0] > table.last_column), None)
        if match is not None:
            found[index] = match[0]
            left.remove(match)
    return found


def remove(package: Package, book: Book, mark: str | None) -> None:
    """Take our columns, sheets, names and mark out of the package."""
    found = ours(book)
    for name, columns in found.columns.items():
        sheet = book.sheet(name)
        if sheet is not None and name.casefold() not in found.sheets and sheet.part in package.members:
            _remove_columns(package, sheet.part, columns)
    gone = [sheet for sheet in book.sheets if sheet.name.casefold() in found.sheets]
    if len(gone) == len(book.sheets):
        gone = []  # a workbook needs a sheet: the estimator has deleted all of their own
    parts = {sheet.part for sheet in gone} | ({mark} if mark else set())
    _remove_calculations(package, book, {sheet.node.attributes.get("sheetId", "") for sheet in gone})
    edits = _workbook_edits(book, found, [sheet.index for sheet in gone])
    package.replace(book.part, splice(book.tree.data, edits))
    _remove_parts(package, book, parts)


def _remove_columns(package: Package, part: str, columns: Sequence[Area]) -> None:
    sheet = SheetPart(package.read(part), part, max(where.bottom for where in columns))
    edits = [*_cells(sheet, columns), *_formats(sheet, columns), *_referring(sheet, "hyperlinks", columns)]
    edits += [*_referring(sheet, "mergeCells", columns), *_widths(sheet, columns)]
    node = sheet.tree.root.first("autoFilter")
    if node is not None and (where := area(node.attributes.get("ref", ""))):
        edits.append(set_attribute(sheet.tree, node, "ref", str(_narrowed(where, columns))))
    for each in list_objects(package, sheet):
        if changes := _list_object(each.tree, each.area, columns):
            package.replace(each.part, splice(each.tree.data, changes))
    package.replace(part, splice(sheet.data, edits))


def _cells(sheet: SheetPart, columns: Sequence[Area]) -> Iterable[Edit]:
    for row in sheet.rows:
        here = [where for where in columns if where.top <= row.number <= where.bottom]
        for cell in sheet.cells(row) if here else ():
            if any(where.left <= cell.column <= where.right for where in here):
                yield cell.start, cell.end, b""


def _formats(sheet: SheetPart, columns: Sequence[Area]) -> Iterable[Edit]:
    for node in sheet.tree.root.all("conditionalFormatting"):
        there = areas(node.attributes.get("sqref", ""))
        left = [where for where in there if not any(ours.holds(where) for ours in columns)]
        if not left:
            yield node.start, node.end, b""
        elif len(left) < len(there):
            yield set_attribute(sheet.tree, node, "sqref", " ".join(map(str, left)))


def _referring(sheet: SheetPart, list_: str, columns: Sequence[Area]) -> list[Edit]:
    """Remove the entries of a list that refer to cells of ours; the list too when nothing is left."""
    node = sheet.tree.root.first(list_)
    children = node.children if node else []
    gone = [
        child
        for child in children
        if (where := area(child.attributes.get("ref", ""))) and any(ours.holds(where) for ours in columns)
    ]
    if node is not None and gone and len(gone) == len(children):
        return [(node.start, node.end, b"")]
    edits: list[Edit] = [(child.start, child.end, b"") for child in gone]
    if node is not None and gone and "count" in node.attributes:
        edits.append(set_attribute(sheet.tree, node, "count", str(len(children) - len(gone))))
    return edits


def _widths(sheet: SheetPart, columns: Sequence[Area]) -> list[Edit]:
    """Our columns get the sheet's default width again."""
    cols = sheet.tree.root.first("cols")
    numbers = {where.left for where in columns}
    edits: list[Edit] = []
    left = False
    for node in cols.children if cols else ():
        pieces = _ranges(int(node.attributes["min"]), int(node.attributes["max"]), numbers)
        left = left or bool(pieces)
        written = []
        for first, last in pieces:
            raw = sheet.tree.raw(node)
            raw = re.sub(rb'(\smin=)["\']\d+["\']', rb'\g<1>"%d"' % first, raw)
            written.append(re.sub(rb'(\smax=)["\']\d+["\']', rb'\g<1>"%d"' % last, raw))
        edits.append((node.start, node.end, b"".join(written)))
    return edits if left or cols is None else [(cols.start, cols.end, b"")]


def _ranges(first: int, last: int, without: set[int]) -> list[tuple[int, int]]:
    found, start = [], first
    for number in sorted(number for number in without if first <= number <= last):
        if start < number:
            found.append((start, number - 1))
        start = number + 1
    return [*found, (start, last)] if start <= last else found


def _narrowed(where: Area, columns: Sequence[Area]) -> Area:
    """A range without those of our columns that are its last ones."""
    ours, right = {each.left for each in columns if each.meets(where)}, where.right
    while right in ours and right > where.left:
        right -= 1
    return Area(where.top, where.left, where.bottom, right)


def _list_object(tree: Tree, where: Area, columns: Sequence[Area]) -> list[Edit]:
    ours = {each.left for each in columns if each.meets(where)}
    node = tree.root.first("tableColumns")
    listed = list(node.all("tableColumn")) if node else []
    gone = [child for at, child in enumerate(listed, where.left) if at in ours]
    narrowed = _narrowed(where, columns)
    if node is None or not gone or where.right - narrowed.right != len(gone):
        return []  # a column of theirs stands between: the range stays, with our headings empty
    edits: list[Edit] = [(child.start, child.end, b"") for child in gone]
    edits.append(set_attribute(tree, node, "count", str(len(listed) - len(gone))))
    edits.append(set_attribute(tree, tree.root, "ref", str(narrowed)))
    own = tree.root.first("autoFilter")
    if own is not None and (filtered := area(own.attributes.get("ref", ""))):
        edits.append(set_attribute(tree, own, "ref", str(_narrowed(filtered, columns))))
    return edits


def _workbook_edits(book: Book, found: Ours, gone: Sequence[int]) -> list[Edit]:
    edits: list[Edit] = [(book.sheets[index].node.start, book.sheets[index].node.end, b"") for index in gone]
    kept = 0
    for name in book.names:
        changes = _name_edits(book, found, gone, name)
        edits += changes
        kept += not any(
            name.node and (start, end) == (name.node.start, name.node.end) for start, end, _ in changes
        )
    listed = book.tree.root.first("definedNames")
    if listed is not None and not kept:
        edits = [edit for edit in edits if not listed.start <= edit[0] < listed.end]
        edits.append((listed.start, listed.end, b""))
    views = book.tree.root.first("bookViews")
    for view in views.children if views and gone else ():
        for attribute in ("activeTab", "firstSheet"):
            if attribute in view.attributes:
                index = int(view.attributes[attribute])
                new = 0 if index in gone else index - sum(each < index for each in gone)
                edits.append(set_attribute(book.tree, view, attribute, str(new)))
    return edits


def _name_edits(book: Book, found: Ours, gone: Sequence[int], name: DefinedName) -> list[Edit]:
    assert name.node is not None
    if name.name.startswith(OUR_NAMES) or name.local in gone:
        return [(name.node.start, name.node.end, b"")]
    edits: list[Edit] = []
    if name.local is not None and gone:
        index = name.local - sum(each < name.local for each in gone)
        edits.append(set_attribute(book.tree, name.node, "localSheetId", str(index)))
    if name.name in (PRINT_AREA, FILTER_NAME):
        there = list(sheet_areas(name.text))
        narrowed = [(sheet, _narrowed(where, found.columns.get(sheet, ()))) for sheet, where in there]
        if narrowed != there:
            text = ",".join(on_sheet(sheet, where) for sheet, where in narrowed)
            edits.append((name.node.inner, name.node.close, escaped(text).encode()))
    elif any(sheet.casefold() in found.sheets for sheet, _ in sheet_areas(name.text)):
        edits.append((name.node.inner, name.node.close, b"#REF!"))
    return edits


def _remove_calculations(package: Package, book: Book, sheet_ids: set[str]) -> None:
    """The calculation chain must not name cells of sheets that are gone; a spreadsheet program
    makes a new chain when there is none."""
    part = book.related("calcChain")
    if part is None or not sheet_ids:
        return
    tree, sheet, edits = book.part_tree(part), "", []
    for node in tree.root.children:
        sheet = node.attributes.get("i", sheet)
        if sheet in sheet_ids:
            edits.append((node.start, node.end, b""))
        elif edits and "i" not in node.attributes:
            edits.append(set_attribute(tree, node, "i", sheet))
    package.replace(part, splice(tree.data, edits))


def _remove_parts(package: Package, book: Book, parts: set[str]) -> None:
    """Remove parts of the workbook, and what only they relate to."""
    before = _reachable(package, "", set())
    name = package.find(relationships_name(book.part))
    assert name is not None
    tree = parse(as_utf8(package.read(name), name), name)
    ids = {each.id for each in book.relationships if not each.external and each.target in parts}
    nodes = [node for node in tree.root.children if node.attributes.get("Id") in ids]
    package.replace(name, splice(tree.data, _without(nodes)))
    gone = before - _reachable(package, "", set())
    for part in gone:
        package.remove(part)
        related = package.find(relationships_name(part))
        if related:
            package.remove(related)
    types = package.find(CONTENT_TYPES)
    assert types is not None
    tree = parse(as_utf8(package.read(types), types), types)
    folded = {part.lower() for part in gone}
    nodes = [
        node
        for node in tree.root.children
        if node.attributes.get("PartName", "/").replace("\\", "/")[1:].lower() in folded
    ]
    if nodes:
        package.replace(types, splice(tree.data, _without(nodes)))


def _without(nodes: Iterable[Node]) -> list[Edit]:
    return [(node.start, node.end, b"") for node in nodes]


def _reachable(package: Package, part: str, found: set[str]) -> set[str]:
    for each in relationships(package, part):
        if not each.external and each.target in package.members and each.target not in found:
            found.add(each.target)
            _reachable(package, each.target, found)
    return found


WHOLE_SHEET = Area(1, 1, LAST_ROW, LAST_COLUMN)

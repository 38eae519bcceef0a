"""Our columns and sheets taken out of an annotated workbook that was edited since.

A spreadsheet program has written every part anew, so nothing can be undone byte for byte; `our_columns` says
where our columns and sheets are now.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from auditor.annotate.cells import TALLEST, lines_of
from auditor.annotate.filters import FILTER_NAME
from auditor.annotate.headings import heading_lines
from auditor.annotate.marks import Mark
from auditor.annotate.our_columns import OUR_NAMES, Ours
from auditor.annotate.printing import PRINT_AREA
from auditor.ooxml.list_objects import ListObject, list_objects
from auditor.ooxml.package import Package
from auditor.ooxml.refs import LAST_COLUMN, Area, area, areas, letters, on_sheet, sheet_areas
from auditor.ooxml.relationships import relationships, relationships_name
from auditor.ooxml.rows import SheetPart
from auditor.ooxml.texts import Texts
from auditor.ooxml.workbook_part import CONTENT_TYPES, DefinedName, ListedSheet, WorkbookPart
from auditor.ooxml.xmltree import Edit, Node, Tree, escaped, set_attribute, splice

_SAME_HEIGHT = 0.01  # points
_HIDDEN = re.compile(rb"""\shidden=["'](?:1|true)["']""")


def remove(package: Package, book: WorkbookPart, mark: Mark | None, found: Ours) -> Ours:
    """Take our columns, sheets, names and mark out of the package; gives what was taken for ours.

    Parameters
    ----------
    found : what is ours
    """
    for name, columns in found.columns.items():
        sheet = book.sheet(name)
        if columns and sheet is not None and _remove_columns(package, book, sheet, columns, found):
            shown = (
                f"A filter on an added column of '{name}' was taken out with it; its hidden rows are shown."
            )
            found = replace(found, kept=(*found.kept, shown))
    gone = [sheet for sheet in book.sheets if sheet.name.casefold() in found.sheets]
    if len(gone) == len(book.sheets):
        gone = []  # a workbook needs a sheet: the estimator has deleted all of their own
    parts = {sheet.part for sheet in gone} | ({mark.part} if mark else set())
    _remove_calculations(package, book, {sheet.node.attributes.get("sheetId", "") for sheet in gone})
    edits = _workbook_edits(book, found, [sheet.index for sheet in gone])
    package.replace(book.part, splice(book.tree.data, edits))
    _remove_parts(package, book, parts)
    return found


def _remove_columns(
    package: Package, book: WorkbookPart, listed: ListedSheet, columns: Sequence[Area], found: Ours
) -> bool:
    """Gives whether a filter went with them."""
    part, texts = listed.part, Texts(book)
    sheet = SheetPart(package.read(part), part, max(where.bottom for where in columns))
    named, shown = dict[int, bytes](), list[Area]()
    for each in list_objects(package, sheet):
        changes, names = _list_object(each, columns)
        named |= names
        if changes:
            changes += _filter(each.tree, columns, shown)
            package.replace(each.part, splice(each.tree.data, changes))
    edits = [*_cells(sheet, columns, named), *_formats(sheet, columns)]
    edits += [*_referring(sheet, "hyperlinks", columns, lambda link: _left_behind(link, listed, found))]
    edits += _referring(sheet, "mergeCells", columns)
    edits += _lowered(sheet, texts, columns)
    edits += [*_widths(sheet, columns), *_filter(sheet.tree, columns, shown), *_unhidden(sheet, shown)]
    package.replace(part, splice(sheet.data, edits))
    return bool(shown)


def _lowered(sheet: SheetPart, texts: Texts, columns: Sequence[Area]) -> Iterator[Edit]:
    """Rows that are as tall as our texts needed them are fitted anew to what is left in them. Some
    programs write a height that was fitted as one that was set: it is ours where it is exactly ours."""
    cols = sheet.tree.root.first("cols")
    widths = {
        each: node.figure("width", 0.0)
        for node in (cols.children if cols else ())
        for each in range(node.whole("min"), min(node.whole("max"), LAST_COLUMN) + 1)
    }
    for row in sheet.rows:
        if not (height := sheet.height(row)):
            continue
        here = {
            where.left: row.number == where.top
            for where in columns
            if where.top <= row.number <= where.bottom
        }
        lines = [1]
        for cell in sheet.cells(row) if here else ():
            width = widths.get(cell.column, 0)
            if cell.column in here and width and texts.is_text(sheet, cell):
                text = texts.of(sheet, cell)
                lines.append(heading_lines(text, width, 1.0) if here[cell.column] else lines_of(text, width))
        ours = min(max(lines) * sheet.line_height, TALLEST)
        if max(lines) > 1 and (sheet.own_height(row) is None or abs(height - ours) < _SAME_HEIGHT):
            yield from sheet.unset_height(row)


def _filter(tree: Tree, columns: Sequence[Area], shown: list[Area]) -> list[Edit]:
    """Narrow a filter; what it asks of a column of ours goes, and an order by one. `shown` gets the
    range whose rows nothing hides any more."""
    node = tree.root.first("autoFilter")
    where = area(node.attributes.get("ref", "")) if node else None
    if node is None or where is None:
        return []
    ours, narrowed = {each.left for each in columns if each.meets(where)}, _narrowed(where, columns)
    asked = list(node.all("filterColumn"))
    gone = [each for each in asked if where.left + each.whole("colId", 0) in ours]
    sorts = [*node.all("sortState"), *tree.root.all("sortState")]
    ordered = [each for each in sorts if _orders_by(each, columns)]
    edits = [(each.start, each.end, b"") for each in (*gone, *ordered)]
    if gone and len(gone) == len(asked):
        shown.append(where)
    return [*edits, set_attribute(tree, node, "ref", str(narrowed))]


def _orders_by(node: Node, columns: Sequence[Area]) -> bool:
    found = [area(each.attributes.get("ref", "")) for each in (node, *node.children)]
    return any(each.meets(where) for each in columns for where in found if where)


def _unhidden(sheet: SheetPart, shown: Sequence[Area]) -> Iterable[Edit]:
    for row in sheet.rows:
        if any(where.top < row.number <= where.bottom for where in shown):
            hidden = _HIDDEN.search(sheet.data, row.start, row.inner)
            if hidden:
                yield hidden.start(), hidden.end(), b""


def _cells(sheet: SheetPart, columns: Sequence[Area], named: Mapping[int, bytes]) -> Iterable[Edit]:
    """`named`: column -> the heading that must stand in the place of ours."""
    tag = sheet.prefix
    for row in sheet.rows:
        here = [where for where in columns if where.top <= row.number <= where.bottom]
        for cell in sheet.cells(row) if here else ():
            ours = next((where for where in here if where.left <= cell.column <= where.right), None)
            if ours is None:
                continue
            heading = named.get(cell.column) if row.number == ours.top else None
            place = f'{letters(cell.column)}{row.number}" s="{cell.style}'.encode()
            yield (
                cell.start,
                cell.end,
                b""
                if heading is None
                else b'<%bc r="%b" t="inlineStr"><%bis><%bt>%b</%bt></%bis></%bc>'
                % (tag, place, tag, tag, heading, tag, tag, tag),
            )


def _formats(sheet: SheetPart, columns: Sequence[Area]) -> Iterable[Edit]:
    for node in sheet.tree.root.all("conditionalFormatting"):
        there = areas(node.attributes.get("sqref", ""))
        left = [where for where in there if not any(_in_column(where, ours) for ours in columns)]
        if not left:
            yield node.start, node.end, b""
        elif len(left) < len(there):
            yield set_attribute(sheet.tree, node, "sqref", " ".join(map(str, left)))


def _in_column(where: Area, ours: Area) -> bool:
    """Whether a range belongs to a column of ours; it need not end where the column now ends."""
    return ours.left <= where.left and where.right <= ours.right and ours.meets(where)


def _left_behind(link: Node, sheet: ListedSheet, found: Ours) -> bool:
    """Whether a link of ours to a sheet of ours did not go along with its cell."""
    where = area(link.attributes.get("ref", ""))
    to = {name.casefold() for name, _ in sheet_areas(link.attributes.get("location", ""))}
    marked = found.marked.get(sheet.name, ())
    return where is not None and bool(to & found.sheets) and any(each.holds(where) for each in marked)


def _referring(
    sheet: SheetPart,
    list_: str,
    columns: Sequence[Area],
    also: Callable[[Node], bool] = lambda _: False,
) -> list[Edit]:
    """Remove the entries of a list that refer to cells of ours; the list too when nothing is left."""
    node = sheet.tree.root.first(list_)
    children = node.children if node else []
    gone = [
        child
        for child in children
        if also(child)
        or ((where := area(child.attributes.get("ref", ""))) and any(ours.holds(where) for ours in columns))
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
        pieces = _ranges(node.whole("min"), node.whole("max"), numbers)
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


def _list_object(each: ListObject, columns: Sequence[Area]) -> tuple[list[Edit], dict[int, bytes]]:
    """Narrow a list object. A column of ours that has one of theirs at its right stays in it, empty,
    named as the common programs name a column without a heading; gives these names too."""
    tree, where = each.tree, each.area
    ours = {column.left for column in columns if column.meets(where)}
    node = tree.root.first("tableColumns")
    listed = dict(enumerate(node.all("tableColumn") if node else (), where.left))
    if node is None or not ours & listed.keys():
        return [], {}
    narrowed = _narrowed(where, columns)
    names, edits = dict[int, bytes](), list[Edit]()
    taken = {name.casefold() for name in each.columns}
    for column in sorted(ours & listed.keys()):
        child = listed[column]
        if column > narrowed.right:
            edits.append((child.start, child.end, b""))
            continue
        name = next(n for number in range(1, 20000) if (n := f"Column{number}").casefold() not in taken)
        taken.add(name.casefold())
        names[column] = name.encode()
        edits.append(set_attribute(tree, child, "name", name))
    edits.append(set_attribute(tree, node, "count", str(narrowed.right - where.left + 1)))
    edits.append(set_attribute(tree, tree.root, "ref", str(narrowed)))
    return edits, names


def _workbook_edits(book: WorkbookPart, found: Ours, gone: Sequence[int]) -> list[Edit]:
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
                index = view.whole(attribute)
                new = 0 if index in gone else index - sum(each < index for each in gone)
                edits.append(set_attribute(book.tree, view, attribute, str(new)))
    return edits


def _name_edits(book: WorkbookPart, found: Ours, gone: Sequence[int], name: DefinedName) -> list[Edit]:
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


def _remove_calculations(package: Package, book: WorkbookPart, sheet_ids: set[str]) -> None:
    """The calculation chain must not name cells of sheets that are gone; a spreadsheet program
    makes a new chain when there is none."""
    part = book.related("calcChain")
    if part is None or not sheet_ids:
        return
    tree, sheet, edits = book.package.tree(part), "", []
    for node in tree.root.children:
        sheet = node.attributes.get("i", sheet)
        if sheet in sheet_ids:
            edits.append((node.start, node.end, b""))
        elif edits and "i" not in node.attributes:
            edits.append(set_attribute(tree, node, "i", sheet))
    package.replace(part, splice(tree.data, edits))


def _remove_parts(package: Package, book: WorkbookPart, parts: set[str]) -> None:
    """Remove parts that the workbook or the package relates to, and what only they relate to."""
    before = _reachable(package, "", set())
    if package.find(relationships_name(book.part)) is None:  # nothing is known to belong to the workbook
        return
    for source in (book.part, ""):
        _unrelate(package, source, parts)
    gone = before - _reachable(package, "", set())
    for part in set(gone):
        package.remove(part)
        related = package.find(relationships_name(part))
        if related:
            package.remove(related)
            gone.add(related)  # some programs list these too among the content types
    types = package.find(CONTENT_TYPES)
    assert types is not None
    tree = package.tree(types)
    folded = {part.lower() for part in gone}
    nodes = [
        node
        for node in tree.root.children
        if node.attributes.get("PartName", "/").replace("\\", "/")[1:].lower() in folded
    ]
    if nodes:
        package.replace(types, splice(tree.data, _without(nodes)))


def _unrelate(package: Package, source: str, parts: set[str]) -> None:
    ids = {each.id for each in relationships(package, source) if not each.external and each.target in parts}
    name = package.find(relationships_name(source))
    if name is not None and ids:
        tree = package.tree(name)
        nodes = [node for node in tree.root.children if node.attributes.get("Id") in ids]
        package.replace(name, splice(tree.data, _without(nodes)))


def _without(nodes: Iterable[Node]) -> list[Edit]:
    return [(node.start, node.end, b"") for node in nodes]


def _reachable(package: Package, part: str, found: set[str]) -> set[str]:
    for each in relationships(package, part):
        if not each.external and each.target in package.members and each.target not in found:
            found.add(each.target)
            _reachable(package, each.target, found)
    return found

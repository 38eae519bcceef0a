"""Compares the package of an annotated workbook with that of the original, part by part.

`lost(before, after, ...)` lists every difference that is not an addition of ours. It is written from
the standard, not from the code under test.
"""

import io
import itertools
import posixpath
import struct
import zipfile
from collections.abc import Iterable, Iterator

from lxml import etree

from auditor.job.model import Table


def words(text: str) -> list[str]:
    return text.split()


# ISO/IEC 29500-1:2016, annex A.2 (sml.xsd): the xsd:sequence of CT_Worksheet, CT_Workbook, CT_Stylesheet
# and CT_SheetPr.
WORKSHEET = words("""sheetPr dimension sheetViews sheetFormatPr cols sheetData sheetCalcPr sheetProtection
    protectedRanges scenarios autoFilter sortState dataConsolidate customSheetViews mergeCells phoneticPr
    conditionalFormatting dataValidations hyperlinks printOptions pageMargins pageSetup headerFooter
    rowBreaks colBreaks customProperties cellWatches ignoredErrors smartTags drawing legacyDrawing
    legacyDrawingHF drawingHF picture oleObjects controls webPublishItems tableParts extLst""")
WORKBOOK = words("""fileVersion fileSharing workbookPr workbookProtection bookViews sheets functionGroups
    externalReferences definedNames calcPr oleSize customWorkbookViews pivotCaches smartTagPr
    smartTagTypes webPublishing fileRecoveryPr webPublishObjects extLst""")
STYLESHEET = words(
    "numFmts fonts fills borders cellStyleXfs cellXfs cellStyles dxfs tableStyles colors extLst"
)
SHEET_PROPERTIES = words("tabColor outlinePr pageSetUpPr")
ORDERS = {"worksheet": WORKSHEET, "workbook": WORKBOOK, "styleSheet": STYLESHEET, "sheetPr": SHEET_PROPERTIES}
PARSER = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False)


def local(element: etree._Element) -> str:
    return etree.QName(element).localname


def children(element: etree._Element) -> list[etree._Element]:
    return [child for child in element if isinstance(child.tag, str)]


def canonical(element: etree._Element) -> bytes:
    return etree.tostring(element, method="c14n", exclusive=True, with_tail=False)


def tree(data: bytes) -> etree._Element:
    return etree.fromstring(data, PARSER)


def parts(data: bytes) -> dict[str, tuple[bytes, bytes]]:
    """Part -> content, compressed content."""
    archive, found = zipfile.ZipFile(io.BytesIO(data)), {}
    for info in archive.infolist():
        name_size, extra_size = struct.unpack_from("<2H", data, info.header_offset + 26)
        start = info.header_offset + 30 + name_size + extra_size
        found[info.orig_filename] = archive.read(info), data[start : start + info.compress_size]
    return found


def sheet_part(data: bytes, name: str) -> str:
    archive = zipfile.ZipFile(io.BytesIO(data))
    book = tree(archive.read("xl/workbook.xml"))
    rels = tree(archive.read("xl/_rels/workbook.xml.rels"))
    targets = {each.get("Id"): each.get("Target") for each in rels}
    for sheet in book.iter("{*}sheet"):
        if sheet.get("name") == name:
            relation = next(value for key, value in sheet.attrib.items() if key.endswith("}id"))
            return posixpath.normpath(posixpath.join("/xl", targets[relation])).lstrip("/")
    raise KeyError(name)


def lost(
    before: bytes,
    after: bytes,
    tables: Iterable[Table],
    first: dict[str, int],
    list_objects: Iterable[str] = (),
) -> list[str]:
    """Everything of the original that the annotated copy does not have as it was.

    Parameters
    ----------
    tables : the annotated tables
    first : sheet -> first column of ours; everything from there on in a table's rows may be ours
    list_objects : parts of list objects that may be widened
    """
    old, new = parts(before), parts(after)
    sheets = {sheet_part(before, name): name for name in first}
    checks = {
        "xl/workbook.xml": _workbook,
        "xl/styles.xml": _styles,
        "xl/_rels/workbook.xml.rels": _appended,
        "[Content_Types].xml": _appended,
    } | dict.fromkeys(list_objects, _list_object)
    found = []
    if list(new)[: len(old)] != list(old):
        found.append("the order of the parts")
    for name, (content, packed) in old.items():
        if name not in new:
            found.append(f"{name} is gone")
        elif name in sheets:
            mine = [table for table in tables if table.sheet == sheets[name]]
            found += [
                f"{name}: {each}"
                for each in _sheet(tree(content), tree(new[name][0]), mine, first[sheets[name]])
            ]
        elif name in checks:
            found += [f"{name}: {each}" for each in checks[name](tree(content), tree(new[name][0]))]
        elif (content, packed) != new[name]:
            found.append(f"{name} is not the same bytes")
    return found


def out_of_order(data: bytes) -> list[str]:
    """Elements that do not stand in the order of the standard, and counts that are not right."""
    found = []
    for name, (content, _) in parts(data).items():
        if not name.endswith((".xml", ".rels")):
            continue
        root = tree(content)
        for element in [root, *root.iter("{*}sheetPr")]:
            names = [local(child) for child in children(element)]
            order = ORDERS.get(local(element), [])
            ranks = [order.index(each) for each in names if each in order]
            if ranks != sorted(ranks):
                found.append(f"{name}: {names}")
        if local(root) in ("worksheet", "styleSheet", "table"):
            found += [f"{name}: {each}" for each in _wrong_numbers(root)]
    return found


def _wrong_numbers(root: etree._Element) -> Iterator[str]:
    for element in children(root):
        if (
            element.get("count")
            and local(element) != "sst"
            and int(element.get("count")) != len(children(element))
        ):
            yield f"count of {local(element)}"
    previous_row = 0
    for row in root.iterfind("{*}sheetData/{*}row"):
        number = int(row.get("r", previous_row + 1))
        if number <= previous_row:
            yield f"row {number} after row {previous_row}"
        previous_row, columns = number, [_column(cell) for cell in children(row) if cell.get("r")]
        if columns != sorted(set(columns)):
            yield f"cells of row {number}: {columns}"
        if (spans := row.get("spans")) and columns and int(spans.split(":")[1]) < columns[-1]:
            yield f"spans of row {number}"
    ends = [(int(col.get("min")), int(col.get("max"))) for col in root.iterfind("{*}cols/{*}col")]
    if any(one[1] >= other[0] for one, other in itertools.pairwise(ends)):
        yield f"columns overlap: {ends}"


def _column(cell: etree._Element) -> int:
    number = 0
    for letter in cell.get("r", "").rstrip("0123456789"):
        number = number * 26 + ord(letter) - 64
    return number


def _appended(old: etree._Element, new: etree._Element) -> Iterator[str]:
    there = {canonical(child) for child in children(new)}
    yield from (f"lost {canonical(child)!r}" for child in children(old) if canonical(child) not in there)


def _prefix(old: etree._Element, new: etree._Element) -> Iterator[str]:
    """The old children are the first of the new ones."""
    mine, theirs = [list(map(canonical, children(each))) for each in (old, new)]
    if theirs[: len(mine)] != mine:
        yield f"{local(old)} changed"


def _by_name(element: etree._Element) -> dict[str, list[etree._Element]]:
    found: dict[str, list[etree._Element]] = {}
    for child in children(element):
        found.setdefault(local(child), []).append(child)
    return found


def _styles(old: etree._Element, new: etree._Element) -> Iterator[str]:
    mine, theirs = _by_name(old), _by_name(new)
    for name, (element,) in mine.items():
        if name not in theirs:
            yield f"{name} is gone"
        else:
            yield from _prefix(element, theirs[name][0])


def _workbook(old: etree._Element, new: etree._Element) -> Iterator[str]:
    mine, theirs = _by_name(old), _by_name(new)
    for name, elements in mine.items():
        if name == "sheets":
            yield from _prefix(elements[0], theirs[name][0])
        elif name == "definedNames":
            there = {(each.get("name"), each.get("localSheetId")): each for each in theirs[name][0]}
            for each in elements[0]:
                other = there.get((each.get("name"), each.get("localSheetId")))
                widened = each.get("name") in ("_xlnm.Print_Area", "_xlnm._FilterDatabase")
                titles = each.get("name") == "_xlnm.Print_Titles"  # columns may come before its rows
                kept = other is not None and other.text == each.text
                kept = kept or (titles and other is not None and other.text.endswith(f",{each.text}"))
                if not kept and (other is None or not widened):
                    yield f"name {each.get('name')}"
        elif list(map(canonical, elements)) != list(map(canonical, theirs.get(name, []))):
            yield f"{name} changed"


def _list_object(old: etree._Element, new: etree._Element) -> Iterator[str]:
    mine, theirs = _by_name(old), _by_name(new)
    for name, elements in mine.items():
        if name == "tableColumns":
            yield from _prefix(elements[0], theirs[name][0])
        elif name != "autoFilter" and list(map(canonical, elements)) != list(
            map(canonical, theirs.get(name, []))
        ):
            yield f"{name} changed"


def _sheet(old: etree._Element, new: etree._Element, tables: list[Table], first: int) -> Iterator[str]:
    mine, theirs = _by_name(old), _by_name(new)
    for name, elements in mine.items():
        others = theirs.get(name, [])
        if name == "sheetData":
            yield from _rows(elements[0], others[0], tables, first)
        elif name == "cols":
            yield from _widths(elements[0], others[0], first)
        elif name == "conditionalFormatting":
            if list(map(canonical, others))[: len(elements)] != list(map(canonical, elements)):
                yield "conditionalFormatting changed"
        elif name == "sheetPr":
            silent = [
                each for each in children(elements[0]) if local(each) == "pageSetUpPr" and not each.attrib
            ]
            for each in silent:  # as good as none: it says nothing
                elements[0].remove(each)
            yield from _prefix(elements[0], others[0])
        elif name in ("hyperlinks", "autoFilter"):
            yield from _prefix(elements[0], others[0])
        elif name != "dimension" and list(map(canonical, elements)) != list(map(canonical, others)):
            yield f"{name} changed"


def _widths(old: etree._Element, new: etree._Element, first: int) -> Iterator[str]:
    """Column -> attributes must be equal left of ours, and behind them at the far right."""
    mine, theirs = _by_column(old), _by_column(new)
    for column in [*range(1, first), 16384]:
        if mine.get(column) != theirs.get(column):
            yield f"width of column {column}"


def _by_column(cols: etree._Element) -> dict[int, dict[str, str]]:
    found = {}
    for col in children(cols):
        rest = {name: value for name, value in col.attrib.items() if name not in ("min", "max")}
        ends = int(col.get("min")), int(col.get("max"))
        found |= dict.fromkeys((*range(ends[0], min(ends[1], 200) + 1), ends[1]), rest)
    return found


def _cells(data: etree._Element) -> Iterator[tuple[etree._Element, int, list[tuple[int, etree._Element]]]]:
    row_number = 0
    for row in data.iterfind("{*}row"):
        row_number = int(row.get("r", row_number + 1))
        column, found = 0, []
        for cell in row.iterfind("{*}c"):
            column = _column(cell) if cell.get("r") else column + 1
            found.append((column, cell))
        yield row, row_number, found


def _rows(old: etree._Element, new: etree._Element, tables: list[Table], first: int) -> Iterator[str]:
    theirs = {number: (row, dict(cells)) for row, number, cells in _cells(new)}
    changing = {"spans", "ht"}
    for row, number, cells in _cells(old):
        if number not in theirs:
            yield f"row {number} is gone"
            continue
        other, there = theirs[number]
        if {k: v for k, v in row.items() if k not in changing} != {
            k: v for k, v in other.items() if k not in changing
        }:
            yield f"attributes of row {number}"
        in_table = any(table.header_row <= number <= table.last_row for table in tables)
        for column, cell in cells:
            ours = in_table and column >= first and not children(cell)  # only styled: may be ours now
            if not ours and (column not in there or canonical(cell) != canonical(there[column])):
                yield f"cell {number},{column}"

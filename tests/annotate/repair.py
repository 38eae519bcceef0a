"""What makes the common spreadsheet programs offer to repair a workbook: `faults(data)` lists it.

Written from the standard, not from the code under test, and on lxml alone. Every check has its source
beside it. «29500» is ISO/IEC 29500-1:2016, its schemas are annex A; «OPC» is ISO/IEC 29500-2; «limits»
is Microsoft's published page «Excel specifications and limits»; «MS-OI29500» are its published
notes on the standard. The numbers of sections and the limits were typed from memory; the tests of
this module hold what each check finds, and that it is silent on what XlsxWriter and openpyxl write.
"""

import io
import posixpath
import re
import zipfile
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from functools import cached_property
from urllib.parse import unquote

from lxml import etree

from tests.annotate.compare import PARSER, children, local, out_of_order

Element = etree._Element
Box = tuple[int, int, int, int]  # top, left, bottom, right

LAST_ROW, LAST_COLUMN = 1_048_576, 16_384  # limits: rows and columns of a worksheet
LONGEST_TEXT = 32_767  # limits: characters that a cell can contain
MOST_LINKS = 65_530  # limits: hyperlinks in a worksheet
MOST_FORMATS = 65_490  # limits: unique cell formats
LONGEST_LOCATION = 2_079  # the longest link that the common programs take
LONGEST_NAME = 255  # limits: length of a defined name
LONGEST_FORMULA = 8_192  # limits: length of formula contents
WIDEST, HIGHEST = 255, 409.5  # limits: column width in characters, row height in points
_CELL = re.compile(r"\$?([A-Z]{1,3})\$?([1-9]\d*)")
_ILLEGAL_NAME = re.compile(r"[\[\]:*?/\\]")
# 29500, 18.2.5 and 18.17.2.5: letter, underscore or backslash, then letters, digits, full stops
_DEFINED_NAME = re.compile(r"[^\W\d]|[\\_]", re.UNICODE)
_NAME_REST = re.compile(r"[\w.?\\]*", re.UNICODE)
_LOOKS_LIKE_CELL = re.compile(r"(?i)(\$?[a-z]{1,3}\$?\d+|r\d*c\d*|[rc])")
_QUALIFIED = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
_STRICT = "{http://purl.oclc.org/ooxml/officeDocument/relationships}"


def faults(data: bytes) -> list[str]:
    """Everything that is wrong, each with the part it is in; empty for a sound workbook."""
    workbook = _Workbook(data)
    for check in (workbook.unreadable, workbook.relations):
        if found := list(check()):  # what follows cannot be looked at
            return found
    return [*workbook.faults(), *out_of_order(data)]


def column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number


def box(text: str) -> Box | None:
    """`B2`, `B2:C9`, `B:C` or `2:9` in a sheet's limits, corners in order; else None."""
    first, _, last = text.replace("$", "").partition(":")
    ends = []
    for end, whole in ((first, (1, 1)), (last or first, (LAST_ROW, LAST_COLUMN))):
        match = re.fullmatch(r"([A-Z]{1,3})?([1-9]\d*)?", end)
        if match is None or not end or (not last and not (match[1] and match[2])):
            return None
        ends += [int(match[2] or whole[0]), column(match[1]) if match[1] else whole[1]]
    top, left, bottom, right = ends
    return (top, left, bottom, right) if top <= bottom <= LAST_ROW and left <= right <= LAST_COLUMN else None


def overlapping(boxes: Iterable[Box]) -> bool:
    there = list(boxes)
    return any(
        one[0] <= other[2] and other[0] <= one[2] and one[1] <= other[3] and other[1] <= one[3]
        for at, one in enumerate(there)
        for other in there[at + 1 :]
    )


class _Workbook:
    def __init__(self, data: bytes) -> None:
        self.archive = zipfile.ZipFile(io.BytesIO(data))
        self.names = [info.orig_filename for info in self.archive.infolist()]

    def faults(self) -> Iterator[str]:
        yield from self._book()
        yield from self._styles()
        for name, part in self.sheets:
            for said in self._sheet(part):
                yield f"{name}: {said}"
        yield from self._tables()

    @cached_property
    def _trees(self) -> dict[str, Element]:
        return {}

    def tree(self, part: str) -> Element:
        if part not in self._trees:
            self._trees[part] = etree.fromstring(self.archive.read(part), PARSER)
        return self._trees[part]

    def related(self, part: str) -> dict[str, tuple[str, str | None]]:
        """Id -> last segment of the type, part (None: outside the package)."""
        folder, name = posixpath.split(part)
        rels = posixpath.join(folder, "_rels", name + ".rels")
        found = {}
        for each in self.tree(rels) if rels in self.names else ():
            target = None
            if each.get("TargetMode") != "External":
                path = posixpath.join("/", folder, unquote(each.get("Target").partition("#")[0]))
                target = posixpath.normpath(path).lstrip("/")
            found[each.get("Id")] = each.get("Type").rpartition("/")[2], target
        return found

    @cached_property
    def main(self) -> str:
        return next(part for kind, part in self.related("").values() if kind == "officeDocument" and part)

    @cached_property
    def sheets(self) -> list[tuple[str, str]]:
        """Name and part of the worksheets."""
        related, found = self.related(self.main), []
        for sheet in self.tree(self.main).iterfind("{*}sheets/{*}sheet"):
            kind, part = related.get(_id(sheet), ("", None))
            if kind == "worksheet" and part in self.names:
                found.append((sheet.get("name"), part))
        return found

    def type_of(self, part: str) -> str | None:
        """OPC, 10.1.2: overrides first, then the extension's default; names without case."""
        for each in self.tree("[Content_Types].xml").iterfind("{*}Override"):
            if each.get("PartName").lower() == f"/{part}".lower():
                return each.get("ContentType")
        extension = part.rpartition(".")[2].lower()
        for each in self.tree("[Content_Types].xml").iterfind("{*}Default"):
            if each.get("Extension").lower() == extension:
                return each.get("ContentType")
        return None

    def unreadable(self) -> Iterator[str]:
        # OPC, 6.2.2.2: part names are unique without regard to case
        yield from (f"part {n} twice" for n, k in Counter(map(str.lower, self.names)).items() if k > 1)
        if self.archive.testzip():
            yield "a member's check sum"
        # XML 1.0: well-formed, and only characters of production 2; OPC, 9.1.4: no document type
        for name in self.names:
            if not name.lower().endswith((".xml", ".rels", ".vml")):
                continue
            try:
                if self.tree(name).getroottree().docinfo.doctype:
                    yield f"{name}: a document type"
            except etree.XMLSyntaxError as fault:
                yield f"{name}: {fault.msg}"

    def relations(self) -> Iterator[str]:
        # OPC, 10.1.2: each part has a content type, one
        overrides = Counter(
            e.get("PartName").lower() for e in self.tree("[Content_Types].xml") if e.get("PartName")
        )
        yield from (f"content type of {name} twice" for name, count in overrides.items() if count > 1)
        defaults = Counter(
            e.get("Extension").lower() for e in self.tree("[Content_Types].xml") if e.get("Extension")
        )
        yield from (f"default type of {name} twice" for name, count in defaults.items() if count > 1)
        there = {name.lower() for name in self.names}
        yield from (
            f"content type of {name}, which is not there" for name in overrides if name[1:] not in there
        )
        for name in self.names:
            if name != "[Content_Types].xml" and not name.endswith("/") and self.type_of(name) is None:
                yield f"{name}: no content type"
        for rels in (name for name in self.names if name.endswith(".rels")):
            folder, _, name = rels.rpartition("_rels/")
            source = folder + name.removesuffix(".rels")
            if source and source not in self.names:
                yield f"{rels}: relations of a part that is not there"
                continue
            ids = Counter(each.get("Id") for each in self.tree(rels))  # OPC, 9.3.2.2: unique ids
            yield from (f"{rels}: {id_} twice" for id_, count in ids.items() if count > 1)
            for id_, (_kind, part) in self.related(source).items():
                if part is not None and part.lower() not in there:
                    yield f"{rels}: {id_} leads to {part}, which is not there"
            if source.endswith((".xml", ".vml")):  # 29500, 22.8: every r:id names a relationship
                used = {
                    value
                    for each in self.tree(source).iter()
                    for key, value in each.attrib.items()
                    if str(key).startswith((_QUALIFIED, _STRICT)) and value
                }
                yield from (f"{source}: {id_} is no relationship" for id_ in used - set(ids))
        for name in self.names:
            if not name.endswith((".xml", ".vml")):
                continue
            folder, _, base = name.rpartition("/")
            if f"{folder}/_rels/{base}.rels".lstrip("/") in self.names:
                continue
            used = [
                k
                for e in self.tree(name).iter()
                for k, v in e.attrib.items()
                if str(k).startswith((_QUALIFIED, _STRICT)) and v
            ]
            if used:
                yield f"{name}: relationships used and none there"

    def _book(self) -> Iterator[str]:
        sheets = list(self.tree(self.main).iterfind("{*}sheets/{*}sheet"))
        related = self.related(self.main)
        names = [sheet.get("name") for sheet in sheets]
        # 29500, 18.2.19: name and sheetId unique; MS-OI29500: at most 31, not []:*?/\, no ' at an end
        yield from (f"sheet name {n!r} twice" for n, k in Counter(map(str.casefold, names)).items() if k > 1)
        for name in names:
            units = len(name.encode("utf-16-le")) // 2
            if not 1 <= units <= 31 or _ILLEGAL_NAME.search(name) or name[0] == "'" or name[-1] == "'":
                yield f"sheet name {name!r}"
        for what in ("sheetId", "id"):
            values = Counter(sheet.get("sheetId") if what == "sheetId" else _id(sheet) for sheet in sheets)
            yield from (f"{what} {value} twice" for value, count in values.items() if count > 1)
        for sheet in sheets:
            if not 1 <= int(sheet.get("sheetId")) <= 65534:  # 29500, 18.2.19 with MS-OI29500
                yield f"sheetId {sheet.get('sheetId')}"
            if related.get(_id(sheet), ("", None))[0] not in ("worksheet", "chartsheet", "dialogsheet"):
                yield f"sheet {sheet.get('name')} leads to no sheet"
        if all(sheet.get("state", "visible") != "visible" for sheet in sheets):
            yield "no sheet is visible"  # 29500, 18.2.19
        for view in self.tree(self.main).iterfind("{*}bookViews/{*}workbookView"):
            for key in ("activeTab", "firstSheet"):  # 29500, 18.2.30: index of a sheet
                if int(view.get(key, 0)) >= len(sheets):
                    yield f"{key} {view.get(key)} of {len(sheets)} sheets"
        yield from self._defined_names(len(sheets))

    def _defined_names(self, sheets: int) -> Iterator[str]:
        # 29500, 18.2.5: unique in the workbook and on each sheet, without regard to case
        seen: Counter[tuple[str, str | None]] = Counter()
        for each in self.tree(self.main).iterfind("{*}definedNames/{*}definedName"):
            name, place = each.get("name"), each.get("localSheetId")
            seen[name.casefold(), place] += 1
            if (
                len(name) > LONGEST_NAME
                or not _DEFINED_NAME.match(name)
                or not _NAME_REST.fullmatch(name[1:])
            ):
                yield f"defined name {name!r}"
            if _LOOKS_LIKE_CELL.fullmatch(name):
                yield f"defined name {name!r} looks like a cell"
            if place is not None and int(place) >= sheets:
                yield f"defined name {name} on sheet {place} of {sheets}"
            text = "".join(each.itertext())
            if not text or text.startswith("=") or len(text) > LONGEST_FORMULA:
                yield f"defined name {name} means {text[:40]!r}"
        yield from (f"defined name {key} twice" for key, count in seen.items() if count > 1)

    @cached_property
    def _style_counts(self) -> dict[str, int]:
        part = next((p for kind, p in self.related(self.main).values() if kind == "styles"), None)
        if part is None:
            return {"cellXfs": 1, "dxfs": 0}
        lists = {local(each): len(children(each)) for each in children(self.tree(part))}
        return {"fonts": 0, "fills": 0, "borders": 0, "cellStyleXfs": 0, "cellXfs": 0, "dxfs": 0} | lists

    def _styles(self) -> Iterator[str]:
        part = next((p for kind, p in self.related(self.main).values() if kind == "styles"), None)
        if part is None:
            return
        root, counts = self.tree(part), self._style_counts
        for each in children(root):  # 29500, 18.8: count, where given, is the number of children
            if each.get("count") is not None and int(each.get("count")) != len(children(each)):
                yield f"styles: {local(each)} counts {each.get('count')}, holds {len(children(each))}"
        if counts["cellXfs"] > MOST_FORMATS:
            yield f"styles: {counts['cellXfs']} cell formats"
        formats = [int(each.get("numFmtId")) for each in root.iterfind("{*}numFmts/{*}numFmt")]
        yield from (f"styles: numFmtId {n} twice" for n, k in Counter(formats).items() if k > 1)
        for list_ in ("cellStyleXfs", "cellXfs"):  # 29500, 18.8.45: indexes into the other lists
            for each in root.iterfind(f"{{*}}{list_}/{{*}}xf"):
                for key, of in (
                    ("fontId", "fonts"),
                    ("fillId", "fills"),
                    ("borderId", "borders"),
                    ("xfId", "cellStyleXfs"),
                ):
                    if each.get(key) is not None and int(each.get(key)) >= counts[of]:
                        yield f"styles: {list_} {key} {each.get(key)} of {counts[of]}"
                number = int(each.get("numFmtId", 0))
                if number >= 164 and number not in formats:  # 29500, 18.8.30: below are built in
                    yield f"styles: {list_} numFmtId {number}"

    def _sheet(self, part: str) -> Iterator[str]:
        root = self.tree(part)
        checks: list[Callable[[Element], Iterator[str]]] = [
            self._rows,
            self._columns,
            self._merges,
            self._formats,
            self._links,
            self._validations,
            self._views,
        ]
        for check in checks:
            yield from check(root)
        yield from self._hangs_on(root, part)

    def _rows(self, root: Element) -> Iterator[str]:
        data, last = root.find("{*}sheetData"), 0
        for row in children(data):
            number = int(row.get("r", last + 1))
            if number <= last or number > LAST_ROW:  # 29500, 18.3.1.73: rows in ascending order
                yield f"row {number} behind row {last}"
            last = number
            if float(row.get("ht", 0)) > HIGHEST:
                yield f"row {number} is {row.get('ht')} pt high"
            left = 0
            for cell in children(row):
                where = _CELL.fullmatch(cell.get("r")) if cell.get("r") else None
                at = column(where[1]) if where else left + 1
                if cell.get("r") and (where is None or int(where[2]) != number):  # 29500, 18.3.1.4
                    yield f"cell {cell.get('r')} in row {number}"
                if at <= left or at > LAST_COLUMN:
                    yield f"cell {cell.get('r')} behind column {left}"
                left = at
                yield from self._cell(cell)
            first, _, end = (row.get("spans") or "1:16384").split()[-1].partition(":")
            if left > int(end) and first:  # 29500, 18.3.1.73: spans, for optimisation only
                yield f"row {number} spans to {end}, holds column {left}"

    def _cell(self, cell: Element) -> Iterator[str]:
        name, kind = cell.get("r"), cell.get("t", "n")
        if int(cell.get("s", 0)) >= max(1, self._style_counts["cellXfs"]):  # 29500, 18.3.1.4: index
            yield f"{name}: style {cell.get('s')} of {self._style_counts['cellXfs']}"
        held = Counter(map(local, children(cell)))
        if held["v"] > 1 or held["f"] > 1 or held["is"] > 1 or (kind == "inlineStr") != bool(held["is"]):
            yield f"{name}: {dict(held)} as {kind}"
        value = cell.findtext("{*}v")
        if kind == "s" and (value is None or int(value) >= len(self._strings)):
            yield f"{name}: shared string {value} of {len(self._strings)}"
        empty = held["f"] and not value  # a formula that nobody has calculated yet
        if (
            kind == "n" and value is not None and not empty and not _is_number(value)
        ):  # 29500, 18.18.11 with XSD double
            yield f"{name}: {value!r} is no number"
        if kind == "b" and value not in ("0", "1", "true", "false"):
            yield f"{name}: {value!r} is no truth value"
        text = "".join(cell.itertext("{*}t")) if kind == "inlineStr" else value or ""
        if len(re.sub("_x[0-9A-Fa-f]{4}_", "?", text).encode("utf-16-le")) // 2 > LONGEST_TEXT:
            yield f"{name}: {len(text)} characters"

    @cached_property
    def _strings(self) -> list[Element]:
        part = next((p for kind, p in self.related(self.main).values() if kind == "sharedStrings"), None)
        return children(self.tree(part)) if part else []

    def _columns(self, root: Element) -> Iterator[str]:
        last, cols = 0, root.find("{*}cols")
        if cols is not None and not children(cols):  # 29500, 18.3.1.17: at least one col
            yield "no col in cols"
        for col in children(cols) if cols is not None else ():  # 29500, 18.3.1.13: in order, apart
            first, end = int(col.get("min")), int(col.get("max"))
            if not last < first <= end <= LAST_COLUMN or float(col.get("width", 9)) > WIDEST:
                yield f"col {first} to {end}, width {col.get('width')}, behind {last}"
            last = end
            if int(col.get("style", 0)) >= max(1, self._style_counts["cellXfs"]):
                yield f"col {first}: style {col.get('style')}"

    def _merges(self, root: Element) -> Iterator[str]:
        list_ = root.find("{*}mergeCells")
        if list_ is None:
            return
        boxes = [box(each.get("ref")) for each in children(list_)]
        if None in boxes or not boxes:
            yield "a merged range"
        if list_.get("count") is not None and int(list_.get("count")) != len(boxes):
            yield f"merged ranges: count {list_.get('count')} of {len(boxes)}"
        if overlapping(each for each in boxes if each):  # 29500, 18.3.1.55
            yield "merged ranges overlap"

    def _formats(self, root: Element) -> Iterator[str]:
        priorities: Counter[str] = Counter()
        for each in root.iterfind("{*}conditionalFormatting"):
            boxes = [box(word) for word in each.get("sqref", "").split()]
            if not boxes or None in boxes:  # 29500, 18.18.76
                yield f"conditional format on {each.get('sqref')!r}"
            elif overlapping(b for b in boxes if b):
                yield f"conditional format twice on a cell of {each.get('sqref')}"
            for rule in each.iterfind("{*}cfRule"):
                priorities[rule.get("priority")] += 1  # 29500, 18.3.1.10: highest is 1, unique on a sheet
                if rule.get("dxfId") is not None and int(rule.get("dxfId")) >= self._style_counts["dxfs"]:
                    yield f"conditional format {rule.get('dxfId')} of {self._style_counts['dxfs']}"
        for rule in root.iter("{http://schemas.microsoft.com/office/spreadsheetml/2009/9/main}cfRule"):
            if rule.get("priority"):  # MS-XLSX, 2.4.2: rules of the extension share the order
                priorities[rule.get("priority")] += 1
        for priority, count in priorities.items():
            if count > 1 or int(priority) < 1:
                yield f"priority {priority} of {count} conditional formats"

    def _links(self, root: Element) -> Iterator[str]:
        links = [each for list_ in root.iterfind("{*}hyperlinks") for each in children(list_)]
        for list_ in root.iterfind("{*}hyperlinks"):
            if not children(list_):  # 29500, 18.3.1.48: at least one
                yield "no link among links"
        if len(links) > MOST_LINKS:
            yield f"{len(links)} links"
        cells: Counter[str] = Counter()
        for each in links:
            cells[each.get("ref")] += 1
            if box(each.get("ref", "")) is None:
                yield f"a link on {each.get('ref')!r}"
            place = each.get("location")
            if not place and not _id(each):
                yield f"the link on {each.get('ref')} leads nowhere"
            if place and not _id(each):
                if len(place) > LONGEST_LOCATION:
                    yield f"the link on {each.get('ref')}: {len(place)} characters"
                sheet, mark, cell = place.lstrip("#").rpartition("!")
                known = {
                    s.get("name").casefold() for s in self.tree(self.main).iterfind("{*}sheets/{*}sheet")
                }
                if mark and (sheet.strip("'").replace("''", "'").casefold() not in known or not box(cell)):
                    yield f"the link on {each.get('ref')} leads to {place}"
        yield from (f"{count} links on {ref}" for ref, count in cells.items() if count > 1)

    def _validations(self, root: Element) -> Iterator[str]:
        list_ = root.find("{*}dataValidations")
        if list_ is None:
            return
        if list_.get("count") is not None and int(list_.get("count")) != len(children(list_)):
            yield f"validations: count {list_.get('count')} of {len(children(list_))}"
        boxes = [box(word) for each in children(list_) for word in each.get("sqref", "").split()]
        if None in boxes or overlapping(each for each in boxes if each):  # one rule a cell
            yield "validations on one cell"

    def _views(self, root: Element) -> Iterator[str]:
        dimension = root.find("{*}dimension")
        if dimension is not None and box(dimension.get("ref")) is None:
            yield f"dimension {dimension.get('ref')}"
        for each in root.iterfind("{*}autoFilter"):
            yield from _filter(each)
        for pane in root.iter("{*}pane"):  # 29500, 18.3.1.66
            if pane.get("topLeftCell") and box(pane.get("topLeftCell")) is None:
                yield f"pane at {pane.get('topLeftCell')}"

    def _hangs_on(self, root: Element, part: str) -> Iterator[str]:
        """Drawings, comments and list objects: what an element names must be of the right kind."""
        related = self.related(part)
        kinds = {  # 29500, 18.3.1.36, .51, .52, .67, .95
            "drawing": "drawing",
            "legacyDrawing": "vmlDrawing",
            "legacyDrawingHF": "vmlDrawing",
            "picture": "image",
            "tablePart": "table",
        }
        for name, kind in kinds.items():
            for each in root.iter(f"{{*}}{name}"):
                if _id(each) in related and related[_id(each)][0] != kind:
                    yield f"{name} leads to a {related[_id(each)][0]}"
        tables = root.find("{*}tableParts")
        if tables is not None and int(tables.get("count", len(tables))) != len(children(tables)):
            yield f"list objects: count {tables.get('count')} of {len(children(tables))}"
        listed = {_id(each) for each in root.iter("{*}tablePart")}
        for id_, (kind, target) in related.items():
            if kind == "table" and id_ not in listed:
                yield f"list object {target} is not named in the sheet"
            if kind == "drawing" and target:
                yield from self._anchors(target)
            if kind == "comments" and target:
                yield from self._comments(root, related, target)

    def _comments(
        self, root: Element, related: dict[str, tuple[str, str | None]], part: str
    ) -> Iterator[str]:
        """29500, 18.7: a comment is on one cell, its author is listed; its box is in the VML drawing."""
        tree = self.tree(part)
        refs = [each.get("ref") for each in tree.iter("{*}comment")]
        yield from (f"{n} comments on {ref}" for ref, n in Counter(refs).items() if n > 1)
        authors = len(list(tree.iter("{*}author")))
        if any(int(each.get("authorId")) >= authors for each in tree.iter("{*}comment")):
            yield "a comment's author"
        legacy = root.find("{*}legacyDrawing")
        target = related.get(_id(legacy), ("", None))[1] if legacy is not None else None
        boxes = 0
        if target:
            boxes = sum(each.get("ObjectType") == "Note" for each in self.tree(target).iter("{*}ClientData"))
        if boxes < len(refs):
            yield f"{len(refs)} comments, {boxes} boxes"

    def _anchors(self, part: str) -> Iterator[str]:
        """29500, 20.5.2: anchors lie on the sheet, the second corner not before the first; ids unique."""
        for anchor in children(self.tree(part)):
            ends = []
            for name in ("from", "to"):
                mark = anchor.find(f"{{*}}{name}")
                if mark is not None:
                    ends.append((int(mark.findtext("{*}row")), int(mark.findtext("{*}col"))))
            if any(not (0 <= row < LAST_ROW and 0 <= col < LAST_COLUMN) for row, col in ends):
                yield f"{part}: an anchor at {ends}"
            if len(ends) == 2 and (ends[0][0] > ends[1][0] or ends[0][1] > ends[1][1]):
                yield f"{part}: an anchor from {ends[0]} to {ends[1]}"
        ids = Counter(each.get("id") for each in self.tree(part).iter("{*}cNvPr"))
        yield from (f"{part}: shape {id_} twice" for id_, count in ids.items() if count > 1)

    def _tables(self) -> Iterator[str]:
        ids: Counter[str] = Counter()
        names: Counter[str] = Counter()
        for sheet, part in self.sheets:
            boxes = []
            for kind, target in self.related(part).values():
                if kind != "table" or target is None:
                    continue
                root = self.tree(target)
                ids[root.get("id")] += 1
                names[root.get("displayName").casefold()] += 1
                where = box(root.get("ref"))
                if where is None:
                    yield f"{target}: range {root.get('ref')}"
                    continue
                boxes.append(where)
                for said in self._table(root, where, self.tree(part)):
                    yield f"{target} on {sheet}: {said}"
            if overlapping(boxes):
                yield f"{sheet}: list objects overlap"
        book = {each.get("name").casefold() for each in self.tree(self.main).iter("{*}definedName")}
        # 29500, 18.5.1.2: id and displayName unique in the workbook, no defined name like it
        yield from (f"list object id {key} twice" for key, count in ids.items() if count > 1)
        yield from (f"list object {key} twice" for key, count in names.items() if count > 1)
        yield from (f"list object {key} and a defined name" for key in names if key in book)

    def _table(self, root: Element, where: Box, sheet: Element) -> Iterator[str]:
        list_ = root.find("{*}tableColumns")
        names = [each.get("name") for each in children(list_)]
        if int(list_.get("count", len(names))) != len(names) or len(names) != where[3] - where[1] + 1:
            yield f"{len(names)} columns, count {list_.get('count')}, range {root.get('ref')}"
        folded = Counter(map(str.casefold, names))  # 29500, 18.5.1.3: unique name, unique id
        yield from (f"column {name!r} twice" for name, count in folded.items() if count > 1 or not name)
        ids = Counter(each.get("id") for each in children(list_))
        yield from (f"column id {id_} twice" for id_, count in ids.items() if count > 1)
        own = root.find("{*}autoFilter")
        if own is not None:
            yield from _filter(own)
            found, totals = box(own.get("ref")), int(root.get("totalsRowCount", 0))
            if found != (where[0], where[1], where[2] - totals, where[3]):
                yield f"filter on {own.get('ref')}, range {root.get('ref')}"
        if root.get("headerRowCount") == "0":
            return
        heading = self._texts(sheet, where[0])
        for at, name in enumerate(names, where[1]):
            written = re.sub("_x000[aAdD]_", "\n", name)
            if heading.get(at, "").replace("\r", "") != written.replace("\r", ""):
                yield f"column {name!r}, heading {heading.get(at)!r}"

    def _texts(self, sheet: Element, number: int) -> dict[int, str]:
        found = {}
        for row in sheet.iterfind("{*}sheetData/{*}row"):
            if int(row.get("r", 0)) == number:
                for cell in children(row):
                    value = cell.findtext("{*}v")
                    text = value or ""
                    if cell.get("t") == "s":
                        text = "".join(self._strings[int(value)].itertext("{*}t"))
                    elif cell.get("t") == "inlineStr":
                        text = "".join(cell.itertext("{*}t"))
                    found[column(_CELL.fullmatch(cell.get("r"))[1])] = text
        return found


def _filter(node: Element) -> Iterator[str]:
    where = box(node.get("ref", ""))
    if where is None:
        yield f"filter on {node.get('ref')}"
        return
    width = where[3] - where[1] + 1
    ids = Counter(int(each.get("colId")) for each in node.iterfind("{*}filterColumn"))
    for id_, count in ids.items():  # 29500, 18.3.2.7: zero-based, inside the range
        if count > 1 or id_ >= width:
            yield f"filter column {id_} of {width}"
    for each in node.iterfind("{*}sortState"):
        ref = box(each.get("ref", ""))
        if ref is None or ref[1] < where[1] or ref[3] > where[3]:
            yield f"order of {each.get('ref')} in a filter of {node.get('ref')}"


def _id(element: Element) -> str:
    return element.get(_QUALIFIED + "id") or element.get(_STRICT + "id") or ""


def _is_number(text: str) -> bool:
    return bool(re.fullmatch(r"\s*[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?\s*", text))

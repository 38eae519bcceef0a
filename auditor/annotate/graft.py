"""Sheets of a scratch workbook taken over into the estimator's package, with all that hangs on them.

The scratch workbook is ours, written by XlsxWriter: its markup is known, so plain patterns do.
"""

import posixpath
import re
from collections.abc import Callable, MutableMapping
from dataclasses import dataclass
from xml.sax.saxutils import unescape

from auditor.annotate.remembered import MOST
from auditor.ooxml.opening import open_package
from auditor.ooxml.package import Package, package_of
from auditor.ooxml.refs import WHOLE_SHEET, Area, area
from auditor.ooxml.relationships import RELATIONSHIPS_TYPE, relationships, relationships_name
from auditor.ooxml.styles import Styles
from auditor.ooxml.workbook_part import WorkbookPart
from auditor.ooxml.xmltree import set_attribute, splice

_CELL_STYLE = re.compile(rb' s="(\d+)"')
_STRING = re.compile(rb' t="s"><v>(\d+)</v></c>')
_COLUMN_STYLE = re.compile(rb'(<col\b[^>]*? style=")(\d+)"')
_RULE = re.compile(rb'(<cfRule\b[^>]*? dxfId=")(\d+)"')
_TABLE_FORMAT = re.compile(rb'( (?:header|totals)RowDxfId="| dataDxfId=")(\d+)"')
_ITEM = re.compile(rb"<si>(.*?)</si>", re.DOTALL)
_FIRST_CELL = re.compile(rb'<c r="A1"[^>]*>(.*?)</c>', re.DOTALL)
_TEXT = re.compile(rb"<t(?: [^>]*)?>([^<]*)</t>")
_INLINE = re.compile(rb"<is>(.*?)</is>", re.DOTALL)
_FIGURE = re.compile(rb'"><v>([0-9.eE+-]+)</v></c>')  # no formula's
_NOTE = re.compile(rb"<comment [^>]*>.*?</comment>", re.DOTALL)
_DIMENSION = re.compile(rb'<dimension ref="([^"]*)"')
_SELECTED = re.compile(rb' tabSelected="1"')
_AT_ONCE = 1 << 20  # bytes of a sheet that are changed at a time
_FORMAT_LISTS = {b"fontId": "fonts", b"fillId": "fills", b"borderId": "borders"}
_REFERENCE = re.compile(rb'(fontId|fillId|borderId|xfId)="(\d+)"')
_FORMAT_NUMBER = re.compile(rb' numFmtId="(\d+)"')
_NUMBER_FORMAT = re.compile(rb'<numFmt numFmtId="(\d+)" formatCode="([^"]*)"')
_ENTRY = {  # what the lists of the scratch workbook's styles hold
    "fonts": re.compile(rb"<font>.*?</font>", re.DOTALL),
    "fills": re.compile(rb"<fill>.*?</fill>", re.DOTALL),
    "borders": re.compile(rb"<border(?: [^>]*)?>.*?</border>", re.DOTALL),
    "cellXfs": re.compile(rb"<xf [^>]*?(?:/>|>.*?</xf>)", re.DOTALL),
    "dxfs": re.compile(rb"<dxf>.*?</dxf>", re.DOTALL),
}
_STRICT = [
    (
        b"http://schemas.openxmlformats.org/spreadsheetml/2006/main",
        b"http://purl.oclc.org/ooxml/spreadsheetml/main",
    ),
    (
        b"http://schemas.openxmlformats.org/officeDocument/2006/relationships",
        b"http://purl.oclc.org/ooxml/officeDocument/relationships",
    ),
    (b"http://schemas.openxmlformats.org/drawingml/2006/", b"http://purl.oclc.org/ooxml/drawingml/"),
]
# Numbers of a thousandth of a per cent, and whole per cents, which the strict form writes with a sign.
_STRICT_THOUSANDTHS = re.compile(rb'(<a:(?:lumMod|lumOff|alpha|tint|shade|satMod)\b[^>]* val=")(-?\d+)"')
_STRICT_PERCENTS = re.compile(rb'(<c:(?:gapWidth|overlap) val=")(-?\d+)"')


class Written:
    """The texts and figures of cells and notes; few more than are remembered."""

    def __init__(self) -> None:
        self._texts: set[bytes] = set()  # as their markup has them
        self._figures: set[bytes] = set()

    @property
    def texts(self) -> set[str]:
        return set(map(plain, self._texts))

    @property
    def figures(self) -> set[float]:
        return set(map(float, self._figures))

    def add(self, sheet: bytes) -> None:
        """The cells of a sheet or of a piece of it."""
        for found, pattern in ((self._texts, _INLINE), (self._figures, _FIGURE)):
            if len(found) <= MOST:
                found.update(pattern.findall(sheet))

    def add_notes(self, notes: bytes) -> None:
        self._texts.update(_NOTE.findall(notes))


@dataclass(frozen=True, slots=True)
class Grafted:
    """A sheet that was added."""

    name: str
    title: str  # the text of its first cell
    written: Area
    part: str


class Graft:
    """Takes the sheets of a scratch workbook over into another book."""

    def __init__(
        self, scratch: bytes | MutableMapping[str, bytes], book: WorkbookPart, styles: Styles
    ) -> None:
        package = open_package(scratch) if isinstance(scratch, bytes) else package_of(scratch)
        self.scratch = WorkbookPart(package)
        self.book, self.styles = book, styles
        self.package: Package = book.package
        self.added: list[str] = []
        self._parts: dict[str, str] = {}  # scratch part -> part in the package
        self._tables = _table_count(self.package)
        self._look = _Look(self.scratch, styles)
        self._strings = self._shared_strings()
        self._titles: list[str] = []  # texts of the sheets' first cells
        self._written: list[Area] = []  # of the sheets
        self.values = Written()

    def run(self) -> list[Grafted]:
        """Add all sheets."""
        first, parts = len(self.book.sheets), []
        for sheet in self.scratch.sheets:
            part = self._take(sheet.part)
            parts.append(part)
            self.book.pending.sheets.append((sheet.name, self.book.relate("worksheet", part)))
        for name in self.scratch.names:
            local = None if name.local is None else first + name.local
            if local is not None or self.book.name(name.name, None) is None:
                self.book.set_name(name.name, local, name.text, hidden=name.hidden)
        names = [sheet.name for sheet in self.scratch.sheets]
        return [Grafted(*each) for each in zip(names, self._titles, self._written, parts, strict=True)]

    def _take(self, part: str) -> str:
        """Copy a part and everything it relates to; gives its new name."""
        if part in self._parts:
            return self._parts[part]
        name = self._parts[part] = self._free_name(part)
        self.package.add(name, b"")  # the name is taken before its relations look for theirs
        self.added.append(name)
        content = self.scratch.package.read(part)
        self.scratch.package.replace(part, b"")  # it is not asked for again, and may be large
        change = self._change_for(part)
        self.package.replace(name, self._strict(change(content) if change else content))
        self._take_type(part, name)
        self._take_relationships(part, name)
        return name

    def _take_relationships(self, part: str, name: str) -> None:
        source = self.scratch.package.find(relationships_name(part))
        if source is None:
            return
        tree = self.scratch.package.tree(source)
        targets = {each.id: each for each in relationships(self.scratch.package, part)}
        edits = []
        for node in tree.root.all("Relationship"):
            each = targets[node.attributes["Id"]]
            if not each.external:
                new = posixpath.relpath("/" + self._take(each.target), "/" + posixpath.dirname(name))
                edits.append(set_attribute(tree, node, "Target", new))
        related = relationships_name(name)
        self.package.add(related, self._strict(splice(tree.data, edits)))
        self.added.append(related)
        self.book.pending.usual_types[related] = RELATIONSHIPS_TYPE

    def _take_type(self, part: str, name: str) -> None:
        for node in self.scratch.types.root.children:
            kind = node.attributes["ContentType"]
            if node.attributes.get("PartName", "").lstrip("/") == part:
                self.book.pending.types[name] = kind
                return
        extension = part.rpartition(".")[2]
        for node in self.scratch.types.root.all("Default"):
            if node.attributes["Extension"] == extension:
                self.book.pending.types[name] = node.attributes["ContentType"]

    def _free_name(self, part: str) -> str:
        stem, dot, extension = part.rpartition(".")
        return self.package.free_name(stem.rstrip("0123456789") + "{}" + dot + extension)

    def _change_for(self, part: str) -> Callable[[bytes], bytes] | None:
        folder = posixpath.basename(posixpath.dirname(part))
        if posixpath.basename(part).startswith("comments"):
            return self._notes
        return {"worksheets": self._sheet, "tables": self._table}.get(folder)

    def _notes(self, data: bytes) -> bytes:
        self.values.add_notes(data)
        return data

    def _sheet(self, data: bytes) -> bytes:
        """A sheet with its formats' numbers in the estimator's styles and its texts in its cells, some
        rows at a time: what a pattern matches takes many times the room of its text."""
        pieces, position = [], 0
        while position < len(data):
            end = data.find(b"<row ", position + _AT_ONCE)
            end = len(data) if end < 0 else end
            pieces.append(self._piece(data[position:end]))
            position = end
        self._titles.append(title_of(pieces[0]))
        self._written.append(written_on(pieces[0]))
        return b"".join(pieces)

    def _piece(self, data: bytes) -> bytes:
        """No text holds a quotation mark, so that only an attribute can look like one."""
        look, strings = self._look, self._strings
        data = _SELECTED.sub(b"", data)
        data = _CELL_STYLE.sub(lambda match: look[match[1]], data)
        data = _COLUMN_STYLE.sub(lambda match: match[1] + b'%d"' % look.cell(int(match[2])), data)
        data = _RULE.sub(lambda match: match[1] + b'%d"' % look.difference(int(match[2])), data)
        if strings:
            data = _STRING.sub(lambda match: b' t="inlineStr"><is>%b</is></c>' % strings[int(match[1])], data)
        self.values.add(data)
        return data

    def _table(self, data: bytes) -> bytes:
        self._tables += 1
        data = re.sub(rb'( id=")\d+"', rb'\g<1>%d"' % self._tables, data, count=1)
        for attribute in (b"name", b"displayName"):
            name = rb"\g<1>%b%d\"" % (b"AuditTable", self._tables)
            data = re.sub(rb"( " + attribute + rb'=")Table\d+"', name, data, count=1)
        return _TABLE_FORMAT.sub(lambda match: match[1] + b'%d"' % self._look.difference(int(match[2])), data)

    def _shared_strings(self) -> list[bytes]:
        part = self.scratch.related("sharedStrings")
        return _ITEM.findall(self.scratch.package.read(part)) if part else []

    def _strict(self, data: bytes) -> bytes:
        if not self.book.strict:
            return data
        for transitional, strict in _STRICT:
            data = data.replace(transitional, strict)
        data = _STRICT_THOUSANDTHS.sub(lambda match: b'%b%g%%"' % (match[1], int(match[2]) / 1000), data)
        return _STRICT_PERCENTS.sub(rb'\1\2%"', data)


class _Look(dict[bytes, bytes]):
    """Numbers of the scratch workbook's formats in the estimator's styles: of a cell's ` s="12"` what
    stands in its place, by the 12."""

    def __init__(self, scratch: WorkbookPart, styles: Styles) -> None:
        super().__init__()
        part = scratch.related("styles")
        assert part is not None
        self.styles = styles
        self._data = scratch.package.read(part)
        self._lists = {name: self._entries(name) for name in _ENTRY}
        self._codes = {
            number: unescape(code.decode(), {"&quot;": '"'})
            for number, code in _NUMBER_FORMAT.findall(self._data)
        }
        self._cells: dict[int, int] = {0: 0}
        self._differences: dict[int, int] = {}

    def __missing__(self, number: bytes) -> bytes:
        found = self[number] = b' s="%d"' % self.cell(int(number))
        return found

    def cell(self, number: int) -> int:
        if number not in self._cells:
            self._cells[number] = 0 if self.styles.full else self._cell(self._lists["cellXfs"][number])
        return self._cells[number]

    def difference(self, number: int) -> int:
        if number not in self._differences:
            element = _FORMAT_NUMBER.sub(self._renumbered, self._lists["dxfs"][number])
            self._differences[number] = self.styles.entry("dxfs", element)
        return self._differences[number]

    def _cell(self, element: bytes) -> int:
        """A cell format with its font, fill, border and number format as the estimator's styles
        number them."""
        element = _REFERENCE.sub(self._referred, element)
        return self.styles.entry("cellXfs", _FORMAT_NUMBER.sub(self._renumbered, element))

    def _referred(self, match: re.Match[bytes]) -> bytes:
        if match[1] == b"xfId":
            return b'xfId="0"'
        list_ = _FORMAT_LISTS[match[1]]
        return b'%b="%d"' % (match[1], self.styles.entry(list_, self._lists[list_][int(match[2])]))

    def _renumbered(self, match: re.Match[bytes]) -> bytes:
        code = self._codes.get(match[1])
        return match[0] if code is None else b' numFmtId="%d"' % self.styles.number_format(code)

    def _entries(self, list_: str) -> list[bytes]:
        start = self._data.find(b"<" + list_.encode() + b" ")
        return _ENTRY[list_].findall(self._data, start, self._data.find(b"</" + list_.encode(), start))


def plain(markup: bytes) -> str:
    """The text of a cell of ours."""
    return unescape(b"".join(_TEXT.findall(markup)).decode(), {"&quot;": '"'})


def title_of(sheet: bytes) -> str:
    """The text of a sheet's first cell."""
    cell = _FIRST_CELL.search(sheet)
    return plain(cell[1]) if cell else ""


def written_on(sheet: bytes) -> Area:
    """The part of a sheet that holds cells."""
    dimension = _DIMENSION.search(sheet)
    return (area(dimension[1].decode()) if dimension else None) or WHOLE_SHEET


def _table_count(package: Package) -> int:
    """The highest number that a table of the package has."""
    tables = [name for name in package.names() if "/tables/" in name.replace("\\", "/").lower()]
    numbers = [re.search(rb'\sid="(\d+)"', package.read(name)) for name in tables if name.endswith(".xml")]
    return max((int(number[1]) for number in numbers if number), default=0)

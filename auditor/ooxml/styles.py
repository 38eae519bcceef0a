"""The styles part: entries are found or appended, never renumbered."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from auditor.ooxml.child_order import STYLESHEET, place_for
from auditor.ooxml.style_use import LeastSizes, formats
from auditor.ooxml.workbook_part import MAIN, STRICT_MAIN, WorkbookPart
from auditor.ooxml.xmltree import Edit, Node, Tree, append_to, quoted, set_attribute

# ISO/IEC 29500-1, 18.8.30: formats with a number of their own.
_BUILTIN_FORMATS = {"General": 0, "0": 1, "0.00": 2, "#,##0": 3, "#,##0.00": 4, "0%": 9, "0.00%": 10, "@": 49}
_MOST_FORMATS = 65400  # the common programs hold 65,490 cell formats; some room stays for the estimator
_TAG_NAME = re.compile(rb"<(/?)(?=[A-Za-z])")
_DEFAULTS = {  # what the lists hold at least
    "fonts": (b'<font><sz val="11"/><name val="Calibri"/><family val="2"/></font>',),
    "fills": (
        b'<fill><patternFill patternType="none"/></fill>',
        b'<fill><patternFill patternType="gray125"/></fill>',
        b'<fill><patternFill patternType="none"/></fill>',
    ),
    "borders": (b"<border><left/><right/><top/><bottom/><diagonal/></border>",),
    "cellStyleXfs": (b'<xf numFmtId="0" fontId="0" fillId="0" borderId="0"/>',),
    "cellXfs": (b'<xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/>',),
    "cellStyles": (b'<cellStyle name="Normal" xfId="0" builtinId="0"/>',),
    "dxfs": (b"<dxf/>",),
}
_EMPTY = b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n<styleSheet xmlns="%b"/>'


@dataclass(slots=True)
class _List:
    """One of the part's lists: what is there, and what is appended."""

    node: Node | None
    size: int
    known: dict[bytes, int]
    added: list[bytes] = field(default_factory=list)
    filled_up: bool = False  # to the highest number that is named


class Styles:
    """The styles of a workbook: `cell_format`, `entry` and `difference` give numbers to refer to."""

    def __init__(self, book: WorkbookPart) -> None:
        part = book.related("styles")
        self.created = part is None
        self.part = part or _create(book)
        self.tree: Tree = book.package.tree(self.part)
        self._least_sizes = LeastSizes(book, self.tree)
        self._lists: dict[str, _List] = {}
        self._formats: dict[str, int] | None = None
        self._clones: dict[tuple[object, ...], int] = {}

    def entry(self, list_: str, element: bytes) -> int:
        """The number of an element (without namespace prefix) in `fonts`, `fills`, `borders`,
        `cellXfs` or `dxfs`; an equal one is used again."""
        return self._append(list_, self._prefixed(element))

    @property
    def full(self) -> bool:
        """Whether no cell format can be added any more."""
        cells = self._list("cellXfs")
        return cells.size + len(cells.added) >= _MOST_FORMATS

    def number_format(self, code: str) -> int:
        if code in _BUILTIN_FORMATS:
            return _BUILTIN_FORMATS[code]
        there = self._list("numFmts")
        if self._formats is None:
            nodes = there.node.children if there.node else []
            self._formats = {node.attributes.get("formatCode", ""): node.whole("numFmtId") for node in nodes}
        if code not in self._formats:
            named = (each.whole("numFmtId", 0) for each in formats(self.tree))
            number = max([163, *self._formats.values(), *named]) + 1
            self._formats[code] = number
            written = f'<{self.tree.prefix}numFmt numFmtId="{number}" formatCode='.encode()
            there.added.append(written + quoted(code) + b"/>")
        return self._formats[code]

    def font_of(self, cell_format: int) -> str:
        """The number of a cell format's font."""
        node = self._list("cellXfs").node
        formats = node.children if node else []
        return formats[cell_format].attributes.get("fontId", "0") if cell_format < len(formats) else "0"

    def size_of(self, cell_format: int) -> float:
        """The size of a cell format's letters [pt]."""
        fonts, number = self._list("fonts").node, int(self.font_of(cell_format))
        font = fonts.children[number] if fonts and number < len(fonts.children) else None
        size = font.first("sz") if font else None
        return size.figure("val", 11.0) if size else 11.0

    def clone(
        self,
        base: int,
        *,
        number_format: str | None = None,
        alignment: Mapping[str, str],
        underlined: bool = False,
        text: bool = False,
        aligned_as_base: bool = False,
    ) -> int:
        """A cell format like `base`, with the changes given; the base itself when there is no room.

        Parameters
        ----------
        text : mark that what looks like a formula is text
        aligned_as_base : take over more than the base's vertical alignment
        """
        if self.full:
            return base
        key = (base, number_format, tuple(alignment.items()), underlined, text)
        if key not in self._clones:
            self._clones[key] = self._clone(base, number_format, alignment, underlined, text, aligned_as_base)
        return self._clones[key]

    def _clone(
        self,
        base: int,
        number_format: str | None,
        alignment: Mapping[str, str],
        underlined: bool,
        text: bool,
        aligned_as_base: bool,
    ) -> int:
        formats = self._list("cellXfs").node
        nodes = formats.children if formats else []
        node = nodes[base] if base < len(nodes) else None
        attributes = dict(node.attributes) if node else {"fontId": "0", "fillId": "0", "borderId": "0"}
        aligned, kept = node.first("alignment") if node else None, b""
        if node is not None and (protection := node.first("protection")):
            kept = self.tree.raw(protection)
        attributes["numFmtId"] = str(self.number_format(number_format) if number_format else 0)
        attributes |= {"applyNumberFormat": "1", "applyAlignment": "1"}
        attributes.pop("quotePrefix", None)
        if text:
            attributes["quotePrefix"] = "1"
        if underlined:
            attributes |= {
                "fontId": str(self._underlined(node.whole("fontId", 0) if node else 0)),
                "applyFont": "1",
            }
        was = dict(aligned.attributes) if aligned else {}
        if not aligned_as_base:
            was = {name: value for name, value in was.items() if name in ("vertical", "readingOrder")}
        merged = was | dict(alignment)
        return self._append_format(attributes, merged, kept)

    def _append_format(self, attributes: Mapping[str, str], alignment: Mapping[str, str], kept: bytes) -> int:
        prefix = self.tree.prefix.encode()
        inner = b"<" + prefix + b"alignment" + _attributes(alignment) + b"/>" + kept
        element = b"<" + prefix + b"xf" + _attributes(attributes) + b">" + inner + b"</" + prefix + b"xf>"
        return self._append("cellXfs", element)

    def _underlined(self, font: int) -> int:
        """The number of a font like this one, underlined."""
        fonts, prefix = self._list("fonts"), self.tree.prefix
        node = fonts.node.children[font] if fonts.node and font < len(fonts.node.children) else None
        if node is None or node.empty or node.first("u"):
            return font
        # CT_Font is an unordered choice, but the common programs want b, i, strike … u first in this order
        before = ("b", "i", "strike", "condense", "extend", "outline", "shadow")
        at = max([node.inner, *(child.end for child in node.children if child.name in before)])
        data = self.tree.data
        element = data[node.start : at] + f"<{prefix}u/>".encode() + data[at : node.end]
        return self._append("fonts", element)

    def _append(self, list_: str, element: bytes) -> int:
        """The number of an element, appended where there is no equal one."""
        there = self._list(list_)
        number = there.known.get(element)
        if number is None:
            self._fill_up(list_)
            number = there.known[element] = there.size + len(there.added)
            there.added.append(element)
        return number

    def _fill_up(self, list_: str) -> None:
        """Give a list the entries that are named in the workbook and missing: they look as the default."""
        there = self._list(list_)
        if there.filled_up:
            return
        there.filled_up = True
        if list_ == "cellXfs" and not there.size:
            for other in ("fonts", "fills", "borders", "cellStyleXfs", "cellStyles"):
                self._fill_up(other)
        for number in range(there.size, self._least_sizes[list_]):
            there.added.append(self._default(list_, number))

    def _default(self, list_: str, number: int) -> bytes:
        """What programs show where a list lacks an entry."""
        node = self._list(list_).node
        if list_ == "fonts" and node and node.children:
            return self.tree.raw(node.children[0])
        entries = _DEFAULTS[list_]
        return self._prefixed(entries[min(number, len(entries) - 1)])

    def _prefixed(self, element: bytes) -> bytes:
        if not self.tree.prefix:
            return element
        return _TAG_NAME.sub(rb"<\1" + self.tree.prefix.encode(), element)

    def edits(self) -> list[Edit]:
        found = []
        created: dict[int, bytes] = {}
        for name in STYLESHEET:
            there = self._lists.get(name)
            if there is None or not there.added:
                continue
            content, total = b"".join(there.added), there.size + len(there.added)
            if there.node is not None:
                # one edit: the start tag of an empty element is written anew by append_to
                found += _grown(self.tree, there.node, content, total)
                continue
            at, tag = place_for(name, self.tree, STYLESHEET), (self.tree.prefix + name).encode()
            opening = b"<" + tag + f' count="{total}">'.encode()
            created[at] = created.get(at, b"") + opening + content + b"</" + tag + b">"
        if self.tree.root.empty and created:
            return [append_to(self.tree, self.tree.root, b"".join(created.values()))]
        return found + [(at, at, content) for at, content in created.items()]

    def _list(self, name: str) -> _List:
        if name not in self._lists:
            node = self.tree.root.first(name)
            children = node.children if node else []
            known: dict[bytes, int] = {}
            for number, child in enumerate(children):
                known.setdefault(self.tree.raw(child), number)
            self._lists[name] = _List(node, len(children), known)
        return self._lists[name]


def _grown(tree: Tree, node: Node, content: bytes, total: int) -> list[Edit]:
    if node.empty:
        tag = node.tag.encode()
        return [
            (node.start, node.end, b"<" + tag + f' count="{total}">'.encode() + content + b"</" + tag + b">")
        ]
    edits = [append_to(tree, node, content)]
    if "count" in node.attributes:
        edits.append(set_attribute(tree, node, "count", str(total)))
    return edits


def _attributes(values: Mapping[str, str]) -> bytes:
    return b"".join(b" " + name.encode() + b"=" + quoted(value) for name, value in values.items())


def _create(book: WorkbookPart) -> str:
    """A styles part for a workbook that has none."""
    part = book.package.free_name("xl/styles{}.xml").replace("styles1.xml", "styles.xml")
    if book.package.find(part) is not None:
        part = book.package.free_name("xl/styles{}.xml")
    book.package.add(part, _EMPTY % (STRICT_MAIN if book.strict else MAIN).encode())
    book.pending.types[part] = "application/vnd.openxmlformats-officedocument.spreadsheetml.styles+xml"
    book.relate("styles", part)
    return part

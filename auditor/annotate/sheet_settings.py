"""What else of a sheet changes with new columns: widths, dimension, conditional formats, links,
print set-up."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from auditor.annotate.celltext import attribute_text
from auditor.annotate.columns import Placed
from auditor.ooxml.child_order import WORKSHEET, place_for
from auditor.ooxml.refs import Area, area, letters
from auditor.ooxml.rows import SheetPart
from auditor.ooxml.styles import Styles
from auditor.ooxml.xmltree import Edit, Node, append_to, quoted, set_attribute

_MOST_LINKS = 60_000  # the common programs take 65,530 links a sheet

# Light, medium, dark: told apart on a grey print and without colour vision; the word is always there.
VERDICTS: Mapping[str, bytes] = {
    "pass": b'<dxf><font><color rgb="FF17404F"/></font><fill><patternFill patternType="solid">'
    b'<fgColor rgb="FFE2F0F4"/><bgColor rgb="FFE2F0F4"/></patternFill></fill></dxf>',
    "review": b'<dxf><font><b/><i/><color rgb="FF3D2A00"/></font><fill><patternFill patternType="solid">'
    b'<fgColor rgb="FFF2BE5C"/><bgColor rgb="FFF2BE5C"/></patternFill></fill></dxf>',
    "fail": b'<dxf><font><b/><i val="0"/><color rgb="FFFFFFFF"/></font><fill>'
    b'<patternFill patternType="solid">'
    b'<fgColor rgb="FF6E1A2E"/><bgColor rgb="FF6E1A2E"/></patternFill></fill></dxf>',
}


class Parts:
    """Edits of a sheet's parts around its rows; new elements of one place are kept in order."""

    def __init__(self, sheet: SheetPart) -> None:
        self.sheet = sheet
        self.edits: list[Edit] = []
        self._new: dict[str, bytes] = {}

    def insert(self, name: str, content: bytes) -> None:
        """Add an element to the root; `name` says which, for its place."""
        self._new[name] = self._new.get(name, b"") + content

    def tag(self, name: str) -> bytes:
        return self.sheet.tree.prefix.encode() + name.encode()

    def all(self) -> list[Edit]:
        tree = self.sheet.tree
        inserted = sorted(self._new.items(), key=lambda item: WORKSHEET.index(item[0]))
        return self.edits + [
            (at, at, content) for name, content in inserted for at in [place_for(name, tree, WORKSHEET)]
        ]


def surrounding_edits(
    sheet: SheetPart, styles: Styles, group: Sequence[Placed], *, set_pages: bool
) -> list[Edit]:
    """The edits of a sheet's parts; `set_pages`: make it print one page wide, in landscape."""
    parts = Parts(sheet)
    _widths(parts, group)
    _dimension(parts, group)
    _verdict_formats(parts, styles, group)
    _links(parts, group)
    if set_pages:
        _page_setup(parts)
    return parts.all()


def has_page_setup(sheet: SheetPart) -> bool:
    """Whether the estimator has set up this sheet's pages."""
    root = sheet.tree.root
    if any(root.first(name) for name in ("pageSetup", "rowBreaks", "colBreaks", "headerFooter")):
        return True
    properties = root.first("sheetPr")
    node = properties.first("pageSetUpPr") if properties else None
    return node is not None and bool(node.attributes)  # some libraries write it without saying a thing


def fits_one_page_wide(sheet: SheetPart) -> bool:
    """Whether the sheet is printed as small as it takes for one page to hold its width."""
    root = sheet.tree.root
    properties, setup = root.first("sheetPr"), root.first("pageSetup")
    fit = properties.first("pageSetUpPr") if properties else None
    fitted = fit is not None and fit.attributes.get("fitToPage") in ("1", "true")
    return fitted and (setup is None or setup.attributes.get("fitToWidth", "1") == "1")


@dataclass(frozen=True, slots=True)
class _Width:
    first: int
    last: int
    attributes: Mapping[str, str]


def _widths(parts: Parts, group: Sequence[Placed]) -> None:
    """Give our columns their widths; ranges that reach into them are split."""
    wanted: dict[int, float] = {}
    for placed in group:
        for place, added in enumerate(placed.added.columns, placed.first):
            wanted[place] = max(wanted.get(place, 0.0), added.width)
    tree = parts.sheet.tree
    cols = tree.root.first("cols")
    there = [_width(node) for node in cols.all("col")] if cols else []
    written, left = [], dict(wanted)
    for width in there:
        at = width.first
        for column in sorted(each for each in wanted if width.first <= each <= width.last):
            if at < column:
                written.append(_col(parts, _Width(at, column - 1, width.attributes)))
            written.append(_our_col(parts, column, left.pop(column), width.attributes))
            at = column + 1
        if at <= width.last:
            written.append(_col(parts, _Width(at, width.last, width.attributes)))
    ours = [(column, _our_col(parts, column, width, {})) for column, width in left.items()]
    if cols is None:
        content = b"".join(element for _, element in sorted(ours))
        parts.insert("cols", b"<" + parts.tag("cols") + b">" + content + b"</" + parts.tag("cols") + b">")
        return
    merged = sorted([(_first_of(element), element) for element in written] + ours)
    parts.edits.append((cols.inner, cols.close, b"".join(element for _, element in merged)))


def _width(node: Node) -> _Width:
    return _Width(node.whole("min"), node.whole("max"), node.attributes)


def _first_of(element: bytes) -> int:
    return int(element.split(b'min="')[1].split(b'"')[0])


def _our_col(parts: Parts, column: int, width: float, attributes: Mapping[str, str]) -> bytes:
    kept = {name: value for name, value in attributes.items() if name in ("style", "phonetic")}
    return _col(parts, _Width(column, column, kept | {"width": f"{width:g}", "customWidth": "1"}))


def _col(parts: Parts, width: _Width) -> bytes:
    rest = {name: value for name, value in width.attributes.items() if name not in ("min", "max")}
    values = {"min": str(width.first), "max": str(width.last)} | rest
    written = b"".join(b" " + name.encode() + b"=" + quoted(value) for name, value in values.items())
    return b"<" + parts.tag("col") + written + b"/>"


def _dimension(parts: Parts, group: Sequence[Placed]) -> None:
    node = parts.sheet.tree.root.first("dimension")
    found = area(node.attributes.get("ref", "")) if node else None
    if node is None or found is None:
        return
    ours = [placed.area for placed in group]
    whole = Area(
        min(found.top, *(each.top for each in ours)),
        found.left,
        max(found.bottom, *(each.bottom for each in ours)),
        max(found.right, *(each.right for each in ours)),
    )
    parts.edits.append(set_attribute(parts.sheet.tree, node, "ref", str(whole)))


def _verdict_formats(parts: Parts, styles: Styles, group: Sequence[Placed]) -> None:
    """A fill for each verdict, bound to the word, so that it follows a sort."""
    priority = _highest_priority(parts.sheet)
    for placed in group:
        for offset, column in enumerate(placed.added.columns):
            if column.kind != "verdict":
                continue
            rules, at = b"", placed.first + offset
            for word, look in VERDICTS.items():
                priority += 1
                number, tag, formula = styles.entry("dxfs", look), parts.tag("cfRule"), parts.tag("formula")
                opening = f' type="cellIs" dxfId="{number}" priority="{priority}" operator="equal">'.encode()
                text = b"<" + formula + b'>"' + word.encode() + b'"</' + formula + b">"
                rules += b"<" + tag + opening + text + b"</" + tag + b">"
            table = placed.added.table
            where = Area(table.first_row, at, max(table.first_row, table.last_row), at)
            outer = parts.tag("conditionalFormatting")
            parts.insert(
                "conditionalFormatting",
                b"<" + outer + f' sqref="{where}">'.encode() + rules + b"</" + outer + b">",
            )


def _highest_priority(sheet: SheetPart) -> int:
    """Of all rules: those of the extension list (x14) are counted with the others."""
    root = sheet.tree.root
    nodes = [*root.all("conditionalFormatting"), *root.all("extLst")]
    found = 0
    while nodes:
        node = nodes.pop()
        if node.tag.endswith("cfRule"):
            found = max(found, node.whole("priority", 0))
        nodes += node.children
    return found


def _links(parts: Parts, group: Sequence[Placed]) -> None:
    there = parts.sheet.tree.root.first("hyperlinks")
    room = _MOST_LINKS - (len(there.children) if there else 0)
    written = []
    for placed in group:
        for at, column in enumerate(placed.added.columns, placed.first):
            for row, location in column.links.items():
                target = quoted(attribute_text(location))
                place = f' ref="{letters(at)}{row}" location='.encode()
                written.append(b"<" + parts.tag("hyperlink") + place + target + b"/>")
    content = b"".join(written[: max(room, 0)])
    if not content:
        return
    if there is not None:
        parts.edits.append(append_to(parts.sheet.tree, there, content))
        return
    tag = parts.tag("hyperlinks")
    parts.insert("hyperlinks", b"<" + tag + b">" + content + b"</" + tag + b">")


def _page_setup(parts: Parts) -> None:
    """One page wide, landscape, on whatever paper the printer holds: where nothing was set up."""
    tree = parts.sheet.tree
    fit = b"<" + parts.tag("pageSetUpPr") + b' fitToPage="1"/>'
    properties = tree.root.first("sheetPr")
    if properties and (node := properties.first("pageSetUpPr")):
        parts.edits.append(set_attribute(tree, node, "fitToPage", "1"))
    elif properties:
        parts.edits.append(append_to(tree, properties, fit))
    else:
        parts.insert(
            "sheetPr", b"<" + parts.tag("sheetPr") + b">" + fit + b"</" + parts.tag("sheetPr") + b">"
        )
    parts.insert("pageSetup", b"<" + parts.tag("pageSetup") + b' orientation="landscape" fitToHeight="0"/>')

"""XML in the plain spelling in which programs write it, so that searches of its bytes find all there is.

`<` cannot stand in well-formed text or attribute values (XML 1.0, productions 10 and 14). A part without
comments, CDATA sections and processing instructions, without blanks around `=` and around a cell's value,
and with a place in every cell is searched as it lies; any other is written anew in that spelling first.
"""

import re
from collections.abc import Iterator
from typing import Any

from auditor.ooxml.refs import area, letters
from auditor.ooxml.refusals import damaged_part

_HEAD = 4000  # bytes in which a part's first elements stand
_SAMPLE = 1 << 14
_ODD_SIGNS = (b"v> ", b" </", b" =", b"= ", b"\n", b"\t", b"\r")
_BLANKS = re.compile(rb"v>\s|[\d]\s+</[\w:]*v|[\w:]\s+=\s*[\"']|=\s+[\"']")
_NO_PLACE = re.compile(
    rb"<(?:[\w.-]+:)?(?:c(?:\s(?![^>]*\br=[\"'][A-Z])[^>]*)?|row(?:\s(?![^>]*\br=)[^>]*)?)/?>"
)
# These begin with a text, so that they are found as fast as that text.
_UNUSUAL_CELL, _UNUSUAL_ROW = re.compile(rb'<c(?! r="[A-Z])[\s/>]'), re.compile(rb'<row(?! r="\d)[\s/>]')
_TEXTS = ("str", "inlineStr")  # types of cells whose value may begin or end with blanks
CONTROLS = bytes(code for code in range(32) if code not in (9, 10, 13))  # no XML 1.0 characters
SAFE: dict[str, Any] = {
    "resolve_entities": False,
    "no_network": True,
    "load_dtd": False,
    "recover": False,
}


def is_plain(xml: bytes) -> bool:
    """Whether a worksheet part in UTF-8 is in plain spelling.

    Comments and the like are looked for in all of it, blanks and places in the first 16 kB of its cells: one
    program wrote it all.
    """
    start = max(xml.find(b"?>", 0, _HEAD), 0)
    if b"!" in xml and xml.find(b"<!", start) >= 0:
        return False
    data = max(xml.find(b"sheetData", start, _HEAD), start)
    if xml.find(b"?", data) >= 0 and xml.find(b"<?", data) >= 0:
        return False
    end = data + _SAMPLE
    if any(xml.find(sign, data, end) >= 0 for sign in _ODD_SIGNS) and _BLANKS.search(xml, data, end):
        return False
    return _all_placed(xml, data, end)


def in_plain_spelling(xml: bytes, part: str) -> bytes:
    """The same part in plain spelling, in UTF-8 and without comments.

    Raises
    ------
    UnusableFileError : not well-formed, apart from control characters, which are left out
    """
    from lxml import etree

    parser = etree.XMLParser(remove_comments=True, remove_pis=True, huge_tree=True, **SAFE)
    try:
        root = etree.fromstring(xml.translate(None, CONTROLS), parser)
    except etree.XMLSyntaxError:
        raise damaged_part(part) from None
    for value in root.iter("{*}v"):
        text = value.text or ""
        if text[:1].isspace() or text[-1:].isspace():
            _strip_figure(value)
    plain: bytes = etree.tostring(root, encoding="UTF-8")
    if _all_placed(plain, 0, len(plain)):
        return plain
    for row, column, cell in placed_cells(root):
        cell.set("r", f"{letters(column)}{row}")
    return bytes(etree.tostring(root, encoding="UTF-8"))


def _all_placed(xml: bytes, start: int, end: int) -> bool:
    """Whether each row and each cell says where it is: first as programs write it, then in any order."""
    usual = xml.find(b"<sheetData", start - 1, end) >= 0 and not (
        _UNUSUAL_CELL.search(xml, start, end) or _UNUSUAL_ROW.search(xml, start, end)
    )
    return usual or _NO_PLACE.search(xml, start, end) is None


def _strip_figure(value: Any) -> None:
    """Take the blanks off a cell's value, unless it is a text."""
    if value.getparent().get("t") not in _TEXTS:
        value.text = value.text.strip()


def placed_cells(root: Any) -> Iterator[tuple[int, int, Any]]:
    """Row, column and element of each cell of a worksheet; one without a place follows the one before it."""
    row = 0
    for data in root.iterchildren("{*}sheetData"):
        for line in data.iterchildren("{*}row"):
            row, column = _number(line.get("r"), row + 1), 0
            line.set("r", str(row))
            for cell in line.iterchildren("{*}c"):
                found = area(cell.get("r", ""))
                column = found.left if found else column + 1
                yield row, column, cell


def _number(text: str | None, otherwise: int) -> int:
    return int(text) if text is not None and text.isdecimal() else otherwise

"""How many entries the lists of a styles part must have for what names them by number.

A library may write a number that its list does not have; programs show the default then. What is appended to
the list must not take that number, or the estimator's cells would look like ours.
"""

import re
from collections.abc import Iterator

from auditor.ooxml.workbook_part import WorkbookPart
from auditor.ooxml.xmltree import Node, Tree

_NAMED_BY = {"fonts": "fontId", "fills": "fillId", "borders": "borderId"}  # attributes of formats
# ISO/IEC 29500-1, 18.8.21: two fills are reserved
_RESERVED = {"fonts": 1, "fills": 2, "borders": 1, "cellXfs": 1, "cellStyleXfs": 1, "cellStyles": 1}
_LARGE = 1 << 20  # bytes of a part that is not kept for who reads it next


def least_size(list_: str, size: int, styles: Tree, book: WorkbookPart) -> int:
    """The entries that `list_`, one of the lists to which entries are appended, must have; it has `size`."""
    least = max(size, _RESERVED.get(list_, 0))
    if list_ in _NAMED_BY:
        return max([least, *(each.whole(_NAMED_BY[list_], 0) + 1 for each in formats(styles))])
    if list_ == "cellXfs":
        return max([least, *_named_above(least, book, rb"\ss=[\"'](%b)[\"']", rb"\sstyle=[\"'](%b)[\"']")])
    if list_ == "dxfs":
        tables = styles.root.first("tableStyles")
        inside = [node for style in (tables.children if tables else ()) for node in style.children]
        named = (node.whole("dxfId", -1) + 1 for node in inside)
        return max([least, *named, *_named_above(least, book, rb"[dD]xfId=[\"'](%b)[\"']")])
    return least


def formats(styles: Tree) -> Iterator[Node]:
    """The formats of cells and of named styles."""
    for name in ("cellXfs", "cellStyleXfs"):
        node = styles.root.first(name)
        yield from node.children if node else ()


def _named_above(size: int, book: WorkbookPart, *patterns: bytes) -> Iterator[int]:
    """1 + each number from `size` on that stands in one of the patterns' places in a sheet or list object."""
    package = book.package
    wanted = [re.compile(pattern % _from(size)) for pattern in patterns]
    sheets = [sheet.part for sheet in book.sheets if sheet.part in package.members]
    tables = [name for name in package.names() if "/tables/" in name.replace("\\", "/").casefold()]
    for part in [*sheets, *(name for name in tables if name.casefold().endswith(".xml"))]:
        xml = package.xml(part)
        for pattern in wanted:
            yield from (int(number) + 1 for number in set(pattern.findall(xml)))
        if len(xml) > _LARGE:
            package.forget(part)


def _from(least: int) -> bytes:
    """A pattern of the whole numbers from `least` on: what is smaller is passed over without a stop."""
    digits = str(least)
    larger = [
        f"{digits[:at]}[{int(digit) + 1}-9]" + r"\d" * (len(digits) - at - 1)
        for at, digit in enumerate(digits)
        if digit != "9"
    ]
    return "|".join([digits, *larger, rf"[1-9]\d{{{len(digits)},6}}"]).encode()

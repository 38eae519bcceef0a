"""How many entries the lists of a styles part must have for what names them by number.

A library may write a number that its list does not have; programs show the default then. What is appended to
the list must not take that number, or the estimator's cells would look like ours.
"""

import re
from collections.abc import Iterator
from functools import cached_property

from auditor.ooxml.package import folded
from auditor.ooxml.plain import is_plain
from auditor.ooxml.workbook_part import WorkbookPart
from auditor.ooxml.xmltree import Node, Tree

_NAMED_BY = {"fonts": "fontId", "fills": "fillId", "borders": "borderId"}  # attributes of formats
# ISO/IEC 29500-1, 18.8.21: two fills are reserved
_RESERVED = {"fonts": 1, "fills": 2, "borders": 1, "cellXfs": 1, "cellStyleXfs": 1, "cellStyles": 1}
_FROM_SHEETS = {"cellXfs": (b" s=", b" style="), "dxfs": (b"xfId=",)}  # attributes in sheets and list objects
_HEAD = 4000  # bytes; one program wrote it all: its quotes show here
_LARGE = 1 << 20  # bytes of a part that is not kept for who reads it next


class LeastSizes:
    """The entries that the lists of a styles part must have at least."""

    def __init__(self, book: WorkbookPart, styles: Tree) -> None:
        self._book, self._styles = book, styles

    def __getitem__(self, list_: str) -> int:
        least = max(self._listed(list_), _RESERVED.get(list_, 0))
        if list_ in _NAMED_BY:
            named = (each.whole(_NAMED_BY[list_], 0) for each in formats(self._styles))
            return max([least, *(number + 1 for number in named)])
        return max(least, self._named_in_sheets[list_]) if list_ in _FROM_SHEETS else least

    def _listed(self, list_: str) -> int:
        node = self._styles.root.first(list_)
        return len(node.children) if node else 0

    @cached_property
    def _named_in_sheets(self) -> dict[str, int]:
        """List -> 1 + the highest number beyond it that a sheet or a list object names, else 0; of both
        lists at once, since a large part is unpacked for it."""
        found = {"cellXfs": 0, "dxfs": self._named_by_tables()}
        patterns = {list_: _patterns(list_, self._listed(list_)) for list_ in found}
        before = None
        for part in _sheets_and_list_objects(self._book):
            if before:
                self._book.package.forget(before)
            xml = self._book.package.xml(part)
            plain = is_plain(xml) and b"='" not in xml[:_HEAD]
            for list_, (usual, unusual) in patterns.items():
                for pattern in usual if plain else unusual:
                    found[list_] = max([found[list_], *(int(n) + 1 for n in set(pattern.findall(xml)))])
            before = part if len(xml) > _LARGE else None
        return found

    def _named_by_tables(self) -> int:
        styles = self._styles.root.first("tableStyles")
        inside = [node for style in (styles.children if styles else ()) for node in style.children]
        return max((node.whole("dxfId", -1) + 1 for node in inside), default=0)


def formats(styles: Tree) -> Iterator[Node]:
    """The formats of cells and of named styles."""
    for name in ("cellXfs", "cellStyleXfs"):
        node = styles.root.first(name)
        yield from node.children if node else ()


def _sheets_and_list_objects(book: WorkbookPart) -> list[str]:
    members = book.package.members
    tables = [name for name in members if "/tables/" in folded(name) and folded(name).endswith(".xml")]
    return [sheet.part for sheet in book.sheets if sheet.part in members] + tables


def _patterns(list_: str, size: int) -> tuple[list[re.Pattern[bytes]], list[re.Pattern[bytes]]]:
    """Of the attributes that name numbers from `size` on: as programs write them, and in any spelling."""
    numbers, names = _from(size), _FROM_SHEETS[list_]
    usual = [re.compile(rb"%b\"(%b)\"" % (name, numbers)) for name in names]
    return usual, [re.compile(rb"%b\s*=\s*[\"'](%b)[\"']" % (n.strip()[:-1], numbers)) for n in names]


def _from(least: int) -> bytes:
    """A pattern of the whole numbers from `least` on: what is smaller is passed over without a stop."""
    digits = str(least)
    larger = [
        f"{digits[:at]}[{int(digit) + 1}-9]" + r"\d" * (len(digits) - at - 1)
        for at, digit in enumerate(digits)
        if digit != "9"
    ]
    return "|".join([digits, *larger, rf"[1-9]\d{{{len(digits)},6}}"]).encode()

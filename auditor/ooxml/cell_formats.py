"""What the cell formats of a workbook show: text struck through, and the codes of their numbers.

Source: ISO/IEC 29500-1, 18.8 (styles), 18.4.10 (strike).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from auditor.ooxml.xmltree import Node, Tree

_OFF = ("0", "false", "off")


@dataclass(frozen=True, slots=True)
class CellFormats:
    """By the number that a cell names as its style, of the formats that show it."""

    struck: frozenset[int] = frozenset()  # struck through
    number_formats: tuple[int, ...] = ()  # of all cell formats
    codes: Mapping[int, str] = field(default_factory=dict)  # number format -> code, of the workbook's own


def cell_formats(styles: Tree) -> CellFormats:
    """What a styles part says.

    Raises
    ------
    UnusableFileError : a number in it is none
    """
    fonts, formats, codes = (_children(styles.root, name) for name in ("fonts", "cellXfs", "numFmts"))
    struck = {number for number, font in enumerate(fonts) if _is_struck(font)}
    return CellFormats(
        frozenset(number for number, each in enumerate(formats) if each.whole("fontId", 0) in struck)
        if struck
        else frozenset(),
        tuple(each.whole("numFmtId", 0) for each in formats),
        {each.whole("numFmtId"): each.attributes.get("formatCode", "") for each in codes},
    )


def _children(root: Node, name: str) -> list[Node]:
    node = root.first(name)
    return node.children if node else []


def _is_struck(font: Node) -> bool:
    node = font.first("strike")
    return node is not None and node.attributes.get("val", "1") not in _OFF

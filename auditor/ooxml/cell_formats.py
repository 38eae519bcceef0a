"""What the cell formats of a workbook show: text struck through, the codes of their numbers, and plain fills.

Source: ISO/IEC 29500-1, 18.8 (styles), 18.4.10 (strike), 18.8.32 (patternFill).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from auditor.ooxml.xmltree import Node, Tree

_WHITE = ("rgb FFFFFFFF", "rgb 00FFFFFF", "theme 0", "indexed 9", "indexed 64")
_OFF = ("0", "false", "off")


@dataclass(frozen=True, slots=True)
class CellFormats:
    """By the number that a cell names as its style, of the formats that show it."""

    struck: frozenset[int] = frozenset()  # struck through
    number_formats: tuple[int, ...] = ()  # of all cell formats
    codes: Mapping[int, str] = field(default_factory=dict)  # number format -> code, of the workbook's own
    fills: Mapping[int, str] = field(
        default_factory=dict
    )  # format -> the colour of its plain fill, as it is named


def cell_formats(styles: Tree) -> CellFormats:
    """What a styles part says.

    Raises
    ------
    UnusableFileError : a number in it is none
    """
    fonts, formats, codes = (_children(styles.root, name) for name in ("fonts", "cellXfs", "numFmts"))
    fills = dict(enumerate(map(_colour, _children(styles.root, "fills"))))
    struck = {number for number, font in enumerate(fonts) if _is_struck(font)}
    return CellFormats(
        frozenset(number for number, each in enumerate(formats) if each.whole("fontId", 0) in struck)
        if struck
        else frozenset(),
        tuple(each.whole("numFmtId", 0) for each in formats),
        {each.whole("numFmtId"): each.attributes.get("formatCode", "") for each in codes},
        {
            number: colour
            for number, each in enumerate(formats)
            if (colour := fills.get(each.whole("fillId", 0), ""))
        },
    )


def _children(root: Node, name: str) -> list[Node]:
    node = root.first(name)
    return node.children if node else []


def _colour(fill: Node) -> str:
    """The colour of a plain fill as the file names it, `rgb FFFF7C80`; empty: none, or white."""
    pattern = fill.first("patternFill")
    colour = (
        pattern.first("fgColor") if pattern and pattern.attributes.get("patternType") == "solid" else None
    )
    named = " ".join(f"{name} {text}" for name, text in sorted(colour.attributes.items())) if colour else ""
    return "" if named in _WHITE else named


def _is_struck(font: Node) -> bool:
    node = font.first("strike")
    return node is not None and node.attributes.get("val", "1") not in _OFF

"""Text made safe for a cell: it stays text, and the XML stays legal.

Source: ISO/IEC 29500-1, 22.9.2.19 (ST_Xstring: `_xHHHH_` for what XML cannot hold); XML 1.0,
production 2 (Char). The 32,767 characters of a cell are the limit of the common spreadsheet programs.
"""

import re

LONGEST_TEXT = 32767
_SPECIAL = re.compile("[&<>\x00-\x1f\x7f\ud800-\udfff\ufffe\uffff]|_(?=x[0-9A-Fa-f]{4}_)")
_ENTITY = {"&": "&amp;", "<": "&lt;", ">": "&gt;", "\n": "\n", "\t": "\t"}


def cell_text(text: str) -> bytes:
    """The content of a `<t>` element in UTF-8: cut to the cell's limit with `…`, control characters
    as `_xHHHH_`, lone surrogates replaced by U+FFFD."""
    if len(text) * 2 > LONGEST_TEXT:
        text = _cut(text)
    if text.isalnum():
        return text.encode("utf-8", "replace")
    return _SPECIAL.sub(_legal, text).encode()


def attribute_text(text: str) -> str:
    """Text for an XML attribute, not yet escaped: without what XML cannot hold."""
    return re.sub("[\x00-\x1f\x7f\ud800-\udfff\ufffe\uffff]", "\ufffd", text)


def _legal(match: re.Match[str]) -> str:
    found = match[0]
    if found in _ENTITY:
        return _ENTITY[found]
    if found == "_":  # what only looks like an escape stands for itself
        return "_x005F_"
    return f"_x{ord(found):04X}_" if ord(found) < 0x80 else "\ufffd"


def _cut(text: str) -> str:
    """At most 32,767 UTF-16 units, the unit in which the limit is counted."""
    if len(text.encode("utf-16-le", "surrogatepass")) // 2 <= LONGEST_TEXT:
        return text
    text = text[: LONGEST_TEXT - 1]
    while len(text.encode("utf-16-le", "surrogatepass")) // 2 > LONGEST_TEXT - 1:
        text = text[:-1]
    return text + "…"

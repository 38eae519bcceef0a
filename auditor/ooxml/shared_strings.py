"""Texts of cells, and the runs of such as are in several fonts, of which one may be struck through.

Source: ISO/IEC 29500-1, 18.4.8 (string item), 18.4.4 (run), 18.4.6 (phonetic hints, no part of the text) and
22.9.2.19 (`_xHHHH_` for what XML cannot hold).
"""

import re
from collections.abc import Iterator
from html import unescape

Run = tuple[str, bool | None]  # text, and whether it is struck through; None: as the cell's own format says

_ITEM = re.compile(rb"<(?:[\w.-]+:)?si(?:\s[^>]*)?(?:/>|>(.*?)</(?:[\w.-]+:)?si\s*>)", re.DOTALL)
_RUN = re.compile(rb"<(?:[\w.-]+:)?r(?:\s[^>]*)?>(.*?)</(?:[\w.-]+:)?r\s*>", re.DOTALL)
_FONT = re.compile(rb"<(?:[\w.-]+:)?rPr(?:\s[^>]*)?(?:/>|>(.*?)</(?:[\w.-]+:)?rPr\s*>)", re.DOTALL)
_TEXT = re.compile(rb"<(?:[\w.-]+:)?t(?:\s[^>]*)?>([^<]*)<")
_HINT = re.compile(rb"<(?:[\w.-]+:)?rPh[\s>].*?</(?:[\w.-]+:)?rPh\s*>", re.DOTALL)
_STRUCK = re.compile(rb"<(?:[\w.-]+:)?strike(?=[\s/>])(?!\s+val\s*=\s*[\"'](?:0|false|off)[\"'])")
_ESCAPE = re.compile(r"_x([0-9A-Fa-f]{4})_")


def items(strings: bytes) -> Iterator[bytes]:
    """The content of each item of a shared strings part without comments (see `plain`)."""
    return (match[1] or b"" for match in _ITEM.finditer(strings))


def text(content: bytes) -> str:
    """The text of an item, or of the inline text of a cell."""
    if b"rPh" in content:
        content = _HINT.sub(b"", content)
    return "".join(map(_plain, _TEXT.findall(content)))


def runs(content: bytes) -> tuple[Run, ...]:
    """The runs of an item, or of the inline text of a cell."""
    found = []
    for run in _RUN.findall(content):
        font, text = _FONT.search(run), _TEXT.search(run)
        struck = None if font is None else _STRUCK.search(font[0]) is not None
        found.append((_plain(text[1]) if text else "", struck))
    return tuple(found)


def _plain(text: bytes) -> str:
    plain = unescape(text.decode("utf-8", "replace")) if b"&" in text else text.decode("utf-8", "replace")
    return _ESCAPE.sub(lambda match: chr(int(match[1], 16)), plain) if "_x" in plain else plain

"""Texts of an .xlsx in several fonts, of which a part may be struck through.

Source: ISO/IEC 29500-1, 18.4.4 (run), 18.4.8 (string item), 18.4.6 (phonetic hints, no part of the text) and
22.9.2.19 (`_xHHHH_` for what XML cannot hold).
"""

import re
from collections.abc import Mapping
from html import unescape

from auditor.intake.formats.struck import Place, Run
from auditor.ooxml.refs import column_number

_ITEM = re.compile(rb"<(?:\w+:)?si(?:\s[^>]*)?(?:/>|>(.*?)</(?:\w+:)?si\s*>)", re.DOTALL)
_RUN = re.compile(rb"<(?:\w+:)?r(?:\s[^>]*)?>(.*?)</(?:\w+:)?r\s*>", re.DOTALL)
_FONT = re.compile(rb"<(?:\w+:)?rPr(?:\s[^>]*)?(?:/>|>(.*?)</(?:\w+:)?rPr\s*>)", re.DOTALL)
_TEXT = re.compile(rb"<(?:\w+:)?t(?:\s[^>]*)?>([^<]*)<")
_STRUCK = re.compile(rb"<(?:\w+:)?strike(?=[\s/>])(?!\s+val\s*=\s*[\"'](?:0|false|off)[\"'])")
_ESCAPE = re.compile(r"_x([0-9A-Fa-f]{4})_")
_SHARED = re.compile(
    rb"<(?:\w+:)?c\s(?=[^>]*\bt=[\"']s[\"'])[^>]*\br=[\"']([A-Z]{1,3})(\d{1,7})[\"'][^>]*>"
    rb"\s*<(?:\w+:)?v>\s*(\d+)\s*<"
)
_INLINE = re.compile(
    rb"<(?:\w+:)?c\s(?=[^>]*\bt=[\"']inlineStr[\"'])[^>]*\br=[\"']([A-Z]{1,3})(\d{1,7})[\"'][^>]*>"
    rb"\s*<(?:\w+:)?is(?:\s[^>]*)?>(.*?)</(?:\w+:)?is\s*>",
    re.DOTALL,
)


def shared_runs(strings: bytes, *, any_mixture: bool) -> dict[int, tuple[Run, ...]]:
    """Index of a shared text -> its runs, where some are struck through and, with `any_mixture`, where
    they are in several fonts: then a run may be all that is not struck in a struck cell."""
    if not (b"strike" in strings or (any_mixture and b"rPr" in strings)):
        return {}
    found = ((index, _runs(match[1])) for index, match in enumerate(_ITEM.finditer(strings)) if match[1])
    return {index: runs for index, runs in found if _counts(runs, any_mixture)}


def cells_with_runs(
    xml: bytes, shared: Mapping[int, tuple[Run, ...]], *, any_mixture: bool
) -> dict[Place, tuple[Run, ...]]:
    """The cells of a sheet that show such a shared text, or hold one of their own."""
    cells: dict[Place, tuple[Run, ...]] = {}
    for letters, row, index in _SHARED.findall(xml) if shared else ():
        if runs := shared.get(int(index)):
            cells[int(row), column_number(letters.decode())] = runs
    inline = b"strike" in xml or (any_mixture and b"rPr" in xml)
    for letters, row, content in _INLINE.findall(xml) if inline else ():
        if _counts(runs := _runs(content), any_mixture):
            cells[int(row), column_number(letters.decode())] = runs
    return cells


def _counts(runs: tuple[Run, ...], any_mixture: bool) -> bool:
    states = {struck for _, struck in runs}
    return True in states or (any_mixture and False in states)


def _runs(content: bytes) -> tuple[Run, ...]:
    found = []
    for run in _RUN.findall(content):
        font, text = _FONT.search(run), _TEXT.search(run)
        struck = None if font is None else _STRUCK.search(font[0]) is not None
        found.append((_plain(text[1]) if text else "", struck))
    return tuple(found)


def _plain(text: bytes) -> str:
    return _ESCAPE.sub(lambda match: chr(int(match[1], 16)), unescape(text.decode("utf-8", "replace")))

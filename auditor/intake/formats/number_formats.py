"""Units that a cell shows by its number format: 12 with the format `0" m"` is read by people as 12 m.

Source: ECMA-376 part 1, 18.8.30 and 18.8.31 (number formats); from memory, not read again for this code.
"""

import re
from collections.abc import Mapping
from html import unescape

from auditor.intake.grammar.units import UNIT_OF

MAX_CODE = 255  # characters; no program writes a longer one
UNITS_SHOWN = ("units that the format of a cell shows behind its number are read with it",)
_FORMATS = re.compile(rb"<(?:\w+:)?cellXfs\b.*?</(?:\w+:)?cellXfs>", re.DOTALL)
_FORMAT = re.compile(rb"<(?:\w+:)?xf\s[^>]*>")
_FORMAT_ID = re.compile(rb"\bnumFmtId=[\"'](\d+)")
_CODE = re.compile(rb"<(?:\w+:)?numFmt\s[^>]*>")
_CODE_TEXT = re.compile(rb"\bformatCode=(?:\"([^\"]*)\"|'([^']*)')")
_LITERAL = re.compile(r'"([^"]*)"|\\(.)|[_*].|\[[^\]]*\]')
_PLAIN = re.compile(r"(?:General|(?:#,##|[#?])*0?(?:\.[0#?]+)?(?:\s*[#?]+/[#?0-9]+)?)", re.IGNORECASE)


def unit_styles(styles: bytes) -> Mapping[int, str]:
    """Index of a cell format -> the unit that it shows behind the number, where it shows one."""
    units = {}
    for tag in _CODE.findall(styles):
        number, code = _FORMAT_ID.search(tag), _CODE_TEXT.search(tag)
        text = (code[1] or code[2] or b"").decode("utf-8", "replace") if code else ""
        unit = shown_unit(unescape(text)) if "\\" in text or '"' in unescape(text) else None
        if number and unit:
            units[int(number[1])] = unit
    formats = _FORMATS.search(styles) if units else None
    ids = [_FORMAT_ID.search(tag) for tag in _FORMAT.findall(formats[0])] if formats else []
    return {i: units[int(found[1])] for i, found in enumerate(ids) if found and int(found[1]) in units}


def shown_unit(code: str) -> str | None:
    """The unit of a number format's first section; None: it shows none, or the number scaled or as a date."""
    if len(code) > MAX_CODE:
        return None
    section = re.split(r';(?=(?:[^"]*"[^"]*")*[^"]*$)', code)[0]
    literal = "".join(quoted or escaped for quoted, escaped in _LITERAL.findall(section)).strip().casefold()
    number = _LITERAL.sub("", section).strip()
    if not literal or not number or _PLAIN.fullmatch(number) is None:
        return None
    return UNIT_OF.get(literal) or UNIT_OF.get(literal.strip(" ."))

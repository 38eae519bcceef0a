"""Units that a cell shows by its number format: 12 with the format `0" m"` is read by people as 12 m.

Source: ECMA-376 part 1, 18.8.30 and 18.8.31 (number formats); from memory, not read again for this code.
"""

import re

from auditor.intake.grammar.units import UNIT_OF
from auditor.intake.grammar.values import VOLTS
from auditor.ooxml.cell_formats import CellFormats

MAX_CODE = 255  # characters; no program writes a longer one
UNITS_SHOWN = ("units that the format of a cell shows behind its number are read with it",)
_DATE_FORMATS = (*range(14, 23), *range(45, 48))
_QUOTED = re.compile(r'"[^"]*"|\\.')
_BRACKETED = re.compile(r"\[[^\]]*\]")
_DURATION = re.compile(r"\[(?:h+|m+|s+)\]", re.IGNORECASE)
_DATE = re.compile(r"[dmyhs]")
_LITERAL = re.compile(r'"([^"]*)"|\\(.)|[_*].|\[[^\]]*\]')
_BEHIND_VOLTS = ("", ")", " dc", " dc)")
_PLAIN = re.compile(r"(?:General|(?:#,##|[#?])*0?(?:\.[0#?]+)?(?:\s*[#?]+/[#?0-9]+)?)", re.IGNORECASE)


def unit_styles(formats: CellFormats) -> dict[int, str]:
    """Index of a cell format -> the unit that it shows behind the number, where it shows one."""
    found = {
        number: shown_unit(code) for number, code in formats.codes.items() if "\\" in code or '"' in code
    }
    units = {number: unit for number, unit in found.items() if unit}
    used = enumerate(formats.number_formats) if units else ()
    return {index: units[number] for index, number in used if number in units}


def date_styles(formats: CellFormats) -> dict[int, bool]:
    """Index of a cell format that shows a number as a date or a time -> whether as a duration."""
    dates = dict.fromkeys(_DATE_FORMATS, False) | {46: True}  # 46 is [h]:mm:ss
    for number, code in formats.codes.items():
        dates.pop(number, None)
        if _DURATION.search(_QUOTED.sub("", code)):
            dates[number] = True
        elif _DATE.search(_QUOTED.sub("", _BRACKETED.sub("", code)).casefold().replace("general", "")):
            dates[number] = False
    return {index: dates[number] for index, number in enumerate(formats.number_formats) if number in dates}


def shown_unit(code: str) -> str | None:
    """The unit of a number format's first section, `m`, `mA @ 24 V`; None: it shows none, or the number scaled or
    as a date."""
    if len(code) > MAX_CODE:
        return None
    section = re.split(r';(?=(?:[^"]*"[^"]*")*[^"]*$)', code)[0]
    literal = "".join(quoted or escaped for quoted, escaped in _LITERAL.findall(section)).strip().casefold()
    number = _LITERAL.sub("", section).strip()
    if not literal or not number or _PLAIN.fullmatch(number) is None:
        return None
    stated = VOLTS.search(literal)
    bare = literal[: stated.start()].strip(" (") if stated else literal
    unit = UNIT_OF.get(bare) or UNIT_OF.get(bare.strip(" ."))
    if stated is None:
        return unit
    volts = float(stated[1].replace(",", "."))
    return (
        f"{unit} @ {volts:g} V" if unit in ("A", "mA") and literal[stated.end() :] in _BEHIND_VOLTS else None
    )

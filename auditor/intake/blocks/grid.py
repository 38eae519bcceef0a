"""What stands in a sheet's rows, as the steps that look for tables need it."""

import re
from collections.abc import Sequence
from datetime import date, time, timedelta
from functools import lru_cache
from typing import Any

from auditor.intake.formats.cells import Sheet, Value
from auditor.intake.grammar.numbers import plain
from auditor.intake.grammar.units import UNIT_OF
from auditor.intake.grammar.values import words

_NUMBERS = (float, int, date, time, timedelta)
LONGEST = 24  # characters of a quantity
_QUANTITY = re.compile(r"[+-]?(?:\d[\d.,' ]*|[.,]\d+)\s*(?P<unit>[^\d\s][^\d]*)?")
_FEET_INCHES = re.compile(r"\d+\s*'\s*-?\s*\d.*\"?|\d+(?:\.\d+)?\s*[\"']")


def filled_cells(row: Sequence[Value], left: int = 1, right: int | None = None) -> dict[int, Value]:
    """column (from 1) -> value of the cells with something in them."""
    if not row:
        return {}
    cells = row[left - 1 : right]
    return {
        column: value
        for column, value in enumerate(cells, left)
        if not isinstance(value, str) or value.strip()
    }


def is_quantity(value: Any) -> bool:
    """Whether a cell holds a number, a date, or a text that is a number with or without its unit."""
    if isinstance(value, str):
        return len(value) <= LONGEST and _is_quantity(value)
    return isinstance(value, _NUMBERS)


@lru_cache(maxsize=8192)
def _is_quantity(text: str) -> bool:
    if not any(map(str.isdigit, text)):
        return False
    text = plain(text).casefold()
    if _FEET_INCHES.fullmatch(text):
        return True
    match = _QUANTITY.fullmatch(text)
    return match is not None and (match["unit"] is None or match["unit"].strip(" .") in UNIT_OF)


def shape_of(text: str) -> str:
    """A text as runs of letters and digits: `KP-101` and `DM-7` are both `a-9`."""
    return re.sub(r"\d+", "9", re.sub(r"[^\W\d_]+", "a", text))


def texts_of(sheet: Sheet, row: int, left: int, right: int) -> dict[int, str]:
    """column -> the text of the cells that hold text, blanks made one."""
    cells = sheet.rows[row - 1] if 0 < row <= len(sheet.rows) else []
    return {
        column: words(value)
        for column, value in enumerate(cells[left - 1 : right], left)
        if isinstance(value, str) and value.strip()
    }

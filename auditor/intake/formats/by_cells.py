"""One sheet's XML read cell by cell: for sheets whose cells reach too far for a fast reader, which would
allocate the whole rectangle around them, and for spellings that it does not read."""

import io
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cached_property
from typing import Any

from auditor.intake.formats.cells import NOT_CALCULATED, Fault, Value
from auditor.ooxml.plain import CONTROLS, SAFE
from auditor.ooxml.refs import LAST_COLUMN, LAST_ROW, area
from auditor.ooxml.refusals import damaged_part
from auditor.ooxml.shared_strings import Run, items, runs, text

_LAST_DATE = 2_958_466  # the number of 10000-01-01
_DAYS_TO_1904 = 1_462  # from the first day of the one date system to that of the other


class Texts:
    """The shared texts of a workbook, which cells name by their index."""

    def __init__(self, strings: bytes) -> None:
        self._strings = strings

    @cached_property
    def all(self) -> list[str]:
        return [text(item) for item in items(self._strings)]

    def with_runs(self, *, any_mixture: bool) -> dict[int, tuple[Run, ...]]:
        """Index -> runs, of the texts of which some are struck through and, with `any_mixture`, of those in
        several fonts: then a run may be all that is not struck in a struck cell."""
        if not (b"strike" in self._strings or (any_mixture and b"rPr" in self._strings)):
            return {}
        found = ((index, runs(item)) for index, item in enumerate(items(self._strings)) if b"rPr" in item)
        return {index: each for index, each in found if can_be_struck(each, any_mixture=any_mixture)}


def can_be_struck(found: tuple[Run, ...], *, any_mixture: bool) -> bool:
    states = {struck for _, struck in found}
    return True in states or (any_mixture and False in states)


@dataclass(frozen=True, slots=True)
class Dates:
    """Which cell formats show a number as a date, and what day is number 0."""

    styles: Mapping[int, bool]  # format of cells -> whether it shows a duration
    from_1904: bool = False

    def value(self, number: float, style: int) -> float | date | datetime | time | timedelta:
        """What the cell shows; as python-calamine gives it."""
        duration = self.styles.get(style)
        later = _DAYS_TO_1904 if self.from_1904 and not duration else 0
        if duration is None or not 0 <= number < _LAST_DATE - later:
            return number
        if duration:
            return timedelta(days=number)
        if number < 1:
            return (datetime.min + timedelta(days=number)).time()
        number += later
        # day 60 is 29 February 1900, which never was: the days before it count from one day later
        shown = datetime(1899, 12, 31 if number < 60 else 30) + timedelta(days=number)
        return shown.date() if number == int(number) else shown


def read_cells(xml: bytes, texts: Texts, dates: Dates, part: str) -> list[list[Any]]:
    """Rows of different lengths, `""` where a cell is blank.

    Parameters
    ----------
    xml : in plain spelling

    Raises
    ------
    UnusableFileError : not well formed, or an address outside a sheet
    """
    from lxml import etree

    rows: list[list[Any]] = []
    row = column = 0
    try:
        for event, element in _elements(xml):
            kind = _local(element)
            if event == "start" and kind == "row":
                row, column = int(element.get("r", row + 1)), 0
            elif event == "end" and kind == "c":
                row, column = _address(element.get("r"), row, column + 1)
                value = _value(element, texts, dates)
                if value != "":
                    _put(rows, row, column, value)
                element.clear()
            elif event == "end" and kind == "row":
                element.clear()
                while element.getprevious() is not None:
                    del element.getparent()[0]
    except (etree.XMLSyntaxError, ValueError, IndexError, OverflowError) as cause:
        raise damaged_part(part) from cause
    return rows


def _elements(xml: bytes) -> Any:
    from lxml import etree

    stream = io.BytesIO(xml.translate(None, CONTROLS))
    tags = ("{*}row", "{*}c")
    return etree.iterparse(stream, events=("start", "end"), tag=tags, huge_tree=True, **SAFE)


def _address(text: str | None, row: int, column: int) -> tuple[int, int]:
    if text is None:
        return row, column
    found = area(text)
    if found is None:
        raise ValueError(text)
    return found.top, found.left


def _value(cell: Any, texts: Texts, dates: Dates) -> Any:
    kind = cell.get("t", "n")
    children = {_local(child): child for child in cell}
    if kind == "inlineStr":
        return _inline_text(children.get("is"))
    stated = children["v"].text if "v" in children else None
    if stated is None and "f" in children and not (kind == "str" and "v" in children):
        return Fault("=" + (children["f"].text or ""), NOT_CALCULATED)
    return "" if stated is None else _typed(kind, stated, int(cell.get("s", "0")), texts, dates)


def _local(element: Any) -> str:
    return str(element.tag).rpartition("}")[2]


def _inline_text(element: Any) -> str:
    from lxml import etree

    return "" if element is None else text(etree.tostring(element))


def _typed(kind: str, stated: str, style: int, texts: Texts, dates: Dates) -> Value:
    if kind == "n":
        return dates.value(float(stated), style)
    if kind == "e":
        return Fault(stated, f"the cell shows {stated}; mend its formula")
    if kind == "s":
        index = int(stated)
        if index < 0:
            raise IndexError(stated)
        return texts.all[index]
    if kind == "d":
        return datetime.fromisoformat(stated)
    return stated.strip() in ("1", "true") if kind == "b" else stated


def _put(rows: list[list[Any]], row: int, column: int, value: Any) -> None:
    if not (0 < row <= LAST_ROW and 0 < column <= LAST_COLUMN):
        raise ValueError(f"row {row}, column {column}")
    while len(rows) < row:
        rows.append([])
    cells = rows[row - 1]
    cells.extend([""] * (column - len(cells)))
    cells[column - 1] = value

"""Labelled cells outside the tables: `Bus profile: two-wire-35w`, `Allowance per end | 3 ft`."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from auditor.intake.cells import Book, Sheet, Value
from auditor.intake.headings import MAX_HEADING, heading, remembered, vocabulary
from auditor.intake.lengths import length_m
from auditor.intake.numbers import Separators, UnreadableError, plain
from auditor.intake.spellings import UNIT_OF
from auditor.intake.tables import FoundTable
from auditor.intake.values import Context, is_blank, shown, voltage_v, words
from auditor.model import CellRef, Remark

MAX_ROWS = 400  # a label stands in a title block, not under a thousand rows
MAX_COLUMNS = 60
LENGTH_UNITS = ("ft", "m", "in", "yd", "cm", "mm")
_SENTENCE = re.compile(  # `All lengths are in feet unless noted`; dimensions in mm are the drawing's
    r"(?:[^:]{0,80}[-–—:;,.(|]\s*)?(?:notes?\W+)?(?:(?:all|alle|toutes\s+les|todas\s+las)\s+)?(?P<what>(?:cable\s+|pull\s+)?lengths?|distances?|dimensions?|längen|longueurs|longitudes)"
    r"(?:\s+(?:are|is|given|stated|shown|sind|sont|son))*\s+(?:in|en|\(in|\()\s*(?P<unit>[^\W\d]+)\b(?P<rest>.*)",
    re.IGNORECASE,
)


@dataclass(slots=True)
class Labelled:
    """What the labelled cells of a workbook say; None: nothing."""

    profile_name: str | None = None
    job_name: str | None = None
    allowance_per_end_m: float | None = None
    waste: float | None = None
    supply_voltage_v: float | None = None
    length_unit: str | None = None


def read_labels(book: Book, tables: Sequence[FoundTable]) -> tuple[Labelled, list[Remark]]:
    """The first cell of each kind in reading order; what it holds and cannot be read is remarked."""
    found, remarks = Labelled(), []
    units: set[object] = set()
    for sheet in book.sheets:
        for name, unit, value, where in _labels(sheet, [table for table in tables if table.sheet is sheet]):
            if getattr(found, name) is None or name == "length_unit":
                try:
                    stated = _read(name, unit, value)
                    if name == "length_unit" and units and stated not in units:
                        setattr(found, name, None)
                        raise UnreadableError(
                            f"another cell says {min(map(str, units))}; write the unit in each table's heading"
                        )
                    if name == "length_unit":
                        units.add(stated)
                    setattr(found, name, stated)
                except UnreadableError as reason:
                    remarks.append(
                        Remark(
                            rule="unreadable-value",
                            level="review",
                            subject=name.replace("_", " "),
                            message=f"{shown(value)!r} beside the label cannot be read: {reason}",
                            where=where,
                        )
                    )
    return found, remarks


def _labels(sheet: Sheet, tables: Sequence[FoundTable]) -> Iterator[tuple[str, str | None, Value, CellRef]]:
    covered: frozenset[int] = frozenset()  # columns of this row that stand in tables
    known: list[FoundTable] = []
    for row, cells in enumerate(sheet.rows[: _rows_to_search(sheet, tables)], 1):
        beside = [t for t in tables if t.header_rows[0] <= row <= t.last_row]
        if beside != known:
            known = beside
            covered = frozenset(c for t in beside for c in range(t.first_column, t.last_column + 1))
        if len(cells) <= len(covered) and covered.issuperset(range(1, len(cells) + 1)):
            continue
        for column, value in enumerate(cells[:MAX_COLUMNS], 1):
            if type(value) is not str or not value or column in covered:
                continue
            said = _said(value)
            if said is None:
                continue
            name, unit, colon, rest = said
            if name == "length_unit" and rest and not colon:
                yield name, None, rest, CellRef(sheet.name, row, column)
                continue
            if rest:
                yield name, unit, rest, CellRef(sheet.name, row, column)
            else:
                right = next(
                    (c for c in range(column, min(len(cells), column + 6)) if not is_blank(cells[c])), None
                )
                if right is not None and not _is_label(cells[right]):
                    yield name, unit, cells[right], CellRef(sheet.name, row, right + 1)


def _rows_to_search(sheet: Sheet, tables: Sequence[FoundTable]) -> int:
    """Down to a table that fills the rest of its sheet."""
    width = max(map(len, sheet.rows), default=0)
    filling = [
        t for t in tables if t.first_column == 1 and t.last_column >= width and t.last_row == len(sheet.rows)
    ]
    return min([MAX_ROWS, *(t.header_rows[0] - 1 for t in filling)])


def _unit_of_sentence(text: str) -> str | None:
    """The unit of bare lengths that a sentence states; None: it states none, or more than one."""
    match = _SENTENCE.fullmatch(plain(text[: 4 * MAX_HEADING]))
    if match is None:
        return None
    unit = UNIT_OF.get(match["unit"].casefold())
    others = {UNIT_OF.get(word) for word in re.findall(r"[^\W\d]+", match["rest"].casefold())} & {
        *LENGTH_UNITS
    }
    drawn = match["what"].casefold().startswith("dimension") and unit not in ("ft", "m")
    return match["unit"] if unit in LENGTH_UNITS and others <= {unit} and not drawn else None


@remembered(maxsize=8192)  # most texts of a schedule come again and again
def _said(text: str) -> tuple[str, str | None, bool, str] | None:
    """What a text labels, the unit it states, whether it has a colon, and what stands behind it; a
    sentence that states the unit of lengths is a label without colon."""
    sentence = _unit_of_sentence(text)
    if sentence is not None:
        return "length_unit", None, False, sentence
    label, colon, rest = text.partition(":")
    found = _label(label) if len(label) <= MAX_HEADING else None
    return None if found is None else (*found, bool(colon), rest.strip() if colon else "")


@remembered(maxsize=2048)
def _label(text: str) -> tuple[str, str | None] | None:
    """(what a label names, the unit it states)."""
    known, head = vocabulary()["labels"], heading(text)
    name = next((known[stem][0][0] for stem in head.stems if stem in known), None)
    return (name, head.unit) if name else None


def _is_label(value: Value) -> bool:
    return isinstance(value, str) and value.rstrip().endswith(":")


def _read(name: str, unit: str | None, value: Value) -> str | float:
    text = plain(words(value))
    if name == "length_unit":
        found = UNIT_OF.get(text.casefold())
        if found not in LENGTH_UNITS:
            raise UnreadableError("no unit of length; write ft or m")
        return found
    if name == "allowance_per_end_m":
        return 0.0 if value == 0 else length_m(value, Context(unit, Separators(".")), "allowance")
    if name == "supply_voltage_v":
        return voltage_v(value, Context(unit or "V", Separators(".")))
    if name == "waste":
        return _fraction(value)
    return words(value)


def _fraction(value: Value) -> float:
    """`5 %`, `0.05` or, where it can only be a percentage, `5`."""
    text = plain(shown(value)).replace(",", ".")
    percent = text.endswith("%")
    try:
        amount = float(text.rstrip("% "))
    except ValueError:
        raise UnreadableError("no share; write e.g. 5 %") from None
    amount = amount / 100 if percent or amount >= 1 else amount
    if not 0 <= amount < 1:
        raise UnreadableError("no share; write e.g. 5 %")
    return amount

"""Labelled cells outside the tables: `Bus profile: two-wire-35w`, `Allowance per end | 3 ft`."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain

from auditor.intake.formats.cells import Book, Sheet, Value
from auditor.intake.headings import MAX_HEADING, heading, remembered, vocabulary
from auditor.intake.lengths import length_m
from auditor.intake.numbers import Separators, UnreadableError, plain
from auditor.intake.said import question
from auditor.intake.spellings import UNIT_OF
from auditor.intake.stated import Part
from auditor.intake.tables import FoundTable
from auditor.intake.values import Context, is_blank, shown, voltage_v, words
from auditor.job.model import CellRef, Remark

MAX_ROWS = 400  # a label stands in a title block, not under a thousand rows
MAX_COLUMNS = 60
MAX_ROWS_BELOW = 20  # notes below a table that are looked at
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
    length_unit_at: CellRef | None = None  # the cell that says so


def read_labels(book: Book, parts: Sequence[Part]) -> tuple[Labelled, list[Remark]]:
    """The first cell of each kind in reading order; what it holds and cannot be read is remarked."""
    found, remarks = Labelled(), []
    units: dict[str, CellRef] = {}  # unit of lengths -> the first cell that states it
    tables = [part.table for part in parts]
    for sheet in book.sheets:
        labels = _labels(sheet, [table for table in tables if table.sheet is sheet])
        below = _sentences_below([part for part in parts if part.table.sheet is sheet])
        for name, unit, value, where in chain(labels, below):
            if getattr(found, name) is None or name == "length_unit":
                try:
                    stated = _read(name, unit, value)
                    setattr(found, name, stated)
                    if name == "length_unit":
                        units.setdefault(str(stated), where)
                except UnreadableError as reason:
                    message = f"{shown(value)!r} beside the label cannot be read: {reason}"
                    remarks.append(_question(name, message, where))
    if units:
        found.length_unit, found.length_unit_at = next(iter(units.items()))
    if len(units) > 1:
        found.length_unit = found.length_unit_at = None
        said = [f"{cell_text(where)} says that lengths are in {unit}" for unit, where in units.items()]
        message = f"{', '.join(said)}; correct one of them or write the unit in each table's heading"
        remarks.append(_question("length_unit", message, list(units.values())[1]))
    return found, remarks


def cell_text(where: CellRef) -> str:
    return f"cell {where.a1} on {where.sheet!r}"


def _question(name: str, message: str, where: CellRef) -> Remark:
    return question(name.replace("_", " "), message, where)


def _sentences_below(parts: Sequence[Part]) -> Iterator[tuple[str, None, str, CellRef]]:
    """Sentences that state the unit of lengths in the first rows below a table's last record."""
    for part in parts:
        table, last = part.table, max(part.rows, default=part.table.header_rows[-1])
        rows = sorted(row for row in (*part.other.notes, *part.other.headings) if row > last)
        for row in rows[:MAX_ROWS_BELOW]:
            cells = table.sheet.rows[row - 1][table.first_column - 1 : table.last_column]
            for column, value in enumerate(cells, table.first_column):
                unit = _unit_of_sentence(value) if type(value) is str and value else None
                if unit is not None:
                    yield "length_unit", None, unit, CellRef(table.sheet.name, row, column)


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

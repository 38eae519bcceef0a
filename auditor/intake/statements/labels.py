"""Labelled cells outside the tables: `Bus profile: two-wire-35w`, `Allowance per end | 3 ft`."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from auditor.intake.blocks.tables import Line
from auditor.intake.formats.cells import Value
from auditor.intake.grammar.lengths import length_m
from auditor.intake.grammar.numbers import Separators, UnreadableError, plain
from auditor.intake.grammar.units import UNIT_OF
from auditor.intake.grammar.values import Context, shown, voltage_v, words
from auditor.intake.said import question
from auditor.intake.statements.facts import LENGTH_UNIT, Fact
from auditor.intake.statements.title_block import FIELDS, in_title, may_state
from auditor.intake.words import MAX_HEADING, heading, label, remembered
from auditor.job.model import CellRef, Remark

MAX_ROWS = 400  # a label stands in a title block, not under a thousand rows
MAX_COLUMNS = 60
MOST_TITLES = 12  # rows at the top of a sheet in which a title may state revision and date
LENGTH_UNITS = ("ft", "m", "in", "yd", "cm", "mm")
KNOWN = frozenset(
    {"profile_name", "job_name", "allowance_per_end_m", "waste", "supply_voltage_v", "length_unit"}
) | frozenset(FIELDS)


MOST_SUPPLIED_V = 120.0  # extra-low voltage, DC; IEC 60364-4-41, 414 (from memory)


@dataclass(slots=True)
class Labelled:
    """What the labelled cells of a workbook say; None: nothing."""

    profile_name: str | None = None
    job_name: str | None = None
    allowance_per_end_m: float | None = None
    waste: float | None = None
    supply_voltage_v: float | None = None
    length_units: list[Fact] = field(default_factory=list)
    titles: dict[str, Value] = field(default_factory=dict)  # field of the title block -> its cell's value
    cells: dict[str, CellRef] = field(default_factory=dict)  # what is said -> the cell that says it


def read_labels(lines: Sequence[Line], titles: Sequence[Line] = ()) -> tuple[Labelled, list[Remark]]:
    """The first cell of each kind in reading order; what it holds and cannot be read is remarked.

    Parameters
    ----------
    titles : rows that may be a title block or a small list; what cannot be read there is no label
    """
    found, remarks = Labelled(), []
    for line in (*lines, *titles):
        for name, unit, value, where in _labels(line):
            if name in FIELDS:
                _take_title(found, FIELDS[name], value, where)
            elif name == "length_unit" or getattr(found, name) is None:
                try:
                    stated = _read(name, unit, value)
                    if name == "supply_voltage_v" and float(stated) > MOST_SUPPLIED_V:
                        continue  # the cable's or the mains'
                    if name == "length_unit":
                        found.length_units.append(
                            Fact(kind=LENGTH_UNIT, value=stated, where=where, wide=True)
                        )
                    else:
                        setattr(found, name, stated)
                        found.cells[name] = where
                except UnreadableError as reason:
                    message = f"{shown(value)!r} beside the label cannot be read: {reason}"
                    if not any(line is title for title in titles):
                        remarks.append(_question(name, message, where))
    for line in lines:
        if line.row <= MOST_TITLES and len(line.cells) == 1:
            ((column, value),) = line.cells.items()
            for name, said in in_title(value).items() if isinstance(value, str) else ():
                _take_title(found, name, said, CellRef(line.sheet.name, line.row, column))
    return found, remarks


def _take_title(found: Labelled, name: str, value: Value, where: CellRef) -> None:
    """The first of each that can be it."""
    if name not in found.titles and may_state(name, words(value)):
        found.titles[name] = value
        found.cells[name] = where


def _question(name: str, message: str, where: CellRef) -> Remark:
    return question(name.replace("_", " "), message, where)


def _labels(line: Line) -> Iterator[tuple[str, str | None, Value, CellRef]]:
    if line.row > MAX_ROWS:
        return
    cells = line.cells
    for column, value in cells.items():
        if type(value) is not str or column > MAX_COLUMNS:
            continue
        said = _said(value)
        if said is None or said[0] not in KNOWN:
            continue
        name, unit, rest = said
        if rest:
            yield name, unit, rest, CellRef(line.sheet.name, line.row, column)
            continue
        right = next((c for c in range(column + 1, column + 7) if c in cells), None)
        if right is not None and not _is_label(cells[right]):
            yield name, unit, cells[right], CellRef(line.sheet.name, line.row, right)


@remembered(maxsize=8192)  # most texts of a schedule come again and again
def _said(text: str) -> tuple[str, str | None, str] | None:
    """What a text labels, the unit it states, and what stands behind its colon."""
    name, colon, rest = text.partition(":")
    found = _label(name) if len(name) <= MAX_HEADING else None
    return None if found is None else (*found, rest.strip() if colon else "")


@remembered(maxsize=2048)
def _label(text: str) -> tuple[str, str | None] | None:
    """(what a label names, the unit it states)."""
    names = label(text)
    return (names[0][0], heading(text).unit) if names else None


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

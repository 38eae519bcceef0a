"""Sheets of cells as every reader of a format gives them, and the formats there are."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, time, timedelta
from enum import StrEnum
from typing import Any


class Format(StrEnum):
    """The formats that can be read; xlsm and xltx are xlsx inside."""

    XLSX = "xlsx"
    XLSB = "xlsb"
    XLS = "xls"
    ODS = "ods"
    CSV = "csv"


@dataclass(frozen=True, slots=True)
class Fault:
    """A cell whose value is none: `text` as the cell shows it, and why it cannot be read."""

    text: str
    reason: str


class WithUnit(float):
    """A number whose cell shows a unit behind it, as its number format says: `m`, or `mA @ 24 V`."""

    __slots__ = ("unit", "volts")
    unit: str
    volts: float | None  # at which a current is stated [V]

    def __new__(cls, value: float, shown: str) -> "WithUnit":
        made = super().__new__(cls, value)
        made.unit, _, at = shown.partition(" @ ")
        made.volts = float(at.removesuffix(" V")) if at else None
        return made


NOT_CALCULATED = "a formula that was never calculated; open the workbook in a spreadsheet program and save it"

Value = str | float | int | bool | date | time | timedelta | Fault


@dataclass(slots=True, kw_only=True)
class Sheet:
    """One sheet. Rows and columns of `rows` count from 0, those of all other fields from 1.

    A cell without a value is `""`; rows may be of different lengths.
    """

    name: str
    rows: list[list[Any]]  # of Value
    hidden: bool = False
    hidden_rows: frozenset[int] = frozenset()
    hidden_columns: frozenset[int] = frozenset()
    struck: Mapping[int, frozenset[int]] = field(default_factory=dict)  # row -> its struck-through columns
    struck_parts: Mapping[tuple[int, int], str] = field(
        default_factory=dict
    )  # (row, column) -> text not read
    fills: Mapping[tuple[int, int], str] = field(
        default_factory=dict
    )  # (row, column) -> colour, where a text may say what colours mean
    merges: tuple[tuple[int, int, int, int], ...] = ()  # first row, first column, last row, last column
    notes: tuple[str, ...] = ()  # what the reader of the file wants said

    def put(self, row: int, column: int, value: Value) -> None:
        """Sets a cell's value; row and column count from 1."""
        while len(self.rows) < row:
            self.rows.append([])
        cells = self.rows[row - 1]
        cells.extend([""] * (column - len(cells)))
        cells[column - 1] = value

    def value(self, row: int, column: int) -> Value:
        """The cell's value; row and column count from 1."""
        cells = self.rows[row - 1] if 0 < row <= len(self.rows) else ()
        return cells[column - 1] if 0 < column <= len(cells) else ""


@dataclass(slots=True, kw_only=True)
class Book:
    """All sheets of a file, in its order."""

    format: Format
    sheets: list[Sheet]
    decimal_comma: bool = False  # a text file whose separator shows that it writes 41,5
    notes: tuple[str, ...] = ()

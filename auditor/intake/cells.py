"""Sheets of cells out of a spreadsheet's bytes, whatever its format."""

import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, time, timedelta
from pathlib import PurePath
from typing import Any
from zipfile import ZipFile

from auditor.errors import UnusableFileError
from auditor.intake.guard import Format, recognise

SAME_INSIDE = {
    Format.XLSX: ("xlsm", "xltx", "xltm"),
    Format.CSV: ("tsv", "txt"),
    Format.XLS: ("xlt",),
    Format.XLSB: (),
    Format.ODS: ("ots",),
}
ENDINGS = frozenset(Format) | {ending for endings in SAME_INSIDE.values() for ending in endings}


@dataclass(frozen=True, slots=True)
class Fault:
    """A cell whose value is none: `text` as the cell shows it, and why it cannot be read."""

    text: str
    reason: str


class WithUnit(float):
    """A number whose cell shows a unit behind it, as its number format says."""

    __slots__ = ("unit",)
    unit: str

    def __new__(cls, value: float, unit: str) -> "WithUnit":
        made = super().__new__(cls, value)
        made.unit = unit
        return made


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


def read_book(data: bytes, name: str) -> Book:
    """All cells of a spreadsheet.

    Raises
    ------
    UnusableFileError : what `guard` refuses, and what no reader can open
    """
    kind, package = recognise(data, name)
    if package is not None:
        with package:
            sheets = _package_sheets(kind, package, data, name)
            book = Book(format=kind, sheets=sheets, notes=tuple(_package_notes(package)))
    elif kind is Format.XLS:
        from auditor.intake.xls import read_xls

        book = Book(format=kind, sheets=read_xls(data, name))
    else:
        book = _text_book(data, name)
    return _with_name_checked(book, name)


def _with_name_checked(book: Book, name: str) -> Book:
    """Says so where the file's name promises another format."""
    ending = PurePath(name).suffix.casefold().lstrip(".")
    if ending in ENDINGS and ending not in (book.format, *SAME_INSIDE[book.format]):
        book.notes = (f"the file is {book.format} by its content, not {ending} as its name says", *book.notes)
    return book


def _package_notes(package: ZipFile) -> Iterator[str]:
    parts = [part.replace("\\", "/").casefold() for part in package.namelist()]
    if any(part.startswith("_xmlsignatures/") for part in parts):
        yield "the workbook is signed; the annotated copy no longer carries a valid signature"
    if any(part.startswith(("xl/externallinks/", "xl/connections")) for part in parts):
        yield "the workbook links to other files or data; links are not followed, the values saved in it are used"


def _package_sheets(kind: Format, package: ZipFile, data: bytes, name: str) -> list[Sheet]:
    if kind is Format.XLSB:
        from auditor.intake.xlsb import read_xlsb

        return read_xlsb(package, data, name)
    if kind is Format.ODS:
        from auditor.intake.ods import read_ods

        return read_ods(package, name)
    from auditor.intake.xlsx import read_xlsx

    return read_xlsx(package, data, name)


def _text_book(data: bytes, name: str) -> Book:
    from auditor.intake.text import read_text

    table = read_text(data, name)
    sheet = Sheet(name=PurePath(name).stem, rows=list(table.rows))
    return Book(format=Format.CSV, sheets=[sheet], decimal_comma=table.decimal_comma, notes=table.notes)


def calamine_sheets(data: bytes, name: str, skip: Mapping[str, list[list[Any]]] | None = None) -> list[Sheet]:
    """The values of all worksheets as python-calamine reads them.

    Error cells and formulas that were never calculated come as `""` from it: the caller looks for them.

    Parameters
    ----------
    skip : rows of the sheets that it must not touch, read elsewhere
    """
    import python_calamine as calamine

    try:
        book = calamine.CalamineWorkbook.from_filelike(io.BytesIO(data))
        sheets = []
        for index, entry in enumerate(book.sheets_metadata):
            if entry.typ == calamine.SheetTypeEnum.WorkSheet:
                if skip and entry.name in skip:
                    hidden = entry.visible != calamine.SheetVisibleEnum.Visible
                    sheets.append(Sheet(name=entry.name, rows=skip[entry.name], hidden=hidden))
                    continue
                sheet = book.get_sheet_by_index(index)
                sheets.append(
                    Sheet(
                        name=entry.name,
                        rows=sheet.to_python(skip_empty_area=False),
                        hidden=entry.visible != calamine.SheetVisibleEnum.Visible,
                        merges=tuple(
                            (first[0] + 1, first[1] + 1, last[0] + 1, last[1] + 1)
                            for first, last in sheet.merged_cell_ranges or ()
                        ),
                    )
                )
        return sheets
    except calamine.PasswordError as cause:
        raise UnusableFileError(f"{name}: the file needs a password; save a copy without one") from cause
    except BaseException as cause:
        # a panic of the library comes as a BaseException of a class that cannot be imported
        known = (calamine.CalamineError, calamine.ZipError, calamine.XmlError, OSError)
        if not isinstance(cause, known) and type(cause).__name__ != "PanicException":
            raise
        raise UnusableFileError(damaged(name)) from cause


def damaged(name: str) -> str:
    """The sentence for a file whose parts do not fit together."""
    return f"{name}: the file is damaged; open it in a spreadsheet program, check it and save it again"

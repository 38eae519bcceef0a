"""Sheets of cells out of a spreadsheet's bytes, whatever its format."""

from collections.abc import Iterator
from pathlib import PurePath
from zipfile import ZipFile

from auditor.intake.formats.cells import ENDINGS, SAME_INSIDE, Book, Format, Sheet
from auditor.intake.formats.guard import recognise


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
        from auditor.intake.formats.xls import read_xls

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
        from auditor.intake.formats.xlsb import read_xlsb

        return read_xlsb(package, data, name)
    if kind is Format.ODS:
        from auditor.intake.formats.ods import read_ods

        return read_ods(package, name)
    from auditor.intake.formats.xlsx import read_xlsx

    return read_xlsx(package, data, name)


def _text_book(data: bytes, name: str) -> Book:
    from auditor.intake.formats.text import read_text

    table = read_text(data, name)
    sheet = Sheet(name=PurePath(name).stem, rows=list(table.rows))
    return Book(format=Format.CSV, sheets=[sheet], decimal_comma=table.decimal_comma, notes=table.notes)

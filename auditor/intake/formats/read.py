"""Sheets of cells out of a spreadsheet's bytes, whatever its format."""

from collections.abc import Iterator
from pathlib import PurePath

from auditor.endings import ALL_ENDINGS, ENDINGS
from auditor.errors import naming
from auditor.intake.formats.cells import Book, Format, Sheet
from auditor.intake.formats.guard import Opened, opened
from auditor.ooxml.package import Package, folded


def read_book(source: bytes | Opened, name: str) -> Book:
    """All cells of a spreadsheet.

    Parameters
    ----------
    source : the file's bytes, or the file when it is open already

    Raises
    ------
    UnusableFileError : what `guard` refuses, and what no reader can open; it begins with the file's name
    """
    with naming(name):
        file = opened(source) if isinstance(source, bytes) else source
        book = _book(file, name)
    return _with_name_checked(book, name)


def _book(file: Opened, name: str) -> Book:
    if file.format is Format.XLSX:
        from auditor.intake.formats.xlsx import read_xlsx

        book = read_xlsx(_package(file), file.data)
    elif file.format is Format.XLSB:
        from auditor.intake.formats.xlsb import read_xlsb

        book = Book(format=file.format, sheets=read_xlsb(_package(file), file.data))
    elif file.format is Format.ODS:
        from auditor.intake.formats.ods import read_ods

        book = Book(format=file.format, sheets=read_ods(_package(file)))
    elif file.format is Format.XLS:
        from auditor.intake.formats.xls import read_xls

        book = Book(format=file.format, sheets=read_xls(file.data))
    else:
        book = _text_book(file.data, name)
    if file.package is not None:
        book.notes = (*_package_notes(file.package), *book.notes)
    return book


def _package(file: Opened) -> Package:
    assert file.package is not None, "a format that is a package is opened as one"
    return file.package


def _with_name_checked(book: Book, name: str) -> Book:
    """Says so where the file's name promises another format."""
    ending = PurePath(name).suffix.casefold()
    if ending in ALL_ENDINGS and ending not in ENDINGS[book.format]:
        said = f"the file is {book.format} by its content, not {ending[1:]} as its name says"
        book.notes = (said, *book.notes)
    return book


def _package_notes(package: Package) -> Iterator[str]:
    parts = list(map(folded, package.names()))
    if any(part.startswith("_xmlsignatures/") for part in parts):
        yield "the workbook is signed; the annotated copy no longer carries a valid signature"
    if any(part.startswith(("xl/externallinks/", "xl/connections")) for part in parts):
        yield (
            "the workbook links to other files or data; links are not followed, the values saved in it are "
            "used"
        )


def _text_book(data: bytes, name: str) -> Book:
    from auditor.intake.formats.text import read_text

    table = read_text(data)
    sheet = Sheet(name=PurePath(name).stem, rows=list(table.rows))
    return Book(format=Format.CSV, sheets=[sheet], decimal_comma=table.decimal_comma, notes=table.notes)

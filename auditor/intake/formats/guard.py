"""What kind of file some bytes are, by their content, and its package where it is one."""

import re
from dataclasses import dataclass

from auditor.errors import UnusableFileError
from auditor.intake.formats.cells import Format
from auditor.ooxml.opening import COMPOUND_FILE, open_package
from auditor.ooxml.package import Package, folded
from auditor.ooxml.refusals import needs_password
from auditor.ooxml.relationships import main_part

_BARE_XLS = re.compile(rb"\x09[\x00\x02\x04][\x04\x06]\x00")  # before 1993
_SPREADSHEET_NAME = re.compile(rb"<[\w:]*mso-application|urn:schemas-microsoft-com:office:spreadsheet")
_ODF_SHEETS = re.compile(rb"<(?:[\w.-]+:)?spreadsheet[\s>/]")
_MAIN_ROOT = re.compile(rb"<(?:[\w.-]+:)?(workbook|document|presentation)[\s>/]")
_WANTED = "wanted .xlsx, .xls, .xlsb, .ods or .csv: ask for the schedule as one of these"
_MOSTLY = 0.75  # of the bytes at one place of each character; project convention
_COPY_TABLES = "copy its tables into a spreadsheet and save that as .xlsx"
_ODF_KINDS = {b"opendocument.text": "a text document", b"opendocument.presentation": "a presentation"}
_OOXML_KINDS = {b"document": "a text document", b"presentation": "a presentation"}


@dataclass(frozen=True, slots=True)
class Opened:
    """A file whose kind is known, and its package, opened once for all who read in it."""

    data: bytes
    format: Format
    package: Package | None = None


def opened(data: bytes) -> Opened:
    """The format by content, whatever the file's name says, and its package where it is one.

    Raises
    ------
    UnusableFileError : empty, damaged, protected by a password, or no spreadsheet at all
    """
    if not data.strip(b"\0 \r\n\t"):
        what = "holds nothing but zeros" if b"\0" in data else "is empty"
        raise UnusableFileError(f"the file {what}; ask for it again")
    if data.startswith(COMPOUND_FILE):  # first: an .xls holds its colours as a package inside
        return Opened(data, _compound_format(data))
    if data.startswith(b"PK") or (b"PK\x05\x06" in data[-70_000:] and b"PK\x03\x04" in data):
        package = open_package(data)
        return Opened(data, _package_format(package), package)
    if _BARE_XLS.match(data):
        return Opened(data, Format.XLS)
    return Opened(data, _text_format(data))


def _package_format(package: Package) -> Format:
    main = main_part(package)
    if main is not None and main.casefold().endswith(".bin"):
        return Format.XLSB
    if _says_opendocument(package):
        return Format.ODS
    main = main or package.find("word/document.xml") or package.find("ppt/presentation.xml")
    root = _MAIN_ROOT.search(package.xml(main)[:4096]) if main else None
    if root is not None and root[1] in _OOXML_KINDS:
        raise _no_workbook(_OOXML_KINDS[root[1]], _COPY_TABLES)
    if main is not None or any(folded(name).startswith("xl/worksheets/") for name in package.names()):
        return Format.XLSX  # what is missing in it is said by its reader
    raise _no_workbook("a package without any sheet", "if it holds workbooks, unpack it")


def _says_opendocument(package: Package) -> bool:
    """Whether a package holds OpenDocument sheets; some programs leave out the member that says so.

    Raises
    ------
    UnusableFileError : an OpenDocument file of another kind
    """
    content = package.find("content.xml")
    said = b"".join(
        package.read(found)[:65_536]
        for name in ("mimetype", "META-INF/manifest.xml")
        if (found := package.find(name))
    )
    if b"opendocument.spreadsheet" in said:
        return True
    if content is None and b"opendocument" not in said:
        return False
    if content and _ODF_SHEETS.search(package.xml(content)):
        return True
    kind = next(
        (words for mark, words in _ODF_KINDS.items() if mark in said), "another kind of office document"
    )
    raise _no_workbook(kind, _COPY_TABLES)


def _no_workbook(what: str, advice: str) -> UnusableFileError:
    return UnusableFileError(f"the file is {what}, no workbook; wanted a spreadsheet; {advice}")


def _compound_format(data: bytes) -> Format:
    folded = data.lower()  # names of streams do not tell case apart

    def holds(stream: str) -> bool:
        return stream.lower().encode("utf-16-le") in folded

    if holds("EncryptedPackage"):
        raise needs_password()
    if holds("Workbook") or holds("Book"):
        return Format.XLS
    raise UnusableFileError(f"the file is another kind of office document, no workbook; {_COPY_TABLES}")


def _text_format(data: bytes) -> Format:
    head = data[:4096].lstrip(b"\xef\xbb\xbf \r\n\t").lower()
    if head.startswith((b"<html", b"<!doctype html", b"<table")) or b"<table" in head:
        raise UnusableFileError(
            "the file is a web page with a spreadsheet's name; open it in a spreadsheet program "
            "and save it as .xlsx"
        )
    if _SPREADSHEET_NAME.search(data[:4096]):
        raise UnusableFileError(
            "the file is in the 2003 XML spreadsheet format; open it in a spreadsheet program "
            "and save it as .xlsx"
        )
    if head.startswith((b"%pdf", b"\x89png", b"{\\rtf", b"<?xml", b"gif8", b"\xff\xd8\xff", b"rar!")):
        raise UnusableFileError(f"the file is no spreadsheet; {_WANTED}")
    if encoding := _wide_encoding(data):
        raise UnusableFileError(f"the file is text in {encoding}, which is not read; save it as UTF-8")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return Format.CSV
    if data[:65_536].count(b"\0") > 16:
        raise UnusableFileError(f"the file is no spreadsheet; {_WANTED}")
    return Format.CSV


def _wide_encoding(data: bytes) -> str | None:
    """UTF-32, or UTF-16 that does not say so: of each of its characters one byte is mostly zero."""
    sample = data[:65_536]
    if data.startswith((b"\xff\xfe\0\0", b"\0\0\xfe\xff")):
        return "UTF-32"
    for width, name in ((4, "UTF-32"), (2, "UTF-16")):
        zeros = [sample[at::width].count(0) * width / max(len(sample), 1) for at in range(width)]
        if data.startswith((b"\xff\xfe", b"\xfe\xff")) or len(sample) < 2 * width:
            return None
        if sum(share > _MOSTLY for share in zeros) == width - 1 and min(zeros) < 1 - _MOSTLY:
            return name
    return None

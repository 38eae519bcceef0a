"""What kind of file some bytes are, and whether a reader may be let near them."""

import io
import re
import struct
import zipfile

from auditor.errors import UnusableFileError
from auditor.intake.formats.cells import Format
from auditor.ooxml.compression import crc32, unpacked

MAX_MEMBERS = 10_000  # project conventions: a job workbook keeps far below each of them
MAX_PART_BYTES = 1_500_000_000
MAX_TOTAL_BYTES = 3_000_000_000
MAX_RATIO = 400  # inflated over stored, of parts above SMALL_PART_BYTES
SMALL_PART_BYTES = 64_000_000

_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_BARE_XLS = re.compile(rb"\x09[\x00\x02\x04][\x04\x06]\x00")  # before 1993
_SPREADSHEET_NAME = re.compile(rb"<[\w:]*mso-application|urn:schemas-microsoft-com:office:spreadsheet")


def recognise(data: bytes, name: str) -> tuple[Format, zipfile.ZipFile | None]:
    """The format by content, whatever the file's name says, and its package where it is one.

    Raises
    ------
    UnusableFileError : empty, damaged, protected by a password, or no spreadsheet at all
    """
    if not data.strip(b"\0 \r\n\t"):
        what = "holds nothing but zeros" if b"\0" in data else "is empty"
        raise UnusableFileError(f"{name}: the file {what}; ask for it again")
    if data.startswith(_OLE):  # first: an .xls holds its colours as a package inside
        return _ole_format(data, name), None
    if data.startswith(b"PK") or (b"PK\x05\x06" in data[-70_000:] and b"PK\x03\x04" in data):
        package = open_package(data, name)
        return _zip_format(package, name), package
    if _BARE_XLS.match(data):
        return Format.XLS, None
    return _text_format(data, name), None


def open_package(data: bytes, name: str) -> zipfile.ZipFile:
    """The package of a workbook, its directory checked before anything is unpacked.

    Raises
    ------
    UnusableFileError : not whole, two members of one name, encrypted members, too large unpacked
    """
    try:
        package = zipfile.ZipFile(io.BytesIO(data))
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError) as cause:
        raise UnusableFileError(
            f"{name}: the file is incomplete or damaged (its end is missing); ask for it again"
        ) from cause
    members = package.infolist()
    _refuse_odd_members(members, name)
    _refuse_large_members(members, name)
    return package


def read_part(package: zipfile.ZipFile, part: str, name: str) -> bytes:
    """One part of the package, its check sum verified.

    Raises
    ------
    UnusableFileError : damaged, or an XML part that declares entities
    """
    try:
        data = _inflated(package, package.getinfo(part))
    except (zipfile.BadZipFile, EOFError, ValueError, OSError, KeyError, struct.error) as cause:
        raise UnusableFileError(
            f"{name}: the part {part!r} is damaged; open the workbook in a spreadsheet program, "
            "check it and save it again"
        ) from cause
    refuse_doctype(data, part, name)
    return data


def _inflated(package: zipfile.ZipFile, entry: zipfile.ZipInfo) -> bytes:
    """A part's bytes; not one more is unpacked than its entry declares."""
    stream = package.fp
    if stream is None or entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise zipfile.BadZipFile
    stream.seek(entry.header_offset)
    head = stream.read(30)
    if head[:4] != b"PK\x03\x04":
        raise zipfile.BadZipFile
    stream.seek(sum(struct.unpack("<HH", head[26:30])), io.SEEK_CUR)
    data = stream.read(entry.compress_size)
    if entry.compress_type == zipfile.ZIP_DEFLATED:
        data = unpacked(data, entry.file_size)
    if len(data) != entry.file_size or crc32(data) != entry.CRC:
        raise zipfile.BadZipFile
    return data


def damaged(name: str) -> str:
    """The sentence for a file whose parts do not fit together."""
    return f"{name}: the file is damaged; open it in a spreadsheet program, check it and save it again"


def refuse_doctype(data: bytes, part: str, name: str) -> None:
    """A document type can pull in other files or swell without end; no workbook needs one."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff") or b"\0" in data[:4]:
        wide = data.replace(b"\0", b"")
        found = b"<!DOCTYPE" in wide
    else:
        found = b"<!DOCTYPE" in data
    if found:
        raise UnusableFileError(
            f"{name}: the part {part!r} declares a document type, which no spreadsheet program writes; "
            "the file is not read"
        )


def _refuse_odd_members(members: list[zipfile.ZipInfo], name: str) -> None:
    if len(members) > MAX_MEMBERS:
        raise UnusableFileError(
            f"{name}: the package has {len(members):,} parts; at most {MAX_MEMBERS:,} are read"
        )
    seen: set[str] = set()
    for member in members:
        key = member.filename.replace("\\", "/").lstrip("/").casefold()
        if key in seen:
            raise UnusableFileError(
                f"{name}: the package is damaged: it holds the part {member.filename!r} twice, and programs "
                "disagree which one counts; open it, check it and save it again"
            )
        seen.add(key)
        if member.flag_bits & 1:
            raise UnusableFileError(f"{name}: the file needs a password; save a copy without one")


def _refuse_large_members(members: list[zipfile.ZipInfo], name: str) -> None:
    for member in members:
        ratio = member.file_size / max(member.compress_size, 1)
        if member.file_size > MAX_PART_BYTES or (member.file_size > SMALL_PART_BYTES and ratio > MAX_RATIO):
            raise UnusableFileError(
                f"{name}: the part {member.filename!r} would unpack to {member.file_size / 1e6:,.0f} MB "
                f"({ratio:,.0f} times its size), more than a schedule holds; the file is not read"
            )
    total = sum(member.file_size for member in members)
    if total > MAX_TOTAL_BYTES:
        raise UnusableFileError(
            f"{name}: the file would unpack to {total / 1e6:,.0f} MB; at most {MAX_TOTAL_BYTES / 1e6:,.0f} MB are read"
        )


def _zip_format(package: zipfile.ZipFile, name: str) -> Format:
    names = {member.replace("\\", "/").lstrip("/").casefold() for member in package.namelist()}
    mimetype = read_part(package, "mimetype", name)[:100] if "mimetype" in package.namelist() else b""
    if "xl/workbook.bin" in names:
        return Format.XLSB
    if b"opendocument.spreadsheet" in mimetype:
        return Format.ODS
    if "xl/workbook.xml" in names or any(part.startswith("xl/worksheets/") for part in names):
        return Format.XLSX
    what = (
        "a text document"
        if "word/document.xml" in names or b"opendocument.text" in mimetype
        else ("a presentation" if "ppt/presentation.xml" in names else "a package without any sheet")
    )
    raise UnusableFileError(f"{name}: the file is {what}, no workbook; wanted a spreadsheet")


def _ole_format(data: bytes, name: str) -> Format:
    def holds(stream: str) -> bool:
        return stream.encode("utf-16-le") in data

    if holds("EncryptedPackage"):
        raise UnusableFileError(f"{name}: the file needs a password; save a copy without one")
    if holds("Workbook") or holds("Book"):
        return Format.XLS
    raise UnusableFileError(f"{name}: the file is another kind of office document, no workbook")


def _text_format(data: bytes, name: str) -> Format:
    head = data[:4096].lstrip(b"\xef\xbb\xbf \r\n\t").lower()
    if head.startswith((b"<html", b"<!doctype html", b"<table")) or b"<table" in head:
        raise UnusableFileError(
            f"{name}: the file is a web page with a spreadsheet's name; open it in a spreadsheet program "
            "and save it as .xlsx"
        )
    if _SPREADSHEET_NAME.search(data[:4096]):
        raise UnusableFileError(
            f"{name}: the file is in the 2003 XML spreadsheet format; open it in a spreadsheet program "
            "and save it as .xlsx"
        )
    if head.startswith((b"%pdf", b"\x89png", b"{\\rtf", b"<?xml", b"gif8", b"\xff\xd8\xff", b"rar!")):
        raise UnusableFileError(
            f"{name}: the file is no spreadsheet; wanted .xlsx, .xls, .xlsb, .ods or .csv"
        )
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return Format.CSV
    if data[:65_536].count(b"\0") > 16:
        raise UnusableFileError(
            f"{name}: the file is no spreadsheet; wanted .xlsx, .xls, .xlsb, .ods or .csv"
        )
    return Format.CSV

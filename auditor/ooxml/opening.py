"""A package opened: its directory is checked before anything is unpacked."""

import io
import struct
import zipfile

from auditor.errors import UnusableFileError
from auditor.ooxml.package import Package, folded
from auditor.ooxml.refusals import needs_password

MAX_MEMBERS = 10_000  # project conventions: a job workbook keeps far below each of them
MAX_PART_BYTES = 1_500_000_000
MAX_TOTAL_BYTES = 3_000_000_000
MAX_RATIO = 400  # inflated over stored, of parts above SMALL_PART_BYTES
SMALL_PART_BYTES = 64_000_000
_FLAG_ENCRYPTED = 0x01
COMPOUND_FILE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # how an .xls begins, and a package with a password


def open_package(source: bytes) -> Package:
    """The parts of a package.

    Raises
    ------
    UnusableFileError : not whole, two members of one name, encrypted members, too large unpacked
    """
    try:
        archive = zipfile.ZipFile(io.BytesIO(source))
    except (zipfile.BadZipFile, ValueError, OSError, struct.error, NotImplementedError, IndexError) as cause:
        raise UnusableFileError(_no_package(source)) from cause
    members = archive.infolist()
    _refuse_odd(members)
    _refuse_large(members)
    return Package.of(source, members, archive.comment)


def _no_package(source: bytes) -> str:
    if source.startswith(COMPOUND_FILE):
        return (
            "the workbook needs a password or is in the old .xls format; save it as .xlsx without a password"
        )
    return "the file is incomplete or damaged (its end is missing); ask for it again"


def _refuse_odd(members: list[zipfile.ZipInfo]) -> None:
    if len(members) > MAX_MEMBERS:
        raise UnusableFileError(
            f"the package has {len(members):,} parts; at most {MAX_MEMBERS:,} are read; open it in a "
            f"spreadsheet "
            "program and save only the job's sheets"
        )
    seen: set[str] = set()
    for member in members:
        key = folded(member.orig_filename)
        if key in seen:
            raise UnusableFileError(
                f"the package is damaged: it holds the part {member.filename!r} twice, and programs "
                "disagree which one counts; open it, check it and save it again"
            )
        seen.add(key)
        if member.flag_bits & _FLAG_ENCRYPTED:
            raise needs_password()


def _refuse_large(members: list[zipfile.ZipInfo]) -> None:
    for member in members:
        ratio = member.file_size / max(member.compress_size, 1)
        if member.file_size > MAX_PART_BYTES or (member.file_size > SMALL_PART_BYTES and ratio > MAX_RATIO):
            raise UnusableFileError(
                f"the part {member.filename!r} would unpack to {member.file_size / 1e6:,.0f} MB "
                f"({ratio:,.0f} times its size), more than a schedule holds; the file is not read"
            )
    total = sum(member.file_size for member in members)
    if total > MAX_TOTAL_BYTES:
        raise UnusableFileError(
            f"the file would unpack to {total / 1e6:,.0f} MB; at most {MAX_TOTAL_BYTES / 1e6:,.0f} MB are "
            f"read"
        )

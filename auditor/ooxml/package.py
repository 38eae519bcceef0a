"""The zip package: members are read on demand; those that are not changed are copied as they lie.

Source: PKWARE APPNOTE.TXT 6.3, sections 4.3.7 (local header), 4.3.12 (central directory), 4.3.16.
"""

import io
import struct
import zipfile
from collections.abc import MutableMapping, Sequence
from dataclasses import dataclass, field

from auditor.errors import UnusableFileError
from auditor.ooxml.compression import crc32, packed, unpacked
from auditor.ooxml.refusals import damaged_part, declares_document_type
from auditor.ooxml.xmltree import Tree, as_utf8, parse

_LOCAL = struct.Struct("<4s5H3L2H")
_CENTRAL = struct.Struct("<4s4B4HL2L5H2L")
_END = struct.Struct("<4s4H2LH")
_FLAG_DESCRIPTOR = 0x08
_FLAG_UTF8 = 0x800
_ZIP64_EXTRA = 0x0001
_LARGE = 1 << 20  # bytes; content above is packed at once
_EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest date a zip can hold: our own members carry no clock


@dataclass(frozen=True, slots=True)
class _Packed:
    """New content, deflated."""

    data: bytes
    crc: int
    size: int


@dataclass(slots=True)
class _Member:
    """One entry: as in the source, or with new content; large content is packed at once."""

    name: str
    info: zipfile.ZipInfo | None  # None: ours
    content: bytes | _Packed | None = None  # None: as in the source


@dataclass(slots=True)
class Package:
    """A workbook's parts. Names are as in the zip, without a leading slash."""

    source: bytes
    members: dict[str, _Member] = field(default_factory=dict)
    comment: bytes = b""
    _cache: dict[str, bytes] = field(default_factory=dict)
    _trees: dict[str, Tree] = field(default_factory=dict)
    _folded: dict[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, source: bytes, entries: Sequence[zipfile.ZipInfo], comment: bytes) -> "Package":
        """The package whose directory these entries are."""
        members = {info.orig_filename: _Member(info.orig_filename, info) for info in entries}
        return cls(source, members, comment, _folded={folded(name): name for name in members})

    def names(self) -> list[str]:
        return list(self.members)

    def find(self, name: str) -> str | None:
        """The name under which the zip holds a part; part names do not tell case apart (ISO/IEC
        29500-2, 6.2.2), and some producers write backslashes."""
        return name if name in self.members else self._folded.get(folded(name))

    def read(self, name: str) -> bytes:
        member = self.members[name]
        if isinstance(member.content, _Packed):
            return unpacked(member.content.data, member.content.size)
        if member.content is not None:
            return member.content
        if name not in self._cache:
            assert member.info is not None
            self._cache[name] = self._inflate(member.info)
        return self._cache[name]

    def xml(self, name: str) -> bytes:
        """An XML part in UTF-8, whatever it is written in.

        Raises
        ------
        UnusableFileError : damaged, or with a document type
        """
        data = as_utf8(self.read(name), name)
        if b"!" in data and b"<!DOCTYPE" in data:  # the first look is ten times as fast
            raise declares_document_type(name)
        return data

    def tree(self, name: str) -> Tree:
        """A small part as a tree, parsed once."""
        if name not in self._trees:
            self._trees[name] = parse(as_utf8(self.read(name), name), name)
        return self._trees[name]

    def forget(self, name: str) -> None:
        """Let go of a part's inflated bytes."""
        self._cache.pop(name, None)
        self._trees.pop(name, None)

    def fingerprint(self, name: str) -> tuple[int, int]:
        """CRC-32 and size of a part."""
        member = self.members[name]
        if isinstance(member.content, _Packed):
            return member.content.crc, member.content.size
        if member.content is not None:
            return crc32(member.content), len(member.content)
        assert member.info is not None
        return member.info.CRC, member.info.file_size

    def replace(self, name: str, content: bytes) -> None:
        self.members[name].content = _packed(content) if len(content) > _LARGE else content
        self.forget(name)

    def add(self, name: str, content: bytes) -> None:
        self.members[name] = _Member(name, None, content)
        self._folded[folded(name)] = name

    def remove(self, name: str) -> None:
        del self.members[name]
        self.forget(name)
        self._folded.pop(folded(name), None)

    def free_name(self, pattern: str) -> str:
        """The first name of the form `xl/worksheets/sheet{}.xml` that no part has."""
        number = 1
        while self.find(pattern.format(number)) is not None:
            number += 1
        return pattern.format(number)

    def write(self) -> bytes:
        out, central = io.BytesIO(), []
        for member in self.members.values():
            central.append(self._write_member(out, member))
        start = out.tell()
        for entry in central:
            out.write(entry)
        size, count = out.tell() - start, len(central)
        if out.tell() >= 0xFFFFFFFF or count >= 0xFFFF:
            raise UnusableFileError("the annotated workbook would be larger than 4 GiB; split the job")
        out.write(_END.pack(b"PK\5\6", 0, 0, count, count, size, start, len(self.comment)) + self.comment)
        return out.getvalue()

    def _inflate(self, info: zipfile.ZipInfo) -> bytes:
        """A part's bytes; not one more is unpacked than its entry declares."""
        lying = self._packed(info)
        try:
            if info.compress_type == zipfile.ZIP_STORED:
                data = bytes(lying)
            elif info.compress_type == zipfile.ZIP_DEFLATED:
                data = unpacked(lying, info.file_size)
            else:
                raise UnusableFileError(
                    f"the part {info.filename!r} is packed in an unusual way; open the workbook in a "
                    f"spreadsheet "
                    "program and save it again"
                )
        except ValueError:
            data = b""
        if len(data) != info.file_size or crc32(data) != info.CRC:
            raise damaged_part(info.filename)
        return data

    def _packed(self, info: zipfile.ZipInfo) -> memoryview:
        header = self.source[info.header_offset : info.header_offset + _LOCAL.size]
        if len(header) < _LOCAL.size or header[:4] != b"PK\3\4":
            raise damaged_part(info.filename)
        *_, name_size, extra_size = _LOCAL.unpack(header)
        start = info.header_offset + _LOCAL.size + name_size + extra_size
        return memoryview(self.source)[start : start + info.compress_size]

    def _write_member(self, out: io.BytesIO, member: _Member) -> bytes:
        """Write local header and data; give the entry of the central directory."""
        info = member.info or _own_entry(member.name)
        flags = info.flag_bits & ~_FLAG_DESCRIPTOR
        data: bytes | memoryview
        if member.content is None:
            method, crc, size = info.compress_type, info.CRC, info.file_size
            data = self._packed(info)
        else:
            new = _packed(member.content) if isinstance(member.content, bytes) else member.content
            method, crc, size, data = zipfile.ZIP_DEFLATED, new.crc, new.size, new.data
            flags &= ~0x06  # which deflate variant the source used
        if info.orig_filename.isascii():
            name = info.orig_filename.encode()
        else:
            name = info.orig_filename.encode("utf-8" if flags & _FLAG_UTF8 else "cp437")
        year, month, day, hour, minute, second = info.date_time
        date, time = (year - 1980) << 9 | month << 5 | day, hour << 11 | minute << 5 | second // 2
        offset, extra = out.tell(), _without_zip64(info.extra)
        common = (flags, method, time, date, crc, len(data), size)
        needed = 20 if method in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) else info.extract_version
        out.write(_LOCAL.pack(b"PK\3\4", needed, *common, len(name), 0) + name)
        out.write(data)
        fields = (len(name), len(extra), len(info.comment), 0, info.internal_attr, info.external_attr)
        versions = (min(info.create_version, 63), info.create_system, needed, 0)
        return _CENTRAL.pack(b"PK\1\2", *versions, *common, *fields, offset) + name + extra + info.comment


def package_of(parts: MutableMapping[str, bytes]) -> Package:
    """A package with these parts, by name; they are taken out of the mapping."""
    package = Package(b"")
    for name in list(parts):
        package.add(name, parts.pop(name))
    return package


def _packed(content: bytes) -> _Packed:
    return _Packed(packed(content), crc32(content), len(content))


def _own_entry(name: str) -> zipfile.ZipInfo:
    """The entry of a part of ours: nothing in it depends on clock or machine."""
    info = zipfile.ZipInfo(name, _EPOCH)
    info.create_system = 0
    return info


def folded(name: str) -> str:
    """A part's name without case and backslashes, as names of parts are compared."""
    return name.replace("\\", "/").lstrip("/").casefold()


def _without_zip64(extra: bytes) -> bytes:
    kept, position = b"", 0
    while position + 4 <= len(extra):
        kind, size = struct.unpack_from("<2H", extra, position)
        if kind != _ZIP64_EXTRA:
            kept += extra[position : position + 4 + size]
        position += 4 + size
    return kept

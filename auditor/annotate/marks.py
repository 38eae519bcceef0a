"""The mark in an annotated package: how to undo every change, and what was added.

The mark is a custom XML part (ISO/IEC 29500-1, 15.2.4), which takes back an unedited copy byte for
byte. Hidden defined names, which spreadsheet programs keep and move along, say in an edited copy
where our columns and sheets are.
"""

import base64
import binascii
import json
import re
import zlib
from array import array
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from operator import itemgetter

from auditor.ooxml.package import Package
from auditor.ooxml.relationships import RELATIONSHIPS_TYPE, relationships, relationships_name
from auditor.ooxml.workbook_part import WorkbookPart
from auditor.ooxml.xmltree import Edit

NAMESPACE = "urn:schedule-auditor:annotation:1"
_ITEM = "{6D1C0E6B-52A4-4B1B-9A0D-3C2B7F1E8A51}"  # fixed: the mark is the same in every copy
_PAYLOAD = re.compile(rb"<annotation xmlns=\"" + NAMESPACE.encode() + rb"\">([A-Za-z0-9+/=\s]*)</annotation>")
_LARGEST_PAYLOAD = 1 << 29


@dataclass(frozen=True, slots=True)
class Change:
    """One changed part: its fingerprint now and before, and how to get back."""

    part: str
    now: tuple[int, int]  # CRC-32 and size
    before: tuple[int, int]
    undo: bytes  # see `undo_record`


@dataclass(frozen=True, slots=True)
class Mark:
    part: str  # where the mark itself lies
    changes: tuple[Change, ...]
    added: tuple[str, ...]  # parts that are ours


def undo_record(data: bytes, edits: Iterable[Edit]) -> bytes:
    """What takes a spliced part back: for every edit the bytes before it, the bytes put in, the
    bytes taken out, and these themselves."""
    numbers, taken, position = array("I"), [], 0
    for start, end, new in sorted(edits, key=itemgetter(0)):
        numbers.extend((start - position, len(new), end - start))
        if end > start:
            taken.append(data[start:end])
        position = end
    if numbers.itemsize != 4:  # pragma: no cover - no such machine is known to run Python
        raise OverflowError("this machine's unsigned int is not 4 bytes wide")
    head = len(numbers).to_bytes(4, "little")
    return head + _columns(numbers) + b"".join(taken)


def undo(data: bytes, record: bytes) -> bytes:
    """The part before its edits.

    Raises
    ------
    ValueError : the record does not fit the part
    """
    count = int.from_bytes(record[:4], "little")
    numbers = _rows(record[4 : 4 + 4 * count])
    pieces, position, taken = [], 0, 4 + 4 * count
    view = memoryview(data)
    for at in range(0, count, 3):
        before, put_in, taken_out = numbers[at : at + 3]
        pieces.append(view[position : position + before])
        pieces.append(memoryview(record)[taken : taken + taken_out])
        position, taken = position + before + put_in, taken + taken_out
    pieces.append(view[position:])
    return b"".join(pieces)


def _columns(numbers: "array[int]") -> bytes:
    """The three kinds of number one after the other: they pack far better so."""
    return b"".join(numbers[kind::3].tobytes() for kind in range(3))


def _rows(data: bytes) -> "array[int]":
    flat = array("I", data)
    third = len(flat) // 3
    numbers = array("I", bytes(len(data)))
    for kind in range(3):
        numbers[kind::3] = flat[kind * third : (kind + 1) * third]
    return numbers


def add_mark(book: WorkbookPart, package: Package) -> str:
    """Make room for the mark: part, properties, relationships; gives the part's name. The content
    is written last, by `write_mark`."""
    part = package.free_name("customXml/item{}.xml")
    properties = package.free_name("customXml/itemProps{}.xml")
    strict = "http://purl.oclc.org/ooxml/officeDocument/"
    office = strict if book.strict else "http://schemas.openxmlformats.org/officeDocument/2006/"
    package.add(part, b"")
    declared = f'xmlns:ds="{office}customXml"'
    package.add(
        properties,
        f'<?xml version="1.0" encoding="UTF-8" standalone="no"?>\n<ds:datastoreItem ds:itemID="{_ITEM}" '
        f'{declared}><ds:schemaRefs><ds:schemaRef ds:uri="{NAMESPACE}"/></ds:schemaRefs>'
        "</ds:datastoreItem>".encode(),
    )
    package.add(
        relationships_name(part),
        b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n<Relationships xmlns="http://schemas.'
        b'openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="'
        + f'{office}relationships/customXmlProps" Target="{properties.rpartition("/")[2]}"'.encode()
        + b"/></Relationships>",
    )
    book.relate("customXml", part)
    book.pending.types[properties] = "application/vnd.openxmlformats-officedocument.customXmlProperties+xml"
    book.pending.usual_types[part] = "application/xml"
    book.pending.usual_types[relationships_name(part)] = RELATIONSHIPS_TYPE
    return part


def write_mark(package: Package, part: str, changes: Sequence[Change], added: Sequence[str]) -> None:
    head = {
        "added": list(added),
        "changes": [[each.part, *each.now, *each.before, len(each.undo)] for each in changes],
    }
    written = json.dumps(head, separators=(",", ":")).encode()
    payload = zlib.compress(written + b"\n" + b"".join(each.undo for each in changes), 6)
    text = base64.b64encode(payload)
    opening = b'<?xml version="1.0" encoding="UTF-8" standalone="no"?>\n<annotation xmlns="%b">'
    package.replace(part, opening % NAMESPACE.encode() + text + b"</annotation>")


def read_mark(book: WorkbookPart) -> Mark | None:
    """The mark of an annotated package; None when there is none that can be read. Some programs relate the
    package to it, in the workbook's stead."""
    for each in (*book.relationships, *relationships(book.package, "")):
        if each.type != "customXml" or each.external or each.target not in book.package.members:
            continue
        match = _PAYLOAD.search(book.package.read(each.target))
        if match is not None:
            return _parsed(each.target, match[1]) or Mark(each.target, (), ())
    return None


def _parsed(part: str, text: bytes) -> Mark | None:
    try:
        payload = zlib.decompressobj().decompress(base64.b64decode(text), _LARGEST_PAYLOAD)
        head, _, rest = payload.partition(b"\n")
        described: Mapping[str, list[list[int]]] = json.loads(head)
        changes, position = [], 0
        for name, crc, size, crc_before, size_before, length in described["changes"]:
            record = rest[position : position + length]
            changes.append(Change(str(name), (crc, size), (crc_before, size_before), record))
            position += length
        added = tuple(str(name) for name in described["added"])
        return Mark(part, tuple(changes), added)
    except (ValueError, KeyError, TypeError, zlib.error, binascii.Error):
        return None


def undone(package: Package, mark: Mark) -> dict[str, bytes] | None:
    """The changed parts as they were, when all of them are as we left them; else None."""
    if not mark.changes:
        return None
    found = {}
    for change in mark.changes:
        if change.part not in package.members or package.fingerprint(change.part) != change.now:
            return None
        try:
            before = undo(package.read(change.part), change.undo)
        except ValueError:
            return None
        if (zlib.crc32(before), len(before)) != change.before:
            return None
        found[change.part] = before
    return found

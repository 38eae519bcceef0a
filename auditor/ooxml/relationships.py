"""What a part of a package relates to.

Source: ISO/IEC 29500-2, clause 9.3 (relationships), 6.2.2 (names of parts).
"""

import posixpath
from dataclasses import dataclass, replace
from functools import lru_cache
from urllib.parse import unquote

from auditor.ooxml.package import Package
from auditor.ooxml.xmltree import as_utf8, parse

RELATIONSHIPS_TYPE = "application/vnd.openxmlformats-package.relationships+xml"  # content type of their parts


@dataclass(frozen=True, slots=True)
class Relationship:
    id: str
    type: str  # the last segment, e.g. "worksheet"
    target: str  # the part's name in the zip; as written where it is external
    external: bool
    full_type: str


def folder_of(part: str) -> str:
    """Where a part lies; some producers write backslashes between a part's names."""
    return posixpath.dirname(part.replace("\\", "/"))


def relationships_name(part: str) -> str:
    folder, name = posixpath.split(part.replace("\\", "/"))
    return posixpath.join(folder, "_rels", name + ".rels")


def relationships(package: Package, part: str) -> list[Relationship]:
    """What a part relates to; empty for a part without relationships."""
    name = package.find(relationships_name(part))
    if name is None:
        return []
    data = package.read(name)
    stated = _stated_again(data, name) if len(data) <= _SMALL else _stated(data, name)
    return [each if each.external else replace(each, target=_target(package, part, each)) for each in stated]


def _target(package: Package, part: str, stated: Relationship) -> str:
    path = posixpath.normpath(posixpath.join("/", folder_of(part), unquote(stated.target)))
    path = path.replace("\\", "/").lstrip("/")
    return package.find(path) or path


def _stated(data: bytes, name: str) -> tuple[Relationship, ...]:
    """The relationships of a part that holds them, their targets as written."""
    return tuple(
        Relationship(
            node.text("Id"),
            node.text("Type").rpartition("/")[2],
            node.text("Target"),
            node.attributes.get("TargetMode") == "External",
            node.text("Type"),
        )
        for node in parse(as_utf8(data, name), name).root.all("Relationship")
    )


_SMALL = 1 << 14  # bytes
_stated_again = lru_cache(maxsize=256)(_stated)  # the same ones stand in workbook after workbook


def main_part(package: Package) -> str | None:
    """The part that a package is about; where none is said or there, the one at a workbook's usual place."""
    for each in relationships(package, ""):
        if each.type == "officeDocument" and each.target in package.members:
            return each.target
    return package.find("xl/workbook.xml") or package.find("xl/workbook.bin")

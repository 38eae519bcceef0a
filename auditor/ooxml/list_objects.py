"""List objects: the tables of a spreadsheet program."""

from dataclasses import dataclass

from auditor.ooxml.package import Package
from auditor.ooxml.refs import Area, area
from auditor.ooxml.relationships import relationships
from auditor.ooxml.rows import SheetPart
from auditor.ooxml.xmltree import Tree


@dataclass(frozen=True, slots=True)
class ListObject:
    """A table of the spreadsheet program, `xl/tables/table1.xml`."""

    part: str
    tree: Tree
    area: Area
    plain: bool  # headings in cells, no query and no XML map behind it

    @property
    def columns(self) -> list[str]:
        node = self.tree.root.first("tableColumns")
        return [column.attributes.get("name", "") for column in node.all("tableColumn")] if node else []


def list_objects(package: Package, sheet: SheetPart) -> list[ListObject]:
    if sheet.tree.root.first("tableParts") is None:
        return []
    found = []
    for each in relationships(package, sheet.part):
        if each.type != "table" or each.target not in package.members:
            continue
        tree = package.tree(each.target)
        where = area(tree.root.attributes.get("ref", ""))
        if where is None:
            continue
        attributes = tree.root.attributes
        plain = attributes.get("tableType", "worksheet") == "worksheet"
        plain = plain and attributes.get("headerRowCount", "1") != "0"
        plain = plain and not relationships(package, each.target)
        found.append(ListObject(each.target, tree, where, plain))
    return found

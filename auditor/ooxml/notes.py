"""The notes on the cells of a sheet. Source: ISO/IEC 29500-1, 18.7 (comments)."""

from collections.abc import Iterator

from auditor.ooxml.package import Package
from auditor.ooxml.refs import area
from auditor.ooxml.relationships import relationships
from auditor.ooxml.xmltree import Node, Tree


def notes_of(package: Package, part: str) -> Iterator[tuple[int, int, str]]:
    """Row, column and text of each note on a sheet."""
    for each in relationships(package, part):
        if each.type == "comments" and not each.external and each.target in package.members:
            yield from _notes(package.tree(each.target))


def _notes(tree: Tree) -> Iterator[tuple[int, int, str]]:
    listed = tree.root.first("commentList")
    for node in listed.all("comment") if listed else ():
        where, text = area(node.attributes.get("ref", "")), _text(tree, node)
        if where and text:
            yield where.top, where.left, text


def _text(tree: Tree, node: Node) -> str:
    text = node.first("text")
    runs = text.children if text else []
    pieces = [piece for run in runs for piece in ([run] if run.name == "t" else run.all("t"))]
    return "".join(map(tree.text, pieces)).strip()

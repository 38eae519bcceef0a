"""The workbook part with what hangs on it: sheets, defined names, relationships, content types."""

import posixpath
from dataclasses import dataclass, field
from functools import cached_property

from auditor.errors import UnusableFileError
from auditor.ooxml.child_order import WORKBOOK, place_for
from auditor.ooxml.package import Package
from auditor.ooxml.relationships import folder_of, main_part, relationships, relationships_name
from auditor.ooxml.xmltree import Edit, Node, Tree, append_to, escaped, quoted

RELATIONSHIPS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
STRICT_RELATIONSHIPS = "http://purl.oclc.org/ooxml/officeDocument/relationships"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
STRICT_MAIN = "http://purl.oclc.org/ooxml/spreadsheetml/main"
CONTENT_TYPES = "[Content_Types].xml"


@dataclass(frozen=True, slots=True)
class ListedSheet:
    """A sheet as the workbook part lists it, whatever kind it is of."""

    name: str
    part: str  # empty: the workbook relates to none
    index: int  # its position, as in localSheetId
    node: Node
    kind: str  # what its relationship says, e.g. "worksheet"

    @property
    def hidden(self) -> bool:
        return self.node.attributes.get("state", "visible") != "visible"


@dataclass(frozen=True, slots=True)
class DefinedName:
    name: str
    local: int | None  # the position of the sheet it belongs to
    text: str
    node: Node | None = None  # None: not yet in the workbook
    hidden: bool = False


@dataclass(slots=True)
class _Pending:
    """What is to be added to the workbook part and its companions."""

    sheets: list[tuple[str, str]] = field(default_factory=list)  # name, relationship id
    names: list[DefinedName] = field(default_factory=list)
    texts: dict[int, tuple[Node, str]] = field(default_factory=dict)  # names whose text changes
    relationships: list[tuple[str, str, str]] = field(default_factory=list)  # id, type, target
    types: dict[str, str] = field(default_factory=dict)  # part -> content type
    usual_types: dict[str, str] = field(
        default_factory=dict
    )  # the same, left out where the extension says it


class WorkbookPart:
    """The workbook part of a package, and what is to be added to it."""

    def __init__(self, package: Package) -> None:
        self.package = package
        main = main_part(package)
        if main is None:
            raise UnusableFileError("the file is a package without a workbook; save the workbook as .xlsx")
        self.part = main
        self.tree = package.tree(main)
        if self.tree.root.name != "workbook":
            raise UnusableFileError("the file is no .xlsx workbook; save it as .xlsx")
        self.relationships = relationships(package, self.part)
        self.pending = _Pending()
        self.sheets = self._sheets()
        self.names = self._names()

    @cached_property
    def strict(self) -> bool:
        return self.tree.namespace == STRICT_MAIN

    @property
    def types(self) -> Tree:
        """What the package says its parts are.

        Raises
        ------
        UnusableFileError : it says nothing, so that nothing can be added to it
        """
        return self.package.tree(self._named(CONTENT_TYPES))

    def _named(self, name: str) -> str:
        found = self.package.find(name)
        if found is None:
            raise UnusableFileError(
                f"the package lacks its part {name!r}; open it in a spreadsheet program and save it again"
            )
        return found

    def sheet(self, name: str) -> ListedSheet | None:
        wanted = name.casefold()
        return next((sheet for sheet in self.sheets if sheet.name.casefold() == wanted), None)

    def related(self, kind: str) -> str | None:
        """The part that the workbook relates to by this kind, e.g. "styles"."""
        for each in self.relationships:
            if each.type == kind and not each.external and each.target in self.package.members:
                return each.target
        return None

    def name(self, name: str, local: int | None) -> DefinedName | None:
        for each in self.names:
            if each.name.casefold() == name.casefold() and each.local == local:
                return each
        return None

    def set_name(self, name: str, local: int | None, text: str, *, hidden: bool = False) -> None:
        """Give a defined name, new or there already, this text."""
        there = self.name(name, local)
        if there is not None and there.node is not None:
            self.pending.texts[there.node.start] = there.node, text
            return
        self.pending.names.append(DefinedName(name, local, text, hidden=hidden))

    def relate(self, kind: str, part: str) -> str:
        """Relate the workbook to a new part; gives the relationship's id."""
        base = STRICT_RELATIONSHIPS if self.strict else RELATIONSHIPS
        taken = {each.id for each in self.relationships} | {each[0] for each in self.pending.relationships}
        number = len(taken) + 1
        while f"rId{number}" in taken:
            number += 1
        target = posixpath.relpath("/" + part, "/" + folder_of(self.part))
        self.pending.relationships.append((f"rId{number}", f"{base}/{kind}", target))
        return f"rId{number}"

    def edits(self) -> dict[str, list[Edit]]:
        """The edits of the workbook part, its relationships and the content types."""
        rels, types = self._named(relationships_name(self.part)), self._named(CONTENT_TYPES)
        found = {self.part: self._workbook_edits(), rels: self._relationship_edits(rels)}
        return {part: edits for part, edits in (found | {types: self._type_edits()}).items() if edits}

    def _sheets(self) -> list[ListedSheet]:
        related = {each.id: each for each in self.relationships if not each.external}
        listed = self.tree.root.first("sheets")
        found = []
        for index, node in enumerate(listed.all("sheet") if listed else ()):
            ids = [value for key, value in node.attributes.items() if key.endswith(":id")]
            to = related.get(ids[0]) if ids else None
            name, part, kind = node.attributes.get("name", ""), to.target if to else "", to.type if to else ""
            found.append(ListedSheet(name, part, index, node, kind))
        return found

    def _names(self) -> list[DefinedName]:
        listed = self.tree.root.first("definedNames")
        found = []
        for node in listed.all("definedName") if listed else ():
            local = node.whole("localSheetId") if "localSheetId" in node.attributes else None
            hidden = node.attributes.get("hidden") in ("1", "true")
            name, text = node.attributes.get("name", ""), self.tree.text(node)
            found.append(DefinedName(name, local, text, node, hidden))
        return found

    def _workbook_edits(self) -> list[Edit]:
        edits = [
            (node.inner, node.close, escaped(text).encode()) for node, text in self.pending.texts.values()
        ]
        if self.pending.sheets:
            listed = self.tree.root.first("sheets")
            assert listed is not None
            edits.append(append_to(self.tree, listed, self._sheet_elements()))
        if self.pending.names:
            edits.append(self._name_edit())
        return edits

    def _sheet_elements(self) -> bytes:
        prefix = self.tree.namespace_prefix(RELATIONSHIPS, STRICT_RELATIONSHIPS)
        uri = STRICT_RELATIONSHIPS if self.strict else RELATIONSHIPS
        declaration = b"" if prefix else b' xmlns:r="' + uri.encode() + b'"'
        number = max((sheet.node.whole("sheetId", 0) for sheet in self.sheets), default=0)
        written = []
        for offset, (name, id_) in enumerate(self.pending.sheets, 1):
            element = f'<{self.tree.prefix}sheet name={quoted(name).decode()} sheetId="{number + offset}"'
            written.append(element.encode() + declaration + f' {prefix or "r"}:id="{id_}"/>'.encode())
        return b"".join(written)

    def _name_edit(self) -> Edit:
        prefix, written = self.tree.prefix, []
        for each in self.pending.names:
            local = "" if each.local is None else f' localSheetId="{each.local}"'
            hidden = ' hidden="1"' if each.hidden else ""
            opening = f"<{prefix}definedName name={quoted(each.name).decode()}{local}{hidden}>"
            written.append(f"{opening}{escaped(each.text)}</{prefix}definedName>")
        content = "".join(written).encode()
        if listed := self.tree.root.first("definedNames"):
            return append_to(self.tree, listed, content)
        at = place_for("definedNames", self.tree, WORKBOOK)
        wrapped = f"<{prefix}definedNames>".encode() + content + f"</{prefix}definedNames>".encode()
        return (at, at, wrapped)

    def _relationship_edits(self, name: str) -> list[Edit]:
        tree, written = self.package.tree(name), b""
        for id_, kind, target in self.pending.relationships:
            written += f'<{tree.prefix}Relationship Id="{id_}" Type="{kind}" Target="{target}"/>'.encode()
        return [append_to(tree, tree.root, written)] if written else []

    def _type_edits(self) -> list[Edit]:
        """What our parts are, each on its own: a type for an extension would be one for others' parts too."""
        tree, written = self.types, ""
        known = {node.attributes.get("Extension", "").lower() for node in tree.root.all("Default")}
        usual = self.pending.usual_types.items()
        said = {part: kind for part, kind in usual if part.rpartition(".")[2] not in known}
        for part, kind in (said | self.pending.types).items():
            written += f'<{tree.prefix}Override PartName="/{part}" ContentType="{kind}"/>'
        return [append_to(tree, tree.root, written.encode())] if written else []

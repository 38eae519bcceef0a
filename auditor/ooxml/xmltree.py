"""XML as it lies: a tree of elements with byte offsets into the original, so that an edit is a
splice and nothing is ever written anew."""

import codecs
import io
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from operator import itemgetter
from xml.parsers import expat

from auditor.errors import UnusableFileError
from auditor.ooxml.refusals import SAVE_AGAIN, damaged_part, declares_document_type

_START_TAG = re.compile(rb"""<[^\s/>]+(?:[^"'>]|"[^"]*"|'[^']*')*>""")
_DECLARED = re.compile(rb"""^\s*<\?xml[^>]*?\sencoding\s*=\s*["']([\w.-]+)["']""")
_ESCAPED = re.compile('[&<>"]')
_ENTITY = {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;"}


Edit = tuple[int, int, bytes]  # put these bytes in the place of the original's start:end


@dataclass(slots=True, eq=False)
class Node:
    """An element: `<` at start, content from inner to close, first byte after it at end."""

    name: str  # without the root's prefix; any other prefix stays, e.g. "mc:AlternateContent"
    tag: str  # as written
    attributes: dict[str, str]
    start: int
    inner: int = -1
    close: int = -1
    end: int = -1
    children: list["Node"] = field(default_factory=list)

    @property
    def empty(self) -> bool:
        """Whether it is written as `<a/>`."""
        return self.inner == self.end

    def all(self, name: str) -> Iterator["Node"]:
        return (child for child in self.children if child.name == name)

    def first(self, name: str) -> "Node | None":
        return next(self.all(name), None)

    def text(self, name: str) -> str:
        """An attribute that the standard requires.

        Raises
        ------
        UnusableFileError : it is not there
        """
        if name not in self.attributes:
            raise UnusableFileError(
                f"the workbook is damaged: {name!r} is missing from an element <{self.tag}>; {SAVE_AGAIN}"
            )
        return self.attributes[name]

    def whole(self, name: str, default: int | None = None) -> int:
        """An attribute that is a whole number; required where there is no default.

        Raises
        ------
        UnusableFileError : it is none
        """
        if default is not None and name not in self.attributes:
            return default
        try:
            return int(self.text(name))
        except ValueError:
            raise UnusableFileError(
                f"the workbook is damaged: {name!r} of an element <{self.tag}> is no whole number; "
                f"{SAVE_AGAIN}"
            ) from None

    def figure(self, name: str, default: float) -> float:
        """An attribute that is a number; the default where it is none."""
        try:
            return float(self.attributes[name])
        except (KeyError, ValueError):
            return default

    def shift(self, offset: int, from_: int) -> None:
        """Move every offset behind `from_`."""
        self.start += offset * (self.start > from_)
        self.inner += offset * (self.inner > from_)
        self.close += offset * (self.close > from_)
        self.end += offset * (self.end > from_)
        for child in self.children:
            child.shift(offset, from_)


@dataclass(frozen=True, slots=True)
class Tree:
    """A part's root element and its bytes, always UTF-8."""

    data: bytes
    root: Node
    prefix: str  # of the root's namespace, e.g. "x:"; usually empty

    def text(self, node: Node) -> str:
        """The character data of an element without children."""
        return _plain(self.data[node.inner : node.close])

    def raw(self, node: Node) -> bytes:
        return self.data[node.start : node.end]

    def namespace_prefix(self, *uris: str) -> str | None:
        """The prefix that the root declares for one of these namespaces."""
        for name, value in self.root.attributes.items():
            if name.startswith("xmlns:") and value in uris:
                return name[6:]
        return None

    @property
    def namespace(self) -> str:
        return self.root.attributes.get(f"xmlns:{self.prefix[:-1]}" if self.prefix else "xmlns", "")


def parse(data: bytes, part: str) -> Tree:
    """The tree of a UTF-8 part (see `as_utf8`).

    Raises
    ------
    UnusableFileError : not well-formed, or with a document type declaration
    """
    stack: list[Node] = []
    roots: list[Node] = []
    parser = expat.ParserCreate()
    prefix = ""

    def opened(tag: str, attributes: dict[str, str]) -> None:
        nonlocal prefix
        start = parser.CurrentByteIndex
        if not stack:
            prefix = tag[: tag.find(":") + 1]
        node = Node(tag.removeprefix(prefix), tag, attributes, start)
        node.inner = after_tag(data, start)
        (stack[-1].children if stack else roots).append(node)
        stack.append(node)

    def closed(_tag: str) -> None:
        node = stack.pop()
        if data[node.inner - 2] == 0x2F:  # "/": an empty-element tag
            node.close = node.end = node.inner
        else:
            node.close = parser.CurrentByteIndex
            node.end = data.index(b">", node.close) + 1

    def refuse(*_: object) -> None:
        raise declares_document_type(part)

    parser.StartElementHandler = opened
    parser.EndElementHandler = closed
    parser.StartDoctypeDeclHandler = refuse
    try:
        parser.Parse(data, True)
    except expat.ExpatError:
        raise damaged_part(part) from None
    return Tree(data, roots[0], prefix)


def after_tag(data: bytes, start: int) -> int:
    """Where a start tag ends; `>` may stand in its attribute values."""
    match = _START_TAG.match(data, start)
    return match.end() if match else start


def as_utf8(data: bytes, part: str) -> bytes:
    """The same part in UTF-8; the very same bytes where it is UTF-8 already."""
    encoding = "utf-8"
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        encoding = "utf-16"
    elif data[:2] in (b"<\0", b"\0<"):
        encoding = "utf-16-le" if data[0] else "utf-16-be"
    elif match := _DECLARED.match(data[:200].removeprefix(codecs.BOM_UTF8)):
        encoding = match[1].decode().lower()
    if encoding in ("utf-8", "utf8", "us-ascii", "ascii"):
        return data
    try:
        text = data.decode(encoding)
    except (LookupError, UnicodeDecodeError):
        raise UnusableFileError(
            f"the part {part!r} is written in {encoding}, which could not be read; open the workbook in a "
            "spreadsheet program and save it again"
        ) from None
    return re.sub(r"(<\?xml[^>]*?encoding\s*=\s*[\"'])[\w.-]+", r"\g<1>UTF-8", text, count=1).encode()


def splice(data: bytes, edits: Iterable[Edit]) -> bytes:
    """Apply edits; those at one place in the order given."""
    view, position = memoryview(data), 0
    out = io.BytesIO()  # a list of the pieces would take more room than the part
    write = out.write
    for start, end, new in sorted(edits, key=itemgetter(0)):
        write(view[position:start])
        write(new)
        position = end
    write(view[position:])
    return out.getvalue()


def append_to(tree: Tree, node: Node, content: bytes) -> Edit:
    """Add children at the end of an element."""
    if not node.empty:
        return (node.close, node.close, content)
    opening = tree.data[node.start : node.inner - 2].rstrip()
    return (node.start, node.end, opening + b">" + content + f"</{node.tag}>".encode())


def set_attribute(tree: Tree, node: Node, name: str, value: str) -> Edit:
    """Change an attribute of an element, or add it."""
    tag = tree.data[node.start : node.inner]
    written = quoted(value)
    pattern = rb"""\s""" + name.encode() + rb"""\s*=\s*("[^"]*"|'[^']*')"""
    if match := re.search(pattern, tag):
        return (node.start + match.start(1), node.start + match.end(1), written)
    at = node.start + len(node.tag.encode()) + 1
    return (at, at, b" " + name.encode() + b"=" + written)


def escaped(text: str) -> str:
    return _ESCAPED.sub(lambda match: _ENTITY[match[0]], text)


def quoted(text: str) -> bytes:
    """An attribute's value with its quotes."""
    value = escaped(text).replace("\n", "&#10;").replace("\r", "&#13;").replace("\t", "&#9;")
    return f'"{value}"'.encode("utf-8", "replace")


def _plain(data: bytes) -> str:
    """Character data without markup, comments and CDATA sections resolved."""
    if b"<" not in data and b"&" not in data:
        return data.decode()
    found: list[str] = []
    parser = expat.ParserCreate()
    parser.CharacterDataHandler = found.append
    parser.Parse(b"<a>" + data + b"</a>", True)
    return "".join(found)

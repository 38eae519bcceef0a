"""Sheets of ours that are known by the records in their rows, whatever their names, places and columns are."""

from collections.abc import Iterator, Mapping, Sequence

from auditor.annotate.our_columns import OUR_NAMES
from auditor.ooxml.refs import Area, area
from auditor.ooxml.rows import SheetPart
from auditor.ooxml.rowscan import Row
from auditor.ooxml.texts import Texts
from auditor.ooxml.workbook_part import WorkbookPart

LARGEST = 4 << 20  # bytes of a sheet's part that is looked at


class RecordSheet:
    """A sheet with a row of headings; `heading` stands over the records."""

    def __init__(self, name: str, part: SheetPart, texts: Texts, top: Row, heading: str) -> None:
        self.name, self._part, self._texts = name, part, texts
        self.columns: dict[str, int] = {}
        for column, text in self.texts_of(top).items():
            self.columns.setdefault(text.strip(), column)
        self._record = self.columns[heading]
        self.last_column = max(self.columns.values())
        self._links: list[Area] | None = None

    @property
    def rows(self) -> Sequence[Row]:
        return self._part.rows

    def texts_of(self, row: Row) -> dict[int, str]:
        return self._texts.row(self._part, row)

    def record(self, held: Mapping[int, str]) -> str:
        return held.get(self._record, "")

    def at(self, held: Mapping[int, str], heading: str) -> str:
        """The text under a heading."""
        return held.get(self.columns.get(heading, 0), "").strip()

    def formula(self, row: Row, heading: str) -> str:
        """The formula under a heading; empty: there is none."""
        wanted = self.columns.get(heading)
        cell = next((cell for cell in self._part.cells(row) if cell.column == wanted), None)
        return self._texts.formula(self._part, cell) if cell else ""

    def linked(self, row: Row, heading: str) -> bool:
        """Whether the cell under a heading is a link."""
        if self._links is None:
            node = self._part.tree.root.first("hyperlinks")
            found = (area(link.attributes.get("ref", "")) for link in (node.children if node else ()))
            self._links = [each for each in found if each]
        return any(each.has(row.number, self.columns.get(heading, 0)) for each in self._links)


def record_sheets(book: WorkbookPart, heading: str) -> Iterator[RecordSheet]:
    """The sheets that hold this heading over their records."""
    texts = Texts(book)
    for name, part in _candidates(book, heading.encode()):
        for row in part.rows:
            if heading in texts.row(part, row).values():
                yield RecordSheet(name, part, texts, row, heading)
                break


def _candidates(book: WorkbookPart, heading: bytes) -> Iterator[tuple[str, SheetPart]]:
    """The sheets that may hold a heading, of a workbook whose shared texts name it or that is marked as
    annotated: there it may stand in the sheet itself."""
    package, shared = book.package, _is_shared(book, heading)
    marked = any(name.name.startswith(OUR_NAMES) for name in book.names)
    for sheet in book.sheets if shared or marked else ():
        if sheet.part in package.members and package.fingerprint(sheet.part)[1] <= LARGEST:
            data = package.read(sheet.part)
            if b"sheetData" in data and (shared or heading in data):
                yield sheet.name, SheetPart(data, sheet.part)


def _is_shared(book: WorkbookPart, heading: bytes) -> bool:
    part = book.related("sharedStrings")
    if part is None or part not in book.package.members:
        return False
    found = heading in book.package.read(part)
    if not found:
        book.package.forget(part)  # it may be large
    return found

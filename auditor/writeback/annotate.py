"""One workbook taken apart, annotated, and put together again."""

from collections.abc import Mapping, Sequence

from auditor.writeback.cells import cell_edits
from auditor.writeback.columns import AddedColumns, NotPlaced, Placed, has_room, merged_areas, place
from auditor.writeback.graft import Graft
from auditor.writeback.marks import Change, add_mark, read_mark, undo_record, undone, write_mark
from auditor.writeback.package import Package, open_package
from auditor.writeback.refs import Area, free_sheet_name, on_sheet
from auditor.writeback.rows import SheetPart
from auditor.writeback.styles import Styles
from auditor.writeback.surroundings import surrounding_edits
from auditor.writeback.workbook import Book
from auditor.writeback.xmltree import Edit, as_utf8, splice

OUR_NAMES = "_auditor."  # hidden defined names of ours begin so


class Workbook:
    """A user's workbook, stripped of an earlier annotation, ready to be annotated."""

    def __init__(self, source: bytes) -> None:
        self.source = source
        self.package = open_package(source)
        self.book = Book(self.package)
        self.annotated = is_marked(self.book)
        if self.annotated:
            self.package = stripped(self.package, self.book)
            self.book = Book(self.package)
        self._parts: dict[str, SheetPart] = {}
        self._placed: tuple[Sequence[AddedColumns], list[Placed], list[NotPlaced]] | None = None

    def free_sheet_names(self, wanted: Sequence[str]) -> dict[str, str]:
        taken = [sheet.name for sheet in self.book.sheets]
        found = {}
        for name in wanted:
            found[name] = free_sheet_name(name, taken)
            taken.append(found[name])
        return found

    def strip(self) -> bytes:
        return self.package.write() if self.annotated else self.source

    def placed(self, added: Sequence[AddedColumns]) -> tuple[list[Placed], list[NotPlaced]]:
        """Where the columns go, and beside which tables nothing can be written."""
        if self._placed is None or self._placed[0] is not added:
            self._placed = (added, *self._place(added))
        return self._placed[1], self._placed[2]

    def annotate(self, added: Sequence[AddedColumns], sheets: bytes | None) -> bytes:
        """The annotated workbook. The object is used up by it."""
        placed, _ = self.placed(added)
        styles, originals = Styles(self.book), set(self.package.names())
        edits: dict[str, list[Edit]] = {}
        for name in dict.fromkeys(each.added.table.sheet for each in placed):
            group = [each for each in placed if each.added.table.sheet == name]
            part = self._sheet_part(name, 0)
            edits[part.part] = cell_edits(part, styles, group) + surrounding_edits(part, styles, group)
            self._name_columns(name, group)
        if sheets is not None:
            graft = Graft(sheets, self.book, styles)
            for number, (name, _) in enumerate(graft.run(), 1):
                self.book.set_name(
                    f"{OUR_NAMES}sheet.{number}",
                    None,
                    on_sheet(name, Area(1, 1, 1048576, 16384)),
                    hidden=True,
                )
        mark = add_mark(self.book, self.package)
        edits |= self.book.edits()
        if style_edits := styles.edits():
            edits[styles.part] = style_edits
        self._apply(edits, mark, originals)
        return self.package.write()

    def _apply(self, edits: Mapping[str, list[Edit]], mark: str, originals: set[str]) -> None:
        changes = []
        for part, found in edits.items():
            raw, before = self.package.read(part), self.package.fingerprint(part)
            plain = as_utf8(raw, part)
            new = splice(plain, found)
            if part in originals:
                record = undo_record(raw, found if plain is raw else [(0, len(raw), new)])
            self.package.replace(part, new)
            if part in originals:
                changes.append(Change(part, self.package.fingerprint(part), before, record))
        added = [name for name in self.package.names() if name not in originals]
        write_mark(self.package, mark, changes, added)

    def _place(self, added: Sequence[AddedColumns]) -> tuple[list[Placed], list[NotPlaced]]:
        found: list[Placed] = []
        refused: list[NotPlaced] = []
        for name in dict.fromkeys(each.table.sheet for each in added):
            group = [each for each in added if each.table.sheet == name and each.columns]
            if not group:
                continue
            if self.book.sheet(name) is None:
                refused += [
                    NotPlaced(table=each.table, reason=f"no sheet is called '{name}'") for each in group
                ]
                continue
            part = self._sheet_part(name, max(each.table.last_row for each in group))
            if _protected(part):
                reason = f"the sheet '{name}' is protected, so nothing was written beside its tables"
                refused += [NotPlaced(table=each.table, reason=reason) for each in group]
                continue
            for each in place(part, group, merged_areas(part), {}):
                if has_room(each):
                    found.append(each)
                else:
                    reason = f"no column is free at the right of the table on '{name}'"
                    refused.append(NotPlaced(table=each.added.table, reason=reason))
        return found, refused

    def _sheet_part(self, name: str, last_row: int) -> SheetPart:
        sheet = self.book.sheet(name)
        assert sheet is not None
        if sheet.part not in self._parts:
            self._parts[sheet.part] = SheetPart(self.package.read(sheet.part), sheet.part, last_row)
        return self._parts[sheet.part]

    def _name_columns(self, sheet: str, group: Sequence[Placed]) -> None:
        """Hidden names that a spreadsheet program moves along when the estimator inserts rows or
        columns; one a column, so that a column inserted between two of ours is not ours."""
        for placed in group:
            number = 1 + sum(
                each.name.endswith(".1") and ".column." in each.name for each in self.book.pending.names
            )
            table = placed.added.table
            for offset in range(len(placed.added.columns)):
                at = placed.first + offset
                where = on_sheet(sheet, Area(table.header_row, at, table.last_row, at))
                self.book.set_name(f"{OUR_NAMES}column.{number}.{offset + 1}", None, where, hidden=True)


def is_marked(book: Book) -> bool:
    return any(name.name.startswith(OUR_NAMES) for name in book.names) or read_mark(book) is not None


def stripped(package: Package, book: Book) -> Package:
    """The package without us."""
    mark = read_mark(book)
    before = undone(package, mark) if mark else None
    if mark is None or before is None:
        raise NotImplementedError
    for part, content in before.items():
        package.replace(part, content)
    for part in mark.added:
        if package.find(part):
            package.remove(part)
    return package


def _protected(part: SheetPart) -> bool:
    node = part.tree.root.first("sheetProtection")
    return node is not None and node.attributes.get("sheet", "0") in ("1", "true")

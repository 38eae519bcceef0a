"""One workbook taken apart, annotated, and put together again."""

import hashlib
import re
from collections.abc import Mapping, MutableMapping, Sequence

from auditor.annotate.answers import typed_cells
from auditor.annotate.cautions import cautions
from auditor.annotate.cells import cell_edits
from auditor.annotate.columns import AddedColumns, NotPlaced, Placed, has_room, merged_areas, place
from auditor.annotate.filters import (
    blocked_by,
    told_apart,
    widen_filter,
    widened,
    widening_edits,
)
from auditor.annotate.given_back import give_back, with_remarks
from auditor.annotate.graft import Graft, Written, plain
from auditor.annotate.headings import readable
from auditor.annotate.marks import Change, Mark, add_mark, read_mark, undo_record, undone, write_mark
from auditor.annotate.our_columns import (
    OUR_NAMES,
    MadeFrom,
    Ours,
    Work,
    fingerprint,
    former_places,
    made_from,
    name_of_column,
    name_of_sheet,
    name_of_source,
    named,
    recognised,
)
from auditor.annotate.printing import has_print_titles, repeat_heading, repeat_key, widen_print_area
from auditor.annotate.remembered import remember
from auditor.annotate.removal import remove
from auditor.annotate.sheet_settings import fits_one_page_wide, has_page_setup, surrounding_edits
from auditor.annotate.typed import Remark, remarks_of, typed_text
from auditor.job.remarks import REMARKS_HEADING
from auditor.ooxml.list_objects import list_objects
from auditor.ooxml.opening import open_package
from auditor.ooxml.package import Package
from auditor.ooxml.refs import LAST_ROW, Area, free_sheet_name, on_sheet
from auditor.ooxml.rows import SheetPart
from auditor.ooxml.styles import Styles
from auditor.ooxml.texts import Texts
from auditor.ooxml.workbook_part import WorkbookPart
from auditor.ooxml.xmltree import Edit, as_utf8, splice

HOLDS_REMARKS = f"{OUR_NAMES}remarks"  # the hidden name of a copy in which remarks were given back
_NOTES = re.compile(r"comments\d*\.xml$")
_NOTE = re.compile(rb"<comment .*?</comment>", re.DOTALL)
_LARGE = 8 << 20  # bytes of a sheet's part; some 20,000 rows


class Workbook:
    """A user's workbook, stripped of an earlier annotation, ready to be annotated.

    The functions of this package open the workbook anew each time; who needs several of them opens
    it once here, or hands its package over. `annotate` comes last: it uses the object up.
    """

    def __init__(self, source: bytes | Package) -> None:
        self.package = open_package(source) if isinstance(source, bytes) else source
        self.source = self.package.source
        self.untouched = False  # an annotated copy just as we wrote it
        self.book = WorkbookPart(self.package)
        self.typed = typed_cells(self.book)
        self.annotated = is_marked(self.book) or bool(self.typed.sheets)
        self.made_from = made_from(self.book)
        self._former: Mapping[tuple[str, str], Area] = {}
        self.kept: tuple[str, ...] = ()  # sentences: what looks like ours and was left in its place
        self.remarks: tuple[
            Remark, ...
        ] = ()  # what was typed on our sheets, over our columns and beside them
        self.lost: list[Remark] = []  # remarks whose subject is not there any more
        if self.annotated:
            mark = read_mark(self.book)
            before = undone(self.package, mark) if mark else None
            self.untouched = before is not None
            ours = named(self.book) if self.untouched else recognised(self.book, self.typed.sheets)
            worked_in = self.made_from is not None and self.made_from.work is Work.TYPED
            if not self.untouched or worked_in or self.book.name(HOLDS_REMARKS, None):
                self.remarks = remarks_of(self.book, ours, self.typed)
            former = unmark(self.package, self.book, mark, before, ours)
            self._former, self.kept = former.groups, former.kept
            self.book = WorkbookPart(self.package)
        self._parts: dict[str, SheetPart] = {}
        self._last_rows: dict[str, int] = {}  # of parts that were let go
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

    def gone(self) -> list[str]:
        """What was answered, accepted and typed in what is taken out, a sentence each."""
        answers = (
            f"The answer «{each.text}» to «{each.sentence}» goes with the sheet of questions"
            for each in self.typed.answers
            if each.text
        )
        accepted = (
            f"What was typed as accepted of {each.subject} goes with the sheet of findings: {each.words}"
            for each in self.typed.acceptances
        )
        typed = [each for each in self.remarks if not each.stays]
        also = [f"What was typed on added sheets or over added columns goes with them: {typed_text(typed)}"]
        return [*answers, *accepted, *(also if typed else ())]

    def notes(self) -> list[str]:
        """The texts of the cells' notes, without blanks: programs write these anew."""
        parts = [name for name in self.package.names() if _NOTES.search(name)]
        found = [each for name in parts for each in _NOTE.findall(self.package.read(name))]
        return sorted("".join(plain(each).split()) for each in found)

    def fingerprint(self) -> str:
        """A digest of the parts, without our annotation: the same however the package was packed."""
        parts = (f"{name} {self.package.fingerprint(name)}" for name in sorted(self.package.names()))
        return hashlib.sha256("\n".join(parts).encode("utf-8", "replace")).hexdigest()

    def placed(self, added: Sequence[AddedColumns]) -> tuple[list[Placed], list[NotPlaced]]:
        """Where the columns go, and beside which tables nothing can be written. Large sheets are let go
        then: they are read again when they are edited, one at a time."""
        found = self._places(added)
        for name in [name for name, part in self._parts.items() if len(part.data) > _LARGE]:
            self._last_rows[name] = self._parts.pop(name).last_row
            self.package.forget(name)
        return found

    def _places(self, added: Sequence[AddedColumns]) -> tuple[list[Placed], list[NotPlaced]]:
        if self._placed is None or self._placed[0] is not added:
            self._placed = (added, *self._place(added))
        return self._placed[1], self._placed[2]

    def annotate(
        self,
        added: Sequence[AddedColumns],
        sheets: bytes | MutableMapping[str, bytes] | None,
        source: MadeFrom | None = None,
        remarks: Sequence[Remark] = (),
    ) -> bytes:
        """Parts of new sheets are used up.

        Parameters
        ----------
        source : the file that the copy is made from
        remarks : what was typed on the sheets of earlier copies; `lost` has those that find no place
        """
        placed, _ = self._places(added)
        originals, styles = set(self.package.names()), Styles(self.book)
        changes: list[Change] = []
        values = self._add_sheets(sheets, styles, source, remarks)
        remember(self.book, values.texts, values.figures, placed)
        if remarks or any(column.header == REMARKS_HEADING for one in placed for column in one.added.columns):
            self.book.set_name(HOLDS_REMARKS, None, "TRUE", hidden=True)
        for name in dict.fromkeys(each.added.table.sheet for each in placed):
            group = [each for each in placed if each.added.table.sheet == name]
            changes += self._applied(self._sheet_edits(name, group, styles), originals)
        for number, each in enumerate(placed, 1):
            self._name_columns(number, each)
        mark = add_mark(self.book, self.package)
        edits = self.book.edits()
        if style_edits := styles.edits():
            edits[styles.part] = style_edits
        changes += self._applied(edits, originals)
        ours = [name for name in self.package.names() if name not in originals]
        write_mark(self.package, mark, changes, ours)
        return self.package.write()

    def with_remarks(self, added: Sequence[AddedColumns], remarks: Sequence[Remark]) -> list[AddedColumns]:
        """The columns with what was typed over and beside those of earlier copies; `lost` has what finds no row."""
        parts = {each.table.sheet: self._sheet_part(each.table.sheet) if remarks else None for each in added}
        found, left = with_remarks(added, remarks, parts, Texts(self.book))
        self.lost += left
        return found

    def _add_sheets(
        self,
        sheets: bytes | MutableMapping[str, bytes] | None,
        styles: Styles,
        source: MadeFrom | None,
        remarks: Sequence[Remark],
    ) -> Written:
        """Gives what is written on them, remarks apart."""
        pages: dict[str, tuple[str, Area]] = {}
        graft = Graft(sheets, self.book, styles) if sheets is not None else None
        for number, each in enumerate(graft.run() if graft else (), 1):
            where = on_sheet(each.name, each.written)
            self.book.set_name(name_of_sheet(number, each.title), None, where, hidden=True)
            if source and number == 1:
                self.book.set_name(name_of_source(source), None, where, hidden=True)
            pages[fingerprint(each.title)] = each.part, each.written
        self.lost += give_back(self.book, pages, remarks)
        return graft.values if graft else Written()

    def cautions(self) -> list[str]:
        return [*self.kept, *cautions(self.package, self.book, self._protected_sheets())]

    def _protected_sheets(self) -> list[str]:
        found = []
        for sheet in self.book.sheets:
            if sheet.part in self.package.members and b"sheetProtection" in self.package.read(sheet.part):
                part = self._sheet_part(sheet.name)
                if part is not None and _protected(part):
                    found.append(sheet.name)
            if sheet.part not in self._parts:
                self.package.forget(sheet.part)
        return found

    def _sheet_edits(self, name: str, group: Sequence[Placed], styles: Styles) -> dict[str, list[Edit]]:
        """The edits of a sheet and of its list objects; the names that move with them are set."""
        sheet, part = self.book.sheet(name), self._sheet_part(name)
        assert sheet is not None
        assert part is not None
        group = readable(part, styles, group)
        own_pages = has_page_setup(part) or has_print_titles(self.book, sheet)
        edits = cell_edits(part, styles, group) + surrounding_edits(
            part, styles, group, set_pages=not own_pages
        )
        found = {part.part: edits}
        for placed in group:
            edits += widen_filter(self.book, sheet, part, placed)
            if each := widened(list_objects(self.package, part), placed, part):
                found[each.part] = widening_edits(each, placed)
        wider = widen_print_area(self.book, sheet, group)
        if not own_pages:
            repeat_heading(self.book, sheet, group)
        elif wider and not fits_one_page_wide(part):
            repeat_key(self.book, sheet, group)
        return found

    def _applied(self, edits: Mapping[str, list[Edit]], originals: set[str]) -> list[Change]:
        """Splice the edits into their parts; what takes each of the estimator's own back."""
        changes = []
        for part, found in edits.items():
            self._parts.pop(part, None)  # a sheet can be large, and its rows are done with
            raw, before = self.package.read(part), self.package.fingerprint(part)
            plain = as_utf8(raw, part)
            new = splice(plain, found)
            if part in originals:
                record = undo_record(raw, found if plain is raw else [(0, len(raw), new)])
            self.package.replace(part, new)
            if part in originals:
                changes.append(Change(part, self.package.fingerprint(part), before, record))
        return changes

    def _place(self, added: Sequence[AddedColumns]) -> tuple[list[Placed], list[NotPlaced]]:
        found: list[Placed] = []
        refused: list[NotPlaced] = []
        for name in dict.fromkeys(each.table.sheet for each in added if each.columns):
            group = [each for each in added if each.table.sheet == name and each.columns]
            part = self._sheet_part(name)
            if part is None or _protected(part):
                what = "is protected" if part else "is not a worksheet of this workbook"
                reason = f"'{name}' {what}, so nothing was written beside its tables"
                refused += [NotPlaced(table=each.table, reason=reason) for each in group]
                continue
            for each in self._place_on(name, part, group):
                if has_room(each):
                    found.append(each)
                else:
                    row = each.added.table.header_row
                    reason = f"no column is free at the right of the table in row {row} of '{name}'"
                    refused.append(NotPlaced(table=each.added.table, reason=reason))
        return found, refused

    def _place_on(self, name: str, part: SheetPart, group: Sequence[AddedColumns]) -> list[Placed]:
        objects = list_objects(self.package, part)
        group = [told_apart(each, objects) for each in group]
        part.last_row = max(
            [each.table.last_row for each in group] + [each.area.bottom for each in objects if each.plain]
        )
        preferred = former_places(name, group, self._former)
        return place(part, group, merged_areas(part) + blocked_by(objects, group), preferred)

    def _sheet_part(self, name: str) -> SheetPart | None:
        sheet = self.book.sheet(name)
        if sheet is None or sheet.part not in self.package.members:
            return None
        if sheet.part not in self._parts:
            data = self.package.read(sheet.part)
            if b"worksheet" not in data[:4096] and b"w\0o\0r\0k\0s\0h\0e" not in data[:4096]:
                return None  # a chart or dialogue sheet
            last_row = self._last_rows.get(sheet.part, LAST_ROW)
            self._parts[sheet.part] = SheetPart(data, sheet.part, last_row)
        return self._parts[sheet.part]

    def _name_columns(self, number: int, placed: Placed) -> None:
        """Hidden names that a spreadsheet program moves along when the estimator inserts rows or
        columns; one a column, so that a column inserted between two of ours is not ours."""
        table = placed.added.table
        for offset, column in enumerate(placed.added.columns):
            at = placed.first + offset
            where = on_sheet(table.sheet, Area(table.header_row, at, table.last_row, at))
            name = name_of_column(number, offset + 1, column.header)
            self.book.set_name(name, None, where, hidden=True)


def is_marked(book: WorkbookPart) -> bool:
    return any(name.name.startswith(OUR_NAMES) for name in book.names) or read_mark(book) is not None


def unmark(
    package: Package,
    book: WorkbookPart,
    mark: Mark | None,
    before: Mapping[str, bytes] | None,
    ours: Ours,
) -> Ours:
    """Take our annotation out: byte for byte where nothing was edited since, else what the hidden
    names and the cells under them show to be ours. Gives what was ours.

    Parameters
    ----------
    before : the changed parts as they were, where nothing was edited
    ours : what is ours
    """
    if mark is None or before is None:
        return remove(package, book, mark, ours)
    for part, content in before.items():
        package.replace(part, content)
    for part in mark.added:
        if package.find(part):
            package.remove(part)
    return ours


def _protected(part: SheetPart) -> bool:
    node = part.tree.root.first("sheetProtection")
    return node is not None and node.attributes.get("sheet", "0") in ("1", "true")

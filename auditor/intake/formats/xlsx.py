"""Worksheets of an .xlsx: their values by a fast reader where that can be trusted, else cell by cell, and what
the fast reader does not show."""

import re
from functools import cached_property

from auditor.errors import UnusableFileError
from auditor.intake.formats.by_cells import Dates, Texts, read_cells
from auditor.intake.formats.calamine import FastBook
from auditor.intake.formats.cells import Book, Format, Sheet, WithUnit
from auditor.intake.formats.far_cells import far_notes
from auditor.intake.formats.number_formats import UNITS_SHOWN, date_styles, unit_styles
from auditor.intake.formats.struck import leave_out_struck
from auditor.intake.formats.xlsx_marks import Marks, Shown, holds_controls, merges, names_a_text, scan
from auditor.ooxml.cell_formats import CellFormats, cell_formats
from auditor.ooxml.package import Package, folded
from auditor.ooxml.plain import in_plain_spelling, is_plain
from auditor.ooxml.refusals import SAVE_AGAIN, damaged
from auditor.ooxml.workbook_part import ListedSheet, WorkbookPart

_LARGE = 8 << 20  # bytes of a part that is not kept for who reads it next
_HEAD = 4000  # bytes in which a part's first tag stands
_COUNT = re.compile(rb"\buniqueCount\s*=\s*[\"'](\d{1,20})[\"']")
_OTHER_ROOT = re.compile(rb"<(?:[\w.-]+:)?(macrosheet|dialogsheet|chartsheet)[\s>]")
_OTHER_KINDS = {b"macrosheet": "an old macro sheet", b"dialogsheet": "a dialogue sheet"}
_PLACES = {"sharedStrings": "xl/sharedStrings.xml", "styles": "xl/styles.xml"}  # where the fast reader looks
_CONTROLS_NOTE = (
    "texts hold control characters, with which the file is no well-formed workbook; they are kept as they are, and a "
    "spreadsheet program may offer to repair the copy as well as the original: save the repaired original and audit that"
)


def read_xlsx(package: Package, data: bytes) -> Book:
    """All worksheets with their values and marks.

    Raises
    ------
    UnusableFileError : damaged
    """
    workbook = WorkbookPart(package)
    if not workbook.sheets:
        raise UnusableFileError(f"the file is damaged: its list of sheets is missing; {SAVE_AGAIN}")
    reader = _Reader(workbook, data)
    book = Book(format=Format.XLSX, sheets=[])
    for listed in workbook.sheets:
        reason = _no_worksheet(package, listed)
        if reason is None:
            book.sheets.append(reader.sheet(listed))
        elif reason:
            book.notes += (f"the sheet {listed.name!r} is left out: {reason}",)
    if reader.controls_in_texts and book.sheets:
        book.sheets[0].notes += (_CONTROLS_NOTE,)
    return book


def _no_worksheet(package: Package, listed: ListedSheet) -> str | None:
    """Why a listed sheet has no cells to read; empty where nobody misses them, None for a worksheet."""
    if listed.part not in package.members:
        return "its content is missing in the file; if it is needed, " + SAVE_AGAIN
    root = _OTHER_ROOT.search(package.xml(listed.part)[:_HEAD])
    if root is None:
        return None
    kind = _OTHER_KINDS.get(root[1])
    return f"it is {kind}, which holds no schedule" if kind else ""


class _Reader:
    """Reads the sheets of one workbook."""

    def __init__(self, workbook: WorkbookPart, data: bytes) -> None:
        self.workbook, self.package = workbook, workbook.package
        self.strings_part, self.styles_part = self._part("sharedStrings"), self._part("styles")
        strings = self.package.xml(self.strings_part) if self.strings_part else b""
        _refuse_false_count(strings)
        self.controls_in_texts = holds_controls(strings)
        if b"<!" in strings or strings.count(b"<?") > 1:
            strings = in_plain_spelling(strings, self.strings_part or "")
        self.texts = Texts(strings)
        self.shown = self._shown()
        self.fast = self._fast(data)

    def sheet(self, listed: ListedSheet) -> Sheet:
        xml = self.package.xml(listed.part)
        self._require_texts(xml, listed.name)
        plain = xml is self.package.read(listed.part) and is_plain(xml)
        if not plain:
            xml = in_plain_spelling(xml, listed.part)
        marks = scan(xml, self.shown)
        sheet = self._by_fast_reader(listed.name) if plain and not marks.too_far else None
        if sheet is None:
            rows = read_cells(xml, self.texts, self._dates, listed.part)
            sheet = Sheet(name=listed.name, rows=rows, merges=merges(xml))
            sheet.notes = far_notes(sheet.name, rows) if marks.too_far else ()
        sheet.hidden = listed.hidden
        _apply(sheet, marks)
        if len(xml) > _LARGE:
            self.package.forget(listed.part)
        return sheet

    @cached_property
    def _formats(self) -> CellFormats:
        return cell_formats(self.package.tree(self.styles_part)) if self.styles_part else CellFormats()

    @cached_property
    def _dates(self) -> Dates:
        settings = self.workbook.tree.root.first("workbookPr")
        from_1904 = settings is not None and settings.attributes.get("date1904") in ("1", "true")
        return Dates(date_styles(self._formats), from_1904)

    def _shown(self) -> Shown:
        """What to look for in the sheets; nothing where the styles strike nothing through and show no unit."""
        styles = self.package.xml(self.styles_part) if self.styles_part else b""
        told = b"strike" in styles or b"numFmt " in styles
        formats = self._formats if told else CellFormats()
        runs = self.texts.with_runs(any_mixture=bool(formats.struck))
        return Shown(formats.struck, unit_styles(formats), runs)

    def _part(self, kind: str) -> str | None:
        return self.workbook.related(kind) or self.package.find(_PLACES[kind])

    def _fast(self, data: bytes) -> FastBook | None:
        """The fast reader, where it would look for the parts where they are."""
        places = {self.workbook.part: "xl/workbook.xml"}
        places |= {part: _PLACES[kind] for kind in _PLACES if (part := self._part(kind))}
        names = [sheet.name for sheet in self.workbook.sheets]
        if len(set(names)) < len(names) or any(folded(a) != folded(b) for a, b in places.items()):
            return None
        try:
            return FastBook(data)
        except UnusableFileError:
            return None

    def _by_fast_reader(self, name: str) -> Sheet | None:
        if self.fast is None or name not in self.fast.names:
            return None
        try:
            return self.fast.sheet(name)
        except UnusableFileError:
            return None

    def _require_texts(self, xml: bytes, title: str) -> None:
        cell = names_a_text(xml) if self.strings_part is None else None
        if cell is not None:
            raise UnusableFileError(
                f"the file is damaged: {cell} on {title!r} names a text that the file does not hold; {SAVE_AGAIN}"
            )


def _refuse_false_count(strings: bytes) -> None:
    """A fast reader makes room for as many texts as are stated, and ends the program where it cannot."""
    stated = _COUNT.search(strings, 0, _HEAD)
    if stated and int(stated[1]) > len(strings):
        raise damaged()


def _apply(sheet: Sheet, marks: Marks) -> None:
    sheet.hidden_rows = marks.hidden_rows
    sheet.hidden_columns = marks.hidden_columns
    sheet.struck = marks.struck
    leave_out_struck(sheet, marks.runs)
    for (row, column), fault in marks.faults.items():
        sheet.put(row, column, fault)
    shown = False
    for (row, column), unit in marks.units.items():
        value = sheet.value(row, column)
        if type(value) is float:
            sheet.put(row, column, WithUnit(value, unit))
            shown = True
    sheet.notes += UNITS_SHOWN if shown else ()
    sheet.notes += (_CONTROLS_NOTE,) if marks.control_characters else ()

"""Worksheets of an .xlsx: values by a fast reader, odd parts rewritten for it, and what it does not show."""

import re
from dataclasses import dataclass
from functools import cached_property

from auditor.errors import UnusableFileError
from auditor.intake.formats.by_cells import Dates, Texts, read_cells
from auditor.intake.formats.calamine import FastBook
from auditor.intake.formats.cells import Book, Format, Sheet, WithUnit
from auditor.intake.formats.far_cells import far_notes
from auditor.intake.formats.number_formats import UNITS_SHOWN, date_styles, unit_styles
from auditor.intake.formats.struck import leave_out_struck
from auditor.intake.formats.xlsx_marks import (
    Marks,
    Shown,
    explains_colours,
    holds_controls,
    merges,
    names_a_text,
    scan,
)
from auditor.intake.formats.xlsx_rewritten import rewritten
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
    "texts hold control characters, with which the file is no well-formed workbook; they are kept as they "
    "are, and a "
    "spreadsheet program may offer to repair the copy as well as the original: save the repaired original "
    "and audit that"
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
            reader.look(listed)
        elif reason:
            book.notes += (f"the sheet {listed.name!r} is left out: {reason}",)
    book.sheets = reader.sheets()
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


@dataclass(slots=True)
class _Looked:
    """A sheet that was looked through: its marks, and its values where the fast reader gives them."""

    listed: ListedSheet
    marks: Marks
    sheet: Sheet | None
    odd: bytes  # the part in plain spelling, where the values have yet to be read


class _Reader:
    """Reads the sheets of one workbook: first all are looked through, then the odd ones are read together."""

    def __init__(self, workbook: WorkbookPart, data: bytes) -> None:
        self.workbook, self.package = workbook, workbook.package
        self.strings_part, self.styles_part = self._part("sharedStrings"), self._part("styles")
        self.strings = self._plain(self.strings_part) if self.strings_part else b""
        _refuse_false_count(self.strings)
        self.texts = Texts(self.strings)
        self.shown = self._shown()
        self.fast = self._fast(data)
        self.looked: list[_Looked] = []

    def look(self, listed: ListedSheet) -> None:
        """Find what a sheet shows beyond its values, and these where the fast reader can be trusted."""
        xml = self.package.xml(listed.part)
        self._require_texts(xml, listed.name)
        plain = xml is self.package.read(listed.part) and is_plain(xml)
        if not plain:
            xml = in_plain_spelling(xml, listed.part)
        marks = scan(xml, self.shown)
        sheet = _by_fast_reader(self.fast, listed.name) if plain and not marks.too_far else None
        if marks.too_far:
            sheet = self._by_cells(listed, xml)
            sheet.notes = far_notes(sheet.name, sheet.rows)
        self.looked.append(_Looked(listed, marks, sheet, b"" if sheet else xml))
        if len(xml) > _LARGE:
            self.package.forget(listed.part)

    def sheets(self) -> list[Sheet]:
        """All sheets that were looked through, in their order.

        Raises
        ------
        UnusableFileError : damaged
        """
        odd = [each for each in self.looked if each.sheet is None]
        if odd:
            styles = self._plain(self.styles_part) if self.styles_part else b""
            parts = [each.odd for each in odd]
            fast = _opened(rewritten(parts, self.strings, styles, from_1904=self._dates.from_1904))
            for number, each in enumerate(odd):
                there = _by_fast_reader(fast, str(number))
                each.sheet, each.odd = there or self._by_cells(each.listed, each.odd), b""
        found = [_marked(each) for each in self.looked]
        if found and holds_controls(self.strings):
            found[0].notes += (_CONTROLS_NOTE,)
        return found

    def _plain(self, part: str) -> bytes:
        """A part other than a sheet, without comments."""
        xml = self.package.xml(part)
        return in_plain_spelling(xml, part) if b"<!" in xml or xml.count(b"<?") > 1 else xml

    @cached_property
    def _formats(self) -> CellFormats:
        return cell_formats(self.package.tree(self.styles_part)) if self.styles_part else CellFormats()

    @cached_property
    def _dates(self) -> Dates:
        settings = self.workbook.tree.root.first("workbookPr")
        from_1904 = settings is not None and settings.attributes.get("date1904") in ("1", "true")
        return Dates(date_styles(self._formats), from_1904)

    def _shown(self) -> Shown:
        """What to look for in the sheets; nothing where the styles strike nothing and show no unit."""
        styles = self.package.xml(self.styles_part) if self.styles_part else b""
        coloured = b'"solid"' in styles
        told = b"strike" in styles or b"numFmt " in styles or coloured
        formats = self._formats if told else CellFormats()
        runs = self.texts.with_runs(any_mixture=bool(formats.struck))
        return Shown(
            formats.struck, unit_styles(formats), runs, formats.fills, explains_colours(self.strings)
        )

    def _part(self, kind: str) -> str | None:
        return self.workbook.related(kind) or self.package.find(_PLACES[kind])

    def _fast(self, data: bytes) -> FastBook | None:
        """The fast reader, where it would look for the parts where they are."""
        places = {self.workbook.part: "xl/workbook.xml"}
        places |= {part: _PLACES[kind] for kind in _PLACES if (part := self._part(kind))}
        names = [sheet.name for sheet in self.workbook.sheets]
        if len(set(names)) < len(names) or any(folded(a) != folded(b) for a, b in places.items()):
            return None
        return _opened(data)

    def _by_cells(self, listed: ListedSheet, xml: bytes) -> Sheet:
        rows = read_cells(xml, self.texts, self._dates, listed.part)
        return Sheet(name=listed.name, rows=rows, merges=merges(xml))

    def _require_texts(self, xml: bytes, title: str) -> None:
        cell = names_a_text(xml) if self.strings_part is None else None
        if cell is not None:
            raise UnusableFileError(
                f"the file is damaged: {cell} on {title!r} names a text that the file does not hold; "
                f"{SAVE_AGAIN}"
            )


def _opened(data: bytes) -> FastBook | None:
    """The fast reader with a workbook, where it takes it."""
    try:
        return FastBook(data)
    except UnusableFileError:
        return None


def _by_fast_reader(book: FastBook | None, name: str) -> Sheet | None:
    """A sheet's values, where the fast reader can give them."""
    if book is None or name not in book.names:
        return None
    try:
        return book.sheet(name)
    except UnusableFileError:
        return None


def _refuse_false_count(strings: bytes) -> None:
    """A fast reader makes room for as many texts as are stated, and ends the program where it cannot."""
    stated = _COUNT.search(strings, 0, _HEAD)
    if stated and int(stated[1]) > len(strings):
        raise damaged()


def _marked(looked: _Looked) -> Sheet:
    """The sheet with its marks."""
    sheet, marks = looked.sheet, looked.marks
    assert sheet is not None, "every sheet is read by then"
    sheet.name, sheet.hidden = looked.listed.name, looked.listed.hidden
    sheet.hidden_rows = marks.hidden_rows
    sheet.hidden_columns = marks.hidden_columns
    sheet.struck = marks.struck
    sheet.fills = marks.fills
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
    return sheet

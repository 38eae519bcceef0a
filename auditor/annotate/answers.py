"""Answers on the sheets «Questions» of a workbook, read by the record that stands in each row.

The sheet is known by its headings and not by its name or place: it may have been renamed, sorted, moved into
another workbook, or have got further columns.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from html import unescape

from auditor.annotate.our_columns import OUR_NAMES
from auditor.job.answers import (
    ANSWER_HEADING,
    RECORD_HEADING,
    SENTENCE_HEADING,
    USE_HEADING,
    TypedAnswer,
    record_of,
    typed_answer,
)
from auditor.ooxml.refs import Area, area
from auditor.ooxml.rows import SheetPart
from auditor.ooxml.rowscan import Cell, Row
from auditor.ooxml.texts import Texts
from auditor.ooxml.workbook_part import WorkbookPart

LARGEST = 4 << 20  # bytes of a sheet's part that is looked at; ours has a few thousand
_FORMULA = re.compile(rb"<(?:[\w.-]+:)?f(?:\s[^>]*)?(?:/>|>([^<]*)<)")
_HEADING = RECORD_HEADING.encode()
_NO_COLUMN = f"the heading «{ANSWER_HEADING}» of its column is gone"
_MIXED = "«{}» stood in a row that was mixed up with another question's; answer it again"
_NO_FORMULA = "its cell holds a formula; choose one of the list"
_NO_LINK = "its cell holds a link; choose one of the list"


@dataclass(frozen=True, slots=True)
class AnswerSheets:
    """What was read from the sheets of questions."""

    answers: tuple[TypedAnswer, ...] = ()
    sheets: Mapping[str, Area] = field(default_factory=dict)  # name, case folded -> what we wrote on
    places: frozenset[tuple[str, int, int]] = frozenset()  # sheet, row and column of what was taken over


NO_ANSWER_SHEETS = AnswerSheets()


def answer_sheets(book: WorkbookPart) -> AnswerSheets:
    """The answers that stand in a workbook, of all its sheets of questions."""
    texts = Texts(book)
    answers: list[TypedAnswer] = []
    sheets: dict[str, Area] = {}
    places: set[tuple[str, int, int]] = set()
    for name, part in _candidates(book):
        read = _QuestionSheet(part, texts)
        if read.rows:
            answers += read.answers()
            sheets[name.casefold()] = read.area
            places |= {(name.casefold(), row.number, column) for row in read.rows for column in read.typed}
    return AnswerSheets(tuple(answers), sheets, frozenset(places))


def _candidates(book: WorkbookPart) -> Iterator[tuple[str, SheetPart]]:
    """The sheets that may hold the headings, of a workbook whose shared texts name them or that is marked as
    annotated: there they may stand in the sheet itself."""
    package, shared = book.package, _shares_the_heading(book)
    marked = any(name.name.startswith(OUR_NAMES) for name in book.names)
    for sheet in book.sheets if shared or marked else ():
        if sheet.part in package.members and package.fingerprint(sheet.part)[1] <= LARGEST:
            data = package.read(sheet.part)
            if b"sheetData" in data and (shared or _HEADING in data):
                yield sheet.name, SheetPart(data, sheet.part)


def _shares_the_heading(book: WorkbookPart) -> bool:
    part = book.related("sharedStrings")
    if part is None or part not in book.package.members:
        return False
    found = _HEADING in book.package.read(part)
    if not found:
        book.package.forget(part)  # it may be large
    return found


class _QuestionSheet:
    """One sheet of questions; without a heading row it has no rows."""

    def __init__(self, part: SheetPart, texts: Texts) -> None:
        self.part, self.texts = part, texts
        self.columns: dict[str, int] = {}
        self.rows: list[Row] = []
        top = next((row for row in part.rows if RECORD_HEADING in self._texts_of(row).values()), None)
        if top is None:
            return
        for column, text in self._texts_of(top).items():
            self.columns.setdefault(text.strip(), column)
        record = self.columns[RECORD_HEADING]
        self.rows = [row for row in part.rows if record_of(self._texts_of(row).get(record, ""), "")]
        self.typed = [self.columns[each] for each in (ANSWER_HEADING, USE_HEADING) if each in self.columns]
        bottom = max([top.number, *(row.number for row in self.rows)])
        self.area = Area(1, 1, bottom, max(self.columns.values()))

    def answers(self) -> Iterator[TypedAnswer]:
        links = self._links()
        for row in self.rows:
            held = self._texts_of(row)
            found = record_of(held[self.columns[RECORD_HEADING]], self._at(held, SENTENCE_HEADING))
            assert found is not None, "the rows are those with a record"
            record, belongs = found
            text, fault = self._at(held, ANSWER_HEADING), ""
            formula = self._formula(row)
            if ANSWER_HEADING not in self.columns:
                fault = _NO_COLUMN
            elif formula:
                text, fault = f"={formula}", _NO_FORMULA
            elif text and not belongs:
                text, fault = "", _MIXED.format(text)
            answer = typed_answer(record, text, self._at(held, USE_HEADING), fault)
            linked = any(each.has(row.number, self.columns.get(ANSWER_HEADING, 0)) for each in links)
            yield answer.unlinked(_NO_LINK) if linked else answer

    def _texts_of(self, row: Row) -> dict[int, str]:
        return self.texts.row(self.part, row)

    def _at(self, held: Mapping[int, str], heading: str) -> str:
        return held.get(self.columns.get(heading, 0), "").strip()

    def _formula(self, row: Row) -> str:
        """The formula in the answer cell; empty: there is none."""
        cell = self._answer_cell(row)
        found = _FORMULA.search(self.part.data, cell.start, cell.end) if cell else None
        return unescape((found[1] or b"?").decode("utf-8", "replace")) if found else ""

    def _answer_cell(self, row: Row) -> Cell | None:
        wanted = self.columns.get(ANSWER_HEADING)
        return next((cell for cell in self.part.cells(row) if cell.column == wanted), None)

    def _links(self) -> list[Area]:
        node = self.part.tree.root.first("hyperlinks")
        found = (area(link.attributes.get("ref", "")) for link in (node.children if node else ()))
        return [each for each in found if each]

"""What people typed in the cells of ours that are made for it: answers to questions, acceptances of reviews."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from auditor.annotate.record_sheets import RecordSheet, record_sheets
from auditor.job.acceptances import (
    BY_HEADING,
    FINDING_HEADING,
    KEY_HEADING,
    WHY_HEADING,
    Acceptance,
    acceptance,
    finding_record_of,
)
from auditor.job.answers import (
    ANSWER_HEADING,
    RECORD_HEADING,
    SENTENCE_HEADING,
    USE_HEADING,
    RowRecord,
    TypedAnswer,
    record_of,
    typed_answer,
)
from auditor.ooxml.refs import Area
from auditor.ooxml.rowscan import Row
from auditor.ooxml.workbook_part import WorkbookPart

_NO_COLUMN = f"the heading «{ANSWER_HEADING}» of its column is gone"
_MIXED = "«{}» stood in a row that was mixed up with another question's; answer it again"
_NO_FORMULA = "its cell holds a formula; choose one of the list"
_NO_LINK = "its cell holds a link; choose one of the list"
_NO_WORDS = "its cell holds a formula; type the words"

Places = set[tuple[str, int, int]]  # sheet, its name case folded, row and column


@dataclass(frozen=True, slots=True)
class TypedCells:
    """What was read from the cells that are made for it."""

    answers: tuple[TypedAnswer, ...] = ()
    acceptances: tuple[Acceptance, ...] = ()
    sheets: Mapping[str, Area] = field(default_factory=dict)  # name, case folded -> what we wrote on
    places: frozenset[tuple[str, int, int]] = frozenset()  # of what was taken over


NOTHING_TYPED = TypedCells()


def typed_cells(book: WorkbookPart) -> TypedCells:
    """The answers and acceptances that stand in a workbook, on all its sheets that are ours."""
    answers: list[TypedAnswer] = []
    acceptances: list[Acceptance] = []
    sheets: dict[str, Area] = {}
    places: Places = set()
    for sheet in record_sheets(book, RECORD_HEADING):
        rows = list(_question_rows(sheet))
        if rows:
            answers += (_answer_of(sheet, *each) for each in rows)
            _note(sheet, rows[-1][0].number, sheets)
            places |= _places(sheet, [row for row, *_ in rows], (ANSWER_HEADING, USE_HEADING))
    for sheet in record_sheets(book, KEY_HEADING):
        found = [row for row in sheet.rows if finding_record_of(sheet.record(sheet.texts_of(row)))]
        if found:
            acceptances += filter(None, (_acceptance_of(sheet, row) for row in found))
            _note(sheet, sheet.rows[-1].number, sheets)
            places |= _places(sheet, found, (BY_HEADING, WHY_HEADING))
    return TypedCells(tuple(answers), tuple(acceptances), sheets, frozenset(places))


def typed_answers(book: WorkbookPart) -> list[TypedAnswer]:
    """The answers alone."""
    sheets = record_sheets(book, RECORD_HEADING)
    return [_answer_of(sheet, *each) for sheet in sheets for each in _question_rows(sheet)]


def _note(sheet: RecordSheet, bottom: int, sheets: dict[str, Area]) -> None:
    sheets[sheet.name.casefold()] = Area(1, 1, bottom, sheet.last_column)


def _places(sheet: RecordSheet, rows: list[Row], headings: tuple[str, str]) -> Places:
    columns = [sheet.columns[each] for each in headings if each in sheet.columns]
    return {(sheet.name.casefold(), row.number, column) for row in rows for column in columns}


def _question_rows(sheet: RecordSheet) -> Iterator[tuple[Row, dict[int, str], RowRecord, bool]]:
    """The rows with a record, and whether it belongs to the sentence beside it."""
    for row in sheet.rows:
        held = sheet.texts_of(row)
        found = record_of(sheet.record(held), sheet.at(held, SENTENCE_HEADING))
        if found is not None:
            yield row, held, *found


def _answer_of(
    sheet: RecordSheet, row: Row, held: Mapping[int, str], record: RowRecord, belongs: bool
) -> TypedAnswer:
    text, fault = sheet.at(held, ANSWER_HEADING), ""
    formula = sheet.formula(row, ANSWER_HEADING)
    if ANSWER_HEADING not in sheet.columns:
        fault = _NO_COLUMN
    elif formula:
        text, fault = f"={formula}", _NO_FORMULA
    elif text and not belongs:
        text, fault = "", _MIXED.format(text)
    found = typed_answer(record, text, sheet.at(held, USE_HEADING), fault)
    return found.unlinked(_NO_LINK) if sheet.linked(row, ANSWER_HEADING) else found


def _acceptance_of(sheet: RecordSheet, row: Row) -> Acceptance | None:
    held = sheet.texts_of(row)
    record = finding_record_of(sheet.record(held))
    assert record is not None, "the rows are those with a record"
    by, because = sheet.at(held, BY_HEADING), sheet.at(held, WHY_HEADING)
    formulas = [sheet.formula(row, heading) for heading in (BY_HEADING, WHY_HEADING)]
    by, because = (f"={f}" if f else text for f, text in zip(formulas, (by, because), strict=True))
    fault = _NO_WORDS if any(formulas) else ""
    return acceptance(record, sheet.at(held, FINDING_HEADING), by, because, fault)

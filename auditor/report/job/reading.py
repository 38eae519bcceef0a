"""How the workbook was read: its tables, and what the cells beside them say."""

from collections.abc import Mapping, Sequence

from auditor.job.field_words import word_of
from auditor.job.model import Statement, Table
from auditor.report.page.look import Cell, Column, Kind, Link, letter, link_to, quoted
from auditor.report.page.page import Page
from auditor.report.words import TABLE_KINDS, capital, plural
from auditor.results.added_sheets import AUDIT
from auditor.results.audit_result import Audit, QuestionResult

WIDTHS = (12, 18, 17, 20, 10, 9, 9, 60)  # of the audit sheet's common grid


def write_reading(page: Page, audit: Audit, row: int) -> int:
    """Writes the section; returns the row below it."""
    page.section(row, AUDIT.sign)
    read = f"{plural(audit.rows_read - audit.rows_left_out, 'row')} read"
    left_out = f"{audit.rows_left_out:,} more left out (the findings say which and why)"
    told = f", {left_out}" if audit.rows_left_out else ", none left out"
    page.text(row + 1, 0, f"{read}{told}. Lengths in {page.look.unit}. File {audit.file}")
    row += 2
    if audit.tables:
        row = _write_tables(page, audit, row) + 1
    if audit.statements:
        row = _write_statements(page, audit, row) + 1
    answered = [one for one in audit.questions if one.answered is not None]
    if answered:
        row = _write_answers(page, answered, row) + 1
    return row if audit.tables or audit.statements or answered else row + 1


def _write_tables(page: Page, audit: Audit, row: int) -> int:
    columns = columns_at(
        {
            0: ("Table", "text"),
            2: ("Sheet", "text"),
            3: ("Heading row", "count"),
            4: ("First row", "count"),
            5: ("Last row", "count"),
            6: ("Rows read", "count"),
            7: ("Columns", "wrap"),
        }
    )
    return page.table(row, columns, [_table_row(table) for table in audit.tables]).below


def _table_row(table: Table) -> tuple[Cell, ...]:
    target = f"internal:{quoted(table.sheet)}!A{table.header_row}"
    named = ", ".join(f"{word_of(field)} in {letter(column)}" for field, column in _fields_by_column(table))
    return (
        TABLE_KINDS[table.kind],
        None,
        Link(table.sheet, target),
        table.header_row,
        table.first_row,
        table.last_row,
        len(table.rows) + len(table.joined_rows),
        named,
    )


def _fields_by_column(table: Table) -> list[tuple[str, int]]:
    return sorted(table.columns.items(), key=lambda item: (item[1], item[0]))


def _write_statements(page: Page, audit: Audit, row: int) -> int:
    """What the cells beside the tables were understood to say, a line each."""
    columns = columns_at(
        {
            0: ("Said in", "text"),
            2: ("Used", "text"),
            3: ("Holds for", "text"),
            7: ("What is said beside the tables", "wrap"),
        }
    )
    return page.table(row, columns, [_statement_row(one) for one in audit.statements]).below


def _statement_row(one: Statement) -> tuple[Cell, ...]:
    also = f" (and {plural(one.more, 'more cell')})" if one.more else ""
    used = "yes" if one.used else "not used"
    said = f"{capital(one.text)}{also}"
    return link_to(one.where), None, used, one.scope, None, None, None, said


def _write_answers(page: Page, answered: Sequence[QuestionResult], row: int) -> int:
    """The answers that were used, a line each."""
    columns = columns_at({0: ("Answer used", "text"), 3: ("Asked of", "text"), 7: ("The question", "wrap")})
    rows = [_answer_row(one) for one in answered]
    return page.table(row, columns, rows).below


def _answer_row(one: QuestionResult) -> tuple[Cell, ...]:
    where = link_to(one.where) if one.where else None
    source = f" (answered in {one.typed.source})" if one.typed and one.typed.source else ""
    return one.answered, None, None, where, None, None, None, f"{capital(one.sentence)}{source}"


def columns_at(headers: Mapping[int, tuple[str, Kind]]) -> tuple[Column, ...]:
    """Columns of the common grid of which some only give room to the one before."""
    return tuple(Column(*headers[index]) if index in headers else Column("") for index in range(len(WIDTHS)))

"""What people typed in an earlier copy put where its subject stands now.

On a sheet of ours: a tick in its own column, all else right of what we wrote, in the row of its subject; what
had none, below. Beside a table of theirs: in a column of its own, for our figures stand in the others.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from auditor.annotate.celltext import cell_text
from auditor.annotate.columns import AddedColumn, AddedColumns
from auditor.annotate.remembered import NOTHING_KNOWN, Value
from auditor.annotate.typed import OurPage, Remark, column_of, shown, values_of
from auditor.job.model import Table
from auditor.job.remarks import REMARKS_HEADING, TICK_HEADING
from auditor.ooxml.refs import LAST_COLUMN, Area, letters
from auditor.ooxml.rows import SheetPart
from auditor.ooxml.texts import Texts
from auditor.ooxml.workbook_part import WorkbookPart
from auditor.ooxml.xmltree import Edit, splice

_WIDTH = 30  # of the column of remarks, in characters
_LONGEST = 32_000  # characters of the remarks of a row

Cells = dict[tuple[int, int], Value]  # row and column -> what is typed there


def give_back(
    book: WorkbookPart, pages: Mapping[str, tuple[str, Area]], remarks: Sequence[Remark]
) -> list[Remark]:
    """Put remarks on sheets of ours; gives those whose sheet or subject is not there any more.

    Parameters
    ----------
    pages : fingerprint of a sheet's first cell -> its part, and where we wrote on it
    """
    lost: list[Remark] = []
    for title in dict.fromkeys(each.title for each in remarks):
        here = [each for each in remarks if each.title == title]
        if title not in pages:
            lost += here
            continue
        name, where = pages[title]
        page = OurPage(SheetPart(book.package.read(name), name), Texts(book), [where], NOTHING_KNOWN)
        content, left = on_page(page, here)
        book.package.replace(name, content)
        lost += left
    return lost


def on_page(page: OurPage, remarks: Iterable[Remark]) -> tuple[bytes, list[Remark]]:
    """The sheet with the remarks in it, and those whose subject it does not hold any more."""
    rows, cells, lost = page.rows, Cells(), list[Remark]()
    for each in sorted(remarks, key=lambda each: not each.right):  # who has a column of their own keeps it
        row = rows.get(each.subject)
        if row is None and each.subject and each.subject[0] and not each.below:
            lost.append(each)
        elif row is None:
            cells[_free(cells, page.bottom + max(each.below, 2), min(each.column, page.last_column + 1))] = (
                each.value
            )
        elif tick := _tick_column(page, row, each):
            cells[row, tick] = each.value
        else:
            cells[_free(cells, row, page.last_column + max(each.right, 1))] = each.value
    return with_cells(page.part, cells), lost


def _free(cells: Cells, row: int, column: int) -> tuple[int, int]:
    while (row, column) in cells and column < LAST_COLUMN:
        column += 1
    return row, column


def _tick_column(page: OurPage, row: int, remark: Remark) -> int | None:
    headings = page.headings[row] if remark.heading == TICK_HEADING else {}
    return column_of(TICK_HEADING, headings)


def with_cells(sheet: SheetPart, cells: Mapping[tuple[int, int], Value]) -> bytes:
    """A sheet of ours with more cells that hold something; one that is there keeps its format."""
    by_row: dict[int, dict[int, Value]] = {}
    for (row, column), value in sorted(cells.items()):
        by_row.setdefault(row, {})[column] = value
    edits = [edit for number, values in by_row.items() for edit in _row_edits(sheet, number, values)]
    return splice(sheet.data, edits) if edits else sheet.data


def _row_edits(sheet: SheetPart, number: int, values: Mapping[int, Value]) -> Iterable[Edit]:
    row = sheet.by_number.get(number)
    if row is None or row.inner == row.end:
        written = b"".join(_cell(number, column, value, 0) for column, value in values.items())
        at = (
            row.start
            if row
            else next((r.start for r in sheet.rows if r.number > number), sheet.sheet_data.close)
        )
        yield at, row.end if row else at, b'<row r="%d">%b</row>' % (number, written)
        return
    there = sheet.cells(row)
    for column, value in values.items():
        same = next((each for each in there if each.column == column), None)
        at = next((each.start for each in there if each.column > column), row.close)
        style = same.style if same else 0
        yield (*((same.start, same.end) if same else (at, at)), _cell(number, column, value, style))


def _cell(row: int, column: int, value: Value, style: int) -> bytes:
    place = b'<c r="%b%d" s="%d"' % (letters(column).encode(), row, style)
    if isinstance(value, float):
        return b"%b><v>%r</v></c>" % (place, value)
    return b'%b t="inlineStr"><is><t xml:space="preserve">%b</t></is></c>' % (place, cell_text(value))


def with_remarks(
    added: Sequence[AddedColumns],
    remarks: Sequence[Remark],
    sheets: Mapping[str, SheetPart | None],
    texts: Texts,
) -> tuple[list[AddedColumns], list[Remark]]:
    """The columns, and one with the remarks where there are any; and those whose row is not there any more.

    Parameters
    ----------
    sheets : the parts of the sheets that the tables stand on
    """
    left, found = list(remarks), []
    for each in added:
        part = sheets.get(each.table.sheet)
        rows = _Rows(part, texts, each.table) if left and part is not None else None
        here = {id(one): row for one in left if rows and (row := rows.of(one)) is not None}
        found.append(_with_column(each, [(here[id(one)], one) for one in left if id(one) in here]))
        left = [one for one in left if id(one) not in here]
    return found, left


def _with_column(added: AddedColumns, remarks: Sequence[tuple[int, Remark]]) -> AddedColumns:
    values: dict[int, str | float | None] = {}
    for row, each in remarks:
        before, text = values.get(row), _said(each)
        told = text if before is None else f"{before}; {text}"
        values[row] = told if before is None or text not in str(before).split("; ") else before
    if not values:
        return added
    column = AddedColumn(header=REMARKS_HEADING, width=_WIDTH, kind="text", values={
        row: str(text)[:_LONGEST] for row, text in values.items()
    })  # fmt: skip
    return replace(added, columns=(*added.columns, column))


def _said(remark: Remark) -> str:
    """The text, with the heading of the column that it was typed over."""
    named = remark.heading and remark.heading != REMARKS_HEADING
    return f"{remark.heading}: {remark.text}" if named else remark.text


class _Rows:
    """The rows of a table by what they speak of."""

    def __init__(self, part: SheetPart, texts: Texts, table: Table) -> None:
        self.table = table
        wanted = {table.header_row, *table.rows}
        held = {row.number: dict(values_of(part, texts, row)) for row in part.rows if row.number in wanted}
        headings = {column: str(text).strip() for column, text in held.get(table.header_row, {}).items()}
        self.rows = {
            number: {
                headings[column]: shown(value)
                for column, value in held.get(number, {}).items()
                if column in headings
            }
            for number in table.rows
        }
        name = table.columns.get("id") or table.columns.get("tag") or 0
        self.name = headings.get(name, "")  # the heading over what the rows are named by

    def of(self, remark: Remark) -> int | None:
        """The row with the name that the remark's row had; of several the one that is most like it."""
        if remark.sheet.casefold() != self.table.sheet.casefold():
            return None
        name = remark.held.get(self.name)
        named = [number for number, held in self.rows.items() if name and held.get(self.name) == name]
        like = named or [number for number, held in self.rows.items() if held and held == remark.held]
        return max(like, key=lambda number: self._likeness(number, remark), default=None)

    def _likeness(self, number: int, remark: Remark) -> tuple[int, int]:
        return len(self.rows[number].items() & remark.held.items()), -abs(number - remark.row)

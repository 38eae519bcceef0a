"""Which layout fits a workbook, and the tables that it states."""

import fnmatch
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import PurePath

from auditor.errors import LayoutError
from auditor.intake.blocks.tables import TableBlock
from auditor.intake.formats.cells import Book, Sheet
from auditor.intake.grammar.values import is_blank, shown, words
from auditor.intake.layout import Layout, LayoutColumn, LayoutTable, letters, number
from auditor.intake.records.length_unit import LENGTH_FIELDS, cell_text, stated_unit
from auditor.intake.roles.found import FoundTable, overlap
from auditor.intake.roles.kinds import BY_LAYOUT, ColumnUse, Understood
from auditor.intake.statements.facts import Facts
from auditor.intake.words import candidates, suggestion
from auditor.job.field_words import word_of

SAMPLES = 3


def layout_of(
    book: Book,
    tables: Sequence[FoundTable],
    file: str,
    facts: Facts,
    not_read: Sequence[LayoutTable] = (),
) -> Layout:
    """The layout that says what was understood of a workbook.

    Parameters
    ----------
    not_read : tables of kind None, for a person to say what they are
    """
    used = {table.sheet.name for table in tables}
    return Layout(
        file=file,
        tables=(*(_described(table, facts) for table in tables), *not_read),
        sheets_without_table=tuple(sheet.name for sheet in book.sheets if sheet.name not in used),
    )


def _described(table: FoundTable, facts: Facts) -> LayoutTable:
    uses = {use.column: use for use in table.understood.columns.values()}
    columns = []
    for column in sorted(table.headers.keys() | uses.keys()):
        use, text = uses.get(column), table.headers.get(column, "")
        columns.append(
            LayoutColumn(
                column=letters(column),
                heading=text,
                field=use.field if use else None,
                unit=use.unit if use else None,
                reason=_why(use, table, facts) if use else _why_not(text, table),
                sample=tuple(samples_of(table, column)),
            )
        )
    return LayoutTable(
        sheet=table.sheet.name,
        kind=table.kind,
        heading_rows=table.header_rows,
        last_row=None,
        columns=tuple(columns),
        first_row=None if table.header_rows else table.first_row,
    )


def _why(use: ColumnUse, table: FoundTable, facts: Facts) -> str:
    said = stated_unit(table, facts)
    if said is None or use.unit is not None or use.field not in LENGTH_FIELDS:
        return use.reason
    return f"{use.reason}; {said.value} where no unit stands, as {cell_text(said.where)} says"


def _why_not(text: str, table: FoundTable) -> str:
    if "chain" not in table.columns and any(name == "chain" for name, _ in candidates(table.kind, text)):
        return "not read: no chain of ends stands in it"
    near = suggestion(text, table.kind)
    return (
        f"not read: no known heading; nearest is {word_of(near)!r}" if near else "not read: no known heading"
    )


def samples_of(table: FoundTable | TableBlock, column: int) -> Iterator[str]:
    """What stands in the first filled cells of a column."""
    found = 0
    for row in range(table.first_row, min(table.last_row, table.first_row + 50) + 1):
        value = table.sheet.value(row, column)
        if not is_blank(value) and found < SAMPLES:
            found += 1
            yield shown(value)[:60]


def pick_layout(layouts: Sequence[Layout], file: str, book: Book | None) -> Layout | None:
    """The layout that fits a workbook: made for this file's name; else a pattern that the name fits,
    the first of the list; else the first whose headings all stand where it says.

    Parameters
    ----------
    layouts : the nearest folder's first
    file : the workbook's name
    book : its cells; None: choose by names alone
    """
    base = PurePath(file).name
    exact = [layout for layout in layouts if layout.file == base]
    pattern = [layout for layout in layouts if "*" in layout.file and fnmatch.fnmatchcase(base, layout.file)]
    same = [layout for layout in layouts if _fits(layout, book)] if book is not None else []
    return next(iter(exact + pattern + same), None)


def _fits(layout: Layout, book: Book) -> bool:
    sheets = {sheet.name: sheet for sheet in book.sheets}
    return bool(layout.tables) and all(
        table.heading_rows and table.sheet in sheets and _place(table, sheets[table.sheet]) == 0
        for table in layout.tables
    )


def stated_tables(layout: Layout, book: Book, file: str) -> dict[str, list[FoundTable]]:
    """The tables that a layout states, by sheet; sheets that it does not name are understood as found.

    Raises
    ------
    LayoutError : a table's headings stand nowhere on its sheet
    """
    stated: dict[str, list[LayoutTable]] = {name: [] for name in layout.sheets_without_table}
    for table in layout.tables:
        stated.setdefault(table.sheet, []).append(table)
    own = layout.file == file
    for table in layout.tables:
        if not (own or table.heading_rows):  # nothing shows that the other workbook's table is the same
            stated.pop(table.sheet, None)
    missing = [table.sheet for table in layout.tables if table.sheet not in {s.name for s in book.sheets}]
    if missing and own:
        raise LayoutError(
            f"{file}: the layout names the sheet {missing[0]!r}, the workbook has none of this name; its sheets are "
            f"{', '.join(repr(sheet.name) for sheet in book.sheets)}"
        )
    return {
        sheet.name: _stated_tables(stated[sheet.name], sheet, file, own=own)
        for sheet in book.sheets
        if sheet.name in stated
    }


def _stated_tables(tables: Sequence[LayoutTable], sheet: Sheet, file: str, *, own: bool) -> list[FoundTable]:
    found = []
    for table in tables:
        if table.kind is None:
            continue
        top = _top(table)
        moved = _place(table, sheet)
        if moved is None:
            first = next((c for c in table.columns if c.heading), None)
            raise LayoutError(
                f"{file}: the layout says that {first.heading if first else ''!r} heads column "
                f"{first.column if first else ''} of {sheet.name!r}; it stands nowhere there: make the layout again"
            )
        if top + moved > len(sheet.rows):
            what = "headings stand in" if table.heading_rows else "the table starts at"
            raise LayoutError(
                f"{file}: the layout says that {what} row {top} of {sheet.name!r}; it ends at row {len(sheet.rows)}: correct "
                f"{'heading_rows' if table.heading_rows else 'first_row'}"
            )
        if own:
            _refuse_empty_columns(table, sheet, file)
            if moved:
                said = f"the layout says that headings stand in row {top}; they are read in row {top + moved}, where they are found"
                sheet.notes = (*sheet.notes, said)
        found.append(_stated(table, sheet, moved))
    return [_ended(table, found) for table in found]


def _refuse_empty_columns(table: LayoutTable, sheet: Sheet, file: str) -> None:
    """A layout of one workbook reads no column in which nothing stands."""
    width = max(
        (at for cells in sheet.rows for at, value in enumerate(cells, 1) if not is_blank(value)), default=0
    )
    for column in table.columns:
        if column.field is not None and number(column.column) > width:
            raise LayoutError(
                f"{file}: the layout reads the {word_of(column.field)} from column {column.column} of {sheet.name!r}; its last "
                f"column is {letters(width) or 'none'}: correct the column"
            )


def _ended(table: FoundTable, all_of_sheet: Sequence[FoundTable]) -> FoundTable:
    """The table down to the next one below it; one beside it ends nothing."""
    below = [
        (other.header_rows or (other.first_row,))[0] - 1
        for other in all_of_sheet
        if other is not table and other.first_row > table.first_row and overlap(table, other)
    ]
    return replace(table, last_row=min([table.last_row, *below]))


def _top(table: LayoutTable) -> int:
    """The lowest row of the headings, or the first row of a table without them."""
    return table.heading_rows[-1] if table.heading_rows else table.first_row or 1


def _place(table: LayoutTable, sheet: Sheet) -> int | None:
    """How many rows lower the headings stand than the layout says; None: nowhere."""
    expected = {number(c.column): c.heading for c in table.columns if c.heading}
    if not expected or not table.heading_rows:
        return 0
    row = table.heading_rows[-1]
    offsets: list[int] = [0, *range(1 - row, min(len(sheet.rows), 200) - row + 1)]
    for moved in offsets:
        at = row + moved
        here = [sheet.value(r + moved, column) for r in table.heading_rows for column in expected]
        if any(not is_blank(value) for value in here) and all(
            _ends_with(text, words(sheet.value(at, column))) for column, text in expected.items()
        ):
            return moved
    return None


def _ends_with(heading: str, lowest: str) -> bool:
    """A heading over two rows is known by its lowest row; a blank there by the row above."""
    return not lowest or heading == lowest or heading.endswith(lowest)


def _stated(table: LayoutTable, sheet: Sheet, moved: int) -> FoundTable:
    assert table.kind is not None
    uses = {
        c.field: ColumnUse(c.field, number(c.column), c.heading, c.unit, None, BY_LAYOUT)
        for c in table.columns
        if c.field is not None
    }
    columns = [number(c.column) for c in table.columns]
    rows = tuple(row + moved for row in table.heading_rows)
    return FoundTable(
        sheet=sheet,
        understood=Understood(table.kind, uses, ()),
        header_rows=rows,
        headers={number(c.column): c.heading for c in table.columns if c.heading},
        first_row=rows[-1] + 1 if rows else _top(table),
        last_row=len(sheet.rows) if table.last_row is None else min(table.last_row + moved, len(sheet.rows)),
        first_column=min(columns),
        last_column=max(columns),
    )

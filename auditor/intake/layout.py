"""How each sheet was understood, as a small JSON that a person can correct."""

import fnmatch
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import PurePath
from typing import Any

from auditor.errors import LayoutError
from auditor.intake.cells import Book, Sheet
from auditor.intake.fields import UNITS_OF_FIELD, ColumnUse, Understood, suggestion, vocabulary
from auditor.intake.tables import FoundTable, find_tables
from auditor.intake.values import is_blank, shown, words
from auditor.model import CellRef, TableKind
from auditor.resources import shipped

SAMPLES = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutColumn:
    """One column of a table; `field` None: it is not read."""

    column: str  # letters, as a spreadsheet shows them
    heading: str
    field: str | None
    unit: str | None = None
    reason: str = ""
    sample: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutTable:
    """One table of a sheet; `kind` None: it is not read."""

    sheet: str
    kind: TableKind | None
    heading_rows: tuple[int, ...]
    last_row: int | None  # None: down to the next table or the sheet's end
    columns: tuple[LayoutColumn, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """How a workbook is to be read: sheet by sheet, column by column."""

    file: str  # its name, or a pattern such as `*.xlsx` for all of a folder
    tables: tuple[LayoutTable, ...]
    sheets_without_table: tuple[str, ...] = field(default=())


def layout_of(book: Book, tables: Sequence[FoundTable], file: str) -> Layout:
    """The layout that says what was understood of a workbook."""
    used = {table.sheet.name for table in tables}
    return Layout(
        file=file,
        tables=tuple(_described(table) for table in tables),
        sheets_without_table=tuple(sheet.name for sheet in book.sheets if sheet.name not in used),
    )


def _described(table: FoundTable) -> LayoutTable:
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
                reason=use.reason if use else _why_not(text, table.kind),
                sample=tuple(_sample(table, column)),
            )
        )
    return LayoutTable(
        sheet=table.sheet.name,
        kind=table.kind,
        heading_rows=table.header_rows,
        last_row=None,
        columns=tuple(columns),
    )


def _why_not(text: str, kind: TableKind) -> str:
    near = suggestion(text, kind)
    return f"not read: no known heading; nearest is {near}" if near else "not read: no known heading"


def _sample(table: FoundTable, column: int) -> Iterator[str]:
    found = 0
    for row in range(table.first_row, min(table.last_row, table.first_row + 50) + 1):
        value = table.sheet.value(row, column)
        if not is_blank(value) and found < SAMPLES:
            found += 1
            yield shown(value)[:60]


def letters(column: int) -> str:
    return CellRef("", 1, column).a1[:-1]


def number(column: str) -> int:
    value = 0
    for letter in column:
        value = value * 26 + ord(letter) - 64
    return value


def write_layout(layout: Layout) -> str:
    """The layout as JSON text, valid under `schemas/layout.schema.json`."""
    tables = [
        {
            "sheet": table.sheet,
            "kind": table.kind,
            "heading_rows": list(table.heading_rows),
            "last_row": table.last_row,
            "columns": [
                {
                    "column": column.column,
                    "heading": column.heading,
                    "field": column.field,
                    "unit": column.unit,
                    "reason": column.reason,
                    "sample": list(column.sample),
                }
                for column in table.columns
            ],
        }
        for table in layout.tables
    ]
    record = {
        "layout": 1,
        "file": layout.file,
        "tables": tables,
        "sheets_without_table": list(layout.sheets_without_table),
    }
    return json.dumps(record, ensure_ascii=False, indent=2) + "\n"


def read_layout(text: str, name: str) -> Layout:
    """A layout from its JSON text.

    Parameters
    ----------
    name : the layout file's name, for messages

    Raises
    ------
    LayoutError : names the file, the field and what would be right
    """
    import jsonschema

    try:
        record = json.loads(text)
    except ValueError as cause:
        raise LayoutError(f"{name}: line {getattr(cause, 'lineno', 1)} is no JSON; {cause}") from cause
    problem = next(iter(sorted(_validator().iter_errors(record), key=lambda e: list(map(str, e.path)))), None)
    if problem is not None:
        assert isinstance(problem, jsonschema.ValidationError)
        place = "/".join(map(str, problem.path)) or "the file"
        raise LayoutError(f"{name}: {place}: {problem.message}")
    return _from_record(record, name)


@cache
def _validator() -> Any:
    import jsonschema
    from referencing import Registry

    schema = json.loads(shipped("schemas", "layout.schema.json").read_text(encoding="utf-8"))
    return jsonschema.Draft202012Validator(schema, registry=Registry())


def _from_record(record: Mapping[str, Any], name: str) -> Layout:
    tables = []
    for table in record["tables"]:
        columns = tuple(
            LayoutColumn(
                column=c["column"],
                heading=c.get("heading", ""),
                field=c.get("field"),
                unit=c.get("unit"),
                reason=c.get("reason", ""),
                sample=tuple(c.get("sample", ())),
            )
            for c in table["columns"]
        )
        _check_fields(table, columns, name)
        tables.append(
            LayoutTable(
                sheet=table["sheet"],
                kind=TableKind(table["kind"]) if table.get("kind") else None,
                heading_rows=tuple(table["heading_rows"]),
                last_row=table.get("last_row"),
                columns=columns,
            )
        )
    return Layout(
        file=record["file"],
        tables=tuple(tables),
        sheets_without_table=tuple(record.get("sheets_without_table", ())),
    )


def _check_fields(table: Mapping[str, Any], columns: Sequence[LayoutColumn], name: str) -> None:
    if not table.get("kind"):
        return
    known = {field for fields in vocabulary()[table["kind"]].values() for field, _ in fields}
    seen: set[str] = set()
    for column in columns:
        place = f"{name}: sheet {table['sheet']!r}, column {column.column}"
        if column.field is not None and column.field not in known:
            raise LayoutError(
                f"{place}: no field {column.field!r} in a {table['kind']} table; known are {', '.join(sorted(known))}"
            )
        if column.field in seen:
            raise LayoutError(f"{place}: a second column for {column.field!r}; one column to one field")
        if column.field is not None:
            seen.add(column.field)
            units = UNITS_OF_FIELD.get(column.field, frozenset())
            if column.unit is not None and column.unit not in units:
                raise LayoutError(
                    f"{place}: no unit {column.unit!r} for {column.field!r}; known are {', '.join(sorted(units)) or 'none'}"
                )


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
        table.sheet in sheets and _place(table, sheets[table.sheet]) == 0 for table in layout.tables
    )


def apply_layout(layout: Layout, book: Book, file: str) -> list[FoundTable]:
    """The tables that a layout states; sheets that it does not name are understood as found.

    Raises
    ------
    LayoutError : a table's headings stand nowhere on its sheet
    """
    stated: dict[str, list[LayoutTable]] = {name: [] for name in layout.sheets_without_table}
    for table in layout.tables:
        stated.setdefault(table.sheet, []).append(table)
    missing = [table.sheet for table in layout.tables if table.sheet not in {s.name for s in book.sheets}]
    if missing and layout.file == file:
        raise LayoutError(
            f"{file}: the layout names the sheet {missing[0]!r}, the workbook has none of this name"
        )
    found: list[FoundTable] = []
    for sheet in book.sheets:
        if sheet.name in stated:
            found += _stated_tables(stated[sheet.name], sheet, file)
        else:
            found += find_tables(sheet)
    return found


def _stated_tables(tables: Sequence[LayoutTable], sheet: Sheet, file: str) -> list[FoundTable]:
    found = []
    for table in tables:
        if table.kind is None:
            continue
        moved = _place(table, sheet)
        if moved is None:
            first = next((c for c in table.columns if c.heading), None)
            raise LayoutError(
                f"{file}: the layout says that {first.heading if first else ''!r} heads column "
                f"{first.column if first else ''} of {sheet.name!r}; it stands nowhere there: make the layout again"
            )
        found.append(_stated(table, sheet, moved))
    starts = sorted(table.header_rows[0] for table in found)
    return [_ended(table, starts) for table in found]


def _ended(table: FoundTable, starts: Sequence[int]) -> FoundTable:
    below = [row for row in starts if row > table.header_rows[-1]]
    return replace(table, last_row=min([table.last_row, *(row - 1 for row in below)]))


def _place(table: LayoutTable, sheet: Sheet) -> int | None:
    """How many rows lower the headings stand than the layout says; None: nowhere."""
    expected = {number(c.column): c.heading for c in table.columns if c.heading}
    row: int = table.heading_rows[-1]
    if not expected:
        return 0
    offsets: list[int] = [0, *range(1 - row, min(len(sheet.rows), 200) - row + 1)]
    for moved in offsets:
        at = row + moved
        if all(_ends_with(text, words(sheet.value(at, column))) for column, text in expected.items()):
            return moved
    return None


def _ends_with(heading: str, lowest: str) -> bool:
    """A heading over two rows is known by its lowest row; a blank there by the row above."""
    return not lowest or heading == lowest or heading.endswith(lowest)


def _stated(table: LayoutTable, sheet: Sheet, moved: int) -> FoundTable:
    assert table.kind is not None
    uses = {
        c.field: ColumnUse(c.field, number(c.column), c.heading, c.unit, None, "the layout says so")
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
        first_row=rows[-1] + 1,
        last_row=len(sheet.rows) if table.last_row is None else min(table.last_row + moved, len(sheet.rows)),
        first_column=min(columns),
        last_column=max(columns),
    )

"""How each sheet was understood, as a small JSON that a person can correct."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from auditor.errors import LayoutError, json_fault_text
from auditor.intake.grammar.units import SPELLINGS, UNIT_OF
from auditor.intake.layout_schema import layout_fault_text
from auditor.intake.words import UNITS_OF_FIELD, candidates, vocabulary
from auditor.job.field_words import FIELD_OF_WORD, word_of
from auditor.job.model import CellRef, TableKind


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
    heading_rows: tuple[int, ...]  # none: the table has no headings
    last_row: int | None  # None: down to the next table or the sheet's end
    columns: tuple[LayoutColumn, ...]
    first_row: int | None = None  # of a table without headings; None: below the headings


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """How a workbook is to be read: sheet by sheet, column by column."""

    file: str  # its name, or a pattern such as `*.xlsx` for all of a folder
    tables: tuple[LayoutTable, ...]
    sheets_without_table: tuple[str, ...] = field(default=())


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
            **({} if table.first_row is None else {"first_row": table.first_row}),
            "last_row": table.last_row,
            "columns": [
                {
                    "column": column.column,
                    "heading": column.heading,
                    "field": word_of(column.field) if column.field else None,
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
    try:
        record = json.loads(text)
    except (ValueError, RecursionError) as cause:
        raise LayoutError(
            f"{name}: {json_fault_text(cause)}; correct it, or make it anew with «auditor layout»"
        ) from None
    said = layout_fault_text(record)
    if said:
        raise LayoutError(f"{name}: {said}")
    return _from_record(record, name)


def _from_record(record: Mapping[str, Any], name: str) -> Layout:
    tables = []
    for table in record["tables"]:
        columns = tuple(
            LayoutColumn(
                column=c["column"],
                heading=c.get("heading", ""),
                field=_field(table.get("kind"), c.get("field")),
                unit=_unit(c.get("unit")),
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
                first_row=table.get("first_row"),
            )
        )
    return Layout(
        file=record["file"],
        tables=tuple(tables),
        sheets_without_table=tuple(record.get("sheets_without_table", ())),
    )


def _field(kind: str | None, name: str | None) -> str | None:
    """The field that a person's word names: its own name, the word of the screen, or a known heading."""
    if name is None or not kind:
        return FIELD_OF_WORD.get(name, name) if name else name
    if name in (known := _known(kind)):
        return name
    by_word = {word_of(field): field for field in known}
    by_heading = {field for field, _ in candidates(kind, name)}
    return by_word.get(name.strip().casefold()) or (by_heading.pop() if len(by_heading) == 1 else name)


def _unit(text: str | None) -> str | None:
    return UNIT_OF.get(text.strip().casefold(), text) if text is not None and text not in SPELLINGS else text


def _known(kind: str) -> set[str]:
    return {field for fields in vocabulary()[kind].values() for field, _ in fields}


def _names(fields: Iterable[str]) -> str:
    return ", ".join(sorted(map(word_of, fields)))


def _check_fields(table: Mapping[str, Any], columns: Sequence[LayoutColumn], name: str) -> None:
    if not table.get("kind"):
        return
    known = _known(table["kind"])
    seen: set[str] = set()
    for column in columns:
        place = f"{name}: sheet {table['sheet']!r}, column {column.column}"
        if column.field is not None and column.field not in known:
            raise LayoutError(
                f"{place}: no field {column.field!r} in a {table['kind']} table; known are {_names(known)}"
            )
        if column.field in seen:
            raise LayoutError(
                f"{place}: a second column for {word_of(column.field)!r}; one column to one field"
            )
        if column.field is not None:
            seen.add(column.field)
            units = UNITS_OF_FIELD.get(column.field, frozenset())
            if column.unit is not None and column.unit not in units:
                raise LayoutError(
                    f"{place}: no unit {column.unit!r} for {word_of(column.field)!r}; known are {', '.join(sorted(units)) or 'none'}"
                )

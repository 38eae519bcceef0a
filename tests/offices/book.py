"""A workbook before it is written: tables of columns and rows on sheets, and where each came to stand."""

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Cell:
    """A value that is more than its text."""

    value: object
    struck: str = ""  # older text before the value, struck out
    number_format: str = ""
    formula: str = ""


@dataclass(slots=True, kw_only=True)
class Column:
    role: str
    heading: str = ""
    bare: bool = False  # without a heading, whatever the others have
    word: str = ""  # the heading's word, if it must be this one
    group: str = ""  # stands above the headings, over all neighbours of the same group
    sub: str = ""  # stands below the heading: a unit
    unit: str = ""  # what the column's bare numbers are in; "length" or "power" until they are written
    shown_unit: str = ""  # the unit as it stands in the heading
    about: str = ""  # of what port or kind a repeated role speaks


@dataclass(slots=True, kw_only=True)
class Row:
    values: list[object]
    kind: str = "data"  # or "section", "total", "void", "trade", "heading", "blank"
    struck: bool = False
    hidden: bool = False
    group: str = ""  # what rows are grouped by: a floor or a panel


@dataclass(slots=True, kw_only=True)
class Table:
    kind: str
    columns: list[Column]
    rows: list[Row] = field(default_factory=list)
    above: list[list[object]] = field(default_factory=list)
    below: list[list[object]] = field(default_factory=list)
    headed: bool = True
    beside: bool = False  # right of the table before it, not below
    context: dict[str, str] = field(default_factory=dict)  # what the surroundings say of all rows
    merged: list[tuple[int, int, int]] = field(default_factory=list)  # first row, last row, column
    void: bool = False

    def at(self, role: str) -> int:
        """The place of a role's first column."""
        return next(place for place, column in enumerate(self.columns) if column.role == role)

    def has(self, *roles: str) -> bool:
        mine = {column.role for column in self.columns}
        return all(role in mine for role in roles)

    def insert(self, place: int, column: Column, values: list[object]) -> None:
        """A column more; values stand for the data rows in order, other rows get nothing."""
        self.columns.insert(place, column)
        left = iter(values)
        for row in self.rows:
            row.values.insert(place, next(left) if row.kind == "data" else None)

    def data(self) -> list[Row]:
        return [row for row in self.rows if row.kind == "data"]

    def values(self, role: str) -> list[object]:
        place = self.at(role)
        return [row.values[place] for row in self.data()]

    def plain_row(self, kind: str, values: dict[str, object], struck: bool = False) -> Row:
        """A row of another kind with values by role."""
        return Row(values=[values.get(column.role) for column in self.columns], kind=kind, struck=struck)


@dataclass(slots=True, kw_only=True)
class Sheet:
    name: str
    tables: list[Table] = field(default_factory=list)
    lines: list[list[object]] = field(default_factory=list)  # cells without a table
    hidden: bool = False
    of_job: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """Where a table stands and what each of its columns is; rows and columns count from 1."""

    sheet: str
    kind: str
    heading_row: int | None
    first_row: int
    last_row: int
    roles: dict[int, str]
    units: dict[int, str]
    about: dict[int, str]  # of what port or kind a repeated role speaks
    context: dict[str, str]
    void: bool


@dataclass(slots=True)
class Page:
    """A sheet laid out: cells by (row, column) from 0."""

    name: str
    hidden: bool
    hidden_rows: set[int] = field(default_factory=set)
    cells: dict[tuple[int, int], object] = field(default_factory=dict)
    bold: set[int] = field(default_factory=set)
    struck: set[int] = field(default_factory=set)
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)
    placements: list[Placement] = field(default_factory=list)

    def plain(self) -> bool:
        """Whether text can hold all of it."""
        special = any(isinstance(value, Cell) for value in self.cells.values())
        return not (special or self.struck or self.merged or self.hidden or self.hidden_rows)

    def put(self, row: int, column: int, values: list[object]) -> None:
        for place, value in enumerate(values):
            if value is not None and value != "":
                self.cells[row, column + place] = value


def lay_out(sheet: Sheet) -> Page:
    """The cells of a sheet; tables stand below each other, or beside where they say so."""
    page = Page(sheet.name, sheet.hidden)
    row = _lines(page, sheet.lines, 0, 0)
    top, left, width = row, 0, 0
    for number, table in enumerate(sheet.tables):
        if table.beside:
            left, row = left + width + 1, top
        else:
            left, top = 0, row + (number > 0)
            row = top
        bottom = _table(page, table, row, left)
        row = max(row, bottom)
        width = len(table.columns)
    return page


def _lines(page: Page, lines: list[list[object]], row: int, left: int) -> int:
    for line in lines:
        page.put(row, left, line)
        row += 1
    return row


def _table(page: Page, table: Table, row: int, left: int) -> int:
    """The row below the table."""
    row = _lines(page, table.above, row, left)
    row, heading_row = _headings(page, table, row, left)
    first = row
    for line in table.rows:
        page.put(row, left, line.values)
        if line.struck:
            page.struck.add(row)
        if line.hidden:
            page.hidden_rows.add(row)
        row += 1
    page.merged += [(first + a, left + c, first + b, left + c) for a, b, c in table.merged]
    page.placements.append(_placement(page.name, table, heading_row, first, row - 1, left))
    return _lines(page, table.below, row, left)


def _headings(page: Page, table: Table, row: int, left: int) -> tuple[int, int | None]:
    """(first row below, the headings' own row). A table without headings keeps what stands above them."""
    own = None
    for part in ("group", "heading", "sub"):
        words = [getattr(column, part) for column in table.columns]
        if (part != "heading" and not any(words)) or (part != "group" and not table.headed):
            continue
        if part == "group":
            words = [
                word if place == 0 or words[place - 1] != word else "" for place, word in enumerate(words)
            ]
            _merge_groups(page, table, row, left)
        if part == "heading":
            own = row
        page.put(row, left, list(words))
        page.bold.add(row)
        row += 1
    return row, own


def _merge_groups(page: Page, table: Table, row: int, left: int) -> None:
    place = 0
    while place < len(table.columns):
        group, last = table.columns[place].group, place
        while group and last + 1 < len(table.columns) and table.columns[last + 1].group == group:
            last += 1
        if last > place:
            page.merged.append((row, left + place, row, left + last))
        place = last + 1


def _placement(
    sheet: str, table: Table, heading_row: int | None, first: int, last: int, left: int
) -> Placement:
    columns = list(enumerate(table.columns, left + 1))
    return Placement(
        sheet=sheet,
        kind=table.kind,
        heading_row=None if heading_row is None else heading_row + 1,
        first_row=first + 1,
        last_row=last + 1,
        roles={place: column.role for place, column in columns},
        units={place: column.unit for place, column in columns if column.unit},
        about={place: column.about for place, column in columns if column.about},
        context=dict(table.context),
        void=table.void,
    )

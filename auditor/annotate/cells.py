"""Our cells in the rows of a sheet: built as bytes and spliced behind the estimator's own."""

import math
import re
from collections import Counter
from collections.abc import Sequence

from auditor.annotate.celltext import cell_text
from auditor.annotate.columns import AddedColumn, Placed
from auditor.job.model import Table
from auditor.ooxml.refs import letters
from auditor.ooxml.rows import SheetPart
from auditor.ooxml.rowscan import Row
from auditor.ooxml.styles import Styles
from auditor.ooxml.xmltree import Edit

_SPANS = re.compile(rb'\sspans="\d+:(\d+)"')
_HEIGHT = re.compile(rb'\sht="(\d+\.?\d*)"')
_OWN_HEIGHT = re.compile(rb'\scustomHeight="(?:1|true)"')
TALLEST = 409.0  # points; the most that the common programs take
_FILL = 1.1  # letters of a running text to the width of one figure, rough; project convention
_MOST_BASES = 8  # different formats of the table that ours are cloned from
_SAMPLE = 4  # rows that are looked at for what a table's text looks like
_FORMULA_LIKE = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
_ALIGNMENT = {
    "verdict": {"horizontal": "center"},
    "text": {"horizontal": "left", "wrapText": "1", "indent": "1"},  # clear of a figure at its left
    "number": {"horizontal": "right"},
}


class _Writer:
    """Builds the cells of one table's columns."""

    def __init__(self, sheet: SheetPart, styles: Styles, placed: Placed) -> None:
        self.sheet, self.styles, self.placed = sheet, styles, placed
        self.table, self.columns = placed.added.table, placed.added.columns
        self.letters = [letters(placed.first + offset).encode() for offset in range(len(self.columns))]
        rows = set(self.table.rows).union(*(column.values for column in self.columns))
        self.body = {row for row in rows if self.table.header_row < row <= self.table.last_row}
        self.linked = set().union(*(column.links for column in self.columns))
        self.model = _model_column(sheet, styles, self.table)
        self.beside = self._formats_beside()
        common = Counter(self.beside.values()).most_common(_MOST_BASES)
        self.bases = [style for style, _ in common] or [0]
        self.opening = b"<" + sheet.prefix + b"c r="
        self.figure = b"><%bv>%%a</%bv></%bc>" % (sheet.prefix, sheet.prefix, sheet.prefix)
        self.contents: dict[str | float | None, bytes] = {None: b"/>"}
        self.templates = {base: self._template(base) for base in self.bases}
        self.ready = self._ready()
        self.last = placed.last
        self.lines = self._lines()

    def row(self, row: Row | None, number: int) -> bytes:
        """All cells of one row; nothing in a row that is not of the table."""
        ready = self.ready.get(number)
        return b"".join(self.cells(row, number)) if ready is None else ready

    def _ready(self) -> dict[int, bytes]:
        """The cells of all rows in which nothing is a link or looks like a formula."""
        contents, figure, usual = self.contents, self.figure, self.templates[self.bases[0]]
        value_at = [column.values.get for column in self.columns]
        ready = {}
        for number in self.body - self.linked:
            values: list[int | bytes] = []
            for value in [each(number) for each in value_at]:
                if isinstance(value, float):
                    content = figure % (value + 0.0) if -math.inf < value < math.inf else b"/>"
                elif (content := contents.get(value, b"")) == b"":
                    if isinstance(value, str) and value.startswith(_FORMULA_LIKE):
                        break
                    content = self._content(value)
                values += (number, content)
            else:
                template = self.templates.get(self.beside.get(number, -1), usual)
                ready[number] = template % tuple(values)
        return ready

    def _template(self, base: int) -> bytes:
        """A row's cells with two gaps each: the row's number and what the cell holds."""
        return b"".join(
            b'%b"%b%%d" s="%d"%%b' % (self.opening, column_letters, self._style(base, column))
            for column_letters, column in zip(self.letters, self.columns, strict=True)
        )

    def cells(self, row: Row | None, number: int) -> list[bytes]:
        """The cells of one row, one by one, in order."""
        if number == self.table.header_row:
            style = self._header_style(row)
            return [self._cell(at, number, style, column.header) for at, column in enumerate(self.columns)]
        if number not in self.body:
            return []
        base, found = self._base(number), []
        for at, column in enumerate(self.columns):
            value = column.values.get(number)
            formula_like = isinstance(value, str) and value.startswith(_FORMULA_LIKE)
            style = self._style(base, column, underlined=number in column.links, quoted=formula_like)
            found.append(self._cell(at, number, style, value))
        return found

    def _cell(self, at: int, number: int, style: int, value: str | float | None) -> bytes:
        content = self.contents.get(value) or self._content(value)
        return b'%b"%b%d" s="%d"%b' % (self.opening, self.letters[at], number, style, content)

    def _content(self, value: str | float | None) -> bytes:
        """What follows a cell's place and style; texts are kept, they come again and again."""
        p = self.sheet.prefix
        if isinstance(value, str):
            space = b' xml:space="preserve"' if value != value.strip() or "\n" in value else b""
            content = b' t="inlineStr"><%bis><%bt%b>%b</%bt></%bis></%bc>' % (
                p,
                p,
                space,
                cell_text(value),
                p,
                p,
                p,
            )
            if not value.startswith(_FORMULA_LIKE):  # these have a format of their own
                self.contents[value] = content
            return content
        return self._figure(value)

    def _figure(self, value: float | None) -> bytes:
        return b"/>" if value is None or not math.isfinite(value) else self.figure % (float(value) + 0.0)

    def _formats_beside(self) -> dict[int, int]:
        """The format of the model column in each row of the body."""
        by_number, found = self.sheet.by_number, {}
        for number in self.body & by_number.keys():
            style = self.sheet.style_at(by_number[number], self.model)
            if style is not None:
                found[number] = style
        return found

    def _lines(self) -> dict[int, float]:
        """How many lines the longest text of a row takes, where it is more than one."""
        found: dict[int, float] = {}
        if self.placed.heading_lines > 1:
            found[self.table.header_row] = self.placed.heading_lines
        for column in self.columns:
            for number, value in column.values.items() if column.kind == "text" else ():
                if isinstance(value, str) and len(value) > column.width * _FILL:
                    found[number] = max(found.get(number, 1), lines_of(value, column.width))
        return found

    def _base(self, number: int) -> int:
        """The format to clone: that of the model column in this row, or its most frequent one."""
        style = self.beside.get(number, -1)
        return style if style in self.bases else self.bases[0]

    def _header_style(self, row: Row | None) -> int:
        style = _heading_style(self.sheet, self.table, row, self.model) if row else 0
        return self.styles.clone(style, alignment={"wrapText": "1"}, aligned_as_base=True)

    def _style(
        self, base: int, column: AddedColumn, *, underlined: bool = False, quoted: bool = False
    ) -> int:
        return self.styles.clone(
            base,
            number_format=column.number_format if column.kind == "number" else None,
            alignment=_ALIGNMENT[column.kind],
            underlined=underlined,
            text=quoted,
        )


def lines_of(text: str, width: float) -> int:
    """How many lines a running text takes in a column."""
    return math.ceil(len(text) / (max(width, 1) * _FILL))


def cell_edits(sheet: SheetPart, styles: Styles, group: Sequence[Placed]) -> list[Edit]:
    """The edits that put the columns' cells into the rows of a sheet."""
    writers = [_Writer(sheet, styles, placed) for placed in group]
    wanted = {placed.added.table.header_row for placed in group}.union(*(writer.body for writer in writers))
    tall = set().union(*(writer.lines for writer in writers))
    edits: list[Edit] = []
    for row in sheet.rows:
        number = row.number
        if number in wanted:
            wanted.discard(number)
            there = _of_row(writers, number)
            if number in tall:
                edits += _taller(sheet, row, max(each.lines.get(number, 1) for each in there))
            edits += _row_edits(sheet, row, there)
    return edits + _new_rows(sheet, writers, sorted(wanted))


def _of_row(writers: Sequence[_Writer], number: int) -> Sequence[_Writer]:
    """The writers of the tables that a row belongs to, from left to right."""
    if len(writers) == 1:
        return writers
    here = [each for each in writers if each.table.header_row <= number <= each.table.last_row]
    return sorted(here, key=lambda each: each.placed.first)


def _row_edits(sheet: SheetPart, row: Row, writers: Sequence[_Writer]) -> list[Edit]:
    number, last = row.number, writers[-1].last
    edits: list[Edit] = []
    if (spans := _SPANS.search(sheet.data, row.start, row.inner)) and int(spans[1]) < last:
        edits.append((spans.start(1), spans.end(1), b"%d" % last))
    if sheet.extent(row)[1] >= writers[0].placed.first:
        return edits + _interleaved(sheet, row, writers)
    content = writers[0].row(row, number)
    for each in writers[1:]:
        content += each.row(row, number)
    if row.inner == row.end:  # <row …/>
        edits.append((row.inner - 2, row.end, b">" + content + b"</" + sheet.prefix + b"row>"))
    else:
        edits.append((row.close, row.close, content))
    return edits


def _taller(sheet: SheetPart, row: Row, lines: float) -> list[Edit]:
    """Make room for wrapped text. A height that the estimator has set stays; one that a program has
    fitted to what the row held is raised; not every program fits rows when it opens a workbook."""
    if _OWN_HEIGHT.search(sheet.data, row.start, row.inner):
        return []
    wanted = min(lines * sheet.line_height, TALLEST)
    height = _HEIGHT.search(sheet.data, row.start, row.inner)
    if height is None:
        at = row.start + len(sheet.prefix) + 4
        return [(at, at, b' ht="%g"' % wanted)]
    if wanted <= float(height[1]):
        return []
    return [(height.start(1), height.end(1), b"%g" % wanted)]


def _model_column(sheet: SheetPart, styles: Styles, table: Table) -> int:
    """The column that ours look like: the last one in the font that most of the table is in, so
    that a column of remarks in grey italics is not taken for the table's look."""
    formats: dict[int, Counter[int]] = {}
    fonts: Counter[str] = Counter()
    rows = [sheet.by_number[number] for number in table.rows[:_SAMPLE] if number in sheet.by_number]
    for row in rows:
        for column, style in sheet.styles(row):
            if table.first_column <= column <= table.last_column:
                formats.setdefault(column, Counter())[style] += 1
                fonts[styles.font_of(style)] += 1
    for column in sorted(formats, reverse=True):
        style = formats[column].most_common(1)[0][0]
        if styles.font_of(style) == fonts.most_common(1)[0][0]:
            return column
    return table.last_column


def _heading_style(sheet: SheetPart, table: Table, row: Row, model: int) -> int:
    """The style of the model column's heading; where it has none, as one that was typed beside the table,
    that of the last heading which has one, if most have."""
    there = {
        column: style
        for column, style in sheet.styles(row)
        if table.first_column <= column <= table.last_column
    }
    styled = [column for column, style in there.items() if style]
    if there.get(model) or 2 * len(styled) <= len(there):
        return there.get(model, 0)
    return there[max(styled)]


def _interleaved(sheet: SheetPart, row: Row, writers: Sequence[_Writer]) -> list[Edit]:
    """Our cells among cells that are styled only, or that stand to the right of ours."""
    there = {cell.column: cell for cell in sheet.cells(row)}
    edits: list[Edit] = []
    for writer in writers:
        for column, content in enumerate(writer.cells(row, row.number), writer.placed.first):
            if same := there.get(column):
                edits.append((same.start, same.end, content))
                continue
            at = next((cell.start for cell in there.values() if cell.column > column), row.close)
            edits.append((at, at, content))
    return edits


def _new_rows(sheet: SheetPart, writers: Sequence[_Writer], numbers: Sequence[int]) -> list[Edit]:
    """Rows that the sheet does not have yet."""
    edits: list[Edit] = []
    for number in numbers:
        cells = b"".join([each.row(None, number) for each in _of_row(writers, number)])
        tag = sheet.prefix + b"row"
        content = b'<%b r="%d">%b</%b>' % (tag, number, cells, tag)
        at = next((row.start for row in sheet.rows if row.number > number), sheet.sheet_data.close)
        edits.append((at, at, content))
    return edits

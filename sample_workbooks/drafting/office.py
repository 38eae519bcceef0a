"""How the invented office draws up a workbook: title block, tables, notes, charts, print set-up."""

import datetime as dt
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import xlsxwriter
from xlsxwriter.utility import xl_range_abs, xl_rowcol_to_cell

from drafting import logo

OFFICE = "Wrenmoor Low Voltage Drafting"
CREATED = dt.datetime(2024, 3, 4, 8, 0)  # fixed, so that the same source gives the same file
TITLE_ROW, PAIRS_ROW = 1, 2
LETTER, A4 = 1, 9

Value = str | float | dt.date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Theme:
    """One of the looks that the office has had over the years."""

    font: str
    ink: str
    head_fill: str
    head_ink: str
    stripe: str
    paper: int = LETTER


NAVY = Theme(font="Calibri", ink="#1F3A5F", head_fill="#1F3A5F", head_ink="#FFFFFF", stripe="#F2F5F9")
MOSS = Theme(font="Arial", ink="#3B5B3A", head_fill="#DCE6D8", head_ink="#20331F", stripe="#FFFFFF")
PLAIN = Theme(
    font="Liberation Sans", ink="#333333", head_fill="#D9D9D9", head_ink="#000000", stripe="#FFFFFF"
)
RUST = Theme(
    font="Calibri", ink="#8A3B1E", head_fill="#F3E3D8", head_ink="#5A2410", stripe="#FDF9F6", paper=A4
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    title: str
    width: float = 12
    number_format: str = "General"
    choices: str | tuple[str, ...] | None = None  # a range in another sheet, or the words themselves
    flag_above: float | None = None  # shown in bold amber above this figure
    note: str | None = None  # on the header cell


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    text: str
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    title: str
    category: str
    values: str
    axis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    name: str
    title: str
    columns: tuple[Column, ...]
    rows: Sequence[Sequence[Value | Formula]]
    pairs: tuple[tuple[str, Value | Formula], ...] = ()  # in its title block, beside the book's own
    totals: tuple[tuple[str, str], ...] = ()  # label -> the column that is added up in the title block
    comments: Mapping[tuple[str, str], str] = field(default_factory=dict)  # (first cell, column) -> note
    footnotes: tuple[str, ...] = ()
    filtered: bool = False
    portrait: bool = False
    chart: Chart | None = None
    hidden: bool = False
    table: str | None = None  # the name of a table object around the rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    file: str
    theme: Theme
    pairs: tuple[tuple[str, Value], ...]
    sheets: tuple[Sheet, ...]
    expect: str = ""  # rules that must be reported without a cell


_DATE = re.compile(r"\d{4}-\d\d-\d\d")
_NUMBER = re.compile(r"-?\d+(\.\d+)?")


def rows(text: str) -> list[list[Value]]:
    """A table typed as text: a row a line, cells between `|`; `2024-06-12` is a date."""
    return [[_value(cell.strip()) for cell in line.split("|")] for line in text.strip().splitlines()]


def _value(cell: str) -> Value:
    if _DATE.fullmatch(cell):
        return dt.date.fromisoformat(cell)
    return float(cell) if _NUMBER.fullmatch(cell) else cell or None


def load_by(devices: Sheet, key: str, quantity: str, watts: str, unit: str = "W") -> Sheet:
    """A summary of the connected load per room or level, with formulas over the device list."""
    titles = [column.title for column in devices.columns]
    at = {name: titles.index(name) for name in (key, quantity, watts)}
    first = _header_row(devices) + 1
    ranges = {
        name: f"'{devices.name}'!" + xl_range_abs(first, column, first + len(devices.rows) - 1, column)
        for name, column in at.items()
    }
    groups: dict[Value | Formula, list[tuple[float, float]]] = {}
    for row in devices.rows:
        number, load = row[at[quantity]], row[at[watts]]
        usable = isinstance(number, float) and isinstance(load, float)
        groups.setdefault(row[at[key]], []).append((number, number * load) if usable else (0.0, 0.0))  # type: ignore[operator]
    lines: list[list[Value | Formula]] = []
    for group, loads in groups.items():
        same = f"({ranges[key]}=A{8 + len(lines)})"
        count = f"=SUMPRODUCT({same}*{ranges[quantity]})"
        load = f"=SUMPRODUCT({same}*{ranges[quantity]}*{ranges[watts]})"
        lines.append(
            [
                group,
                Formula(text=count, value=sum(number for number, _ in loads)),
                Formula(text=load, value=round(sum(load for _, load in loads), 6)),
            ]
        )
    columns = (
        Column(title=key, width=26),
        Column(title="Count", width=13),
        Column(title=f"Load, {unit}", width=14, number_format="0.0#"),
    )
    extra = (Column(title="Remarks", width=44),)
    return Sheet(
        name="Load summary",
        title="Connected load",
        columns=(*columns, *extra),
        rows=[[*line, None] for line in lines],
        chart=Chart(
            title=f"Connected load by {key.lower()}", category=key, values=f"Load, {unit}", axis=unit
        ),
    )


def write(book: Book, folder: Path) -> Path:
    """Writes one workbook below the folder and returns its path."""
    path = folder / book.file
    path.parent.mkdir(parents=True, exist_ok=True)
    options = {
        "strings_to_numbers": False,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "default_date_format": "d mmm yyyy",
    }
    with xlsxwriter.Workbook(str(path), options) as workbook:
        workbook.set_properties({"title": book.sheets[0].title, "company": OFFICE, "created": CREATED})
        style = _Style(workbook, book.theme)
        for index, sheet in enumerate(book.sheets):
            _write_sheet(style, book, sheet, first=index == 0)
    return path


class _Style:
    """The book's formats, each made once."""

    def __init__(self, workbook: Any, theme: Theme) -> None:
        self.workbook = workbook
        self.theme = theme
        self._made: dict[tuple[tuple[str, object], ...], Any] = {}

    def __call__(self, **properties: object) -> Any:
        base = {"font_name": self.theme.font, "font_size": 10, "valign": "vcenter"} | properties
        key = tuple(sorted(base.items()))
        if key not in self._made:
            self._made[key] = self.workbook.add_format(base)
        return self._made[key]


def _header_row(sheet: Sheet) -> int:
    return 6  # below the title block, the same on every sheet: the office's formulas rely on it


def _write_sheet(style: _Style, book: Book, sheet: Sheet, *, first: bool) -> None:
    page = style.workbook.add_worksheet(sheet.name)
    for index, column in enumerate(sheet.columns):
        page.set_column(index, index, column.width, style())
    pairs = [*book.pairs] if first else [*book.pairs[:2]]
    pairs += [*sheet.pairs, *_totals(sheet)]
    if first:
        pairs.append(("expect for the job", book.expect or None))
    _write_title(style, page, sheet, pairs)
    _write_header(style, page, sheet)
    for index, row in enumerate(sheet.rows):
        _write_row(style, page, sheet, _header_row(sheet) + 1 + index, row)
    _write_aids(style, page, sheet)
    _write_footnotes(style, page, sheet)
    _set_print(book, page, sheet)
    if sheet.chart:
        _write_chart(style, page, sheet, sheet.chart)
    if sheet.hidden:
        page.hide()
    if first:
        page.activate()


def _totals(sheet: Sheet) -> list[tuple[str, Formula]]:
    titles = [column.title for column in sheet.columns]
    top = _header_row(sheet) + 1
    found = []
    for label, title in sheet.totals:
        column = titles.index(title)
        span = xl_range_abs(top, column, top + len(sheet.rows) - 1, column)
        value = sum(row[column] for row in sheet.rows if isinstance(row[column], float))  # type: ignore[misc]
        found.append((label, Formula(text=f"=SUM({span})", value=value)))
    return found


def _write_title(
    style: _Style, page: Any, sheet: Sheet, pairs: Sequence[tuple[str, Value | Formula]]
) -> None:
    theme, last = style.theme, len(sheet.columns) - 1
    page.set_row(0, 46)
    office = style(font_size=16, bold=True, font_color=theme.ink, align="right")
    _merge(page, 0, 1, last, OFFICE, office)
    scale = {"x_scale": 0.5, "y_scale": 0.5, "x_offset": 6, "y_offset": 3}
    picture = io.BytesIO(logo.png(theme.ink))
    page.insert_image(0, 0, "logo.png", scale | {"image_data": picture, "description": "office logo"})
    page.set_row(TITLE_ROW, 21)
    band = style(font_size=13, bold=True, font_color="#FFFFFF", bg_color=theme.ink, indent=1)
    _merge(page, TITLE_ROW, 0, last, sheet.title, band)
    slots = _slots(sheet)
    label = style(font_color=theme.ink, bold=True, font_size=9, bottom=4, bottom_color="#A6A6A6")
    text = style(bottom=4, bottom_color="#A6A6A6", align="left", num_format="d mmm yyyy")
    number = style(bottom=4, bottom_color="#A6A6A6", align="left", num_format="#,##0.##")
    for index, (name, value) in enumerate(pairs):
        row = PAIRS_ROW + index % 3
        if index // 3 >= len(slots):
            raise ValueError(f"{sheet.name}: no room in the title block for {name!r}")
        at, value_at, value_to = slots[index // 3]
        page.write_string(row, at, name, label)
        cell = text if isinstance(value, dt.date | str) or value is None else number
        _merge(page, row, value_at, value_to, "", cell)
        _write_value(page, row, value_at, value, cell)


def _merge(page: Any, row: int, first: int, last: int, text: str, look: Any) -> None:
    if last > first:
        page.merge_range(row, first, row, last, text, look)
    else:
        page.write_string(row, first, text, look)


def _slots(sheet: Sheet) -> list[tuple[int, int, int]]:
    """Where the title block's pairs stand: label column, first and last column of the value."""
    slots: list[tuple[int, int, int]] = []
    column = 0
    widths = [item.width for item in sheet.columns]
    while column < len(widths) - 1:
        if widths[column] < (10 if column == 0 else 13):
            column += 1
            continue
        to = column + 1
        while sum(widths[column + 1 : to + 1]) < 20 and to < len(widths) - 1:
            to += 1
        slots.append((column, column + 1, to))
        column = to + 1
    return slots


def _write_header(style: _Style, page: Any, sheet: Sheet) -> None:
    theme, row = style.theme, _header_row(sheet)
    page.set_row(row, 42)
    head = style(
        bold=True,
        bg_color=theme.head_fill,
        font_color=theme.head_ink,
        text_wrap=True,
        border=1,
        border_color=theme.ink,
        align="center",
    )
    for index, column in enumerate(sheet.columns):
        page.write_string(row, index, column.title, head)
        if column.note:
            page.write_comment(row, index, column.note, {"author": "I. Okandri", "x_scale": 1.6})


def _write_row(style: _Style, page: Any, sheet: Sheet, row: int, values: Sequence[Value | Formula]) -> None:
    stripe = style.theme.stripe if (row - _header_row(sheet)) % 2 == 0 else "#FFFFFF"
    for index, column in enumerate(sheet.columns):
        value = values[index] if index < len(values) else None
        look: dict[str, object] = {"bottom": 1, "bottom_color": "#C8C8C8", "bg_color": stripe}
        if isinstance(value, dt.date):
            look |= {"num_format": "d mmm yyyy", "align": "center"}
        elif isinstance(value, float | Formula):
            look |= {"num_format": column.number_format, "align": "right", "indent": 1}
        elif isinstance(value, str) and index:
            look |= {"indent": 1}
        if column.title == "expect":
            look |= {"font_color": "#7F7F7F", "italic": True, "font_size": 9}
        _write_value(page, row, index, value, style(**look))
        note = sheet.comments.get((str(values[0]), column.title))
        if note:
            page.write_comment(row, index, note, {"author": "I. Okandri"})


def _write_value(page: Any, row: int, column: int, value: Value | Formula, look: Any) -> None:
    if value is None:
        page.write_blank(row, column, None, look)
    elif isinstance(value, Formula):
        page.write_formula(row, column, value.text, look, value.value)
    elif isinstance(value, dt.date):
        page.write_datetime(row, column, value, look)
    elif isinstance(value, str):
        page.write_string(row, column, value, look)
    else:
        page.write_number(row, column, value, look)


def _write_aids(style: _Style, page: Any, sheet: Sheet) -> None:
    top, bottom = _header_row(sheet) + 1, _header_row(sheet) + len(sheet.rows)
    for index, column in enumerate(sheet.columns):
        if column.choices:
            source = f"={column.choices}" if isinstance(column.choices, str) else list(column.choices)
            page.data_validation(
                top,
                index,
                bottom + 40,
                index,
                {"validate": "list", "source": source, "error_type": "warning"},
            )
        if column.flag_above is not None:
            amber = style.workbook.add_format({"bold": True, "font_color": "#9C5700"})
            rule = {"type": "cell", "criteria": ">", "value": column.flag_above, "format": amber}
            page.conditional_format(top, index, bottom, index, rule)
    page.freeze_panes(top, 1)
    if sheet.table:
        titles = [{"header": column.title} for column in sheet.columns]
        area = {"name": sheet.table, "columns": titles, "style": None, "header_row": True}
        page.add_table(top - 1, 0, bottom, len(titles) - 1, area)
        _write_header(style, page, sheet)
    elif sheet.filtered:
        page.autofilter(top - 1, 0, bottom, len(sheet.columns) - 1)


def _write_footnotes(style: _Style, page: Any, sheet: Sheet) -> None:
    row = _header_row(sheet) + len(sheet.rows) + 2
    small = style(italic=True, font_size=9, font_color="#595959")
    for index, note in enumerate(sheet.footnotes):
        page.write_string(row + index, 0, note, small)


def _set_print(book: Book, page: Any, sheet: Sheet) -> None:
    last = _header_row(sheet) + len(sheet.rows) + 1 + len(sheet.footnotes)
    page.set_paper(book.theme.paper)
    if not sheet.portrait:
        page.set_landscape()
    page.fit_to_pages(1, 1 if sheet.chart else 0)
    page.repeat_rows(_header_row(sheet))
    page.print_area(0, 0, last + (18 if sheet.chart else 0), len(sheet.columns) - 1)
    page.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.7)
    page.set_footer(f"&L&8{book.pairs[0][1]}&C&8Page &P of &N&R&8&A")
    page.hide_gridlines(2)


def _write_chart(style: _Style, page: Any, sheet: Sheet, spec: Chart) -> None:
    titles = [column.title for column in sheet.columns]
    top, bottom = _header_row(sheet) + 1, _header_row(sheet) + len(sheet.rows)
    chart = style.workbook.add_chart({"type": "bar" if len(sheet.rows) > 7 else "column"})
    category, values = titles.index(spec.category), titles.index(spec.values)
    chart.add_series(
        {
            "categories": [sheet.name, top, category, bottom, category],
            "values": [sheet.name, top, values, bottom, values],
            "fill": {"color": style.theme.ink},
            "gap": 60,
            "data_labels": {"value": True, "num_format": "0.0"},
        }
    )
    chart.set_title({"name": spec.title, "name_font": {"size": 11, "name": style.theme.font}})
    chart.set_legend({"none": True})
    axis = {"name": spec.axis, "major_gridlines": {"visible": True, "line": {"color": "#D9D9D9"}}}
    chart.set_y_axis(axis if len(sheet.rows) <= 7 else {"reverse": True})
    if len(sheet.rows) > 7:
        chart.set_x_axis(axis)
    chart.set_size({"width": 640, "height": 320})
    page.insert_chart(xl_rowcol_to_cell(bottom + 2, 0), chart, {"x_offset": 4, "y_offset": 4})

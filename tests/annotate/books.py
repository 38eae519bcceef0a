"""Workbooks to annotate, by several producers, with a pull schedule in A4:F16 of the sheet «Pulls»,
and what is added to them."""

import io
import struct
import zlib
from collections.abc import Callable, Mapping
from typing import Any

import openpyxl
import xlsxwriter

from auditor.annotate import AddedColumn, AddedColumns
from auditor.job.model import Table, TableKind

HEADER = ("Pull", "From", "To", "Length (ft)", "Cable", "Notes")
HEADER_ROW, FIRST, LAST = 4, 5, 16
WORDS = ("pass", "review", "fail")


def table(sheet: str = "Pulls", **changes: Any) -> Table:
    values: dict[str, Any] = {
        "kind": TableKind.PULLS,
        "sheet": sheet,
        "header_row": HEADER_ROW,
        "first_row": FIRST,
        "last_row": LAST,
        "first_column": 1,
        "last_column": len(HEADER),
        "rows": tuple(range(FIRST, LAST + 1)),
    } | changes
    return Table(**values)


def columns(where: Table, **changes: Any) -> AddedColumns:
    rows = where.rows
    added = [
        AddedColumn(
            header="Verdict",
            width=10,
            kind="verdict",
            values={row: WORDS[row % 3] for row in rows},
            links={row: f"'Audit'!A{row}" for row in rows if row % 3 == 2},
        ),
        AddedColumn(
            header="Why",
            width=40,
            kind="text",
            values={row: f"C1.2 → K{row}: reach 1,0{row} ft > 1,000 ft & more" for row in rows if row % 3},
        ),
        AddedColumn(
            header="Volts",
            width=9,
            kind="number",
            number_format="0.0",
            values={row: 24 - row / 8 for row in rows},
        ),
    ]
    return AddedColumns(table=where, columns=tuple(changes.get("columns", added)))


def scratch(*names: str) -> bytes:
    """Sheets as the reports write them: formats, a chart, a conditional format, links, a table."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    title = book.add_format({"bold": True, "font_size": 14, "font_color": "#23495E"})
    watts, loud = (
        book.add_format({"num_format": '0.0 "W"'}),
        book.add_format({"bold": True, "bg_color": "#F2BE5C"}),
    )
    for name in names or ("Audit", "Power budget"):
        sheet = book.add_worksheet(name)
        sheet.write_string("A1", f"{name}: <what> & why", title)
        sheet.write_rich_string("A2", "plain ", title, "rich")
        for row in range(3, 12):
            sheet.write_string(row, 0, f"=item {row}")
            sheet.write_number(row, 1, row * 2.5, watts)
        sheet.conditional_format("B4:B12", {"type": "cell", "criteria": ">", "value": 20, "format": loud})
        sheet.write_url("A14", "internal:'Pulls'!A5", string="to the pull")
        sheet.add_table("D4:E8", {"columns": [{"header": "Reel"}, {"header": "Pulls"}]})
        chart = book.add_chart({"type": "bar", "subtype": "stacked"})
        chart.add_series({"values": [name, 3, 1, 11, 1], "categories": [name, 3, 0, 11, 0]})
        sheet.insert_chart("G2", chart)
        sheet.insert_image("G20", "mark.png", {"image_data": io.BytesIO(png())})
        sheet.write_comment("B4", "a note")
        sheet.print_area("A1:N40")
        sheet.repeat_rows(0)
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        sheet.autofilter("A3:B12")
    book.close()
    return out.getvalue()


def png() -> bytes:
    """A red square, 8 x 8."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    rows = b"".join(b"\0" + b"\xd0\x20\x20" * 8 for _ in range(8))
    header = struct.pack(">2I5B", 8, 8, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(rows))
        + chunk(b"IEND", b"")
    )


def _schedule(write: Callable[[int, int, Any], object]) -> None:
    """Write the pull schedule; rows and columns count from 0."""
    write(0, 0, "Lodge: cable pulls")
    for column, text in enumerate(HEADER):
        write(HEADER_ROW - 1, column, text)
    for row in range(FIRST - 1, LAST):
        for column, value in enumerate(
            (f"P{row}", "C1.1", f"K{row}", 40.5 + row, "18/2 <st> & co", f"note {row}")
        ):
            write(row, column, value)


def plain(change: Callable[[Any, Any], None] | None = None, options: Mapping[str, Any] = {}) -> bytes:
    """The schedule alone, by XlsxWriter; `change(book, sheet)` adds to it."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True, **options})
    sheet = book.add_worksheet("Pulls")
    body = book.add_format({"border": 1, "font_name": "Arial", "font_size": 9})
    _schedule(lambda row, column, value: sheet.write(row, column, value, body))
    if change:
        change(book, sheet)
    book.close()
    return out.getvalue()


def by_xlsxwriter(macros: bytes | None = None) -> bytes:
    """All that XlsxWriter can write around a schedule."""
    return plain(lambda book, sheet: _everything(book, sheet, macros))


def _everything(book: Any, sheet: Any, macros: bytes | None) -> None:
    other, chart_sheet = book.add_worksheet("Rooms, 1st 'floor' up"), book.add_chartsheet("Picture")
    bold, red = (
        book.add_format({"bold": True}),
        book.add_format({"bg_color": "#FFC7CE", "num_format": "0.000"}),
    )
    for place in (sheet, other):
        place.write_rich_string("A20", "some ", bold, "rich", " text")
        place.merge_range("A22:C23", "merged", bold)
        place.write_formula("A24", "=SUM(D5:D16)", None, 600)
        place.write_array_formula("A25:A26", "{=D5:D6*2}", None, 90)
        place.write_dynamic_array_formula("B25:B26", "=_xlfn.UNIQUE(B5:B6)", None, "C1.1")
        place.write_url("A28", "https://example.org/plan", string="plan")
        place.write_comment("B5", "seen on site", {"author": "est", "visible": True})
        place.insert_image("I20", "logo.png", {"image_data": io.BytesIO(png()), "url": "https://example.org"})
        place.insert_textbox("I26", "text box", {"width": 200})
        place.insert_button("I30", {"caption": "Recalculate", "macro": "Recalculate"})
        place.insert_checkbox("A30", True)
        place.data_validation("E5:E16", {"validate": "list", "source": ["18/2", "16/2"]})
        place.conditional_format("D5:D16", {"type": "data_bar", "data_bar_2010": True})
        place.conditional_format("A1:Z40", {"type": "formula", "criteria": "=$D1>99", "format": red})
        place.conditional_format("D5:D16", {"type": "icon_set", "icon_style": "3_traffic_lights"})
        place.add_sparkline("G2", {"range": "Pulls!D5:D16"})
        place.set_row(17, 20, None, {"level": 1, "hidden": True})
        place.set_column("A:A", 12, None, {"level": 1})
        place.set_column("Z:XFD", 4, bold, {"hidden": True})
        place.freeze_panes(HEADER_ROW, 1)
        place.set_header("&L&G&Rlodge", {"image_left": "logo.png", "image_data_left": io.BytesIO(png())})
        place.set_background(io.BytesIO(png()))
        place.print_area("A1:F30")
        place.repeat_rows(3)
        place.set_v_pagebreaks([6])
        place.ignore_errors({"number_stored_as_text": "A1:Z40"})
        place.set_tab_color("#336699")
    other.protect("", {"sort": True})
    other.unprotect_range("A1:B2", "open")
    other.add_table("K1:L4", {"total_row": True, "columns": [{"header": "a"}, {"header": "b"}]})
    sheet.autofilter("A4:F16")
    sheet.filter_column("D", "x > 50")
    chart = book.add_chart({"type": "line"})
    chart.add_series(
        {
            "values": "=Pulls!$D$5:$D$16",
            "trendline": {"type": "linear"},
            "y_error_bars": {"type": "fixed", "value": 2},
        }
    )
    sheet.insert_chart("I5", chart)
    second = book.add_chart({"type": "pie"})
    second.add_series({"values": "=Pulls!$D$5:$D$8"})
    chart_sheet.set_chart(second)
    book.define_name("Total_length", "=Pulls!$D$5:$D$16")
    book.define_name("Pulls!local_name", "=Pulls!$A$1")
    book.set_properties({"company": "an office", "comments": "a comment"})
    book.set_custom_property("Revision", 3)
    book.set_calc_mode("manual")
    hidden = book.add_worksheet("Lists")
    hidden.very_hidden()
    if macros is not None:
        book.add_vba_project(io.BytesIO(macros), is_stream=True)


def by_openpyxl() -> bytes:
    """All that openpyxl can write around a schedule."""
    from openpyxl.chart import BarChart, Reference
    from openpyxl.comments import Comment
    from openpyxl.drawing.image import Image
    from openpyxl.formatting.rule import ColorScaleRule, FormulaRule
    from openpyxl.styles import Font, PatternFill
    from openpyxl.workbook.defined_name import DefinedName
    from openpyxl.worksheet.datavalidation import DataValidation
    from openpyxl.worksheet.table import Table as ListObject

    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Pulls"
    _schedule(lambda row, column, value: sheet.cell(row + 1, column + 1, value))
    for column in range(1, 7):
        sheet.cell(HEADER_ROW, column).font = Font(bold=True)
    sheet.add_table(ListObject(displayName="Pulls_table", ref=f"A{HEADER_ROW}:F{LAST}"))
    sheet["A20"] = "=SUM(D5:D16)"
    sheet["A21"].hyperlink = "https://example.org/plan"
    sheet["B5"].comment = Comment("seen", "est")
    sheet.add_image(Image(io.BytesIO(png())), "J20")
    chart = BarChart()
    chart.add_data(Reference(sheet, min_col=4, min_row=5, max_row=16))
    sheet.add_chart(chart, "J5")
    validation = DataValidation(type="list", formula1='"18/2,16/2"')
    validation.add("E5:E16")
    sheet.add_data_validation(validation)
    sheet.conditional_formatting.add(
        "D5:D16", ColorScaleRule(start_type="min", end_type="max", start_color="FFFFFF", end_color="FF0000")
    )
    sheet.conditional_formatting.add(
        "A5:F16", FormulaRule(formula=["$D5>90"], fill=PatternFill(bgColor="FFEE99"))
    )
    sheet.row_dimensions.group(18, 19, hidden=True)
    sheet.merge_cells("A22:B23")
    book.defined_names["Total_length"] = DefinedName("Total_length", attr_text="Pulls!$D$5:$D$16")
    other = book.create_sheet("Protected")
    _schedule(lambda row, column, value: other.cell(row + 1, column + 1, value))
    other.protection.sheet = True
    other.protection.password = "x"
    book.security.lockStructure = True
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()

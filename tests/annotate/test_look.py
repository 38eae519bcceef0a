"""Our columns look like the table beside them, and what they hold stays what it is."""

import io
import itertools
import math
import re

import openpyxl
import pytest
from lxml import etree

from auditor.annotate import AddedColumn
from tests.annotate import books
from tests.annotate.calls import annotate
from tests.annotate.compare import parts
from tests.annotate.test_forms import repacked

HOSTILE = {
    "formula": "=1+1",
    "at sign": "@SUM(A1)",
    "full-width": "\uff1d1+1",
    "tab first": "\t=1",
    "link": '=HYPERLINK("https://example.org")',
    "markup": "<b>&amp;</b>]]>",
    "looks like an escape": "_x0041_",
    "blanks": "  two  ",
    "lines": "one\ntwo",
    "emoji": "K\U0001f50c5",
    "right to left": "\u202etxt.exe",
}


def one_text(text, **changes) -> bytes:
    column = AddedColumn(header="Why", width=20, kind="text", values={5: text}, **changes)
    return annotate(books.plain(), [books.columns(books.table(), columns=[column])], None)


def value(annotated: bytes, place: str = "G5"):
    return openpyxl.load_workbook(io.BytesIO(annotated))["Pulls"][place]


@pytest.mark.parametrize("case", HOSTILE)
def test_text_stays_text(case):
    annotated = one_text(HOSTILE[case])
    cell = value(annotated)
    assert cell.data_type in ("s", "inlineStr")
    # openpyxl does not resolve _xHHHH_ in inline strings
    assert cell.value.replace("_x005F_", "_").replace("_x0009_", "\t") == HOSTILE[case]
    assert cell.quotePrefix == (case in ("formula", "at sign", "full-width", "tab first", "link"))


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("a\x00b\x1fc", "a_x0000_b_x001F_c"),
        ("a\ud800b", "a\ufffdb"),
        ("\uffff", "\ufffd"),
        ("a\rb", "a_x000D_b"),
    ],
)
def test_what_xml_cannot_hold_is_escaped_or_replaced(text, written):
    """ISO/IEC 29500-1, 22.9.2.19: ST_Xstring writes such characters as _xHHHH_."""
    sheet = parts(one_text(text))["xl/worksheets/sheet1.xml"][0]
    cell = next(each for each in etree.fromstring(sheet).iter("{*}c") if each.get("r") == "G5")
    assert "".join(cell.itertext()) == written


@pytest.mark.parametrize(("length", "kept"), [(32767, 32767), (32768, 32767), (100_000, 32767)])
def test_long_text_is_cut_to_the_limit_of_a_cell(length, kept):
    found = value(one_text("x" * length)).value
    assert len(found) == kept
    assert found.endswith("…") == (length > kept)


def test_the_limit_counts_utf_16_units():
    found = value(one_text("\U0001f50c" * 20_000)).value
    assert len(found.encode("utf-16-le")) // 2 <= 32767


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_leaves_the_cell_empty(number):
    column = AddedColumn(header="Volts", width=9, kind="number", values={5: number, 6: -0.0, 7: 1e-320, 8: 7})
    annotated = annotate(books.plain(), [books.columns(books.table(), columns=[column])], None)
    assert [value(annotated, f"G{row}").value for row in (5, 6, 7, 8)] == [None, 0, 1e-320, 7]


def test_cells_take_font_and_border_of_the_table_and_their_own_number_format():
    def header(book, sheet):
        bold = book.add_format({"bold": True, "bg_color": "#DDE3EA", "font_name": "Arial", "align": "center"})
        sheet.write_string("F4", "Notes", bold)

    sheet = openpyxl.load_workbook(
        io.BytesIO(annotate(books.plain(header), [books.columns(books.table())], None))
    )["Pulls"]
    for column in "GHI":
        assert sheet[f"{column}4"].font.b
        assert sheet[f"{column}4"].fill.fgColor.rgb == "FFDDE3EA"
        assert sheet[f"{column}4"].alignment.horizontal == "center"
        body = sheet[f"{column}6"]
        assert (body.font.name, body.font.sz, body.border.left.style) == ("Arial", 9, "thin")
    assert sheet["I6"].number_format == "0.0"
    assert sheet["H6"].alignment.wrap_text
    assert sheet["G5"].font.u == "single"  # it links
    assert sheet["G6"].font.u is None
    assert sheet["G5"].hyperlink.location == "'Audit'!A5"


def test_a_heading_typed_beside_the_table_without_a_look_is_no_model_for_ours():
    source = openpyxl.load_workbook(io.BytesIO(books.by_openpyxl()))
    source["Pulls"]["F4"]._style = source["Pulls"]["Z99"]._style
    out = io.BytesIO()
    source.save(out)
    copy = annotate(out.getvalue(), [books.columns(books.table())], None)
    sheet = openpyxl.load_workbook(io.BytesIO(copy))["Pulls"]
    assert [sheet[f"{column}4"].font.b for column in "EFGHI"] == [True, False, True, True, True]


def test_a_column_of_grey_remarks_is_no_model():
    def remarks(book, sheet):
        grey = book.add_format({"italic": True, "font_color": "#888888", "right": 5})
        for row in range(5, 17):
            sheet.write_string(row - 1, 5, "?", grey)

    sheet = openpyxl.load_workbook(
        io.BytesIO(annotate(books.plain(remarks), [books.columns(books.table())], None))
    )["Pulls"]
    assert (sheet["H6"].font.i, sheet["H6"].font.name, sheet["H6"].border.right.style) == (
        False,
        "Arial",
        "thin",
    )


def test_verdict_fills_follow_the_word():
    """Bound to the word by conditional format; light, medium and dark differ without colour.

    Source: WCAG 2.2, relative luminance; contrast of text at least 4.5 to 1 (criterion 1.4.3)."""
    sheet = openpyxl.load_workbook(io.BytesIO(annotate(books.plain(), [books.columns(books.table())], None)))[
        "Pulls"
    ]
    (area,) = sheet.conditional_formatting
    assert str(area.sqref) == "G5:G16"
    looks = {rule.formula[0]: rule for rule in area.rules}
    assert list(looks) == ['"pass"', '"review"', '"fail"']
    shades = []
    for rule in looks.values():
        assert (rule.type, rule.operator) == ("cellIs", "equal")
        fill, text = luminance(rule.dxf.fill.bgColor.rgb), luminance(rule.dxf.font.color.rgb)
        assert (max(fill, text) + 0.05) / (min(fill, text) + 0.05) >= 4.5
        shades.append(fill)
    assert shades == sorted(shades, reverse=True)
    assert all(one > 1.4 * other for one, other in itertools.pairwise(shades))
    assert (looks['"review"'].dxf.font.b, looks['"review"'].dxf.font.i) == (True, True)


def luminance(argb: str) -> float:
    parts_ = [int(argb[at : at + 2], 16) / 255 for at in (2, 4, 6)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts_]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_priorities_are_behind_the_estimators_own_rules():
    def rules(book, sheet):
        for row in range(5, 9):
            sheet.conditional_format(
                f"A{row}", {"type": "duplicate", "format": book.add_format({"bold": True})}
            )

    annotated = annotate(books.plain(rules), [books.columns(books.table())], None)
    found = re.findall(rb'priority="(\d+)"', parts(annotated)["xl/worksheets/sheet1.xml"][0])
    assert sorted(map(int, found)) == list(range(1, 8))


def test_at_most_a_handful_of_formats_is_added_to_a_motley_table():
    def motley(book, sheet):
        for row in range(5, 17):
            sheet.write_string(row - 1, 5, "n", book.add_format({"font_size": row}))

    source = books.plain(motley)
    annotated = annotate(source, [books.columns(books.table())], None)
    assert formats(annotated) - formats(source) <= 40


def formats(data: bytes) -> int:
    return int(re.search(rb'<cellXfs count="(\d+)"', parts(data)["xl/styles.xml"][0])[1])


def test_a_workbook_full_of_formats_gets_no_more_than_it_can_hold():
    """The common spreadsheet programs hold 65,490 cell formats (published limit of one of them)."""

    def many(content: bytes) -> bytes:
        count = 65_395 - formats_in(content)
        more = b'<xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/>' * count
        return re.sub(rb"</cellXfs>", more + b"</cellXfs>", content).replace(
            b'<cellXfs count="%d"' % formats_in(content), b'<cellXfs count="65395"'
        )

    source = repacked(books.plain(), styles=many)
    annotated = annotate(source, [books.columns(books.table())], books.scratch())
    assert formats(source) == 65_395
    assert formats(annotated) <= 65_400
    assert value(annotated).value == books.WORDS[5 % 3]


def formats_in(content: bytes) -> int:
    return int(re.search(rb'<cellXfs count="(\d+)"', content)[1])


@pytest.mark.parametrize(
    ("attributes", "height"),
    [
        (b' ht="15"', "75"),  # fitted by a program: made taller for five lines
        (b' ht="90"', "90"),
        (b' ht="15" customHeight="1"', "15"),  # set by the estimator
        (b"", "75"),  # not every program fits it when it opens the workbook
    ],
)
def test_rows_are_made_taller_for_wrapped_text(attributes, height):
    source = repacked(books.plain(), sheet=lambda c: c.replace(b'<row r="5"', b'<row r="5"' + attributes))
    column = AddedColumn(header="Why", width=20, kind="text", values={5: "x" * 100})
    annotated = annotate(source, [books.columns(books.table(), columns=[column])], None)
    root = etree.fromstring(parts(annotated)["xl/worksheets/sheet1.xml"][0])
    row = next(each for each in root.iter("{*}row") if each.get("r") == "5")
    assert row.get("ht") == height


def heading(height=None, size=11, header="Volts at device (30 °C, constant power)", width=17.0):
    """Height of the heading's row, whether it is the estimator's own, width of our column."""

    def write(book, sheet):
        sheet.set_row(books.HEADER_ROW - 1, height)
        for column, text in enumerate(books.HEADER):
            sheet.write_string(
                books.HEADER_ROW - 1, column, text, book.add_format({"bold": True, "font_size": size})
            )

    column = AddedColumn(header=header, width=width, kind="number", values={5: 22.5})
    found = annotate(books.plain(write), [books.columns(books.table(), columns=[column])], None)
    row = next(
        each
        for each in etree.fromstring(parts(found)["xl/worksheets/sheet1.xml"][0]).iter("{*}row")
        if each.get("r") == str(books.HEADER_ROW)
    )
    sheet = openpyxl.load_workbook(io.BytesIO(found))["Pulls"]
    assert sheet["G4"].alignment.wrap_text
    return float(row.get("ht", 15)), row.get("customHeight") == "1", sheet.column_dimensions["G"].width


def test_the_headings_row_grows_for_a_long_heading():
    assert heading() == (45, False, 17)
    assert heading(header="Reel") == (15, False, 17)


def test_a_row_whose_height_is_set_keeps_it_and_the_column_grows():
    high, own, width = heading(height=18)
    assert (high, own) == (18, True)
    assert width >= len("Volts at device (30 °C, constant power)")
    assert heading(height=30)[:2] == (30, True)
    assert 20 <= heading(height=30)[2] < width
    assert heading(height=60) == (60, True, 17)


def test_large_letters_take_more_room():
    assert heading(size=22)[0] > 60
    assert heading(size=22, header="Verdict", width=10)[2] >= 14

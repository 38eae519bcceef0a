"""Where our columns go, and what round them is adapted."""

import io
import re

import openpyxl
import pytest

from auditor.annotate import AddedColumn
from tests.annotate import books
from tests.annotate.calls import annotate, free_sheet_names, strip, unplaced
from tests.annotate.compare import lost, out_of_order, parts

OURS = ("Verdict", "Why", "Volts")


def heading(data: bytes, row: int = books.HEADER_ROW, sheet: str = "Pulls") -> dict[str, str]:
    """Column letters -> our heading."""
    cells = openpyxl.load_workbook(io.BytesIO(data))[sheet][row]
    return {cell.column_letter: cell.value for cell in cells if cell.value in OURS}


def annotated(source: bytes, *tables) -> bytes:
    found = annotate(source, [books.columns(each) for each in tables or [books.table()]], None)
    assert out_of_order(found) == []
    return found


def test_beside_a_bare_table():
    assert list(heading(annotated(books.plain()))) == ["G", "H", "I"]


def test_notes_two_columns_right_are_neither_overwritten_nor_pushed():
    source = books.plain(lambda book, sheet: sheet.write_string("I9", "ask the architect"))
    found = annotated(source)
    assert list(heading(found)) == ["J", "K", "L"]
    assert openpyxl.load_workbook(io.BytesIO(found))["Pulls"]["I9"].value == "ask the architect"


def test_notes_above_and_below_the_table_do_not_matter():
    def notes(book, sheet):
        sheet.write_string("K1", "project 17")
        sheet.write_string("K30", "end of list")

    assert list(heading(annotated(books.plain(notes)))) == ["G", "H", "I"]


def test_a_merged_cell_in_the_rows_is_stood_clear_of():
    source = books.plain(lambda book, sheet: sheet.merge_range("H8:J9", "by others"))
    assert list(heading(annotated(source))) == ["K", "L", "M"]


def test_the_heading_of_a_two_row_header_stands_on_the_lower_row():
    def header(book, sheet):
        for column in range(6):
            sheet.merge_range(2, column, 3, column, books.HEADER[column], book.add_format({"bold": True}))

    found = annotated(books.plain(header))
    assert list(heading(found)) == ["G", "H", "I"]
    sheet = openpyxl.load_workbook(io.BytesIO(found))["Pulls"]
    assert sheet["G4"].font.b
    assert "A3:A4" in [str(each) for each in sheet.merged_cells.ranges]


def test_a_very_hidden_sheet_stays_so():
    def hide(book, sheet):
        book.add_worksheet("Front").activate()
        sheet.very_hidden()

    found = openpyxl.load_workbook(io.BytesIO(annotated(books.plain(hide))))
    assert found["Pulls"].sheet_state == "veryHidden"


def test_a_coloured_cell_in_the_last_column_is_no_obstacle():
    def colour(book, sheet):
        for row in range(20):
            sheet.write_blank(row, 16383, None, book.add_format({"bg_color": "#FF0000"}))

    source = books.plain(colour)
    found = annotated(source)
    assert list(heading(found)) == ["G", "H", "I"]
    assert lost(source, found, [books.table()], {"Pulls": 7}) == []


def test_styled_cells_where_ours_go_are_taken_over_and_given_back():
    def style(book, sheet):
        shade = book.add_format({"bg_color": "#EEEEEE"})
        for row in range(20):
            for column in (6, 7, 10):
                sheet.write_blank(row, column, None, shade)

    source = books.plain(style)
    found = annotated(source)
    assert list(heading(found)) == ["G", "H", "I"]
    assert lost(source, found, [books.table()], {"Pulls": 7}) == []
    assert parts(strip(found)).keys() == parts(source).keys()
    assert parts(strip(found))["xl/worksheets/sheet1.xml"][0] == parts(source)["xl/worksheets/sheet1.xml"][0]


def test_no_column_falls_off_the_sheet():
    source = books.plain(lambda book, sheet: sheet.write_string(9, 16381, "far right"))
    added = [books.columns(books.table())]
    assert [each.table for each in unplaced(source, added)] == [books.table()]
    assert "no column is free" in unplaced(source, added)[0].reason
    found = annotate(source, added, books.scratch())
    assert heading(found) == {}
    assert openpyxl.load_workbook(io.BytesIO(found)).sheetnames == ["Pulls", "Audit", "Power budget"]


def test_three_columns_just_fit_before_the_last_one():
    source = books.plain(lambda book, sheet: sheet.write_string(9, 16380, "far right"))
    assert list(heading(annotated(source))) == ["XFB", "XFC", "XFD"]


def test_a_protected_sheet_is_not_written_on():
    source = books.plain(lambda book, sheet: sheet.protect("secret"))
    added = [books.columns(books.table())]
    assert "is protected" in unplaced(source, added)[0].reason
    found = annotate(source, added, books.scratch())
    assert parts(found)["xl/worksheets/sheet1.xml"] == parts(source)["xl/worksheets/sheet1.xml"]


def test_a_sheet_that_is_not_there_is_reported():
    added = [books.columns(books.table("Nowhere"))]
    assert "not a worksheet" in unplaced(books.plain(), added)[0].reason


def right_hand_table(book, sheet):
    for column, text in enumerate(("Tag", "Watts")):
        sheet.write_string(books.HEADER_ROW - 1, 7 + column, text)
        for row in range(books.FIRST - 1, books.LAST):
            sheet.write_string(row, 7 + column, f"{text}{row}")


def test_columns_of_a_left_table_do_not_fall_into_the_right_one():
    left = books.table()
    right = books.table(first_column=8, last_column=9)
    found = annotated(books.plain(right_hand_table), left, right)
    assert heading(found) == {
        "J": "Verdict",
        "K": "Why",
        "L": "Volts",
        "N": "Verdict",
        "O": "Why",
        "P": "Volts",
    }
    sheet = openpyxl.load_workbook(io.BytesIO(found))["Pulls"]
    assert sheet["I5"].value == "Watts4"
    again = annotate(found, [books.columns(left), books.columns(right)], None)
    assert again == found


def second_below(book, sheet):
    for column, text in enumerate(("Tag", "Watts", "Room", "Note")):
        sheet.write_string(19, column, text)
        sheet.write_string(20, column, f"{text}1")
        sheet.write_string(21, column, f"{text}2")


def test_stacked_tables_are_aligned():
    below = books.table(header_row=20, first_row=21, last_row=22, last_column=4, rows=(21, 22))
    found = annotated(books.plain(second_below), books.table(), below)
    assert list(heading(found)) == ["G", "H", "I"]
    assert list(heading(found, 20)) == ["G", "H", "I"]


def test_a_far_wider_table_does_not_pull_the_other_one_along():
    def wide(book, sheet):
        second_below(book, sheet)
        sheet.write_string(20, 30, "far")

    below = books.table(header_row=20, first_row=21, last_row=22, last_column=4, rows=(21, 22))
    found = annotated(books.plain(wide), books.table(), below)
    assert list(heading(found)) == ["G", "H", "I"]
    assert list(heading(found, 20)) == ["AF", "AG", "AH"]


def test_hidden_columns_at_the_right_do_not_hide_ours():
    source = books.plain(lambda book, sheet: sheet.set_column("G:XFD", 3, None, {"hidden": True}))
    sheet = openpyxl.load_workbook(io.BytesIO(annotated(source)))["Pulls"]
    assert [
        (sheet.column_dimensions[each].width, sheet.column_dimensions[each].hidden) for each in "GHI"
    ] == [
        (10, False),
        (40, False),
        (9, False),
    ]
    assert sheet.column_dimensions["J"].hidden


def test_filter_pane_and_print_area_are_widened_over_ours():
    def features(book, sheet):
        sheet.autofilter("A4:F16")
        sheet.filter_column("D", "x > 50")
        sheet.freeze_panes(4, 1)
        sheet.print_area("A1:F16")
        sheet.conditional_format(
            "A1:F1048576", {"type": "no_blanks", "format": book.add_format({"bold": True})}
        )

    source = books.plain(features)
    found = annotated(source)
    sheet = openpyxl.load_workbook(io.BytesIO(found))["Pulls"]
    assert sheet.auto_filter.ref == "A4:I16"
    assert sheet.freeze_panes == "B5"
    assert sheet.print_area == "'Pulls'!$A$1:$I$16"
    workbook = parts(found)["xl/workbook.xml"][0].decode()
    assert "'Pulls'!$A$4:$I$16</definedName>" in workbook
    assert lost(source, found, [books.table()], {"Pulls": 7}) == []


def test_a_filter_that_ends_elsewhere_is_left_alone():
    source = books.plain(lambda book, sheet: sheet.autofilter("A4:E16"))
    assert openpyxl.load_workbook(io.BytesIO(annotated(source)))["Pulls"].auto_filter.ref == "A4:E16"


def listed(**options):
    headers = [{"header": text} for text in books.HEADER]
    return books.plain(
        lambda book, sheet: sheet.add_table(f"A4:F{books.LAST}", {"columns": headers} | options)
    )


def test_a_list_object_is_widened_with_its_headings():
    source = listed(name="Pull_list")
    found = annotated(source)
    each = openpyxl.load_workbook(io.BytesIO(found))["Pulls"].tables["Pull_list"]
    assert (each.ref, each.autoFilter.ref) == ("A4:I16", "A4:I16")
    assert [column.name for column in each.tableColumns] == [*books.HEADER, *OURS]
    assert lost(source, found, [books.table()], {"Pulls": 7}, ["xl/tables/table1.xml"]) == []


def with_headings(*texts: str) -> bytes:
    headers = [{"header": text} for text in (*texts, *books.HEADER[len(texts) :])]
    return books.plain(lambda book, sheet: sheet.add_table("A4:F16", {"columns": headers}))


def test_a_heading_that_a_list_object_has_too_is_told_apart_from_it():
    """A list object may hold no heading twice, in whatever case (common practice, no published source)."""
    source = with_headings("VERDICT")
    found = annotated(source)
    listed = openpyxl.load_workbook(io.BytesIO(found))["Pulls"].tables["Table1"]
    names = ["VERDICT", *books.HEADER[1:], "Verdict (audit)", "Why", "Volts"]
    assert [column.name for column in listed.tableColumns] == names
    assert [cell.value for cell in openpyxl.load_workbook(io.BytesIO(found))["Pulls"][4]] == names
    back = parts(strip(found))
    assert {name: part[0] for name, part in back.items()} == {
        name: part[0] for name, part in parts(source).items()
    }


def test_a_list_object_whose_headings_cannot_be_told_apart_is_stood_clear_of():
    source = with_headings("Verdict", "Verdict (audit)")
    found = annotated(source)
    assert list(heading(found))[1:] == ["H", "I", "J"]
    assert parts(found)["xl/tables/table1.xml"] == parts(source)["xl/tables/table1.xml"]


@pytest.mark.parametrize("options", [{"header_row": False}, {"total_row": True}])
def test_list_objects_without_headings_or_with_totals(options):
    end = books.LAST + 1
    headers = [{"header": text} for text in books.HEADER]
    source = books.plain(lambda book, sheet: sheet.add_table(f"A4:F{end}", {"columns": headers} | options))
    found = annotated(source)
    if "header_row" in options:
        assert parts(found)["xl/tables/table1.xml"] == parts(source)["xl/tables/table1.xml"]
    else:
        assert openpyxl.load_workbook(io.BytesIO(found))["Pulls"].tables["Table1"].ref == f"A4:I{end}"


def test_pages_are_set_up_only_where_nobody_has():
    sheet = openpyxl.load_workbook(io.BytesIO(annotated(books.plain())))["Pulls"]
    assert (sheet.page_setup.orientation, sheet.page_setup.fitToHeight) == ("landscape", 0)
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert sheet.print_title_rows == "$4:$4"
    silent = openpyxl.load_workbook(io.BytesIO(annotated(books.by_openpyxl())))["Pulls"]  # <pageSetUpPr/>
    assert (silent.page_setup.orientation, silent.sheet_properties.pageSetUpPr.fitToPage) == (
        "landscape",
        True,
    )
    own = books.plain(lambda book, sheet: sheet.set_portrait() or sheet.set_paper(8))
    sheet = openpyxl.load_workbook(io.BytesIO(annotated(own)))["Pulls"]
    assert (sheet.page_setup.orientation, sheet.page_setup.paperSize) == ("portrait", 8)
    assert not sheet.print_title_rows


@pytest.mark.parametrize(
    ("own", "titles"),
    [
        (lambda sheet: sheet.set_portrait() or sheet.set_paper(8), "'Pulls'!$A:$A"),
        (lambda sheet: sheet.repeat_rows(3), "'Pulls'!$A:$A,Pulls!$4:$4"),
        (lambda sheet: sheet.repeat_columns("B:C"), "Pulls!$B:$C"),
        (lambda sheet: sheet.fit_to_pages(1, 0), None),
        (lambda sheet: sheet.fit_to_pages(0, 1), "'Pulls'!$A:$A"),
    ],
)
def test_pages_that_a_wider_print_area_runs_on_to_repeat_the_pulls(own, titles):
    """Unless the estimator has it fit one page wide, or has columns repeated."""
    source = books.plain(lambda book, sheet: sheet.print_area("A1:F16") or own(sheet))
    found = annotated(source)
    written = parts(found)["xl/workbook.xml"][0].decode()
    assert ">'Pulls'!$A$1:$I$16<" in written
    names = re.findall(r'"_xlnm.Print_Titles"[^>]*>([^<]*)<', written)
    assert names == ([titles] if titles else [])
    assert parts(strip(found))["xl/workbook.xml"][0] == parts(source)["xl/workbook.xml"][0]


def test_a_print_area_alone_does_not_say_how_pages_are_set_up():
    source = books.plain(lambda book, sheet: sheet.print_area("A1:F16") and None)
    sheet = openpyxl.load_workbook(io.BytesIO(annotated(source)))["Pulls"]
    assert (sheet.page_setup.orientation, sheet.page_setup.fitToHeight) == ("landscape", 0)
    assert sheet.print_title_rows == "$4:$4"


def test_only_some_cells_of_a_row_that_the_sheet_lacks():
    """A row of the table without any cell of its own gets a row of ours."""
    source = books.plain()
    where = books.table(last_row=18, rows=(*range(5, 17), 18))
    found = annotated(source, where)
    assert openpyxl.load_workbook(io.BytesIO(found))["Pulls"]["G18"].value == books.WORDS[0]


def test_free_names_for_sheets():
    source = books.plain(lambda book, sheet: [book.add_worksheet(name) for name in ("AUDIT", "x" * 31)])
    wanted = ["Audit", "x" * 31, "a/b: [c]?", "History", "'quoted'", "Audit"]
    assert list(free_sheet_names(source, wanted[:5]).values()) == [
        "Audit 2",
        "x" * 29 + " 2",
        "a b   c",
        "History sheet",
        "quoted",
    ]


def test_free_names_are_those_of_the_stripped_workbook():
    found = annotate(books.plain(), [], books.scratch("Audit", "Cut list"))
    assert free_sheet_names(found, ["Audit", "Cut list"]) == {"Audit": "Audit", "Cut list": "Cut list"}


def test_a_table_name_with_an_apostrophe_is_quoted():
    source = books.plain(lambda book, sheet: setattr(sheet, "name", "O'Neil's pulls"))
    where = books.table("O'Neil's pulls")
    found = annotated(source, where)
    assert list(heading(found, sheet="O'Neil's pulls")) == ["G", "H", "I"]
    assert b"'O''Neil''s pulls'!$G$4:$G$16" in parts(found)["xl/workbook.xml"][0]


def test_links_are_bounded():
    many = range(5, 5 + 70_000)
    column = AddedColumn(
        header="Verdict",
        width=9,
        kind="verdict",
        values=dict.fromkeys(many, "pass"),
        links=dict.fromkeys(many, "'A'!A1"),
    )
    where = books.table(last_row=many[-1], rows=tuple(many))
    found = annotate(books.plain(), [books.columns(where, columns=[column])], None)
    assert parts(found)["xl/worksheets/sheet1.xml"][0].count(b"<hyperlink ") == 60_000

"""Workbooks with what estimators and their programs put round a schedule: nothing of it is lost, the copy
is sound, annotating twice gives the same bytes, and stripping gives every part back."""

import io
import re
import zipfile

import openpyxl
import pytest
import python_calamine

from tests.annotate import books
from tests.annotate.calls import annotate, strip
from tests.annotate.compare import lost, parts
from tests.annotate.repair import faults
from tests.annotate.test_forms import contents, repacked, strict

RELATED = b'<Relationship Id="%b" Type="%b" Target="%b"/></Relationships>'
MS = b"http://schemas.microsoft.com/office/"
X14 = b'xmlns:x14="http://schemas.microsoft.com/office/spreadsheetml/2009/9/main"'


def totals(book, sheet):
    headers = [{"header": text} for text in books.HEADER]
    headers[3] |= {"total_function": "sum"}
    sheet.add_table(f"A4:F{books.LAST + 1}", {"columns": headers, "total_row": True, "name": "Pull_list"})


def neighbour(book, sheet):
    sheet.add_table(f"A4:F{books.LAST}", {"columns": [{"header": text} for text in books.HEADER]})
    sheet.add_table(f"G4:H{books.LAST}", {"columns": [{"header": "Tag"}, {"header": "Watts"}]})


def printed(book, sheet):
    sheet.freeze_panes(4, 2)
    sheet.set_tab_color("#336699")
    sheet.repeat_columns("A:A")
    sheet.set_landscape()
    sheet.set_paper(8)
    sheet.set_h_pagebreaks([20])
    other = book.add_worksheet("Notes")
    other.repeat_rows(2)
    other.print_area("B2:C9")
    book.define_name("Notes!here", "=Notes!$A$1")
    book.define_name("Pulls!here", "=Pulls!$A$1")


def coloured_tab(book, sheet):
    sheet.set_tab_color("#336699")
    sheet.outline_settings(symbols_below=False)
    sheet.set_row(6, None, None, {"level": 1})


def formats(book, sheet):
    """Rules of both kinds: in the sheet, and in its extension list, whose priorities count as well."""
    sheet.conditional_format("D5:D16", {"type": "data_bar", "data_bar_2010": True})
    sheet.conditional_format("A5:F16", {"type": "formula", "criteria": "=$D5>90", "stop_if_true": True})
    sheet.add_sparkline("H2", {"range": "Pulls!D5:D16"})


def arrays(book, sheet):
    sheet.write_array_formula("H5:H7", "{=D5:D7*2}", None, 1)
    sheet.write_dynamic_array_formula("H20", "=_xlfn.SORT(D5:D16)", None, 40)
    sheet.write_formula("H21", "=SUM(D5:D16)", None, 600)
    sheet.write_rich_string("H9", "see ", book.add_format({"bold": True}), "plan")


def sheet_with(old: bytes, new: bytes):
    return lambda content: content.replace(old, new, 1)


def priorities(content: bytes) -> bytes:
    """A rule that is in the extension list only, as Excel writes a reference to another sheet."""
    rule = (
        b'<ext %b uri="{78C0D931-6437-407d-A8EE-F0AAD7539E65}"><x14:conditionalFormattings>'
        b'<x14:conditionalFormatting xmlns:xm="http://schemas.microsoft.com/office/excel/2006/main">'
        b'<x14:cfRule type="expression" priority="9" id="{11111111-2222-4333-8444-555555555555}">'
        b"<xm:f>Lists!$A$1=1</xm:f></x14:cfRule><xm:sqref>B5:B16</xm:sqref></x14:conditionalFormatting>"
        b"</x14:conditionalFormattings></ext>"
    ) % X14
    return content.replace(b"</worksheet>", b"<extLst>" + rule + b"</extLst></worksheet>")


def alternate(content: bytes) -> bytes:
    """Controls, as Excel writes them, behind what is common to all programs."""
    controls = (
        b'<mc:AlternateContent xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006">'
        b'<mc:Choice Requires="x14" %b><controls><mc:AlternateContent><mc:Choice Requires="x14"/>'
        b"</mc:AlternateContent></controls></mc:Choice></mc:AlternateContent>"
    ) % X14
    return content.replace(b"</worksheet>", controls + b"</worksheet>")


def areas(content: bytes) -> bytes:
    areas = b"Pulls!$A$1:$F$16,Pulls!$A$20:$C$25"
    name = b'<definedName name="_xlnm.Print_Area" localSheetId="0">%b</definedName>' % areas
    return content.replace(b"<calcPr", b"<definedNames>" + name + b"</definedNames><calcPr")


def with_extras(threaded: bool) -> bytes:
    """Threaded comments or a slicer: parts that no library writes, as Excel relates them."""
    source = books.plain(lambda book, sheet: (sheet.write_comment("B5", "seen"), neighbour(book, sheet)))
    members = contents(source)
    rels = "xl/worksheets/_rels/sheet1.xml.rels"
    if threaded:
        kind, part = MS + b"2017/10/relationships/threadedComment", "xl/threadedComments/threadedComment1.xml"
        members[part] = b'<ThreadedComments xmlns="%bspreadsheetml/2018/threadedcomments"/>' % MS
        type_ = "application/vnd.ms-excel.threadedcomments+xml"
    else:
        kind, part = MS + b"2007/relationships/slicer", "xl/slicers/slicer1.xml"
        members[part] = b'<slicers xmlns="%bspreadsheetml/2009/9/main"/>' % MS
        type_ = "application/vnd.ms-excel.slicer+xml"
        list_ = (
            b'<ext %b uri="{3A4CF648-6AED-40f4-86FF-DC5316D8AED3}"><x14:slicerList>'
            b'<x14:slicer r:id="rIdX"/></x14:slicerList></ext>'
        ) % X14
        sheet = members["xl/worksheets/sheet1.xml"]
        members["xl/worksheets/sheet1.xml"] = sheet.replace(
            b"</worksheet>", b"<extLst>" + list_ + b"</extLst></worksheet>"
        )
    target = b"../" + part.removeprefix("xl/").encode()
    members[rels] = members[rels].replace(b"</Relationships>", RELATED % (b"rIdX", kind, target))
    override = f'<Override PartName="/{part}" ContentType="{type_}"/></Types>'.encode()
    members["[Content_Types].xml"] = members["[Content_Types].xml"].replace(b"</Types>", override)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return out.getvalue()


def write_only() -> bytes:
    """openpyxl's streaming writer: inline strings, neither spans nor dimension."""
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("Pulls")
    for row in [["Lodge"], [], [], list(books.HEADER)]:
        sheet.append(row)
    for row in range(books.FIRST - 1, books.LAST):
        sheet.append([f"P{row}", "C1.1", f"K{row}", 40.5 + row, "18/2 <st> & co", f"note {row}"])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def inline() -> bytes:
    """No shared strings at all: texts in their cells, and the part gone."""
    source = contents(books.plain())
    texts = re.findall(rb"<si><t[^>]*>(.*?)</t></si>", source.pop("xl/sharedStrings.xml"))
    source["xl/worksheets/sheet1.xml"] = re.sub(
        rb' t="s"><v>(\d+)</v>',
        lambda match: b' t="inlineStr"><is><t>%b</t></is>' % texts[int(match[1])],
        source["xl/worksheets/sheet1.xml"],
    )
    for name in ("[Content_Types].xml", "xl/_rels/workbook.xml.rels"):
        source[name] = re.sub(
            rb'<(?:Override|Relationship) [^>]*"/?[\w/]*sharedStrings[^>]*/>', b"", source[name]
        )
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in source.items():
            archive.writestr(name, content)
    return out.getvalue()


TABLE = ["xl/tables/table1.xml"]
CASES = {
    "totals row": (lambda: books.plain(totals), 7, TABLE),
    "another table at the right": (lambda: books.plain(neighbour), 10, []),
    "print set-up and names of sheets": (lambda: books.plain(printed), 7, []),
    "coloured tab and outline": (lambda: books.plain(coloured_tab), 7, []),
    "several print areas": (lambda: repacked(books.plain(), book=areas), 7, []),
    "formats of both kinds": (lambda: books.plain(formats), 7, []),
    "format in the extension list": (lambda: repacked(books.plain(), sheet=priorities), 7, []),
    "alternate content": (lambda: repacked(books.plain(), sheet=alternate), 7, []),
    "array formulas": (lambda: books.plain(arrays), 9, []),
    "threaded comments": (lambda: with_extras(True), 10, []),
    "slicer": (lambda: with_extras(False), 10, []),
    "streamed by openpyxl": (write_only, 7, []),
    "no shared strings": (inline, 7, []),
    "narrow spans": (
        lambda: repacked(
            books.plain(),
            sheet=lambda c: c.replace(b"<row ", b'<row spans="1:6" ') if b"spans" not in c else c,
        ),
        7,
        [],
    ),
    "1904 and strict": (lambda: repacked(books.plain(options={"date_1904": True}), everything=strict), 7, []),
}


@pytest.fixture(params=CASES, scope="module")
def case(request):
    make, first, widened = CASES[request.param]
    source = make()
    return source, annotate(source, [books.columns(books.table())], books.scratch()), first, widened


def test_nothing_is_lost(case):
    source, annotated, first, widened = case
    assert lost(source, annotated, [books.table()], {"Pulls": first}, widened) == []


def test_our_columns_stand_where_they_should(case):
    _, annotated, first, _ = case
    book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(annotated))
    heading = book.get_sheet_by_name("Pulls").to_python(skip_empty_area=False)[books.HEADER_ROW - 1]
    assert heading[first - 1 : first + 2] == ["Verdict", "Why", "Volts"]


def test_the_copy_is_sound_as_its_source_is(case):
    source, annotated, _, _ = case
    assert (faults(source), faults(annotated)) == ([], [])


def test_twice_is_once_and_stripping_gives_all_back(case):
    source, annotated, _, _ = case
    assert annotate(annotated, [books.columns(books.table())], books.scratch()) == annotated
    assert contents(strip(annotated)) == contents(source)


def test_only_the_parts_that_the_audit_is_in_change():
    """The titles of all sheets in docProps/app.xml stay those of the original, as all that is no
    worksheet of ours: no program reads them to open a workbook, and the next one to save it writes them."""
    source = books.by_xlsxwriter()
    before, after = parts(source), parts(annotate(source, [books.columns(books.table())], books.scratch()))
    assert {name for name in before if before[name] != after[name]} == {
        "[Content_Types].xml",
        "xl/_rels/workbook.xml.rels",
        "xl/styles.xml",
        "xl/workbook.xml",
        "xl/worksheets/sheet1.xml",
    }


def test_all_areas_of_a_print_area_that_show_the_table_are_widened():
    found = annotate(repacked(books.plain(), book=areas), [books.columns(books.table())], None)
    assert b">'Pulls'!$A$1:$I$16,'Pulls'!$A$20:$C$25<" in parts(found)["xl/workbook.xml"][0]


def test_names_of_sheets_still_belong_to_them_behind_ours():
    found = annotate(books.plain(printed), [books.columns(books.table())], books.scratch())
    book = openpyxl.load_workbook(io.BytesIO(found))
    assert book.sheetnames[:2] == ["Pulls", "Notes"]
    assert {sheet.title: sheet.defined_names["here"].attr_text for sheet in book.worksheets[:2]} == {
        "Pulls": "Pulls!$A$1",
        "Notes": "Notes!$A$1",
    }
    assert book["Notes"].print_title_rows == "$3:$3"
    assert book["Pulls"].sheet_properties.tabColor.rgb == "FF336699"
    assert book["Pulls"].freeze_panes == "C5"


def test_a_list_objects_totals_and_filter_reach_over_our_columns():
    found = annotate(books.plain(totals), [books.columns(books.table())], None)
    listed = openpyxl.load_workbook(io.BytesIO(found))["Pulls"].tables["Pull_list"]
    assert (listed.ref, listed.autoFilter.ref, listed.totalsRowCount) == ("A4:I17", "A4:I16", 1)
    assert listed.tableColumns[3].totalsRowFunction == "sum"

"""One workbook in every well-formed spelling: read to the same cells and marks, annotated, and given back."""

import io
import re
import zipfile
from collections.abc import Callable, Iterable, Iterator, Mapping

import pytest
import xlsxwriter

from auditor.intake.formats.cells import Book, Sheet
from auditor.intake.formats.read import read_book
from tests.annotate import books
from tests.annotate.calls import annotate, strip

SHEET, STRINGS, STYLES = "xl/worksheets/sheet1.xml", "xl/sharedStrings.xml", "xl/styles.xml"
BOOK, RELATIONS = "xl/workbook.xml", "xl/_rels/workbook.xml.rels"
Edits = Mapping[str, Callable[[bytes], bytes]]


def written() -> bytes:
    """The schedule of `books` with what only a reader of marks sees: struck, hidden, units, dates, errors."""
    held = io.BytesIO()
    with xlsxwriter.Workbook(held, {"in_memory": True}) as book:
        sheet = book.add_worksheet("Pulls")
        line, bold = book.add_format({"font_strikeout": True}), book.add_format({"bold": True})
        metres, day = (book.add_format({"num_format": code}) for code in ('0.0" m"', "yyyy-mm-dd"))
        sheet.merge_range("A1:C1", "Cable pulls", bold)
        sheet.write_row(books.HEADER_ROW - 1, 0, books.HEADER, bold)
        for row in range(books.FIRST, books.LAST + 1):
            cells = [f"P{row}", "C1.1", f"K{row}", 10.5 + row, "TP16", "stud wall"]
            sheet.write_row(row - 1, 0, cells, line if row == books.FIRST + 1 else None)
            sheet.write_number(row - 1, 3, 10.5 + row, metres)
        sheet.write_rich_string("C8", line, "K9", "K8")
        sheet.write_number("D9", 45000, day)
        sheet.write_formula("D10", "=1/0", None, "#DIV/0!")
        sheet.write_boolean("F11", True)
        sheet.set_row(10, None, None, {"hidden": True})
        sheet.set_column(4, 4, 9, None, {"hidden": True})
        book.add_worksheet("Notes").write("A1", "nothing")
    return held.getvalue()


PLAIN = written()


def repacked(edits: Edits, renamed: Callable[[str], str] = str) -> bytes:
    """The package with some parts edited and some under other names; every edit changes something."""
    source, held = zipfile.ZipFile(io.BytesIO(PLAIN)), io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as target:
        for part in source.namelist():
            content = source.read(part)
            new = edits[part](content) if part in edits else content
            assert part not in edits or new != content
            target.writestr(renamed(part), new)
    return held.getvalue()


def to(old: str, new: str) -> Callable[[bytes], bytes]:
    """Another text at all places that a pattern matches."""
    return lambda content: re.sub(old, new, content.decode()).encode()


def in_utf_16(content: bytes) -> bytes:
    return content.decode().replace("UTF-8", "UTF-16").encode("utf-16")


def in_latin_1(content: bytes) -> bytes:
    return content.decode().replace("UTF-8", "ISO-8859-1").encode("latin-1")


def each(parts: Iterable[str], edit: Callable[[bytes], bytes]) -> Edits:
    return dict.fromkeys(parts, edit)


def named(part: str, new: str) -> tuple[Edits, Callable[[str], str]]:
    """A part under another name, and what names it."""
    old_name, new_name = part.rpartition("/")[2], new.rpartition("/")[2]
    naming = ["[Content_Types].xml", "_rels/.rels" if part == BOOK else RELATIONS]
    edits = each(naming, to(re.escape(old_name), new_name))
    moved = {part: new, f"xl/_rels/{old_name}.rels": f"xl/_rels/{new_name}.rels"}
    return edits, lambda name: moved.get(name, name)


def in_another_folder() -> tuple[Edits, Callable[[str], str]]:
    edits = each(["[Content_Types].xml", "_rels/.rels"], to('"(/?)xl/', r'"\1book/'))
    return edits, lambda name: re.sub("^xl/", "book/", name)


DECOYS = "<!-- <font><strike/></font> <xf fontId='1'/> <sheet name='No'/> <c r='D7'><v>1</v></c> -->"
SPELLINGS: Mapping[str, Edits | tuple[Edits, Callable[[str], str]]] = {
    "comment among the fonts": {STYLES: to("<fonts[^>]*>", rf"\g<0>{DECOYS}")},
    "comment among the cell formats": {STYLES: to("<cellXfs[^>]*>", rf"\g<0>{DECOYS}")},
    "comment among the sheets": {BOOK: to("<sheets>", rf"\g<0>{DECOYS}")},
    "comment among the relationships": {
        RELATIONS: to("<Relationships [^>]*>", r"\g<0><!-- <Relationship Id='rId1'/> -->")
    },
    "comment among the cells": {SHEET: to('<row r="7"', rf"{DECOYS}\g<0>")},
    "comment in a value": {SHEET: to("<v>17.5</v>", "<v>17<!-- 9 -->.5</v>")},
    "comment among the texts": {STRINGS: to("<si>", "<!-- <si><t>no</t></si> --><si>")},
    "blanks in a strike": {STYLES: to("<strike */>", '<strike  val = "1" >\n</strike>')},
    "blanks in a struck run": {STRINGS: to("<strike */>", "<strike\n val = 'true' />")},
    "blanks in cells": {SHEET: to('<c r="(\\w+)" s="(\\d+)"', "<c\n r = '\\1'  s = '\\2' ")},
    "blanks in rows": {SHEET: to('hidden="1"', "hidden = '1'")},
    "blanks around values": {SHEET: to("<v>([\\d.]+)</v>", "<v>\n  \\1\n</v>")},
    "one blank before values": {SHEET: to("<v>([\\d.]+)</v>", "<v> \\1</v>")},
    "one blank behind values": {SHEET: to("<v>([\\d.]+)</v>", "<v>\\1 </v>")},
    "line breaks between elements": {SHEET: to("><(?!/v|/t)", ">\n  <"), STYLES: to("><", ">\n<")},
    "values as CDATA": {SHEET: to("<v>([\\d.]+)</v>", "<v><![CDATA[\\1]]></v>")},
    "texts as CDATA": {STRINGS: to("<t>stud wall</t>", "<t>stud<![CDATA[ wall]]></t>")},
    "a processing instruction": {SHEET: to('<row r="7"', r"<?look <row hidden='1' r='5'> ?>\g<0>")},
    "single quotes": {part: to('"', "'") for part in (SHEET, STYLES, BOOK, RELATIONS)},
    "cells without their place": {SHEET: to('<c r="\\w+"', "<c")},
    "rows without their place": {SHEET: to('<row r="(?!1"|4")\\d+"', "<row")},
    "places in small letters": {SHEET: lambda x: re.sub(rb'<c r="\w+"', lambda m: m[0].lower(), x)},
    "a name with a bare >": {BOOK: to('name="Notes"', 'name="Notes > 1"')},
    "a name in character references": {BOOK: to('name="Pulls"', 'name="&#80;ulls"')},
    "percent-encoded targets": {RELATIONS: to("worksheets/sheet1.xml", "work%73heets/sheet%31.xml")},
    "targets from the root": {RELATIONS: to('Target="', 'Target="/xl/')},
    "targets by way of the folder above": {RELATIONS: to('Target="', 'Target="./../xl/')},
    "prefixed": each(
        [SHEET, STRINGS, STYLES],
        lambda x: re.sub(rb"<(/?)(?=[a-zA-Z])", rb"<\1x-1:", x).replace(b"xmlns=", b"xmlns:x-1="),
    ),
    "a sheet in UTF-16": {SHEET: in_utf_16},
    "all in UTF-16": each([SHEET, STRINGS, STYLES, BOOK, RELATIONS], in_utf_16),
    "all in another encoding": each([SHEET, STRINGS, STYLES, BOOK], in_latin_1),
    "with a byte order mark": each([SHEET, STRINGS, STYLES, BOOK], lambda x: b"\xef\xbb\xbf" + x),
    "workbook2.xml": named(BOOK, "xl/workbook2.xml"),
    "texts under another name": named(STRINGS, "xl/texts.xml"),
    "styles under another name": named(STYLES, "xl/look.xml"),
    "in another folder": in_another_folder(),
    "without the package's own relationships": ({}, lambda name: "x.rels" if name == "_rels/.rels" else name),
}


def spelled(name: str) -> bytes:
    found = SPELLINGS[name]
    edits, renamed = found if isinstance(found, tuple) else (found, str)
    return repacked(edits, renamed)


def cells(book: Book) -> list[object]:
    """All that a book says of its cells; blank ones at the ends of rows are more or fewer, by the reader."""
    return [
        (
            sheet.name.removesuffix(" > 1"),
            [(at, value, type(value), getattr(value, "unit", None)) for at, value in filled(sheet)],
            (sheet.hidden, sheet.hidden_rows, sheet.hidden_columns, sheet.struck, sheet.struck_parts),
            (sheet.merges, sheet.notes),
        )
        for sheet in book.sheets
    ]


def filled(sheet: Sheet) -> Iterator[tuple[tuple[int, int], object]]:
    for row, values in enumerate(sheet.rows, 1):
        yield from (((row, column), value) for column, value in enumerate(values, 1) if value != "")


def test_what_the_plain_spelling_holds() -> None:
    sheet = read_book(PLAIN, "a.xlsx").sheets[0]
    assert sheet.struck == {6: frozenset({1, 2, 3, 5, 6})}
    assert sheet.struck_parts == {(8, 3): "K9"}
    assert (sheet.hidden_rows, sheet.hidden_columns) == ({11}, {5})
    assert [type(sheet.value(row, 4)).__name__ for row in (7, 9, 10)] == ["WithUnit", "date", "Fault"]


@pytest.mark.parametrize("name", SPELLINGS)
def test_is_read_to_the_same_cells(name: str) -> None:
    assert cells(read_book(spelled(name), "a.xlsx")) == cells(read_book(PLAIN, "a.xlsx"))


@pytest.mark.parametrize("name", SPELLINGS)
def test_is_annotated_and_given_back(name: str) -> None:
    source = spelled(name)
    title = read_book(source, "a.xlsx").sheets[0].name
    copy = annotate(source, [books.columns(books.table(title))], books.scratch())
    assert b"Verdict" in b"".join(zipfile.ZipFile(io.BytesIO(copy)).read(part) for part in sheet_parts(copy))
    again = strip(copy)
    held = [zipfile.ZipFile(io.BytesIO(data)) for data in (source, again)]
    assert {part: held[0].read(part) for part in held[0].namelist()} == {
        part: held[1].read(part) for part in held[1].namelist()
    }


def sheet_parts(data: bytes) -> list[str]:
    return [name for name in zipfile.ZipFile(io.BytesIO(data)).namelist() if "worksheets/sheet1.xml" in name]

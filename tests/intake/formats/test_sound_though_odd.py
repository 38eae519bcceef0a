"""Sound files that some program or other once wrote oddly: read, and what was not read is said."""

import io
import re
import struct
import zipfile
from collections.abc import Callable, Mapping

import pytest

from auditor.errors import UnusableFileError
from auditor.intake import read_job
from auditor.intake.formats.cells import Book
from auditor.intake.formats.read import read_book
from tests.annotate import books
from tests.annotate.calls import annotate
from tests.intake.packages import changed, replaced
from tests.intake.workbooks import job_workbook, workbook

from .test_other_formats import EXPECTED, in_short, ods, xls

BOOK, RELATIONS, TYPES = "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "[Content_Types].xml"
THREE = workbook({"Devices": [["Tag"], ["K1"]], "Other": [["a"]], "Pulls": [["From"], ["C1.1"]]})
SECOND = "xl/worksheets/sheet2.xml"
MACRO = b'<xm:macrosheet xmlns:xm="http://schemas.microsoft.com/office/excel/2006/main"><sheetData/></xm:macrosheet>'


def contents(data: bytes) -> dict[str, bytes]:
    package = zipfile.ZipFile(io.BytesIO(data))
    return {part: package.read(part) for part in package.namelist()}


def package(held: Mapping[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as target:
        for part, content in held.items():
            target.writestr(part, content)
    return out.getvalue()


def book(edits: Mapping[str, Callable[[bytes], bytes]], without: str = "") -> Book:
    held = contents(changed(THREE, edits))
    return read_book(package({part: held[part] for part in held if part != without}), "a.xlsx")


MISSING = (
    "the sheet 'Other' is left out: its content is missing in the file; if it is needed, open it in a "
    "spreadsheet "
    "program, check it and save it again",
)
LEFT_OUT = {
    "an old macro sheet": (
        {
            SECOND: lambda _: MACRO,
            RELATIONS: replaced(
                b'worksheet" Target="worksheets/sheet2', b'xlMacrosheet" Target="worksheets/sheet2'
            ),
        },
        ("the sheet 'Other' is left out: it is an old macro sheet, which holds no schedule",),
    ),
    "a macro sheet related to as a worksheet": (
        {SECOND: lambda _: MACRO},
        ("the sheet 'Other' is left out: it is an old macro sheet, which holds no schedule",),
    ),
    "a dialogue sheet": (
        {SECOND: lambda x: x.replace(b"worksheet", b"dialogsheet")},
        ("the sheet 'Other' is left out: it is a dialogue sheet, which holds no schedule",),
    ),
    "a chart sheet": ({SECOND: lambda x: x.replace(b"worksheet", b"chartsheet")}, ()),
    "an empty relationship": ({BOOK: replaced(b'r:id="rId2"', b'r:id=""')}, MISSING),
    "no relationship": ({BOOK: replaced(b' r:id="rId2"', b"")}, MISSING),
    "a relationship that is not there": ({RELATIONS: replaced(b'Id="rId2"', b'Id="rId99"')}, MISSING),
    "a target that is not there": ({RELATIONS: replaced(b"sheet2.xml", b"sheet9.xml")}, MISSING),
    "a target outside": (
        {
            RELATIONS: replaced(
                b'Target="worksheets/sheet2.xml"', b'Target="file:///sheet2.xml" TargetMode="External"'
            )
        },
        MISSING,
    ),
}


@pytest.mark.parametrize("case", LEFT_OUT)
def test_a_listed_sheet_that_is_no_worksheet_is_left_out_and_said(case: str) -> None:
    edits, said = LEFT_OUT[case]
    found = book(edits)
    assert [sheet.name for sheet in found.sheets] == ["Devices", "Pulls"]
    assert [sheet.rows for sheet in found.sheets] == [[["Tag"], ["K1"]], [["From"], ["C1.1"]]]
    assert found.notes == said


def test_a_sheet_whose_part_is_missing_is_left_out_and_said() -> None:
    found = book({}, without=SECOND)
    assert [sheet.name for sheet in found.sheets] == ["Devices", "Pulls"]
    assert found.notes == MISSING


def stream_named(data: bytes, name: str) -> bytes:
    """An .xls whose stream has this name in the directory."""
    at = data.index("Workbook".encode("utf-16-le"))
    entry = name.encode("utf-16-le").ljust(64, b"\0") + struct.pack("<H", 2 * len(name) + 2)
    return data[:at] + entry + data[at + 66 :]


@pytest.mark.parametrize("name", ["WORKBOOK", "BOOK", "workbook", "Book"])
def test_xls_whose_stream_is_named_in_other_letters(name: str) -> None:
    assert in_short(read_job(stream_named(xls(), name), "a.xls")) == EXPECTED


def xls_with_a_palette_that_xlrd_refuses() -> bytes:
    xlwt = pytest.importorskip("xlwt")
    made = xlwt.Workbook()
    xlwt.add_palette_colour("ours", 0x21)
    made.set_colour_RGB(0x21, 1, 2, 3)
    for title, rows in (
        ("Devices", [["Tag", "W"], ["K1", 1]]),
        ("P", [["From", "To", "Length (ft)"], ["C1.1", "K1", 120]]),
    ):
        sheet = made.add_sheet(title)
        for r, row in enumerate(rows):
            for c, value in enumerate(row):
                sheet.write(r, c, value, xlwt.easyxf("font: colour ours"))
    held = io.BytesIO()
    made.save(held)
    data = held.getvalue()
    at = data.index(struct.pack("<3H", 0x92, 4 * 56 + 2, 56)) + 4
    return data[:at] + struct.pack("<H", 57) + data[at + 2 :]


def test_xls_that_one_reader_refuses_is_read_by_the_other_and_said() -> None:
    import xlrd

    data = xls_with_a_palette_that_xlrd_refuses()
    with pytest.raises(xlrd.XLRDError, match="PALETTE"):
        xlrd.open_workbook(file_contents=data, formatting_info=True, logfile=io.StringIO())
    job = read_job(data, "a.xls")
    assert [pull.length_m for pull in job.pulls] == [pytest.approx(36.576)]
    said = (
        "only the values of this .xls can be read: struck-through and hidden rows, units that formats show "
        "and error "
        "cells are not seen; save it as .xlsx and audit that"
    )
    assert [remark.message for remark in job.remarks if remark.message == said] == [said, said]


def test_ods_that_does_not_say_what_it_is() -> None:
    whole = contents(ods())
    for missing in ({"mimetype"}, {"mimetype", "META-INF/manifest.xml"}):
        data = package({part: content for part, content in whole.items() if part not in missing})
        assert in_short(read_job(data, "a.ods")) == EXPECTED


@pytest.mark.parametrize(
    ("encoding", "said"),
    [
        ("utf-16-le", "UTF-16"),
        ("utf-16-be", "UTF-16"),
        ("utf-32", "UTF-32"),
        ("utf-32-le", "UTF-32"),
        ("utf-32-be", "UTF-32"),
    ],
)
def test_text_that_does_not_say_its_encoding(encoding: str, said: str) -> None:
    data = "Pull,From,To,Length (ft)\nP1,C1.1,K1,120\n".encode(encoding)
    with pytest.raises(UnusableFileError) as refused:
        read_job(data, "a.csv")
    assert str(refused.value) == f"a.csv: the file is text in {said}, which is not read; save it as UTF-8"


def test_text_in_utf_16_that_says_so_is_read() -> None:
    job = read_job("Pull,From,To,Length (ft)\nP1,C1.1,K1,120\n".encode("utf-16"), "a.csv")
    assert [pull.length_m for pull in job.pulls] == [pytest.approx(36.576)]


def test_parts_of_which_nothing_is_said_stay_so() -> None:
    """A type for their ending would be one for them too."""

    def silent(types: bytes) -> bytes:
        return re.sub(rb'<Default Extension="(?:xml|rels)"[^>]*/>', b"", types)

    source = changed(books.plain(), {TYPES: silent}, {"xl/custom/data.xml": b"<a/>"})
    copy = annotate(source, [books.columns(books.table())], books.scratch())
    types, before = contents(copy)[TYPES], contents(source)[TYPES]
    assert b'<Default Extension="xml"' not in types
    assert re.findall(rb"<Default [^>]*>", types) == re.findall(rb"<Default [^>]*>", before)
    told = {part.decode() for part in re.findall(rb'PartName="/([^"]+)"', types)}
    ours = set(contents(copy)) - set(contents(source))
    assert ours <= told
    assert "xl/custom/data.xml" not in told


REFUSED = {
    "empty.xlsx": b"",
    "cut.xlsx": job_workbook()[:3000],
    "page.xls": b"<html><table></table></html>",
    "old.xls": b'<?xml version="1.0"?><?mso-application progid="Excel.Sheet"?><Workbook/>',
    "picture.xlsx": b"\x89PNG\r\n\x1a\n" + bytes(range(1, 200)),
    "letter.doc.xls": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600),
    "broken.xls": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + "Workbook".encode("utf-16-le") + bytes(600),
    "quote.csv": b'Pull,From\nP1,"C1.1\n',
    "type.xlsx": changed(job_workbook(), {SECOND: replaced(b"<worksheet", b"<!DOCTYPE a><worksheet")}),
    "type in styles.xlsx": changed(
        job_workbook(), {"xl/styles.xml": replaced(b"<styleSheet", b"<!DOCTYPE a><styleSheet")}
    ),
    "no sheets.xlsx": changed(job_workbook(), {BOOK: lambda x: re.sub(rb"<sheets>.*</sheets>", b"", x)}),
    "bad book.xlsx": changed(job_workbook(), {BOOK: lambda x: x[:-20]}),
    "bad styles.xlsx": changed(
        job_workbook(), {"xl/styles.xml": lambda x: b"<styleSheet><numFmts><numFmt /></numFmts>"}
    ),
    "bad sheet.xlsx": changed(job_workbook(), {SECOND: lambda x: x[: x.index(b"</row>") - 3]}),
    "zip.xlsx": package({"a.txt": b"a"}),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_refusal_names_the_file_once_and_says_what_to_do(name: str) -> None:
    with pytest.raises(UnusableFileError) as refused:
        read_job(REFUSED[name], name)
    said = str(refused.value)
    assert said.startswith(f"{name}: ")
    assert said.count(name) == 1
    assert re.search(r"; .*(save|ask|copy|unpack|mend|open)", said), said

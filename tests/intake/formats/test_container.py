"""The file itself: what is refused with which sentence, and what is read although it is odd.

The numbers are those of the list of bad inputs that the project keeps.
"""

import io
import re
import struct
import zipfile
from collections.abc import Callable

import pytest
import xlsxwriter

from auditor.errors import UnusableFileError
from auditor.intake import read_job
from auditor.job.model import CellRef
from tests.intake.packages import changed, replaced
from tests.intake.workbooks import PULLS, job_workbook, workbook

SHEET = "xl/worksheets/sheet2.xml"
WELL = job_workbook()
LENGTHS_FT = [120.0, 80.0, 45.5]


def lengths_ft(data: bytes, name: str = "job.xlsx") -> list[float]:
    return [
        round(pull.length_m / 0.3048, 6) for pull in read_job(data, name).pulls if pull.length_m is not None
    ]


def refusal(data: bytes, name: str = "job.xlsx") -> str:
    with pytest.raises(UnusableFileError) as refused:
        read_job(data, name)
    return str(refused.value)


def test_01_password() -> None:
    msoffcrypto = pytest.importorskip("msoffcrypto.format.ooxml")
    held = io.BytesIO()
    msoffcrypto.OOXMLFile(io.BytesIO(WELL)).encrypt("secret", held)
    assert refusal(held.getvalue()) == "job.xlsx: the file needs a password; save a copy without one"


def test_02_truncated() -> None:
    assert refusal(WELL[: len(WELL) * 6 // 10]) == (
        "job.xlsx: the file is incomplete or damaged (its end is missing); ask for it again"
    )


def test_03_bit_flipped_in_a_sheet() -> None:
    entry = zipfile.ZipFile(io.BytesIO(WELL)).getinfo(SHEET)
    broken = bytearray(WELL)
    broken[entry.header_offset + 30 + len(SHEET) + entry.compress_size // 2] ^= 0x10
    assert refusal(bytes(broken)) == (
        "job.xlsx: the part 'xl/worksheets/sheet2.xml' is damaged; open the workbook in a spreadsheet "
        "program, "
        "check it and save it again"
    )


def test_04_bytes_around_the_package() -> None:
    assert lengths_ft(b"From: mail\r\n\r\n" + WELL + b"\r\n--end--\r\n") == LENGTHS_FT


def test_05_xls_named_xlsx() -> None:
    xlwt = pytest.importorskip("xlwt")
    book = xlwt.Workbook()
    for title, rows in (
        ("Devices", [["Tag", "W"], ["K1", 1]]),
        ("P", [["From", "To", "Length (ft)"], ["C1.1", "K1", 120]]),
    ):
        sheet = book.add_sheet(title)
        for r, row in enumerate(rows):
            for c, value in enumerate(row):
                sheet.write(r, c, value)
    held = io.BytesIO()
    book.save(held)
    job = read_job(held.getvalue(), "job.xlsx")
    assert [pull.length_m for pull in job.pulls] == [pytest.approx(36.576)]
    assert "the file is xls by its content, not xlsx as its name says" in [r.message for r in job.remarks]


def test_06_xlsx_named_xls() -> None:
    job = read_job(WELL, "job.xls")
    assert len(job.pulls) == 3
    assert "the file is xlsx by its content, not xls as its name says" in [r.message for r in job.remarks]


def test_07_web_page() -> None:
    page = b"<html><body><table><tr><td>From</td><td>To</td></tr></table></body></html>"
    assert refusal(page, "job.xls") == (
        "job.xls: the file is a web page with a spreadsheet's name; open it in a spreadsheet program and "
        "save it as .xlsx"
    )


def test_08_spreadsheet_xml_of_2003() -> None:
    text = (
        b'<?xml version="1.0"?><?mso-application progid="Excel.Sheet"?>'
        b'<Workbook xmlns="urn:schemas-microsoft-com:office:spreadsheet"/>'
    )
    assert refusal(text, "job.xls") == (
        "job.xls: the file is in the 2003 XML spreadsheet format; open it in a spreadsheet program and save "
        "it as .xlsx"
    )


def test_09_text_named_xlsx() -> None:
    job = read_job(b"Pull,From,To,Length (ft)\nP1,C1.1,K1,120\n", "job.xlsx")
    assert [pull.length_m for pull in job.pulls] == [pytest.approx(36.576)]
    assert "the file is csv by its content, not xlsx as its name says" in [r.message for r in job.remarks]


def test_09_text_without_a_schedule_named_xlsx() -> None:
    assert refusal(b"Dear all,\nplease find the schedule attached.\n").startswith(
        "job.xlsx: the file is text with a workbook's name; no pull schedule found; looked for"
    )


@pytest.mark.parametrize(
    ("data", "what"),
    [(b"", "is empty"), (b" \r\n", "is empty"), (b"\0\0\0", "holds nothing but zeros")],
)
def test_10_empty(data: bytes, what: str) -> None:
    assert refusal(data) == f"job.xlsx: the file {what}; ask for it again"


@pytest.mark.parametrize("code", ["\x07", "\0", "\x1f"])
@pytest.mark.parametrize("shared", [True, False])
def test_control_characters_are_read_and_said(code: str, shared: bool) -> None:
    part = "xl/sharedStrings.xml" if shared else "xl/worksheets/sheet2.xml"
    edit = (
        replaced(b"<t>P1<", f"<t>P{code}1<".encode())
        if shared
        else replaced(b"<v>120<", b"<v>120" + code.encode() + b"<")
    )
    job = read_job(changed(job_workbook(), {part: edit}), "job.xlsx")
    said = [(r.level, r.where) for r in job.remarks if "control characters" in r.message]
    assert said == [("note", CellRef("Devices" if shared else "Pulls", 1, 1))]
    assert not [r for r in read_job(job_workbook(), "job.xlsx").remarks if "control characters" in r.message]


def test_12_another_office_document() -> None:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as package:
        package.writestr("[Content_Types].xml", "<Types/>")
        package.writestr("word/document.xml", "<document/>")
    assert refusal(held.getvalue()) == (
        "job.xlsx: the file is a text document, no workbook; wanted a spreadsheet; copy its tables into a "
        "spreadsheet "
        "and save that as .xlsx"
    )


def test_13_a_package_that_swells() -> None:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("xl/workbook.xml", "<workbook/>")
        package.writestr("xl/worksheets/sheet1.xml", b" " * 100_000_000)
    assert "would unpack to 100 MB" in refusal(held.getvalue())


def test_13_a_package_that_lies_about_its_size() -> None:
    held = io.BytesIO(WELL)
    with zipfile.ZipFile(held) as package:
        entry = package.getinfo(SHEET)
    lying = bytearray(WELL)
    size = struct.pack("<I", entry.file_size)
    at = lying.rindex(size, lying.rindex(b"PK\x01\x02", 0, lying.rindex(SHEET.encode())))
    lying[at : at + 4] = struct.pack("<I", 10)
    assert "is damaged" in refusal(bytes(lying))


def test_14_entities_that_swell() -> None:
    bomb = b'<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]><worksheet'
    data = changed(WELL, {SHEET: replaced(b"<worksheet", bomb)})
    assert refusal(data) == (
        "job.xlsx: the part 'xl/worksheets/sheet2.xml' declares a document type, which no spreadsheet "
        "program writes, so "
        "the file is not read; if you trust its sender, open it in a spreadsheet program and save it anew "
        "as .xlsx"
    )


@pytest.mark.parametrize(
    "part", ["xl/sharedStrings.xml", "xl/workbook.xml", "xl/styles.xml", "xl/_rels/workbook.xml.rels"]
)
def test_15_external_entity_in_any_part(part: str) -> None:
    def edit(content: bytes) -> bytes:
        return content.replace(b"?>", b'?><!DOCTYPE x SYSTEM "file:///etc/hostname">', 1)

    message = refusal(changed(WELL, {part: edit}))
    assert "declares a document type" in message
    assert "hostname" not in message


def test_16_member_that_climbs_out() -> None:
    assert lengths_ft(changed(WELL, {}, {"../../evil.txt": b"x"})) == LENGTHS_FT


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_17_member_twice() -> None:
    data = changed(WELL, {}, {SHEET: b"<worksheet/>"})
    assert refusal(data) == (
        "job.xlsx: the package is damaged: it holds the part 'xl/worksheets/sheet2.xml' twice, and programs "
        "disagree "
        "which one counts; open it, check it and save it again"
    )


def test_18_backslashes_in_member_names() -> None:
    source = zipfile.ZipFile(io.BytesIO(WELL))
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as target:
        for part in source.namelist():
            entry = zipfile.ZipInfo("placeholder")
            entry.filename = part.replace("/", "\\")
            target.writestr(entry, source.read(part))
    assert lengths_ft(held.getvalue()) == LENGTHS_FT


def test_19_strict_namespaces() -> None:
    pairs = [
        (
            b"http://schemas.openxmlformats.org/spreadsheetml/2006/main",
            b"http://purl.oclc.org/ooxml/spreadsheetml/main",
        ),
        (
            b"http://schemas.openxmlformats.org/officeDocument/2006/relationships",
            b"http://purl.oclc.org/ooxml/officeDocument/relationships",
        ),
    ]

    def edit(content: bytes) -> bytes:
        for old, new in pairs:
            content = content.replace(old, new)
        return content

    parts = zipfile.ZipFile(io.BytesIO(WELL)).namelist()
    assert lengths_ft(changed(WELL, dict.fromkeys(parts, edit))) == LENGTHS_FT


def prefixed(content: bytes) -> bytes:
    import re

    content = re.sub(rb"<(/?)(?=[a-zA-Z])", rb"<\1x:", content)
    return content.replace(b"xmlns=", b"xmlns:x=")


def test_20_prefixed_elements() -> None:
    rows = [["From", "To", "Length (ft)"], ["C1.1", "K1", 120], ["K1", "K2", "=1/0"]]
    data = workbook({"Devices": [["Tag", "W"], ["K1", 1], ["K2", 1]], "P": rows[:2]})
    assert lengths_ft(changed(data, {SHEET: prefixed})) == [120.0]


def test_21_text_index_without_texts() -> None:
    source = zipfile.ZipFile(io.BytesIO(WELL))
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as target:
        for part in source.namelist():
            if part != "xl/sharedStrings.xml":
                target.writestr(part, source.read(part))
    assert refusal(held.getvalue()) == (
        "job.xlsx: the file is damaged: A1 on 'Devices' names a text that the file does not hold; open it "
        "in a "
        "spreadsheet program, check it and save it again"
    )


@pytest.mark.parametrize(("attribute", "refused"), [(b"uniqueCount", True), (b" count", False)])
def test_21_more_texts_stated_than_there_can_be(attribute: bytes, refused: bool) -> None:
    """The fast reader makes room for `uniqueCount` texts, and would end the process; `count` is of cells."""

    def stated(strings: bytes) -> bytes:
        return re.sub(attribute + rb'="\d+"', attribute + b'="99999999999"', strings)

    data = changed(WELL, {"xl/sharedStrings.xml": stated})
    assert data != WELL
    if refused:
        assert refusal(data).startswith("job.xlsx: the file is damaged; open it in a spreadsheet program")
    else:
        assert lengths_ft(data) == lengths_ft(WELL)


def test_21_text_index_past_the_texts() -> None:
    data = changed(WELL, {"xl/sharedStrings.xml": replaced(b"<si><t>C1.1</t></si>", b"")})
    assert "damaged" in refusal(data)


def test_22_macro_workbook() -> None:
    data = changed(
        WELL,
        {"[Content_Types].xml": replaced(b"spreadsheetml.sheet.main+xml", b"sheet.macroEnabled.main+xml")},
        {"xl/vbaProject.bin": b"\xd0\xcf\x11\xe0 macros"},
    )
    assert lengths_ft(data, "job.xlsm") == LENGTHS_FT


def test_23_signed_workbook_is_said() -> None:
    data = changed(WELL, {}, {"_xmlsignatures/origin.sigs": b"", "_xmlsignatures/sig1.xml": b"<Signature/>"})
    job = read_job(data, "job.xlsx")
    assert len(job.pulls) == 3
    assert any("signed" in remark.message for remark in job.remarks)


def test_no_text_of_the_file_is_run_or_resolved() -> None:
    pulls = [["From", "To", "Length (ft)"], ["C1.1", "=cmd|'/c calc'!A1", 120]]
    assert read_job(job_workbook(pulls=pulls), "a.xlsx").pulls[0].far == "=cmd|'/c calc'!A1"


@pytest.mark.parametrize(
    "name_of",
    [
        lambda part: part.replace("sharedStrings", "SharedStrings"),
        lambda part: part.replace("worksheets/sheet", "Worksheets/Sheet"),
        lambda part: part.replace("styles", "Styles"),
        str.lower,
        lambda part: part.lower().replace("/", "\\"),
    ],
)
def test_names_of_parts_are_compared_without_case(name_of: Callable[[str], str]) -> None:
    """Some exporters write them so; relationships name them in another case than the package does."""
    held = io.BytesIO()
    with xlsxwriter.Workbook(held, {"in_memory": True}) as book:
        sheet = book.add_worksheet("Pulls")
        for r, row in enumerate(PULLS):
            sheet.write_row(r, 0, row, book.add_format({"font_strikeout": True}) if r == 2 else None)
        sheet.write_formula("D2", "=1/0", None, "#DIV/0!")
    source = zipfile.ZipFile(held)
    odd = io.BytesIO()
    with zipfile.ZipFile(odd, "w") as target:
        for part in source.namelist():
            target.writestr(name_of(part), source.read(part))
    job = read_job(odd.getvalue(), "a.xlsx")
    assert job == read_job(held.getvalue(), "a.xlsx")
    assert [(pull.id, bool(pull.unread)) for pull in job.pulls] == [("P1", True), ("P3", False)]

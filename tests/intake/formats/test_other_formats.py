"""The same job in every format that is read; the writers are other people's libraries."""

import io
import re
import shutil
import struct
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Any

import pytest

from auditor.errors import UnusableFileError
from auditor.intake import read_job
from auditor.job.model import Job
from tests.intake.workbooks import DEVICES, PULLS, job_workbook

ROWS = {"Devices": DEVICES, "Pulls": [["Pull list"], [], *PULLS, ["P4", "K2", "T3", 10, "16/2"]]}


def in_short(job: Job) -> tuple[Any, ...]:
    return (
        [(d.tag, d.room, d.quantity, d.power_w, d.where) for d in job.devices],
        [(p.id, p.near, p.far, p.length_m, p.cable, p.where) for p in job.pulls],
        [(t.kind, t.sheet, t.header_row, t.columns, t.rows) for t in job.tables],
    )


EXPECTED = in_short(read_job(job_workbook(DEVICES, ROWS["Pulls"]), "a.xlsx"))


def xls(struck_row: int | None = None, hidden_row: int | None = None) -> bytes:
    xlwt = pytest.importorskip("xlwt")
    book = xlwt.Workbook()
    line = xlwt.easyxf("font: struck_out on")
    for title, rows in ROWS.items():
        sheet = book.add_sheet(title)
        for r, row in enumerate(rows):
            for c, value in enumerate(row):
                if title == "Pulls" and r + 1 == struck_row:
                    sheet.write(r, c, value, line)
                else:
                    sheet.write(r, c, value)
        if title == "Pulls" and hidden_row:
            sheet.row(hidden_row - 1).hidden = True
    held = io.BytesIO()
    book.save(held)
    return held.getvalue()


def test_xls() -> None:
    assert in_short(read_job(xls(), "a.xls")) == EXPECTED


def test_xls_with_struck_through_and_hidden_rows() -> None:
    job = read_job(xls(struck_row=5, hidden_row=6), "a.xls")
    assert [p.id for p in job.pulls] == ["P1", "P3", "P4"]
    assert [r.message for r in job.remarks] == [
        "row 5 left out: struck through, so taken as deleted",
        "row 6 hidden in the workbook; audited all the same",
    ]


def test_xls_without_the_library_that_tells_struck_through_rows(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "xlrd", None)
    job = read_job(xls(), "a.xls")
    assert in_short(job) == EXPECTED
    said = "struck-through rows and error cells cannot be told in .xls here; save it as .xlsx"
    assert [r.message for r in job.remarks] == [said, said]


@pytest.mark.parametrize("keep", [600, 3000, 5000])
def test_damaged_xls(keep: int) -> None:
    with pytest.raises(UnusableFileError, match=r"damaged|no workbook"):
        read_job(xls()[:keep], "a.xls")


def ods(struck_row: int | None = None, hidden_row: int | None = None, error: bool = False) -> bytes:
    pytest.importorskip("odf")
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.style import Style, TextProperties
    from odf.table import Table, TableCell, TableRow
    from odf.text import P

    document = OpenDocumentSpreadsheet()
    line = Style(name="line", family="table-cell")
    line.addElement(TextProperties(textlinethroughstyle="solid"))
    document.automaticstyles.addElement(line)
    for title, rows in ROWS.items():
        table = Table(name=title)
        for r, row in enumerate(rows, 1):
            element = TableRow(visibility="collapse" if title == "Pulls" and r == hidden_row else "visible")
            for value in row:
                style = {"stylename": line} if title == "Pulls" and r == struck_row else {}
                if isinstance(value, int | float):
                    cell = TableCell(valuetype="float", value=value, **style)
                    cell.addElement(P(text=str(value)))
                else:
                    shown = "#REF!" if error and value == "P4" else value
                    cell = TableCell(valuetype="string", **style)
                    cell.addElement(P(text=shown))
                element.addElement(cell)
            table.addElement(element)
        table.addElement(TableRow(numberrowsrepeated=1_000_000))
        document.spreadsheet.addElement(table)
    held = io.BytesIO()
    document.write(held)
    return held.getvalue()


def test_ods() -> None:
    assert in_short(read_job(ods(), "a.ods")) == EXPECTED


def test_ods_with_struck_through_and_hidden_rows_and_an_error() -> None:
    job = read_job(ods(struck_row=5, hidden_row=6, error=True), "a.ods")
    assert [p.id for p in job.pulls] == ["P1", "P3", "K2 to T3"]
    assert [u.text for p in job.pulls for u in p.unread] == ["#REF!"]
    assert [r.message for r in job.remarks] == [
        "row 5 left out: struck through, so taken as deleted",
        "row 6 hidden in the workbook; audited all the same",
    ]


def test_ods_that_repeats_a_cell_without_end() -> None:
    content = zipfile.ZipFile(io.BytesIO(ods())).read("content.xml")
    wide = content.replace(
        b'table:number-rows-repeated="1000000"/>',
        (
            b'table:number-rows-repeated="1000000"><table:table-cell table:number-columns-repeated="16000" '
            b'office:value-type="float" office:value="1"/></table:table-row>'
        ),
    )
    assert wide != content
    with pytest.raises(UnusableFileError, match="more than 8,000,000 cells"):
        read_job(ods_of(wide), "a.ods")


@pytest.mark.parametrize("value", [b"inf", b"nan"])
def test_ods_with_a_number_that_is_none(value: bytes) -> None:
    content = zipfile.ZipFile(io.BytesIO(ods())).read("content.xml")
    number = re.search(rb'office:value="[^"]+"', content)[0]
    job = read_job(ods_of(content.replace(number, b'office:value="' + value + b'"')), "a.ods")
    reasons = {unread.reason for row in (*job.pulls, *job.devices) for unread in row.unread}
    assert reasons == {"no number is saved in the cell; type it again"}


def test_ods_whose_numbers_are_words_is_damaged() -> None:
    content = zipfile.ZipFile(io.BytesIO(ods())).read("content.xml")
    number = re.search(rb'office:value="[^"]+"', content)[0]
    with pytest.raises(UnusableFileError, match="the file is damaged"):
        read_job(ods_of(content.replace(number, b'office:value="x"')), "a.ods")


def ods_of(content: bytes) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as package:
        package.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        package.writestr("content.xml", content)
    return held.getvalue()


def test_ods_with_a_password() -> None:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as package:
        package.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        package.writestr(
            "META-INF/manifest.xml", "<manifest:manifest><manifest:encryption-data/></manifest:manifest>"
        )
        package.writestr("content.xml", b"\x00\x01\x02")
    with pytest.raises(UnusableFileError, match="needs a password"):
        read_job(held.getvalue(), "a.ods")


@pytest.mark.parametrize("tail_bytes", [0, 100_000])
def test_xls_with_a_package_inside_as_programs_since_2007_write_it(tail_bytes: int) -> None:
    """They keep the theme of its colours as a package; it is an .xls all the same."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as theme:
        theme.writestr("theme/theme/theme1.xml", "<theme/>")
    rest = b"\0" * (-len(held.getvalue()) % 512 + tail_bytes // 512 * 512)
    assert in_short(read_job(xls() + held.getvalue() + rest, "a.xls")) == EXPECTED


def test_xls_of_the_time_before_workbooks() -> None:
    """One sheet without a compound file around it, and without a list of fonts."""

    def part(kind: int, content: bytes) -> bytes:
        return struct.pack("<HH", kind, len(content)) + content

    body = part(0x0409, struct.pack("<3H", 0, 0x10, 0)) + part(0x0443, struct.pack("<2H8B", 7, 0, *[0] * 8))
    for r, row in enumerate(PULLS):
        for c, value in enumerate(row):
            if isinstance(value, str):
                text = value.encode("cp1252")
                body += part(0x0204, struct.pack("<4H", r, c, 0, len(text)) + text)
            else:
                body += part(0x0203, struct.pack("<3Hd", r, c, 0, value))
    job = read_job(body + part(0x000A, b""), "a.xls")
    assert [(p.id, p.near, p.far, p.length_m) for p in job.pulls] == [
        (p.id, p.near, p.far, p.length_m) for p in read_job(job_workbook(), "a.xlsx").pulls
    ]


def record(kind: int, content: bytes = b"") -> bytes:
    """One record of a binary workbook."""
    head = bytes([kind]) if kind < 128 else bytes([kind & 0x7F | 0x80, kind >> 7])
    size, out = len(content), b""
    while True:
        size, low = size >> 7, size & 0x7F
        out += bytes([low | (0x80 if size else 0)])
        if not size:
            return head + out + content


def text(value: str) -> bytes:
    return struct.pack("<I", len(value)) + value.encode("utf-16-le")


def xlsb_styles() -> bytes:
    """Two fonts, the second struck through, and for each a cell format: 1 is struck through, 2 is plain.

    The format of a cell style that comes before them must not be counted with them.
    """

    def font(flags: int) -> bytes:
        return (
            struct.pack("<4H5B3B", 220, flags, 400, 0, 0, 2, 0, 0, 0, 7, 1, 0)
            + b"\0\0\0\xff\2"
            + text("Calibri")
        )

    def form(number: int, parent: int = 0) -> bytes:
        return record(
            47, struct.pack("<5H6B", parent, 0, number, 0, 0, 0, 0, 0x10, 0x10, 0, 0x08)
        )  # its own font

    fonts = record(611, struct.pack("<I", 2)) + record(43, font(0)) + record(43, font(0x08)) + record(612)
    fills = record(603, struct.pack("<I", 1)) + record(45, b"\0" * 68) + record(604)
    borders = record(613, struct.pack("<I", 1)) + record(46, b"\0" * 51) + record(614)
    styles = record(626, struct.pack("<I", 1)) + form(0, 0xFFFF) + record(627)
    cells = record(617, struct.pack("<I", 3)) + form(0) + form(1) + form(0) + record(618)
    return record(278) + fonts + fills + borders + styles + cells + record(279)


def xlsb_sheet(rows: list[list[Any]], hidden_row: int | None, struck_row: int | None, far: bool) -> bytes:
    body = record(129) + record(148, struct.pack("<4I", 0, len(rows) - 1, 0, 20))
    if hidden_row:  # and the first column with it
        body += record(390) + record(60, struct.pack("<4IH", 0, 0, 2304, 0, 1)) + record(391)
    body += record(145)
    for r, row in enumerate(rows):
        flags = 0x10 if r + 1 == hidden_row else 0
        body += record(0, struct.pack("<IIHBB", r, 0, 300, 0, flags) + b"\0" * 5)
        for c, value in enumerate(row):
            cell = struct.pack("<II", c, 1 if r + 1 == struck_row else 2)
            if value == "#REF!":
                body += record(3, cell + b"\x17")
            elif isinstance(value, str) and value:
                body += record(6, cell + text(value))
            elif value not in ("", None):
                body += record(5, cell + struct.pack("<d", value))
    if far:
        body += record(0, struct.pack("<IIHBB", 1_048_575, 0, 300, 0, 0) + b"\0" * 5)
        body += record(5, struct.pack("<IId", 16_383, 0, 1.0))
    return body + record(146) + record(130)


def xlsb(
    hidden_row: int | None = None, far: bool = False, error: bool = False, struck_row: int | None = None
) -> bytes:
    """A binary workbook of the least that makes one: written here because no library here writes it."""
    relations = b'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    bundle, parts = b"", {}
    for number, (title, rows) in enumerate(ROWS.items(), 1):
        shown = [["#REF!" if error and value == 120 else value for value in row] for row in rows]
        bundle += record(156, struct.pack("<II", 0, number) + text(f"rId{number}") + text(title))
        is_pulls = title == "Pulls"
        parts[f"xl/worksheets/sheet{number}.bin"] = xlsb_sheet(
            shown, hidden_row if is_pulls else None, struck_row if is_pulls else None, far and is_pulls
        )
        relations += (
            f'<Relationship Id="rId{number}" Target="worksheets/sheet{number}.bin" '
            'Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet"/>'
        ).encode()
    relations += (
        b'<Relationship Id="rId99" Target="styles.bin" '
        b'Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/styles"/>'
    )
    parts["xl/styles.bin"] = xlsb_styles()
    kinds = "application/vnd.ms-excel."
    types = f'<Default Extension="bin" ContentType="{kinds}sheet.binary.macroEnabled.main"/>'
    types += (
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    )
    types += f'<Override PartName="/xl/styles.bin" ContentType="{kinds}styles"/>'
    types += "".join(
        f'<Override PartName="/{part}" ContentType="{kinds}worksheet"/>' for part in parts if "sheet" in part
    )
    namespace = "http://schemas.openxmlformats.org/package/2006/content-types"
    parts["[Content_Types].xml"] = f'<Types xmlns="{namespace}">{types}</Types>'.encode()
    parts["_rels/.rels"] = (
        b'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
        b'<Relationship Id="rId1" Target="xl/workbook.bin" '
        b'Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument"/></Relationships>'
    )
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("xl/workbook.bin", record(131) + record(143) + bundle + record(144) + record(132))
        package.writestr("xl/_rels/workbook.bin.rels", relations + b"</Relationships>")
        for part, content in parts.items():
            package.writestr(part, content)
    return held.getvalue()


def test_xlsb() -> None:
    assert in_short(read_job(xlsb(), "a.xlsb")) == EXPECTED


def test_xlsb_with_a_hidden_row_and_an_error() -> None:
    job = read_job(xlsb(hidden_row=6, error=True), "a.xlsb")
    assert [(u.text, u.where.a1) for p in job.pulls for u in p.unread] == [("#REF!", "D4")]
    assert [r.message for r in job.remarks] == [
        "row 6 hidden in the workbook; audited all the same",
        "the column 'Pull' is hidden; it is read all the same",
    ]


def test_xlsb_with_a_struck_through_row() -> None:
    job = read_job(xlsb(struck_row=5), "a.xlsb")
    assert [pull.id for pull in job.pulls] == ["P1", "P3", "P4"]
    assert [r.message for r in job.remarks] == ["row 5 left out: struck through, so taken as deleted"]


def test_xlsb_as_another_program_understands_it(tmp_path: Path) -> None:
    """What is struck through and hidden in the file written here is so for LibreOffice as well."""
    office = shutil.which("soffice")
    if office is None:
        pytest.skip("LibreOffice (soffice) is not installed: no second opinion on the binary format")
    source = tmp_path / "a.xlsb"
    source.write_bytes(xlsb(struck_row=5, hidden_row=6))
    profile = f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}"
    command = [office, profile, "--headless", "--convert-to", "ods", "--outdir", str(tmp_path), str(source)]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    ours, theirs = (read_job((tmp_path / name).read_bytes(), name) for name in ("a.xlsb", "a.ods"))
    assert in_short(theirs)[:2] == in_short(ours)[:2]
    assert theirs.remarks == ours.remarks


def test_xlsb_with_a_cell_that_no_reader_can_hold() -> None:
    with pytest.raises(UnusableFileError, match=r"a cell on 'Pulls' stands in row 1,048,576, column 16,384"):
        read_job(xlsb(far=True), "a.xlsb")


def test_csv() -> None:
    import csv

    held = io.StringIO()
    csv.writer(held).writerows(PULLS)
    job = read_job(held.getvalue().encode(), "Pulls.csv")
    expected = read_job(job_workbook(), "a.xlsx")
    assert [(p.id, p.near, p.far, p.length_m, p.where.row) for p in job.pulls] == [
        (p.id, p.near, p.far, p.length_m, p.where.row) for p in expected.pulls
    ]

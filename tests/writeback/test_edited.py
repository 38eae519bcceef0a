"""An annotated workbook that a spreadsheet program has edited and written anew."""

import io
import shutil
import subprocess
from pathlib import Path

import openpyxl
import pytest

from auditor.model import Table
from auditor.writeback import annotate, is_annotated, strip
from tests.writeback import books
from tests.writeback.compare import out_of_order, parts

SOFFICE = shutil.which("soffice")
pytestmark = pytest.mark.filterwarnings("ignore:.*xtension is not supported")


def edited(data: bytes, change) -> bytes:
    book = openpyxl.load_workbook(io.BytesIO(data))
    change(book)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def converted(data: bytes, folder: Path, kind: str = "xlsx") -> bytes:
    """Opened and saved by LibreOffice."""
    if SOFFICE is None:
        pytest.skip("LibreOffice is not installed")
    (folder / "in.xlsx").write_bytes(data)
    profile = f"-env:UserInstallation=file://{folder}/profile"
    command = [
        SOFFICE,
        profile,
        "--headless",
        "--convert-to",
        kind,
        "--outdir",
        str(folder / "out"),
        "in.xlsx",
    ]
    subprocess.run(command, cwd=folder, check=True, capture_output=True, timeout=120)
    return (folder / "out" / f"in.{kind}").read_bytes()


def cells(data: bytes, sheet: str = "Pulls") -> dict[str, object]:
    found = openpyxl.load_workbook(io.BytesIO(data))[sheet]
    values = {cell.coordinate: cell.value for row in found.iter_rows() for cell in row}
    return {place: getattr(value, "text", value) for place, value in values.items() if value is not None}


def names(data: bytes) -> list[str]:
    return [sheet.title for sheet in openpyxl.load_workbook(io.BytesIO(data)).worksheets]


def annotated(source: bytes, where: Table | None = None) -> bytes:
    return annotate(source, [books.columns(where or books.table())], books.scratch())


def test_notes_beside_our_columns_stay_and_ours_are_replaced_in_place():
    def note(book):
        book["Pulls"]["J6"] = "ask the architect"
        book["Pulls"]["G5"] = "typed over"
        book["Pulls"]["D5"] = 999
        book["Audit"].title = "our audit, renamed"  # the names follow, as in a spreadsheet program
        book.defined_names["_auditor.sheet.1"].attr_text = "'our audit, renamed'!$A$1:$XFD$1048576"

    once = edited(annotated(books.plain()), note)
    again = annotated(once)
    found = cells(again)
    assert found["J6"] == "ask the architect"
    assert found["D5"] == 999
    assert [found[f"{column}4"] for column in "GHI"] == ["Verdict", "Why", "Volts"]
    assert found["G5"] == books.WORDS[5 % 3]
    assert names(again) == ["Pulls", "Audit", "Power budget"]
    assert "K4" not in found
    assert annotated(again) == again
    assert out_of_order(again) == []


def test_an_edited_copy_is_stripped_by_its_names():
    bare = strip(edited(annotated(books.plain()), lambda book: book["Pulls"].__setitem__("J6", "a note")))
    assert cells(bare) == cells(books.plain()) | {"J6": "a note"}
    assert names(bare) == ["Pulls"]
    assert not is_annotated(bare)
    assert strip(bare) == bare
    book = openpyxl.load_workbook(io.BytesIO(bare))
    assert not book.defined_names
    assert not book["Pulls"].conditional_formatting
    assert not any(cell.hyperlink for row in book["Pulls"].iter_rows() for cell in row)
    assert not [name for name in parts(bare) if "customXml" in name or "chart" in name]


def test_rows_and_columns_inserted_by_a_program_that_moves_names():
    """The names moved as a spreadsheet program moves them; one column of theirs between ours."""

    def insert(book):
        sheet = book["Pulls"]
        sheet.insert_cols(8)
        sheet.insert_rows(2)
        sheet["H6"] = "theirs, between ours"
        for name, column in zip(sorted(book.defined_names), "GIJ", strict=False):
            book.defined_names[name].attr_text = f"Pulls!${column}$5:${column}$17"

    bare = strip(edited(annotated(books.plain()), insert))
    found = cells(bare)
    assert found["H6"] == "theirs, between ours"
    assert not [place for place in found if place[0] in "GIJ"]
    moved = books.table(header_row=5, first_row=6, last_row=17, rows=tuple(range(6, 18)))
    again = cells(annotated(bare, moved))
    assert [again[f"{column}5"] for column in "IJK"] == ["Verdict", "Why", "Volts"]


def test_a_sheet_of_theirs_behind_ours_keeps_its_local_names():
    def move(book):
        last = book.create_sheet("Later")
        last["A1"] = 1
        last.print_area = "A1:B2"
        book.active = 3

    bare = strip(edited(annotated(books.plain()), move))
    book = openpyxl.load_workbook(io.BytesIO(bare))
    assert book.sheetnames == ["Pulls", "Later"]
    assert book["Later"].print_area == "'Later'!$A$1:$B$2"
    assert book.active.title == "Later"


def test_a_list_object_that_was_widened_is_narrowed_again():
    source = books.by_openpyxl()
    again = strip(edited(annotated(source), lambda book: book["Pulls"].__setitem__("K9", "x")))
    listed = openpyxl.load_workbook(io.BytesIO(again))["Pulls"].tables["Pulls_table"]
    assert listed.ref == "A4:F16"
    assert [column.name for column in listed.tableColumns] == list(books.HEADER)
    assert out_of_order(again) == []


def test_saved_by_libreoffice_and_annotated_again(tmp_path):
    saved = converted(annotated(books.by_xlsxwriter()), tmp_path)
    assert is_annotated(saved)
    again = annotated(saved)
    found = cells(again)
    assert [found[f"{column}4"] for column in "GHI"] == ["Verdict", "Why", "Volts"]
    assert "J4" not in found
    assert names(again).count("Audit") == 1
    assert annotated(again) == again
    assert out_of_order(again) == []
    assert not is_annotated(strip(saved))
    assert cells(strip(saved)) == cells(converted(books.by_xlsxwriter(), tmp_path))


def test_a_workbook_written_by_libreoffice_loses_nothing(tmp_path):
    from tests.writeback.compare import lost

    source = converted(books.by_xlsxwriter(), tmp_path)
    assert lost(source, annotated(source), [books.table()], {"Pulls": 7}) == []
    assert out_of_order(annotated(source)) == []
    assert {name: content for name, (content, _) in parts(strip(annotated(source))).items()} == {
        name: content for name, (content, _) in parts(source).items()
    }

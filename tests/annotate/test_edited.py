"""An annotated workbook that a spreadsheet program has edited and written anew."""

import dataclasses
import io
import shutil
import subprocess
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from lxml import etree
from openpyxl.worksheet.table import TableColumn

from auditor.annotate import Workbook
from auditor.job.model import Table
from tests.annotate import books
from tests.annotate.calls import annotate, is_annotated
from tests.annotate.calls import strip as stripped
from tests.annotate.compare import parts
from tests.annotate.repair import faults
from tests.annotate.test_forms import contents

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
    return sound(annotate(source, [books.columns(where or books.table())], books.scratch()), source)


def strip(data: bytes) -> bytes:
    return sound(stripped(data), data)


def sound(data: bytes, source: bytes) -> bytes:
    """Nothing is wrong that the program that saved it has not written so."""
    assert set(faults(data)) <= set(faults(source))
    return data


def test_notes_beside_our_columns_stay_and_ours_are_replaced_in_place():
    def note(book):
        book["Pulls"]["J6"] = "ask the architect"
        book["Pulls"]["G5"] = "typed over"
        book["Pulls"]["D5"] = 999
        book["Audit"].title = "our audit, renamed"  # the names follow, as in a spreadsheet program
        book.defined_names[
            next(name for name in book.defined_names if name.startswith("_auditor.sheet.1"))
        ].attr_text = "'our audit, renamed'!$A$1:$XFD$1048576"

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


def test_columns_that_have_become_more_go_back_where_they_stood_and_the_rest_behind_the_remark():
    """A remark stands right behind ours: nothing of it moves, and no column is left empty."""

    def note(book):
        book["Pulls"]["J4"], book["Pulls"]["J6"] = "My remarks", "ask the architect"

    where, source = books.table(), edited(books.by_xlsxwriter(), lambda book: None)
    three = books.columns(where).columns
    four = books.columns(where, columns=(*three, dataclasses.replace(three[2], header="Amperes")))
    once = edited(annotated(source), note)
    again = sound(annotate(once, [four], books.scratch()), once)
    found = cells(again)
    assert [found[f"{column}4"] for column in "GHIJK"] == ["Verdict", "Why", "Volts", "My remarks", "Amperes"]
    assert (found["J6"], found["K6"]) == ("ask the architect", found["I6"])
    assert annotate(again, [four], books.scratch()) == again
    assert cells(strip(again)) == cells(source) | {"J4": "My remarks", "J6": "ask the architect"}
    fewer = cells(annotate(again, [books.columns(where)], books.scratch()))
    assert [fewer.get(f"{column}4") for column in "GHIJK"] == ["Verdict", "Why", "Volts", "My remarks", None]


@pytest.mark.parametrize("by_program", [False, True])
def test_rows_that_were_as_tall_as_our_texts_needed_are_fitted_anew(by_program, tmp_path):
    """A library writes a fitted height as one that was set. The estimator's own stay."""

    def own(book):
        book["Pulls"].row_dimensions[9].height = 40.5
        book["Pulls"].row_dimensions[2].height = 30

    long = dataclasses.replace(
        books.columns(books.table()).columns[1],
        header="Why " * 20,
        values=dict.fromkeys((6, 8, 9), "word " * 20),
    )
    added = [books.columns(books.table(), columns=(long,))]
    source = edited(books.by_xlsxwriter(), own)
    copy = annotate(source, added, books.scratch())
    saved = converted(copy, tmp_path) if by_program else edited(copy, lambda book: None)
    taller = {4: 30.0, 6: 45.0, 8: 45.0}
    for each in (copy, saved):
        assert (heights(each, own=False) | heights(each, own=True)).items() >= taller.items()
    bare, again = strip(saved), annotate(saved, added, books.scratch())
    assert heights(bare, own=True) == heights(again, own=True) == heights(source, own=True)
    assert not heights(bare, own=False).keys() & taller.keys()
    assert heights(again, own=False).items() >= taller.items()


def heights(data: bytes, *, own: bool) -> dict[int, float]:
    """Row -> height, of the rows whose height was set (`own`), or whose height a program has fitted."""
    rows = etree.fromstring(contents(data)["xl/worksheets/sheet1.xml"]).iter("{*}row")
    return {
        int(row.get("r")): float(row.get("ht"))
        for row in rows
        if row.get("ht") and (row.get("customHeight") in ("1", "true")) == own
    }


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


def test_saved_by_libreoffice_and_annotated_again(tmp_path):
    saved = converted(annotated(books.by_xlsxwriter()), tmp_path)
    assert is_annotated(saved)
    again = annotated(saved)
    found = cells(again)
    assert [found[f"{column}4"] for column in "GHI"] == ["Verdict", "Why", "Volts"]
    assert "J4" not in found
    assert names(again).count("Audit") == 1
    assert annotated(again) == again
    assert not is_annotated(strip(saved))
    assert cells(strip(saved)) == cells(converted(books.by_xlsxwriter(), tmp_path))


def test_a_workbook_written_by_libreoffice_loses_nothing(tmp_path):
    from tests.annotate.compare import lost

    source = converted(books.by_xlsxwriter(), tmp_path)
    assert lost(source, annotated(source), [books.table()], {"Pulls": 7}) == []
    assert {name: content for name, (content, _) in parts(strip(annotated(source))).items()} == {
        name: content for name, (content, _) in parts(source).items()
    }


def kept(data: bytes) -> list[str]:
    return [said for said in Workbook(data).kept if "kept" in said]


def unmoved(change):
    """The change as a library makes it that leaves defined names where they were."""
    return edited(annotated(books.plain()), change)


def test_a_column_inserted_without_the_names_being_moved_is_not_taken_for_ours():
    def insert(book):
        sheet = book["Pulls"]
        sheet.insert_cols(8)
        sheet["H4"], sheet["H6"] = "Site check", "theirs, between ours"

    once = unmoved(insert)
    bare = strip(once)
    assert cells(bare) == cells(books.plain()) | {"H4": "Site check", "H6": "theirs, between ours"}
    assert kept(once) == []
    again = cells(annotated(once))
    assert [again[f"{column}4"] for column in "HIJK"] == ["Site check", "Verdict", "Why", "Volts"]


@pytest.mark.parametrize("rows", [(2, 1), (8, 2), (16, 1)])
def test_rows_inserted_without_the_names_being_moved(rows):
    bare = cells(strip(unmoved(lambda book: book["Pulls"].insert_rows(*rows))))
    assert bare == cells(edited(books.plain(), lambda book: book["Pulls"].insert_rows(*rows)))


def test_rows_deleted_without_the_names_being_moved_do_not_draw_in_what_stands_below():
    def delete(book):
        book["Pulls"]["G18"] = "theirs, below"
        book["Pulls"].delete_rows(6, 3)

    assert cells(strip(unmoved(delete))) == cells(edited(books.plain(), delete))


def test_a_column_with_another_heading_is_kept_and_named():
    def rename(book):
        book["Pulls"]["H4"] = "Remarks"
        book["Pulls"]["H7"] = "ask"

    once = unmoved(rename)
    bare = cells(strip(once))
    assert (bare["H4"], bare["H7"]) == ("Remarks", "ask")
    assert not [place for place in bare if place[0] in "GI"]
    assert kept(once) == [
        "Column H of 'Pulls' stands where an added one stood, but it is not certain that it is that one, so "
        "it was kept; delete it if nobody needs it."
    ]
    again = annotated(once)
    assert cells(again)["H7"] == "ask"
    assert [cells(again)[f"{column}4"] for column in "IJK"] == ["Verdict", "Why", "Volts"]
    assert kept(again) == []


def test_of_two_columns_with_our_heading_neither_is_removed():
    def twin(book):
        sheet = book["Pulls"]
        sheet.insert_cols(9)
        sheet["I4"], sheet["I6"] = "Volts", "theirs"

    once = unmoved(twin)
    assert cells(strip(once))["I6"] == "theirs"
    assert [said[:8] for said in kept(once)] == ["Column I"]


def test_a_column_of_ours_that_was_emptied_is_not_worth_a_word():
    def clear(book):
        for row in range(4, 17):
            book["Pulls"].cell(row, 8).value = None

    once = unmoved(clear)
    assert (kept(once), cells(strip(once))) == ([], cells(books.plain()))


def test_a_sheet_of_theirs_in_the_place_of_ours_is_kept():
    def exchange(book):
        del book["Audit"]
        book.create_sheet("Audit")["A1"] = "audit of the accounts"

    once = unmoved(exchange)
    assert names(strip(once)) == ["Pulls", "Audit"]
    assert [said[:17] for said in kept(once)] == ["The sheet 'Audit'"]


def test_a_filter_on_our_verdict_goes_with_it_and_hides_nothing():
    def sift(book):
        sheet = book["Pulls"]
        sheet.auto_filter.ref = "A4:I16"
        sheet.auto_filter.add_filter_column(6, ["fail"])
        sheet.auto_filter.add_sort_condition("G5:G16", descending=True)
        for row in range(5, 17, 2):
            sheet.row_dimensions[row].hidden = True

    once = unmoved(sift)
    assert Workbook(once).kept == (
        "A filter on an added column of 'Pulls' was taken out with it; its hidden rows are shown.",
    )
    sheet = openpyxl.load_workbook(io.BytesIO(strip(once)))["Pulls"]
    assert (sheet.auto_filter.ref, sheet.auto_filter.filterColumn) == ("A4:F16", [])
    assert sheet.auto_filter.sortState is None
    assert not any(sheet.row_dimensions[row].hidden for row in range(1, 20))
    again = openpyxl.load_workbook(io.BytesIO(annotated(once)))["Pulls"]
    assert again.auto_filter.ref == "A4:I16"


def test_a_list_object_with_a_column_of_theirs_between_ours_agrees_with_its_headings():
    def insert(book):
        sheet = book["Pulls"]
        sheet.insert_cols(8)
        sheet["H4"] = "Site check"
        sheet.tables["Pulls_table"].ref = "A4:J16"
        sheet.tables["Pulls_table"].autoFilter.ref = "A4:J16"
        listed = sheet.tables["Pulls_table"]
        listed.tableColumns.insert(7, TableColumn(id=20, name="Site check"))

    once = edited(annotated(books.by_openpyxl()), insert)
    for data in (strip(once), annotated(once)):
        sheet = openpyxl.load_workbook(io.BytesIO(data))["Pulls"]
        listed = sheet.tables["Pulls_table"]
        heading = [cell.value for cell in sheet[listed.ref][0]]
        assert [column.name for column in listed.tableColumns] == heading
        assert heading[:8] == [*books.HEADER, "Column1", "Site check"]
        assert listed.autoFilter.ref == listed.ref


TYPED = "What was typed on added sheets or over added columns goes with them: {}"


def typed(book):
    book["Audit"]["J3"] = "note on your sheet"
    book["Power budget"]["K80"] = 12
    book["Audit"]["A5"] = "typed over"
    book["Audit"]["B5"] = 99
    book["Pulls"]["H7"] = "typed over why"
    book["Pulls"]["K7"] = "a note that stays"


def test_what_is_typed_is_told_from_ours_whatever_program_has_saved_the_copy(tmp_path):
    once = edited(annotated(books.by_xlsxwriter()), typed)
    for saved in (once, converted(once, tmp_path)):
        found = Workbook(saved)
        assert {each.place: each.value for each in found.remarks} == {
            "'Audit'!J3": "note on your sheet",
            "'Audit'!A5": "typed over",
            "'Audit'!B5": 99,
            "'Power budget'!K80": 12,
            "'Pulls'!H7": "typed over why",
            "'Pulls'!K7": "a note that stays",
        }
        assert [each.place for each in found.remarks if each.stays] == ["'Pulls'!K7"]
        assert found.kept == ()
        assert cells(annotated(saved))["K7"] == "a note that stays"


def test_stripping_names_what_goes_with_our_sheets():
    once = edited(annotated(books.by_xlsxwriter()), typed)
    places = (
        "'Audit'!J3 «note on your sheet», 'Audit'!A5 «typed over», 'Audit'!B5 «99», 'Power budget'!K80 «12», "
        "'Pulls'!H7 «typed over why»"
    )
    assert Workbook(once).gone() == [TYPED.format(places)]


def test_nothing_is_typed_in_a_copy_that_was_only_saved(tmp_path):
    once = annotated(books.by_xlsxwriter())
    for saved in (once, edited(once, lambda _: None), converted(once, tmp_path)):
        assert Workbook(saved).remarks == ()
        assert Workbook(saved).kept == ()


def test_of_a_copy_that_remembers_nothing_odd_texts_in_our_columns_are_told():
    def over(book):
        for name in [name for name in book.defined_names if ".texts." in name or ".figures." in name]:
            del book.defined_names[name]
        sheet = book["Pulls"]
        heading = {sheet.cell(books.table().header_row, column).value: column for column in range(1, 20)}
        for header in ("Verdict", "Why", "Volts"):
            sheet.cell(6, heading[header]).value = f"typed over {header}"

    once = edited(annotated(books.by_xlsxwriter()), over)
    found = [each.place for each in Workbook(once).remarks if each.sheet == "Pulls"]
    assert found == ["'Pulls'!G6", "'Pulls'!I6"]


def test_a_program_that_moves_the_mark_leaves_nothing_of_it_behind(tmp_path):
    """LibreOffice relates the package to it, in the workbook's stead."""
    saved = converted(annotated(books.by_xlsxwriter()), tmp_path)
    assert b"customXml" in contents(saved)["_rels/.rels"]
    bare = contents(strip(saved))
    assert [name for name in bare if name.startswith("customXml")] == []
    assert b"customXml" not in bare["_rels/.rels"]


def test_sheets_of_many_rows_are_known_by_their_first_cell():
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    for name in ("Audit", "Cut list"):
        sheet = book.add_worksheet(name)
        for row in range(20_000):
            sheet.write_string(row, 0, f'{name}: row {row} <&> " of many')
    book.close()
    once = annotate(books.plain(), [books.columns(books.table())], out.getvalue())
    edits = edited(once, lambda book: book["Pulls"].__setitem__("K9", "x"))
    assert names(strip(edits)) == ["Pulls"]
    assert Workbook(edits).kept == ()

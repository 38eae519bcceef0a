"""Nothing that we write makes a spreadsheet program offer a repair."""

import io
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from auditor.annotate import AddedColumn, Workbook
from auditor.annotate.annotated import Audited, annotated_copy
from auditor.audit import audit
from auditor.intake import read_job
from auditor.profile.load import load_profile
from tests.annotate import books
from tests.annotate.calls import annotate, strip
from tests.annotate.compare import parts
from tests.annotate.repair import faults
from tests.annotate.test_faithful import SOURCES
from tests.annotate.test_forms import FORMS, feature, repacked

SAMPLES = sorted((Path(__file__).parents[2] / "sample_workbooks").rglob("*.xlsx"))
SHEET, BOOK, STYLES, TYPES = (
    "xl/worksheets/sheet1.xml",
    "xl/workbook.xml",
    "xl/styles.xml",
    "[Content_Types].xml",
)


def changed(part: str, old: str, new: str) -> Callable[[bytes], bytes]:
    def change(data: bytes) -> bytes:
        def one(content: bytes) -> bytes:
            assert re.search(old.encode(), content), old
            return re.sub(old.encode(), new.encode(), content, count=1)

        members = {name: content for name, (content, _) in parts(data).items()}
        members[part] = one(members[part])
        return rezipped(members)

    return change


def rezipped(members: dict[str, bytes]) -> bytes:
    import zipfile

    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return out.getvalue()


def rich(book, sheet):
    """What the changes below need to be there."""
    feature(book, sheet)
    sheet.write_comment("B5", "seen")
    sheet.merge_range("A22:C23", "merged")
    sheet.merge_range("A25:C25", "too")
    sheet.insert_image("P5", "logo.png", {"image_data": io.BytesIO(books.png())})
    sheet.data_validation("E5:E16", {"validate": "list", "source": ["18/2"]})
    sheet.add_table("R4:S8", {"columns": [{"header": "Tag"}, {"header": "Watts"}]})
    book.define_name("Total", "=Pulls!$D$5:$D$16")


DAMAGE = {
    "row out of order": (SHEET, r'<row r="7"', '<row r="3"', "row 3 behind row 6"),
    "cell out of order": (SHEET, r'<c r="B7"', '<c r="E7"', "behind column 5"),
    "cell of another row": (SHEET, r'<c r="B7"', '<c r="B8"', "cell B8 in row 7"),
    "style out of range": (SHEET, r'<c r="A5" s="\d+"', '<c r="A5" s="99999"', "style 99999"),
    "differential format out of range": (SHEET, r'dxfId="\d+"', 'dxfId="77"', "conditional format 77"),
    "priority twice": (SHEET, r'priority="2"', 'priority="1"', "priority 1 of 2"),
    "merges overlap": (SHEET, "A25:C25", "B23:D25", "merged ranges overlap"),
    "merges counted wrongly": (SHEET, r'<mergeCells count="2"', '<mergeCells count="3"', "count 3"),
    "no relationship": (SHEET, r'<drawing r:id="\w+"', '<drawing r:id="rId99"', "rId99 is no relationship"),
    "text too long": (SHEET, r"(<is><t[^>]*>)", r"\g<1>" + "x" * 32_768, "characters"),
    "not a number": (SHEET, r'(<c r="D7"[^>]*>)<v>[\d.]+</v>', r"\g<1><v>nan</v>", "'nan' is no number"),
    "forbidden character": (SHEET, r"(<is><t[^>]*>)", "\\g<1>&#1;", "sheet1.xml"),
    "link on nothing": (SHEET, r"location=\"'Audit'!A\d+\"", "location=\"'Nowhere'!A1\"", "leads to"),
    "validation counted wrongly": (
        SHEET,
        r'<dataValidations count="1"',
        '<dataValidations count="2"',
        "validations: count",
    ),
    "comment without a box": (
        "xl/drawings/vmlDrawing1.vml",
        'ObjectType="Note"',
        'ObjectType="Pict"',
        "1 comments, 0 boxes",
    ),
    "anchor backwards": (
        "xl/drawings/drawing1.xml",
        r"<xdr:from><xdr:col>\d+",
        "<xdr:from><xdr:col>99",
        "an anchor from",
    ),
    "heading is not the column's name": (
        "xl/tables/table1.xml",
        'name="Watts"',
        'name="Power"',
        "column 'Power'",
    ),
    "column name twice": ("xl/tables/table1.xml", 'name="Watts"', 'name="TAG"', "column 'tag' twice"),
    "filter is not the table": (
        "xl/tables/table1.xml",
        '<autoFilter ref="R4:S8"',
        '<autoFilter ref="R4:S9"',
        "filter on R4:S9",
    ),
    "sheet name too long": (BOOK, 'name="Audit"', f'name="{"x" * 32}"', "sheet name"),
    "sheet name with a colon": (BOOK, 'name="Audit"', 'name="a:b"', "sheet name 'a:b'"),
    "sheet id twice": (BOOK, r'sheetId="2"', 'sheetId="1"', "sheetId 1 twice"),
    "name on a sheet that is not there": (BOOK, r'localSheetId="0"', 'localSheetId="9"', "on sheet 9 of"),
    "name like a cell": (BOOK, 'name="Total"', 'name="AB12"', "looks like a cell"),
    "name with a blank": (BOOK, 'name="Total"', 'name="a b"', "defined name 'a b'"),
    "formats counted wrongly": (STYLES, r'<cellXfs count="\d+"', '<cellXfs count="3"', "cellXfs counts 3"),
    "font out of range": (STYLES, r'(<cellXfs.*?)fontId="\d+"', r'\g<1>fontId="88"', "fontId 88"),
    "no content type": (TYPES, r'<Override PartName="/xl/styles.xml"[^>]*/>', "", "no content type"),
    "content type of nothing": (TYPES, "/xl/styles.xml", "/xl/other.xml", "which is not there"),
    "relationship to nothing": (
        "xl/_rels/workbook.xml.rels",
        "styles.xml",
        "gone.xml",
        "gone.xml, which is not there",
    ),
}


@pytest.fixture(scope="module")
def sound() -> bytes:
    return annotate(books.plain(rich), [books.columns(books.table())], books.scratch())


def test_the_workbook_that_is_damaged_below_is_sound(sound):
    assert faults(sound) == []


@pytest.mark.parametrize("case", DAMAGE)
def test_the_check_sees(case, sound):
    part, old, new, said = DAMAGE[case]
    if case == "no content type":  # the extension's default would do for a part of XML
        sound = changed(TYPES, r'<Default Extension="xml"[^>]*/>', "")(sound)
    found = faults(changed(part, old, new)(sound))
    assert [each for each in found if said in each], found


@pytest.mark.parametrize("source", SOURCES)
def test_annotated_copies_and_what_is_stripped_of_them(source):
    data = SOURCES[source][0]()
    annotated = annotate(data, [books.columns(books.table())], books.scratch())
    assert (faults(data), faults(annotated), faults(strip(annotated))) == ([], [], [])


@pytest.mark.parametrize("form", sorted(FORMS.keys() - {"no places"}))  # places are what is checked
def test_annotated_copies_of_all_forms(form):
    data = repacked(books.plain(feature), **FORMS[form])
    annotated = annotate(data, [books.columns(books.table())], books.scratch())
    assert set(faults(annotated)) <= set(faults(data))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_annotated_samples(path):
    content = path.read_bytes()
    profile = load_profile("two-wire-35w")
    judged = Audited(audit(read_job(content, path.name), profile), profile)
    copy, _ = annotated_copy(Workbook(content), [judged])
    assert (faults(content), faults(copy)) == ([], [])


def test_more_links_texts_and_formats_than_a_sheet_holds():
    rows = tuple(range(5, 70_000))
    column = AddedColumn(
        header="Why",
        width=9,
        kind="text",
        values=dict.fromkeys(rows, "pass") | {5: "x" * 40_000, 6: "a\x01b\ud800"},
        links=dict.fromkeys(rows, "'Pulls'!A1"),
    )
    where = books.table(last_row=rows[-1], rows=rows)
    assert faults(annotate(books.plain(), [books.columns(where, columns=[column])], None)) == []

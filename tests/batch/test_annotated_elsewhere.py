"""An annotated copy in another format has lost the marks of what is ours: it is never read as the job."""

import csv
import io
from collections.abc import Sequence

import pytest

from auditor.batch.work import Task, do
from auditor.errors import UnusableFileError
from auditor.intake import read_job
from auditor.intake.formats.cells import Sheet
from auditor.intake.formats.read import read_book
from auditor.report.job.sheets import WANTED_NAMES
from auditor.report.rebuilt import rebuilt
from auditor.results.findings import Verdict
from tests.intake.workbooks import DEVICES, PULLS, workbook

ASKING = [
    [*PULLS[0], "Status"],
    *([*row, ""] for row in PULLS[1:3]),
    [*PULLS[3], "by others"],
    ["P4", "PANEL", "B4", 30, "16/2", ""],  # has no port yet, so that a port plan changes something
]
WITH_ONE_MORE = [*DEVICES, ["B4", "Loft", 1, 0.5]]
HINT = "; drop in the annotated .xlsx or the original, or delete "


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """An annotated workbook with all the sheets that are ever added."""
    folder = tmp_path_factory.mktemp("job")
    (folder / "mill.xlsx").write_bytes(workbook({"Devices": WITH_ONE_MORE, "Pulls": ASKING}))
    target = folder / "mill.audited.xlsx"
    do(Task(path=str(folder / "mill.xlsx"), name="mill.xlsx", output=str(target), profile=None))
    return target.read_bytes()


def sheets(copy: bytes) -> list[Sheet]:
    return read_book(copy, "mill.audited.xlsx").sheets


def ods(sheets: Sequence[Sheet]) -> bytes:
    pytest.importorskip("odf")
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.table import Table, TableCell, TableRow
    from odf.text import P

    document = OpenDocumentSpreadsheet()
    for sheet in sheets:
        table = Table(name=sheet.name)
        for cells in sheet.rows:
            row = TableRow()
            for value in cells:
                number = {"valuetype": "float", "value": value} if isinstance(value, float) else {}
                cell = TableCell(**(number or {"valuetype": "string"}))
                cell.addElement(P(text=str(value)))
                row.addElement(cell)
            table.addElement(row)
        document.spreadsheet.addElement(table)
    held = io.BytesIO()
    document.write(held)
    return held.getvalue()


def as_csv(sheet: Sheet) -> bytes:
    held = io.StringIO()
    csv.writer(held).writerows(sheet.rows)
    return held.getvalue().encode()


def refusal(data: bytes, name: str) -> str:
    with pytest.raises(UnusableFileError) as refused:
        read_job(data, name)
    return str(refused.value)


def test_the_copy_holds_all_that_is_ever_added(copy: bytes) -> None:
    assert [sheet.name for sheet in sheets(copy)] == ["Devices", "Pulls", *WANTED_NAMES]


def test_a_whole_copy_in_another_format_is_refused(copy: bytes) -> None:
    listed = ", ".join(map(repr, WANTED_NAMES))
    delete = f"the sheets {listed} and the columns from 'Audit verdict' on in 'Devices', 'Pulls'"
    for name, data in (("mill.ods", ods(sheets(copy))), ("mill.xlsx", rebuilt(sheets(copy)))):
        said = refusal(data, name)
        assert said.startswith(f"{name}: this is an annotated copy saved as {name[4:]}, ")
        assert said.endswith(f"{HINT}{delete}")


@pytest.mark.parametrize("number", range(2 + len(WANTED_NAMES)))
def test_each_sheet_saved_as_text_is_refused(copy: bytes, number: int) -> None:
    sheet = sheets(copy)[number]
    what = "the columns from 'Audit verdict' on in" if number < 2 else "the sheet"
    assert refusal(as_csv(sheet), "mill.csv").endswith(f"{HINT}{what} 'mill'")


def test_what_is_left_once_ours_is_deleted_is_read(copy: bytes) -> None:
    job = sheets(copy)[:2]
    for sheet in job:
        width = len((DEVICES if sheet.name == "Devices" else ASKING)[0])
        sheet.rows = [cells[:width] for cells in sheet.rows]
    assert len(read_job(ods(job), "mill.ods").pulls) == len(ASKING) - 1


def test_a_marked_copy_is_audited_as_ever(copy: bytes, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("again")
    (folder / "mill.audited.xlsx").write_bytes(copy)
    task = Task(path=str(folder / "mill.audited.xlsx"), name="mill.audited.xlsx", output="", profile=None)
    (audit,) = do(task).audits
    assert audit.verdict is not Verdict.UNREADABLE

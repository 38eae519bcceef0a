"""What people typed on our sheets, over our columns and in the summary stays with its subject, or is named."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from openpyxl.comments import Comment
from openpyxl.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from auditor.batch.summary_file import write_summary_file
from auditor.job.remarks import REMARKS_HEADING
from tests.batch.answering import by_libreoffice, edit, opened
from tests.batch.runs import names, run
from tests.intake.workbooks import workbook

COPY, SECOND, SUMMARY = "mill.audited.xlsx", "mill.audited-2.xlsx", "summary.xlsx"
OUT = [COPY, "results.jsonl", SUMMARY]
DEVICES = [["Tag", "Power (W)"], ["K1", 1], ["K2", 1], ["K3", 1]]
PULLS = [
    ["Pull", "From", "To", "Length (ft)"],
    ["P1", "C1.1", "K1", 120],
    ["P2", "K1", "K2", 80],
    ["P3", "K2", "K3", 300],
]
PROGRAMS = pytest.mark.parametrize("office", [False, True], ids=["by openpyxl", "and LibreOffice"])


def place(sheet: Worksheet, text: str) -> tuple[int, int]:
    """Row and column of the one cell with this text."""
    ((row, column),) = [
        (cell.row, cell.column) for cells in sheet.iter_rows() for cell in cells if cell.value == text
    ]
    return row, column


def in_row_of(sheet: Worksheet, name: str, heading: str) -> Any:
    """The cell of a row under a heading."""
    return sheet.cell(place(sheet, name)[0], place(sheet, heading)[1])


def row_of(sheet: Worksheet, name: str) -> list[object]:
    return [cell.value for cell in sheet[place(sheet, name)[0]] if cell.value is not None]


@pytest.fixture
def source(tmp_path: Path) -> Path:
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "mill.xlsx").write_bytes(workbook({"Devices": DEVICES, "Pulls": PULLS}))
    return folder


@pytest.fixture
def out(source: Path, tmp_path: Path) -> Path:
    run("check", source, "--out", tmp_path / "out")
    assert names(tmp_path / "out") == OUT
    return tmp_path / "out"


def typed(out: Path, name: str, change: Callable[[Workbook], object], office: bool) -> None:
    edit(out / name, change)
    if office:
        by_libreoffice(out / name, out.parent / "office")


def said(source: Path, out: Path) -> str:
    done = run("check", source, "--out", out)
    assert done.stderr == ""
    return done.stdout


def work(book: Workbook) -> None:
    """A tick, words over our columns, remarks right of, below and over what stands on our sheets."""
    cuts, devices = book["Cut list"], book["Devices"]
    in_row_of(cuts, "P2", "Cut").value = "x"
    cuts.cell(place(cuts, "P3")[0], cuts.max_column + 1).value = "measure again"
    cuts.cell(cuts.max_row + 3, 2).value = "drum 4 is wet"
    in_row_of(cuts, "P1", "To").value = "the hall"
    in_row_of(cuts, "P1", "To").comment = Comment("by the door", "est")
    in_row_of(devices, "K2", "Port").value = "ask Amann"
    in_row_of(devices, "K3", "Audit verdict").value = "seen"
    in_row_of(book["Pulls"], "P3", "Run total (ft)").value = 555


def assert_there(book: Workbook) -> None:
    cuts, devices, pulls = book["Cut list"], book["Devices"], book["Pulls"]
    assert in_row_of(cuts, "P2", "Cut").value == "x"
    assert [in_row_of(cuts, name, "Cut").value for name in ("P1", "P3")] == [None, None]
    assert row_of(cuts, "P3")[-1] == "measure again"
    assert place(cuts, "drum 4 is wet")[1] == 2
    assert row_of(cuts, "P1")[-2:] == ["the hall", "by the door"]
    assert in_row_of(cuts, "P1", "To").value == "K1"
    assert in_row_of(devices, "K2", REMARKS_HEADING).value == "Port: ask Amann"
    assert in_row_of(devices, "K2", "Port").value == "C1.1"
    assert in_row_of(devices, "K3", REMARKS_HEADING).value == "Audit verdict: seen"
    assert in_row_of(pulls, "P3", REMARKS_HEADING).value == "Run total (ft): 555"
    assert in_row_of(pulls, "P3", "Run total (ft)").value == (540 if pulls["A1"].value == "Mill" else 500)


@PROGRAMS
def test_what_was_typed_stays_in_the_one_copy(source: Path, out: Path, office: bool) -> None:
    typed(out, COPY, work, office)
    told = said(source, out)
    assert f"stands beside them now, in a table in the column «{REMARKS_HEADING}»" in told
    assert "'Devices'!E3 «ask Amann»" in told
    assert_there(opened(out / COPY))
    written = (out / COPY).read_bytes()
    assert "What was typed" not in said(source, out)  # nothing was typed since
    assert (out / COPY).read_bytes() == written
    assert names(out) == OUT


@PROGRAMS
def test_what_was_typed_follows_its_subject_into_a_changed_workbook(
    source: Path, out: Path, office: bool
) -> None:
    typed(out, COPY, work, office)
    kept = (out / COPY).read_bytes()
    title = [["Mill", None], []]
    rows = [DEVICES[0], ["K0", 1], *reversed(DEVICES[1:])]
    pulls = [PULLS[0], ["P0", "C1.1", "K0", 40], *reversed(PULLS[1:])]
    changed = {"Devices": [*title, *rows], "Pulls": [*title, *pulls]}
    (source / "mill.xlsx").write_bytes(workbook(changed))
    assert f"{COPY} was changed since it was written and is kept" in said(source, out)
    assert (out / COPY).read_bytes() == kept
    for _ in range(2):
        assert_there(opened(out / SECOND))
        said(source, out)
    assert names(out) == [SECOND, *OUT]


def test_what_finds_its_subject_no_more_is_named(source: Path, out: Path) -> None:
    edit(out / COPY, work)
    renamed = [[cell if cell != "P2" else "P9" for cell in row] for row in PULLS]
    tags = [[cell if cell != "K2" else "K9" for cell in row] for row in DEVICES]
    renamed = [[cell if cell != "K2" else "K9" for cell in row] for row in renamed]
    (source / "mill.xlsx").write_bytes(workbook({"Devices": tags, "Pulls": renamed}))
    told = said(source, out)
    (line,) = [each for each in told.splitlines() if "is not there any more" in each]
    assert "«ask Amann»" in line
    assert "'Cut list'!A" in line
    assert "«x»" in line
    assert "speaks of what is not there any more" in (out / "results.jsonl").read_text("utf-8")
    assert row_of(opened(out / SECOND)["Cut list"], "P3")[-1] == "measure again"


def test_a_remark_that_is_taken_out_does_not_come_back(source: Path, out: Path) -> None:
    edit(out / COPY, work)
    said(source, out)

    def clear(book: Workbook) -> None:
        in_row_of(book["Cut list"], "P2", "Cut").value = None
        in_row_of(book["Devices"], "K2", REMARKS_HEADING).value = None

    edit(out / COPY, clear)
    said(source, out)
    book = opened(out / COPY)
    assert in_row_of(book["Cut list"], "P2", "Cut").value is None
    assert in_row_of(book["Devices"], "K2", REMARKS_HEADING).value is None
    assert in_row_of(book["Devices"], "K3", REMARKS_HEADING).value == "Audit verdict: seen"


def test_a_remark_right_of_our_columns_stays_where_it_is(source: Path, out: Path) -> None:
    def beside(book: Workbook) -> None:
        book["Pulls"].cell(3, book["Pulls"].max_column + 2).value = "through the shaft"

    edit(out / COPY, beside)
    at = place(opened(out / COPY)["Pulls"], "through the shaft")
    said(source, out)
    assert place(opened(out / COPY)["Pulls"], "through the shaft") == at
    (source / "mill.xlsx").write_bytes(workbook({"Devices": DEVICES, "Pulls": [PULLS[0], *PULLS[:0:-1]]}))
    said(source, out)
    assert in_row_of(opened(out / SECOND)["Pulls"], "P2", REMARKS_HEADING).value == "through the shaft"


def remark(book: Workbook) -> None:
    jobs = book["Jobs"]
    row = place(jobs, "mill.xlsx")[0]
    jobs.cell(row, jobs.max_column + 1).value = "sent on Monday"
    jobs.cell(row + 6, 2).value = "ring the office"
    in_row_of(jobs, "mill.xlsx", "Profile").value = "which?"


@PROGRAMS
def test_remarks_in_the_summary_follow_the_row_of_their_job(source: Path, out: Path, office: bool) -> None:
    typed(out, SUMMARY, remark, office)
    (source / "barn.xlsx").write_bytes(workbook({"Devices": DEVICES, "Pulls": PULLS[:3]}))
    for _ in range(2):
        assert "is kept as" not in said(source, out)
        jobs = opened(out / SUMMARY)["Jobs"]
        assert row_of(jobs, "mill.xlsx")[-2:] == ["sent on Monday", "which?"]
        assert in_row_of(jobs, "mill.xlsx", "Profile").value == "two-wire-35w"
        assert place(jobs, "ring the office")[1] == 2
        assert len(row_of(jobs, "barn.xlsx")) < len(row_of(jobs, "mill.xlsx"))
    assert [name for name in names(out) if name.startswith("summary")] == [SUMMARY]


def test_a_summary_with_what_has_no_place_in_the_next_one_is_kept_and_named(source: Path, out: Path) -> None:
    def add(book: Workbook) -> None:
        remark(book)
        book.create_sheet("My list")["A1"] = "mill first"

    edit(out / SUMMARY, add)
    kept = (out / SUMMARY).read_bytes()
    (source / "mill.xlsx").rename(source / "barn.xlsx")
    told = said(source, out)
    assert (
        "summary.xlsx as it was is kept as summary-2.xlsx: it holds sheets that were added to it, 'My list'"
        in told
    )
    assert "what this text speaks of is not there any more, 'Jobs'!" in told
    assert "«sent on Monday»" in told
    assert (out / "summary-2.xlsx").read_bytes() == kept
    assert "summary-2" not in said(source, out)


def test_a_file_of_that_name_that_is_no_summary_of_ours_is_kept(source: Path, tmp_path: Path) -> None:
    out = tmp_path / "other"
    out.mkdir()
    (out / SUMMARY).write_bytes(b"no workbook")
    assert "is kept as summary-2.xlsx: it is not known what was typed in it" in said(source, out)
    assert (out / "summary-2.xlsx").read_bytes() == b"no workbook"


def test_a_summary_that_cannot_be_read_is_kept(out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    kept = (out / SUMMARY).read_bytes()
    with monkeypatch.context() as patched:
        patched.setattr(Path, "read_bytes", refuse)
        written, _ = write_summary_file(out / SUMMARY, kept)
    assert (written.name, (out / SUMMARY).read_bytes()) == ("summary-2.xlsx", kept)

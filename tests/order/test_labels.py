"""Two labels a pull, in the order in which its cut list cuts it; none for what must not be cut."""

import csv
import io
import itertools
from collections.abc import Sequence
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner

from auditor import batch
from auditor.batch.output import write_whole
from auditor.cli import app
from auditor.order.combine import make_order
from auditor.order.labels import labels, labels_csv
from auditor.order.labels_sheet import write_labels
from auditor.order.workbook import pooled_name
from auditor.results.audit_result import Audit, PullResult
from tests.annotate.repair import faults
from tests.order.jobs import cut_list, reel
from tests.order.test_combine import JOBS, SAMPLES, silent
from tests.report.audits import FT, audit, pull
from tests.report.books import formulas

HEAD = ["job", "reel", "pull", "this_end", "far_end", "port", "cable", "cut_length", "length_unit", "note"]
SPARE = "spare return: leave unlanded"
LETTER = 11 * 72 - 0.5 * 72 - 0.6 * 72  # points between the sheet's margins


def workbook(path: Path, pulls: Sequence[Sequence[object]], name: str = "", unit: str = "ft") -> Path:
    """A job of devices K1 to K4, 0.5 W each, and these pulls: id, from, to, length, status."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Pulls"
    if name:
        sheet.append(["Job", name])
        sheet.append([])
    sheet.append(["Pull", "From", "To", f"Length ({unit})", "Status", "Cable type"])
    for row in pulls:
        sheet.append([*row, "TP16"])
    devices = book.create_sheet("Devices")
    devices.append(["Tag", "Power (W)"])
    for tag in ("K1", "K2", "K3", "K4"):
        if any(tag in row[1:3] for row in pulls):
            devices.append([tag, 0.5])
    book.save(path)
    return path


def rows_of(paths: Sequence[Path]) -> list[list[str]]:
    return list(csv.reader(io.StringIO(labels_csv(made(paths).labels.pulls))))


def made(paths: Sequence[Path]):
    return make_order(paths, batch.Options(workers=1), silent)


PULLS = (
    ("P1", "C1.1", "K1", 100, "landed"),
    ("P2", "K1", "K2", 50, "landed"),
    ("P3", "K2", "C1.1", 160, "spare return"),
)


def test_a_job_has_these_labels(tmp_path: Path) -> None:
    """To cut are 1.05 times the length and 3 ft at each end: 174, 111 and 59 ft, the longest first."""
    assert rows_of([workbook(tmp_path / "gull.xlsx", PULLS, "Gull House")]) == [
        HEAD,
        ["Gull House", "R1", "P3", "K2", "C1.1", "", "TP16", "174", "ft", SPARE],
        ["Gull House", "R1", "P3", "C1.1", "K2", "", "TP16", "174", "ft", SPARE],
        ["Gull House", "R1", "P1", "C1.1", "K1", "C1.1", "TP16", "111", "ft", ""],
        ["Gull House", "R1", "P1", "K1", "C1.1", "C1.1", "TP16", "111", "ft", ""],
        ["Gull House", "R1", "P2", "K1", "K2", "C1.1", "TP16", "59", "ft", ""],
        ["Gull House", "R1", "P2", "K2", "K1", "C1.1", "TP16", "59", "ft", ""],
    ]


def test_the_sheet_has_a_row_a_pull_with_its_two_labels_side_by_side(tmp_path: Path) -> None:
    order = made([workbook(tmp_path / "gull.xlsx", PULLS, "Gull House")])
    sheet = openpyxl.load_workbook(io.BytesIO(write_labels(order.labels)))["Labels"]
    first = next(row for row in range(1, 20) if sheet.cell(row, 1).value == "Reel R1 of TP16: 3 pulls") + 1
    assert [[sheet.cell(first + line, column).value for line in range(5)] for column in (1, 3)] == [
        [
            "P3",
            f"This end: {near}",
            f"Far end: {far}",
            f"174 ft of TP16, {SPARE}",
            "Gull House, reel R1",
        ]
        for near, far in (("K2", "C1.1"), ("C1.1", "K2"))
    ]
    assert [sheet.cell(first + 6 * index, 3).value for index in range(3)] == ["P3", "P1", "P2"]
    assert (sheet.page_setup.orientation, sheet.page_setup.fitToHeight) == ("portrait", None)


def test_labels_of_two_jobs_follow_the_cut_lists_of_the_order(tmp_path: Path) -> None:
    order = made(JOBS)
    book = openpyxl.load_workbook(io.BytesIO(order.workbook))
    cut = [
        (row[1].value, row[2].value)
        for name in book.sheetnames
        if name.startswith("Cut ")
        for row in book[name].iter_rows()
        if row[9].value is not None and row[9].value != "To mark (ft)"
    ]
    told = [(each.ends[0].reel, f"{each.ends[0].job}: {each.ends[0].pull}") for each in order.labels.pulls]
    assert len(told) == 36
    assert told == cut


@pytest.mark.parametrize("name", ["quillmere_guest_house", "saltmarrow_clinic", "varnholt_tower"])
def test_labels_of_one_job_follow_its_own_cut_list(name: str) -> None:
    order = made([SAMPLES / f"{name}.xlsx"])
    own = [
        (cuts.cable, each.reel, pull)
        for cuts in order.audits[0].cut_lists
        for each in cuts.reels
        for pull in each.pulls
    ]
    assert own
    assert [(each.ends[0].cable, each.ends[0].reel, each.ends[0].pull) for each in order.labels.pulls] == own


FAULTY = (
    ("P1", "C1.1", "K1", 100, ""),
    ("P2", "K1", "K2", 50, ""),
    ("P3", "K2", "C1.1", 300, ""),  # closes a loop
    ("P4", "K2", "XJ-77", 20, ""),  # no such end
    ("P5", "K3", "K4", 30, ""),  # fed by nothing
    ("P6", "K2", "C1.2", 400, ""),  # joins the second port
    ("P7", "K2", "K1", 9000, "spare return"),  # longer than every reel
    ("P8", "K1", "C1.1", None, "spare return"),  # without a length
)
WHY = {
    "P3": "closes a loop",
    "P4": "XJ-77 is not known",
    "P5": "no port feeds it",
    "P6": "joins two ports",
}


def test_what_must_not_be_cut_gets_no_label_and_that_is_said(tmp_path: Path) -> None:
    order = made([workbook(tmp_path / "gull.xlsx", FAULTY, "Gull")])
    assert {each.ends[0].pull for each in order.labels.pulls} == {"P1", "P2"}
    mend, uncut = order.labels.left_out
    assert mend.startswith("No labels for 4 pulls until the schedule is mended, and do not cut them: ")
    assert set(mend.partition("them: ")[2].removesuffix(".").split("; ")) == {
        f"Gull: {name}, {why}" for name, why in WHY.items()
    }
    assert uncut == (
        "No labels for 2 pulls that no cut list holds, without a length or longer than every reel: "
        "Gull: P7, Gull: P8."
    )
    sheet = openpyxl.load_workbook(io.BytesIO(write_labels(order.labels)))["Labels"]
    assert {mend, uncut} < {cell.value for cell in sheet["A"]}


def test_labels_from_results_are_those_from_the_workbooks(tmp_path: Path) -> None:
    paths = [
        workbook(tmp_path / "gull.xlsx", FAULTY, "Gull"),
        workbook(tmp_path / "tern.xlsx", PULLS, "Tern"),
    ]
    batch.check(paths, tmp_path / "out", batch.Options(workers=1), silent)
    assert made([tmp_path / "out"]).labels == made(paths).labels


def test_two_jobs_of_one_name_have_labels_of_their_own(tmp_path: Path) -> None:
    other = [("P1", "C1.2", "K1", 100, ""), ("P2", "K1", "K3", 50, "")]
    paths = [workbook(tmp_path / "a.xlsx", PULLS, "Gull"), workbook(tmp_path / "b.xlsx", other, "Gull")]
    found = {(row[0], row[2], row[3], row[4]) for row in rows_of(paths)[1:]}
    assert len(found) == 2 * (len(PULLS) + len(other))
    assert {("Gull (a.xlsx)", "P2", "K1", "K2"), ("Gull (b.xlsx)", "P2", "K1", "K3")} < found


def test_lengths_are_in_the_unit_of_the_schedule(tmp_path: Path) -> None:
    """Both ends together 6 ft, which are 1.8288 m: 36.9 m for 33.4 m, cut as 37 m."""
    pulls = [("P1", "C1.1", "K1", 33.4, "")]
    assert [row[7:9] for row in rows_of([workbook(tmp_path / "m.xlsx", pulls, unit="m")])[1:]] == [
        ["37", "m"]
    ] * 2


def test_a_pull_that_must_not_be_cut_has_no_label() -> None:
    for hold, count in (("", 2), ("closes a loop", 1)):
        assert len(_labels(_job(pull("P1", 4), pull("P2", 5, hold=hold))).pulls) == count


def test_a_pull_without_a_port_says_so_and_text_is_never_a_formula() -> None:
    told = _labels(_job(pull("=1+1", 4, near="@K1", far="-K2", port=None, controller=None), job="+Gull"))
    assert list(csv.reader(io.StringIO(labels_csv(told.pulls))))[1] == [
        "'+Gull", "R1", "'=1+1", "'@K1", "'-K2", "", "16/2", "100", "ft", ""
    ]  # fmt: skip
    content = write_labels(told)
    assert formulas(content) == {}
    sheet = openpyxl.load_workbook(io.BytesIO(content))["Labels"]
    cell = next(cell for cell in sheet["A"] if cell.value == "=1+1")
    assert (cell.data_type, cell.quotePrefix) == ("s", True)
    assert "No port yet, 100 ft of 16/2" in {cell.value for cell in sheet["A"]}
    assert faults(content) == []


def test_no_label_is_parted_by_the_end_of_a_page(tmp_path: Path) -> None:
    order = made([SAMPLES / "varnholt_tower.xlsx"])
    sheet = openpyxl.load_workbook(io.BytesIO(write_labels(order.labels)))["Labels"]
    starts = [1, *(each.id + 1 for each in sheet.row_breaks.brk), sheet.max_row + 1]
    points = [
        sum(sheet.row_dimensions[row].height or 15 for row in range(first, below))
        for first, below in itertools.pairwise(starts)
    ]
    assert len(points) == 14  # 105 pulls, 8 a page and 7 on the first
    assert max(points) <= LETTER
    above = [sheet.cell(start - 1, 1).value for start in starts[1:-1]]
    assert above == [None] * len(above)  # the gap below a label
    tops = [sheet.cell(start, 1) for start in starts[1:-1]]
    assert all(cell.font.b for cell in tops)  # a pull's name, or a reel


def _job(*pulls: PullResult, **changes: object) -> Audit:
    of_it = pulls or (pull("P1", 4),)
    cuts = cut_list(reel("R1", 500, *(each.id for each in of_it)))
    return audit(pulls=of_it, cut_lists=(cuts,), **changes)


def _labels(job: Audit):
    pulls = {pooled_name(job, each.id): (job, each) for each in job.pulls}
    names = {name: f"{job.job}: {name}" for name in (each.id for each in job.pulls)}
    pooled = [
        cut_list(
            *(reel(each.reel, each.length_m / FT, *map(names.__getitem__, each.pulls)) for each in cuts.reels)
        )
        for cuts in job.cut_lists
    ]
    return labels(pooled, pulls)


def order_command(*arguments: object) -> tuple[int, str]:
    done = CliRunner().invoke(app, ["order", *map(str, arguments)])
    return done.exit_code, str(done.exception) if done.exception else done.output


def test_the_command_writes_labels_and_their_csv_beside_the_order(tmp_path: Path) -> None:
    job = workbook(tmp_path / "gull.xlsx", PULLS, "Gull")
    code, said = order_command(job, "--out", tmp_path / "order.xlsx", "--labels", tmp_path / "tags.xlsx")
    assert code == 0
    assert (
        said.splitlines()[-1] == f"labels for 3 pulls in {tmp_path / 'tags.xlsx'} and {tmp_path / 'tags.csv'}"
    )
    assert (tmp_path / "tags.csv").read_text("utf-8-sig") == labels_csv(made([job]).labels.pulls).replace(
        "\r\n", "\n"
    )
    assert openpyxl.load_workbook(tmp_path / "tags.xlsx").sheetnames == ["Labels"]


@pytest.mark.parametrize(
    ("there", "asked", "said"),
    [
        ("tags.xlsx", "tags.xlsx", "tags.xlsx is there already; choose another name with --labels"),
        ("tags.csv", "tags.xlsx", "tags.csv is there already; choose another name with --labels"),
        ("kept", "tags.pdf", "tags.pdf: the labels are an .xlsx workbook; a CSV is written beside it"),
        ("kept", "order.xlsx", "order.xlsx is the order; choose another name with --labels"),
    ],
)
def test_labels_that_cannot_be_written_are_refused_before_anything_is(
    tmp_path: Path, there: str, asked: str, said: str
) -> None:
    write_whole(tmp_path / there, b"kept")
    job = workbook(tmp_path / "gull.xlsx", PULLS)
    code, told = order_command(job, "--out", tmp_path / "order.xlsx", "--labels", tmp_path / asked)
    assert (code, told) == (1, f"{tmp_path}/{said}")
    assert {each.name for each in tmp_path.iterdir()} == {there, "gull.xlsx"}


def test_without_results_there_are_no_labels(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    out = ("--out", tmp_path / "order.xlsx", "--labels", tmp_path / "tags.xlsx")
    assert "no workbook" in order_command(tmp_path / "empty", *out)[1]
    assert [each.name for each in tmp_path.iterdir()] == ["empty"]

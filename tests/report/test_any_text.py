"""Whatever text a workbook holds, what we write opens and holds no formula but our own."""

import io

import openpyxl
import python_calamine
from hypothesis import given, settings
from hypothesis import strategies as st

from auditor.job.model import CellRef
from auditor.order.labels import Label, LabelledPull, Labels
from auditor.order.labels_sheet import write_labels
from auditor.order.lines import OrderLine, order_csv
from auditor.report.job.columns import added_columns
from auditor.report.job.sheets import job_sheets
from auditor.report.page.look import LONGEST_CELL, clean, quoted
from tests.annotate.repair import faults
from tests.report.audits import audit, device, finding, pull, run
from tests.report.books import as_file, formulas
from tests.report.summaries import summary_of

ANY_TEXT = st.text(st.characters(codec=None), max_size=40)


def job_of(text: str):
    return audit(
        job=text,
        file=text,
        profile=text,
        profile_chosen=text,
        runs=(run(text, controller=text, farthest=text, min_voltage_at=text),),
        devices=(device(text, 5, controller=text, port=text, why=text),),
        pulls=(pull(text, 4, near=text, far=text),),
        findings=(finding(rule=text, subject=text, message=text, where=CellRef("Devices", 5, 1)),),
    )


PLAIN = (formulas(job_sheets(job_of("plain"))), formulas(summary_of([job_of("plain")])))


@settings(max_examples=60, derandomize=True, deadline=None)
@given(ANY_TEXT)
def test_added_sheets_and_summary_open_and_hold_no_other_formula(text):
    for index, write in enumerate((job_sheets, lambda job: summary_of([job], copies={text: text}))):
        data = write(job_of(text))
        assert formulas(data) == PLAIN[index]
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(as_file(data)))
        shown = {
            str(cell)
            for name in book.sheet_names
            for row in book.get_sheet_by_name(name).to_python()
            for cell in row
        }
        assert clean(text).strip() in {each.strip() for each in shown}
        elsewhere = "leads to '"  # the sheets of the job, which these are added to
        assert [each for each in faults(as_file(data)) if elsewhere not in each] == []


@settings(max_examples=200, derandomize=True, deadline=None)
@given(st.text(st.characters(codec=None), max_size=60))
def test_cleaned_text_can_be_written_and_cleaning_twice_changes_nothing(text):
    cleaned = clean(text)
    assert clean(cleaned) == cleaned
    book = openpyxl.Workbook()
    book.active["A1"] = cleaned.lstrip("=")  # openpyxl refuses what XML cannot hold
    cleaned.encode("utf-8")


def test_text_past_a_cells_limit_is_cut_with_a_mark():
    for text in ("y" * 40_000, "\U0001f4a1" * 20_000):
        cut = clean(text)
        assert cut.endswith("…")
        assert len(cut.encode("utf-16-le")) // 2 <= LONGEST_CELL
    assert clean("y" * LONGEST_CELL) == "y" * LONGEST_CELL


@settings(max_examples=100, derandomize=True, deadline=None)
@given(ANY_TEXT)
def test_csv_lines_keep_their_columns_and_start_no_formula(text):
    import csv

    _, line = csv.reader(io.StringIO(order_csv([OrderLine("cable", text, text, 1, None)])))
    assert len(line) == 6
    assert not line[1].lstrip().startswith(("=", "+", "-", "@", "＝", "＋", "－", "＠"))


def test_a_sheets_name_is_quoted_as_formulas_want_it():
    assert quoted("Bob's list") == "'Bob''s list'"


def test_columns_take_any_text():
    values = {column.header: column.values for column in added_columns(job_of("a\x00\nb"))[0].columns}
    assert values["Why"] == {5: "a b"}


@settings(max_examples=60, derandomize=True, deadline=None)
@given(ANY_TEXT)
def test_labels_open_and_hold_no_formula(text):
    label = Label(
        job=text,
        reel=text,
        pull=text,
        this_end=text,
        far_end=text,
        port=text,
        cable=text,
        length="90",
        length_unit="ft",
    )
    data = write_labels(Labels(pulls=(LabelledPull(ends=(label, label)),), left_out=(text,)))
    assert formulas(data) == {}
    assert faults(data) == []

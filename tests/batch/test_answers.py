"""Check, answer in the copy, check again: answered, in the one copy, whatever program saved it."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from openpyxl.comments import Comment
from openpyxl.workbook import Workbook

from auditor.job.answers import ANSWER_HEADING, RECORD_HEADING, THIS_FOLDER
from tests.batch.answering import (
    DEVICES,
    PULLS,
    A,
    B,
    answer,
    asking,
    by_libreoffice,
    edit,
    headings,
    opened,
    shown,
    type_answers,
)
from tests.batch.runs import contents, names, results, run
from tests.intake.workbooks import workbook

COPY = "lodge.audited.xlsx"
ONE_COPY = [COPY, "results.jsonl", "summary.xlsx"]


def checked(source: Path, out: Path) -> dict[str, Any]:
    """The one result of a check of a folder, which never changes its files."""
    before = contents(source) if source.is_dir() else {}
    done = run("check", source, "--out", out)
    assert (done.returncode, done.stderr) in {(0, ""), (1, "")}, done.stderr
    assert not source.is_dir() or contents(source) == before
    (result,) = results(out)
    return result


def answered(result: Mapping[str, Any]) -> dict[str, str | None]:
    """What is asked -> the answer that was obeyed."""
    return {one["id"].rpartition("-")[0]: one["answered"] for one in result["questions"]}


def cable_ft(result: Mapping[str, Any]) -> int | None:
    found = next(run["cable_m"] for run in result["runs"] if run["port"] == "1")
    return None if found is None else round(found / 0.3048)


@pytest.fixture
def source(tmp_path: Path) -> Path:
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "lodge.xlsx").write_bytes(asking())
    return folder


def test_the_natural_loop_ends_answered_in_the_one_copy(source: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert answered(checked(source, out)) == {"length": None, "status": None}
    answer(out / COPY, {"length": B})
    once = checked(source, out)
    assert answered(once) == {"status": None, "length": B}
    assert cable_ft(once) == 810
    assert names(out) == ONE_COPY
    answer(out / COPY, {"status": "landed"})
    twice = checked(source, out)
    assert answered(twice) == {"length": B, "status": "landed"}
    assert [finding for finding in twice["findings"] if finding["question"]] == []
    assert shown(out / COPY) == {"length": (B, "Used."), "status": ("landed", "Used.")}
    copy = (out / COPY).read_bytes()
    assert checked(source, out) == twice
    assert (out / COPY).read_bytes() == copy
    assert names(out) == ONE_COPY


def test_the_loop_through_libreoffice(source: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    checked(source, out)
    answer(out / COPY, {"length": B})
    by_libreoffice(out / COPY, tmp_path / "office")
    assert answered(checked(source, out)) == {"status": None, "length": B}
    by_libreoffice(out / COPY, tmp_path / "office")  # saved once more, with nothing typed
    assert answered(checked(source, out)) == {"status": None, "length": B}
    assert shown(out / COPY)["length"] == (B, "Used.")
    assert names(out) == ONE_COPY


def test_the_audit_sheet_says_which_answers_were_used(source: Path, tmp_path: Path) -> None:
    checked(source, tmp_path / "out")
    answer(tmp_path / "out" / COPY, {"length": B})
    checked(source, tmp_path / "out")
    rows = [[cell.value for cell in row] for row in opened(tmp_path / "out" / COPY)["Audit"].iter_rows()]
    top = next(index for index, row in enumerate(rows) if row[0] == "Answer used")
    assert (rows[top + 1][0], rows[top + 1][3]) == (B, "Pulls!E1")
    assert rows[top + 1][7].startswith("'Length A (ft)' in column D and 'Length B (ft)'")


def sort_rows(book: Workbook) -> None:
    sheet = book["Questions"]
    top, _ = headings(sheet)
    rows = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=top + 1)]
    for number, row in enumerate(reversed(rows), top + 1):
        for column, value in enumerate(row, 1):
            sheet.cell(number, column).value = value


def rename(book: Workbook) -> None:
    book["Questions"].title = "To ask the office"


def insert_columns(book: Workbook) -> None:
    book["Questions"].insert_cols(4, 2)
    book["Questions"].insert_cols(1)


def insert_rows(book: Workbook) -> None:
    book["Questions"].insert_rows(1, 3)


def move_first(book: Workbook) -> None:
    book.move_sheet("Questions", -2)


@pytest.mark.parametrize("change", [sort_rows, rename, insert_columns, insert_rows, move_first])
@pytest.mark.parametrize("office", [False, True], ids=["as saved", "saved again by LibreOffice"])
def test_answers_survive_what_people_do_to_the_sheet(
    source: Path, tmp_path: Path, change: Any, office: bool
) -> None:
    out = tmp_path / "out"
    checked(source, out)
    answer(out / COPY, {"length": B, "status": "a spare return"})
    edit(out / COPY, change)
    if office:
        by_libreoffice(out / COPY, tmp_path / "office")
    result = checked(source, out)
    assert answered(result) == {"length": B, "status": "a spare return"}
    assert names(out) == ONE_COPY
    assert opened(out / COPY).sheetnames[:4] == ["Pulls", "Devices", "Questions", "Audit"]


def put(column: str, value: object) -> Any:
    """A change of the cell of the length's row in a column."""

    def change(book: Workbook) -> None:
        sheet = book["Questions"]
        top, columns = headings(sheet)
        sheet.cell(top + 1, columns[column]).value = value

    return change


def link(book: Workbook) -> None:
    put(ANSWER_HEADING, "see the drawing")(book)
    sheet = book["Questions"]
    top, columns = headings(sheet)
    sheet.cell(top + 1, columns[ANSWER_HEADING]).hyperlink = "https://example.org/drawing"


def copy_row(book: Workbook) -> None:
    sheet = book["Questions"]
    type_answers(sheet, {"length": A})
    top, columns = headings(sheet)
    for column in columns.values():
        sheet.cell(top + 9, column).value = sheet.cell(top + 1, column).value
    sheet.cell(top + 9, columns[ANSWER_HEADING]).value = B


def swap_sentences(book: Workbook) -> None:
    """The visible cells were sorted and the others not."""
    sheet = book["Questions"]
    type_answers(sheet, {"length": A, "status": "landed"})
    top, columns = headings(sheet)
    for column in range(1, columns[ANSWER_HEADING] + 1):
        one, other = sheet.cell(top + 1, column), sheet.cell(top + 2, column)
        one.value, other.value = other.value, one.value


WRONG = {
    "none of the choices": (put(ANSWER_HEADING, "both"), "both", "it is none of the answers"),
    "a formula": (put(ANSWER_HEADING, "=H6"), "=H6", "its cell holds a formula"),
    "a link": (link, "see the drawing", "its cell holds a link"),
    "two answers": (copy_row, None, f"two rows of this question hold different answers, «{A}», «{B}»"),
    "a row mixed up": (swap_sentences, None, "«landed» stood in a row that was mixed up"),
    "a number": (put(ANSWER_HEADING, 12), "12", "it is none of the answers"),
}


@pytest.mark.parametrize("case", WRONG.values(), ids=WRONG)
def test_an_answer_that_is_none_is_said_at_its_cell_and_asked_again(
    source: Path, tmp_path: Path, case: tuple[Any, str | None, str]
) -> None:
    change, text, told = case
    out = tmp_path / "out"
    checked(source, out)
    edit(out / COPY, change)
    result = checked(source, out)
    assert answered(result)["length"] is None
    kept, state = shown(out / COPY)["length"]
    assert kept == text
    assert str(state).startswith(f"Not used: {told}")
    assert any(f"is not used: {told}" in finding["message"] for finding in result["findings"])
    assert answered(checked(source, out))["length"] is None  # nor once it was written anew
    assert shown(out / COPY)["length"][0] == text
    assert names(out) == ONE_COPY
    answer(out / COPY, {"length": B})
    assert answered(checked(source, out))["length"] == B


def test_a_heading_that_is_gone_loses_no_answer(source: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    checked(source, out)
    answer(out / COPY, {"length": B})

    def delete_heading(book: Workbook) -> None:
        sheet = book["Questions"]
        top, columns = headings(sheet)
        sheet.cell(top, columns[ANSWER_HEADING]).value = None

    edit(out / COPY, delete_heading)
    assert answered(checked(source, out))["length"] is None
    assert B in [cell.value for row in opened(out / COPY)["Questions"].iter_rows() for cell in row]


def test_an_answer_to_what_is_not_asked_any_more_is_kept(source: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    checked(source, out)
    answer(out / COPY, {"length": B})
    checked(source, out)
    one_length = [[*row[:3], *row[4:]] for row in PULLS]
    (source / "lodge.xlsx").write_bytes(workbook({"Pulls": one_length, "Devices": DEVICES}))
    result = checked(source, out)
    assert "length" not in answered(result)
    (note,) = [f["message"] for f in result["findings"] if "is not asked any more" in f["message"]]
    assert note.startswith(f"The answer «{B}» is kept and not used")
    kept = "Not asked any more; the answer is kept and not used."
    assert shown(out / COPY)["length"] == (B, kept)
    assert names(out) == ONE_COPY


def test_a_dropped_copy_is_read_with_its_answers(source: Path, tmp_path: Path) -> None:
    checked(source, tmp_path / "out")
    alone = tmp_path / "alone"
    alone.mkdir()
    (alone / COPY).write_bytes((tmp_path / "out" / COPY).read_bytes())
    answer(alone / COPY, {"length": B})
    assert cable_ft(checked(alone, tmp_path / "again")) == 810
    told = "Used; it stands in the workbook that was checked."
    assert shown(tmp_path / "again" / COPY)["length"] == (B, told)
    answer(alone / COPY, {"length": A})  # its own answer counts, not what the copy has of it
    assert cable_ft(checked(alone, tmp_path / "again")) == 1266
    assert names(tmp_path / "again") == ONE_COPY


def test_a_copy_beside_its_original_is_obeyed_and_never_written(source: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    checked(source, out)
    (source / COPY).write_bytes((out / COPY).read_bytes())
    answer(source / COPY, {"length": B})
    assert cable_ft(checked(source, out)) == 810
    assert shown(out / COPY)["length"] == (B, f"Used; it stands in {COPY} beside its original.")


def test_copies_that_contradict_each_other_are_a_question(source: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    checked(source, out)
    (source / COPY).write_bytes((out / COPY).read_bytes())
    answer(source / COPY, {"length": A})
    answer(out / COPY, {"length": B})
    for _ in range(2):
        result = checked(source, out)
        assert answered(result)["length"] is None
        text, state = shown(out / COPY)["length"]
        assert text is None
        assert "copies of the workbook answer it differently" in str(state)
    answer(out / COPY, {"length": A})
    assert answered(checked(source, out))["length"] == A
    answer(out / COPY, {"length": B})
    assert answered(checked(source, out))["length"] == B


def test_what_is_typed_in_the_tables_of_the_copy_is_read_and_kept(source: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    checked(source, out)

    def work(book: Workbook) -> None:
        type_answers(book["Questions"], {"length": B})
        book["Pulls"]["E2"] = 400
        book["Pulls"]["A1"].comment = Comment("measured on site", "est")
        book.create_sheet("My remarks")["A1"] = "ask the architect"

    edit(out / COPY, work)
    for _ in range(2):
        result = checked(source, out)
        assert (result["job"], result["file"]) == ("lodge", "lodge.xlsx")
        assert cable_ft(result) == 400
        (note,) = [
            f["message"] for f in result["findings"] if f["message"].startswith("Read with what was typed")
        ]
        assert note == f"Read with what was typed in {COPY}: 'Pulls'!E2, 'My remarks'!A1"
        assert names(out) == ONE_COPY
    book = opened(out / COPY)
    assert book["Pulls"]["E2"].value == 400
    assert book["Pulls"]["A1"].comment.text == "measured on site"
    assert book["My remarks"]["A1"].value == "ask the architect"


def test_a_copy_that_was_worked_in_is_kept_when_its_original_has_changed(
    source: Path, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    checked(source, out)

    def work(book: Workbook) -> None:
        type_answers(book["Questions"], {"length": B})
        book["Pulls"]["E2"] = 400

    edit(out / COPY, work)
    kept = (out / COPY).read_bytes()
    (source / "lodge.xlsx").write_bytes(asking(Rooms=[["Room"], ["Hall"]]))
    result = checked(source, out)
    assert (answered(result)["length"], cable_ft(result)) == (B, 810)
    assert (out / COPY).read_bytes() == kept
    assert shown(out / "lodge.audited-2.xlsx")["length"] == (B, f"Used; it stands in {COPY}.")
    answer(out / "lodge.audited-2.xlsx", {"status": "landed"})
    assert answered(checked(source, out)) == {"length": B, "status": "landed"}
    assert names(out) == ["lodge.audited-2.xlsx", *ONE_COPY]


def test_a_workbook_that_is_rebuilt_loops_too(tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    source.mkdir()
    rows = [
        ["Tag", "Fed from", "Cable (ft)", "Route (ft)"],
        ["K1", "C1.1", 1266, 810],
        ["K2", "C1.2", 10, 12],
    ]
    (source / "mill.csv").write_text("\n".join(",".join(map(str, row)) for row in rows), "utf-8")
    (asked,) = checked(source, out)["questions"]
    choice = asked["choices"][1]["answer"]
    answer(out / "mill.csv.audited.xlsx", {"length": choice})
    result = checked(source, out)
    assert answered(result) == {"length": choice}
    assert not [f for f in result["findings"] if f["message"].startswith("Read with what was typed")]
    assert names(out) == ["mill.csv.audited.xlsx", "results.jsonl", "summary.xlsx"]


def test_an_answer_for_the_folder_answers_the_other_workbooks(tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    for name in ("lodge.xlsx", "mill.xlsx", "deep/barn.xlsx"):
        (source / name).parent.mkdir(parents=True, exist_ok=True)
        (source / name).write_bytes(asking())
    run("check", source, "--out", out)
    answer(out / COPY, {"length": B}, THIS_FOLDER)
    run("check", source, "--out", out)
    found = {each["file"]: answered(each)["length"] for each in results(out)}
    assert found == {"lodge.xlsx": B, "mill.xlsx": B, "deep/barn.xlsx": None}
    assert shown(out / "mill.audited.xlsx")["length"] == (B, f"Used; it stands in {COPY}.")
    answer(out / "mill.audited.xlsx", {"length": A})  # a workbook's own answer goes before it
    run("check", source, "--out", out)
    assert {each["file"]: answered(each)["length"] for each in results(out)} == found | {"mill.xlsx": A}
    answer(out / COPY, {"length": A}, THIS_FOLDER)
    answer(out / "mill.audited.xlsx", {"length": ""})
    run("check", source, "--out", out)
    assert {each["file"]: answered(each)["length"] for each in results(out)} == {
        "lodge.xlsx": A,
        "mill.xlsx": A,
        "deep/barn.xlsx": None,
    }


def test_the_sheet_in_another_workbook_answers_there_or_is_kept(source: Path, tmp_path: Path) -> None:
    """Copied by hand, as text: no mark says whose it is."""
    checked(source, tmp_path / "out")
    answer(tmp_path / "out" / COPY, {"length": B, "status": "landed"})
    sheet = opened(tmp_path / "out" / COPY)["Questions"]
    rows = [[cell.value for cell in row] for row in sheet.iter_rows()]
    other = tmp_path / "other"
    other.mkdir()
    (other / "lodge.xlsx").write_bytes(asking(**{"Pasted questions": rows}))
    result = checked(other, tmp_path / "again")
    assert answered(result) == {"length": B, "status": "landed"}
    assert opened(tmp_path / "again" / COPY).sheetnames[:4] == ["Pulls", "Devices", "Questions", "Audit"]


def test_the_record_stands_in_the_last_column(source: Path, tmp_path: Path) -> None:
    checked(source, tmp_path / "out")
    sheet = opened(tmp_path / "out" / COPY)["Questions"]
    assert headings(sheet)[1][RECORD_HEADING] == sheet.max_column


def test_strip_takes_the_sheet_out_and_says_which_answers_go_with_it(source: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    checked(source, out)
    answer(out / COPY, {"length": B})
    done = run("strip", out / COPY, "--out", tmp_path / "plain.xlsx")
    assert done.stdout.splitlines() == [
        f"wrote {tmp_path / 'plain.xlsx'}",
        f"The answer «{B}» to «'Length A (ft)' in column D and 'Length B (ft)' in column E may both be the length of "
        "a pull: which is it?» goes with the sheet of questions",
    ]
    assert opened(tmp_path / "plain.xlsx").sheetnames == ["Pulls", "Devices"]


MAY_BE = [["Venp", "Tamf", "Drus"], ["C1.1", "K1", "Hall"], ["C1.2", "K2", "Bar"], ["C2.1", "T3", "Gym"]]


def test_the_answer_that_nothing_lists_the_pulls_can_be_taken_back(tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    source.mkdir()
    (source / "lodge.xlsx").write_bytes(workbook({"Sheet one": MAY_BE}))
    run("check", source, "--out", out)
    answer(out / COPY, {"list-of-pulls": "none of them"})
    assert run("check", source, "--out", out).returncode == 3
    (result,) = results(out)
    assert result["verdict"] == "unreadable"
    assert result["problem"].endswith("; read with the answers «none of them»")
    answer(out / COPY, {"list-of-pulls": ""})
    assert answered(checked(source, out)) == {"list-of-pulls": None}

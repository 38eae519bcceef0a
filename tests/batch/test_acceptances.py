"""A review is accepted in the cells beside it, and comes back when its figure gets worse or its subject is gone."""

from pathlib import Path
from typing import Any

import pytest
from openpyxl.workbook import Workbook

from auditor.job.acceptances import BY_HEADING, KEY_HEADING, NO_FAIL, TO_ANSWER, WHY_HEADING
from tests.batch.answering import asking, by_libreoffice, edit, opened
from tests.batch.runs import names, results, run
from tests.intake.workbooks import with_lengths

COPY = "lodge.audited.xlsx"
WORDS = "R. Amann: the site is surveyed"


def checked(source: Path, out: Path) -> dict[str, Any]:
    done = run("check", source, "--out", out)
    assert done.stderr == ""
    (result,) = results(out)
    return result


def of_rule(result: dict[str, Any], rule: str = "reach") -> dict[str, Any]:
    (found,) = (each for each in result["findings"] if each["rule"] == rule)
    return found


def rows(book: Workbook) -> tuple[dict[str, int], dict[str, int]]:
    """The column of each heading of the findings, and the row of each rule's first finding."""
    sheet = book["Audit"]
    for row in sheet.iter_rows():
        columns = {str(cell.value): cell.column for cell in row if cell.value is not None}
        if KEY_HEADING in columns:
            top = row[0].row
            break
    found: dict[str, int] = {}
    for number in range(top + 1, sheet.max_row + 1):
        if sheet.cell(number, columns[KEY_HEADING]).value:
            found.setdefault(str(sheet.cell(number, columns["Rule"]).value), number)
    return columns, found


def accept(path: Path, rule: str, by: object, because: object) -> None:
    def change(book: Workbook) -> None:
        columns, found = rows(book)
        book["Audit"].cell(found[rule], columns[BY_HEADING]).value = by
        book["Audit"].cell(found[rule], columns[WHY_HEADING]).value = because

    edit(path, change)


def typed(path: Path, rule: str) -> tuple[object, object, str]:
    """What stands in the two cells, and the sentence before them."""
    book = opened(path)
    columns, found = rows(book)
    cells = [book["Audit"].cell(found[rule], columns[each]).value for each in (BY_HEADING, WHY_HEADING)]
    message = book["Audit"].cell(found[rule], columns["What was found, and what to do"]).value
    return cells[0], cells[1], str(message)


@pytest.fixture
def source(tmp_path: Path) -> Path:
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "lodge.xlsx").write_bytes(with_lengths(470))
    return folder


@pytest.mark.parametrize("office", [False, True], ids=["by openpyxl", "and LibreOffice"])
def test_an_accepted_review_holds_no_verdict_and_is_listed(
    source: Path, tmp_path: Path, office: bool
) -> None:
    out = tmp_path / "out"
    before = checked(source, out)
    assert (before["verdict"], of_rule(before)["accepted"]) == ("review", None)
    accept(out / COPY, "reach", "R. Amann", "the site is surveyed")
    if office:
        by_libreoffice(out / COPY, tmp_path / "office")
    for _ in range(2):
        result = checked(source, out)
        assert (result["verdict"], of_rule(result)["level"]) == ("pass", "review")
        assert of_rule(result)["accepted"] == WORDS
        assert of_rule(result)["id"] == of_rule(before)["id"]
        assert [each["verdict"] for each in result["runs"]] == ["pass"]
        assert [each["verdict"] for each in result["devices"]] == ["pass"]
        assert typed(out / COPY, "reach")[:2] == ("R. Amann", "the site is surveyed")
        assert opened(out / COPY)["Audit"]["B2"].value == "Nothing left to mend or to review, 1 accepted."
        assert names(out) == [COPY, "results.jsonl", "summary.xlsx"]
    findings = [[cell.value for cell in row] for row in opened(out / "summary.xlsx")["Findings"].iter_rows()]
    column = findings[4].index("Accepted")
    assert [row[column] for row in findings[5:] if row[2] == "reach"] == [WORDS]


def test_it_comes_back_when_the_figure_gets_worse(source: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    checked(source, out)
    accept(out / COPY, "reach", "R. Amann", "the site is surveyed")
    checked(source, out)
    for feet, verdict in ((460, "pass"), (470, "pass"), (480, "review"), (505, "review")):
        (source / "lodge.xlsx").write_bytes(with_lengths(feet))
        result = checked(source, out)
        assert (feet, result["verdict"]) == (feet, verdict)
    assert of_rule(result)["accepted"] is None
    by, because, message = typed(out / COPY, "reach")
    assert (by, because) == ("R. Amann", "the site is surveyed")
    assert "Not accepted: it was accepted at 470 ft and is 505 ft now" in message
    accept(out / COPY, "reach", "R. Amann", "surveyed once more")
    assert of_rule(checked(source, out))["accepted"] == "R. Amann: surveyed once more"


def test_it_comes_back_when_its_subject_is_gone(source: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    checked(source, out)
    accept(out / COPY, "reach", "R. Amann", "the site is surveyed")
    checked(source, out)
    (source / "lodge.xlsx").write_bytes(with_lengths(300))
    settled = checked(source, out)
    assert (settled["verdict"], of_rule(settled, "acceptance")["level"]) == ("pass", "note")
    renamed = with_lengths(300)
    book = tmp_path / "book.xlsx"
    book.write_bytes(renamed)

    def rename(each: Workbook) -> None:
        each["Devices"]["A2"], each["Pulls"]["C2"] = "K9", "K9"

    edit(book, rename)
    (source / "lodge.xlsx").write_bytes(book.read_bytes())
    gone = checked(source, out)
    found = of_rule(gone, "acceptance")
    assert (gone["verdict"], found["level"], found["subject"]) == ("review", "review", "K1")
    assert (
        "is not found any more, nor is 'K1'; clear the two cells beside it. It was: K1 is 470 ft"
        in found["message"]
    )
    assert typed(out / COPY, "acceptance")[:2] == ("R. Amann", "the site is surveyed")
    accept(out / COPY, "acceptance", None, None)
    assert [each for each in checked(source, out)["findings"] if each["rule"] == "acceptance"] == []


def test_a_fail_cannot_be_accepted_and_its_cell_says_so(tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    source.mkdir()
    (source / "lodge.xlsx").write_bytes(with_lengths(1200))
    assert checked(source, out)["verdict"] == "fail"
    assert typed(out / COPY, "reach")[0] == NO_FAIL
    accept(out / COPY, "reach", "R. Amann", "it will do")
    result = checked(source, out)
    assert (result["verdict"], of_rule(result)["accepted"]) == ("fail", None)
    by, because, message = typed(out / COPY, "reach")
    assert (by, because) == ("R. Amann", "it will do")
    assert message.endswith("Not accepted: a fail cannot be accepted")


def test_a_question_is_answered_not_accepted(tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    source.mkdir()
    (source / "lodge.xlsx").write_bytes(asking())
    checked(source, out)
    assert typed(out / COPY, "unreadable-value")[0] == TO_ANSWER
    accept(out / COPY, "unreadable-value", "R. Amann", "it will do")
    assert checked(source, out)["verdict"] == "review"
    assert (
        "Not accepted: it asks; answer it on the sheet of questions"
        in typed(out / COPY, "unreadable-value")[2]
    )


@pytest.mark.parametrize(
    ("by", "because", "told"),
    [
        ("R. Amann", None, "why it is accepted is missing"),
        (None, "it will do", "who accepts it is missing"),
        ('="R. " & "Amann"', "it will do", "its cell holds a formula; type the words"),
    ],
)
def test_half_an_acceptance_is_none(
    source: Path, tmp_path: Path, by: str | None, because: str | None, told: str
) -> None:
    out = tmp_path / "out"
    checked(source, out)
    accept(out / COPY, "reach", by, because)
    result = checked(source, out)
    assert (result["verdict"], of_rule(result)["accepted"]) == ("review", None)
    assert typed(out / COPY, "reach")[2].endswith(f"Not accepted: {told}")


def test_strip_says_which_acceptances_go(source: Path, tmp_path: Path) -> None:
    checked(source, tmp_path / "out")
    accept(tmp_path / "out" / COPY, "reach", "R. Amann", "the site is surveyed")
    done = run("strip", tmp_path / "out" / COPY, "--out", tmp_path / "plain.xlsx")
    assert done.stdout.splitlines()[1:] == [
        f"What was typed as accepted of K1 goes with the sheet of findings: {WORDS}"
    ]


def test_what_a_dropped_copy_accepts_is_taken_over_and_withdrawn_with_it(
    source: Path, tmp_path: Path
) -> None:
    checked(source, tmp_path / "out")
    alone, out = tmp_path / "alone", tmp_path / "again"
    alone.mkdir()
    (alone / COPY).write_bytes((tmp_path / "out" / COPY).read_bytes())
    accept(alone / COPY, "reach", "R. Amann", "the site is surveyed")
    assert checked(alone, out)["verdict"] == "pass"
    accept(alone / COPY, "reach", "R. Amann", None)
    assert checked(alone, out)["verdict"] == "review"

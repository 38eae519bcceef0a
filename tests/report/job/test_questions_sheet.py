"""The sheet «Questions»: a row each question, its list of answers, and the record that its next reading needs."""

from dataclasses import replace

from auditor.job.answers import Answer, record_of
from auditor.job.model import CellRef
from auditor.report.job.questions_sheet import MOST_SHOWN
from auditor.report.job.sheets import WANTED_NAMES, JobPages, job_sheets, sheets_of
from auditor.results.audit_result import Audit, ChoiceResult, QuestionResult
from tests.report.audits import audit
from tests.report.books import opened, rows_below

CHOICES = (
    ChoiceResult(answer="a list", leads_to="a layout says which", outcome="a layout says which", tried=False),
    ChoiceResult(answer="'A (ft)'", leads_to="A is read: C1.1 fails", outcome="C1.1 fails"),
    ChoiceResult(answer="'B (ft)'", leads_to="B is read: C1.1 passes", outcome="C1.1 passes"),
)


def question(what: str = "length", **changes: object) -> QuestionResult:
    one = QuestionResult(
        id=f"{what}-0a1b2c3d", sentence=f"which is the {what}?", choices=CHOICES, where=CellRef("Pulls", 3, 4)
    )
    return replace(one, **changes)  # type: ignore[arg-type]


def answer(text: str, **changes: object) -> Answer:
    one = Answer(
        id="length-0a1b2c3d", sentence="which is the length?", choices=("'A (ft)'", "'B (ft)'"), text=text
    )
    return replace(one, **changes)  # type: ignore[arg-type]


def rows(*questions: QuestionResult, **changes: object) -> list[dict[str, object]]:
    sheet = opened(job_sheets(audit(questions=questions, **changes)))["Questions"]
    return rows_below(sheet, "No.")


def test_a_row_holds_the_question_its_cell_and_what_each_answer_leads_to() -> None:
    (row,) = rows(question())
    assert list(row.values())[:7] == [
        1,
        "Which is the length?",
        "Pulls!D3",
        None,
        "this workbook",
        "a list: not to be answered here: a layout says which\n'A (ft)' (best guess): C1.1 fails\n'B (ft)': C1.1 passes",
        "To answer.",
    ]
    assert [row[f"Answer {number}"] for number in range(1, 6)] == [
        "a list",
        "'A (ft)'",
        "'B (ft)'",
        None,
        None,
    ]
    found = record_of(str(row["Question id"]), "Which is the length?")
    assert found is not None
    assert found[1]
    assert (found[0].id, found[0].choices) == ("length-0a1b2c3d", ("a list", "'A (ft)'", "'B (ft)'"))


def test_the_no_of_what_an_answer_leads_to_stays_behind_the_answer_no() -> None:
    told = "no figure changes, 2 of 2 runs fail"
    read = "'A (ft)' in column D is read"
    choices = (
        ChoiceResult(answer="no", leads_to=f"they are left out: {told}", outcome=told),
        ChoiceResult(answer="'A (ft)' in column D", leads_to=read, outcome=read),
    )
    (row,) = rows(question(choices=choices))
    assert row["What each answer leads to"] == f"no (best guess): {told}\n'A (ft)' in column D: is read"


def test_each_row_offers_its_own_answers_and_the_helping_columns_are_hidden() -> None:
    sheet = opened(job_sheets(audit(questions=(question(), question("unit")))), values=False)["Questions"]
    lists = {str(each.sqref): each.formula1 for each in sheet.data_validations.dataValidation}
    assert lists == {
        "D6:D7": "OFFSET($H6,0,0,1,COUNTA($H6:$L6))",
        "E6:E7": '"this workbook,all workbooks of this folder"',
    }
    hidden = [letter for letter in "ABCDEFGHIJKLM" if sheet.column_dimensions[letter].hidden]
    assert hidden[0] == "H"
    assert sheet.auto_filter.ref == "A5:M7"
    assert sheet["C6"].hyperlink.location == "'Pulls'!D3"
    assert (sheet.page_setup.orientation, sheet.print_title_rows) == ("landscape", "$5:$5")


def test_five_are_shown_and_the_rest_waits() -> None:
    many = [question(f"{'abcdefg'[number]}") for number in range(MOST_SHOWN + 1)]
    found = opened(job_sheets(audit(questions=(*many, question("unit", waits=True)))))["Questions"]
    assert len(rows_below(found, "No.")) == MOST_SHOWN
    assert found["A3"].value == "2 more questions wait for these answers."
    first = opened(job_sheets(audit(questions=(question("unit", waits=True), question()))))["Questions"]
    assert [row["What is unclear"] for row in rows_below(first, "No.")] == ["Which is the length?"]


def test_what_became_of_an_answer_is_said_beside_it() -> None:
    left = answer("ft", id="unit-0a1b2c3d", sentence="ft or m?")
    found = rows(
        question(typed=answer("both", trouble="it is none of the answers")),
        question("cable", answered="'A (ft)'", typed=answer("'A (ft)'", everywhere=True)),
        question("qty", answered="'A (ft)'", typed=answer("'A (ft)'", source="mill.audited.xlsx")),
        left_answers=(left,),
    )
    assert [(row["Answer"], row["Use it for"], row["What became of the answer"]) for row in found] == [
        ("both", "this workbook", "Not used: it is none of the answers."),
        ("'A (ft)'", "all workbooks of this folder", "Used."),
        ("'A (ft)'", "this workbook", "Used; it stands in mill.audited.xlsx."),
        ("ft", "this workbook", "Not asked any more; the answer is kept and not used."),
    ]


def test_one_sheet_serves_all_jobs_of_a_workbook() -> None:
    def job(part: str, *questions: QuestionResult) -> Audit:
        return replace(audit(questions=questions), job=f"Mill, {part}", part=part)

    parts = sheets_of(
        [
            JobPages(audit=each, names={name: f"{name} {each.part}" for name in WANTED_NAMES[1:]})
            for each in (job("A", question()), job("B", question(), question("unit")))
        ]
    )
    book = opened(parts)
    assert book.sheetnames.count("Questions") == 1
    assert book["Questions"]["A1"].value == "Questions: Mill"
    assert [row["No."] for row in rows_below(book["Questions"], "No.")] == [1, 2]

"""The summary's rows are the audits' own figures, its totals live and already computed."""

from dataclasses import replace

import pytest

from auditor.report.summary.rows import MOST_PER_RULE
from auditor.report.words import BRIEF_CAUTION
from auditor.results.audit_result import (
    ChoiceResult,
    ControllersResult,
    CutListResult,
    CutReel,
    QuestionResult,
    Status,
)
from auditor.results.findings import Level, Verdict
from auditor.results.job_summary import job_summary
from tests.report.audits import FT, audit, finding, full_audit, pull, run
from tests.report.books import formulas, opened, parts, recalculated, rows_below
from tests.report.summaries import summary_of

UNREADABLE = audit(
    job="Mill End",
    file="mill end.xlsx",
    verdict=Verdict.UNREADABLE,
    problem="mill end.xlsx needs a password; save it without one.",
    profile=None,
    runs=(),
    devices=(),
    pulls=(),
    controllers=None,
    rows_read=0,
)


def jobs() -> list:
    short = audit(file="cottage.xlsx", pulls=(*audit().pulls, pull("P3", 6, length_m=None)))
    return [full_audit(), short, UNREADABLE]


def test_one_row_a_job_in_the_order_given():
    sheet = opened(summary_of(jobs()))["Jobs"]
    rows = rows_below(sheet, "Verdict")
    assert [(row["Verdict"], row["Job"]) for row in rows] == [
        ("fail", "Harbour House, level 2"),
        ("pass", "Gull Cottage"),
        ("unreadable", "Mill End"),
    ]
    first = rows[0]
    assert first["Worst finding"] == job_summary(full_audit()).worst().message
    assert (first["Runs"], first["Devices"], first["Cable (ft)"]) == (3, 27, 2580)
    assert (first["Controllers scheduled"], first["Controllers needed"]) == (2, 2)
    assert (first["Rows read"], first["Rows left out"]) == (52, 2)
    assert (first["Profile"], first["Profile chosen because"]) == (
        "two-wire-35w",
        "no other profile was given",
    )
    assert rows[1]["Worst finding"] is None
    assert rows[2]["Worst finding"] == UNREADABLE.problem
    assert [cell.value for cell in sheet[3][:4]] == ["1 unreadable", "1 fail", "0 review", "1 pass"]


def test_findings_stand_worst_first_in_the_schedules_own_unit():
    metres = audit(job="Quay", length_unit="m", findings=(finding(measured=320.5, limit=305.0),))
    rows = rows_below(opened(summary_of([full_audit(), metres]))["Findings"], "Level")
    assert [row["Level"] for row in rows] == ["fail", "review", "review", "note", "fail"]
    assert (rows[0]["Sheet"], rows[0]["Cell"], rows[0]["Measured"], rows[0]["Unit"]) == (
        "Devices",
        "A10",
        1050,
        "ft",
    )
    assert (rows[4]["Job"], rows[4]["Measured"], rows[4]["Limit"], rows[4]["Unit"]) == (
        "Quay",
        320.5,
        305,
        "m",
    )


def test_what_follows_from_another_finding_is_not_listed_and_the_cause_is_the_worst():
    cause = finding(rule="double-entry", subject="K4", id="a", level=Level.REVIEW, message="K4 stands twice")
    loop = finding(rule="loop", subject="P5", id="b", because=("a",), message="a loop")
    book = opened(summary_of([audit(findings=(loop, cause), verdict=Verdict.FAIL)]))
    assert [each["Rule"] for each in rows_below(book["Findings"], "Level")] == ["double-entry"]
    assert rows_below(book["Jobs"], "Verdict")[0]["Worst finding"] == "K4 stands twice"


def test_findings_of_one_rule_in_one_job_are_capped_and_counted():
    many = tuple(finding(subject=f"D{index}") for index in range(MOST_PER_RULE + 3))
    rows = rows_below(
        opened(summary_of([audit(findings=many), audit(findings=many[:1])]))["Findings"], "Level"
    )
    assert len(rows) == MOST_PER_RULE + 2
    assert (
        rows[MOST_PER_RULE]["What was found, and what to do"] == "and 3 more of reach: see the annotated copy"
    )


def test_more_rows_than_a_sheet_holds_are_counted_and_said(monkeypatch):
    monkeypatch.setattr("auditor.report.summary.rows._ROOM", 2)
    book = opened(summary_of([audit(job=f"J{index}", findings=(finding(),)) for index in range(5)]))
    for name in ("Jobs", "Findings", "Power budgets"):
        assert "3 more rows do not fit on a sheet" in book[name]["A2"].value
        assert len(rows_below(book[name], book[name]["A5"].value)) == 2


def test_a_line_a_run_in_the_power_budgets():
    rows = rows_below(opened(summary_of(jobs()))["Power budgets"], "Verdict")
    assert [(row["Run"], row["Watts"], row["Lowest volts"]) for row in rows] == [
        ("C1.1", 7.2, 21.9),
        ("C1.2", 10.8, 22.38),
        ("C2.1", 14.4, 22.56),
        ("C1.1", 5, 23.1),
    ]
    assert rows[2]["Used of the supply"] == pytest.approx((14.4 + 0.52) / 14)
    assert rows[1]["Margin for longer cable"] == "1.24 times as long breaks reach"


def test_what_to_buy_is_counted_by_cable_and_reel():
    reel = CutReel(reel="R1", length_m=500 * FT, pulls=("P1",), cut_m=(100 * FT,), offcut_m=400 * FT)
    more = CutListResult(
        cable="16/2",
        status=Status.PROVEN,
        lower_bound=None,
        cost=None,
        bought_m=1000 * FT,
        needed_m=200 * FT,
        reels=(reel, reel),
    )
    book = opened(summary_of([full_audit(), audit(cut_lists=(more,))]))
    sheet = book["To buy"]
    cable = {row["Cable"]: row for row in rows_below(sheet, "Cable")}
    assert (cable["16/2"]["Needed (ft)"], cable["16/2"]["To buy (ft)"]) == (1574, 2000)
    assert (cable["16/2"]["Reels to buy"], cable["16/2"]["From the shelf"]) == (3, 1)
    assert cable["18/2"]["Not on any reel"] == "1 too long for every reel"
    assert cable["All cable"]["To buy (ft)"] == 2500
    top = next(row for row in range(1, 60) if sheet.cell(row, 1).value == "Reels by size")
    reels = [[cell.value for cell in row[:5]] for row in sheet.iter_rows(min_row=top + 2, max_row=top + 5)]
    assert reels == [
        ["16/2", 1000, "to buy", 1, 1000],
        ["16/2", 500, "to buy", 2, 1000],
        ["16/2", 500, "the shelf", 1, 500],
        ["18/2", 500, "to buy", 1, 500],
    ]
    assert [row["Controllers"] for row in rows_below(sheet, "Over all jobs")] == [3, 3]


def test_watts_that_are_not_known_are_blank_and_their_sum_is_at_least_so_much():
    job = audit(runs=(run("1", power_w=None), run("2", power_w=4.5)))
    sheet = opened(summary_of([job]))["Power budgets"]
    rows = rows_below(sheet, "Verdict")
    assert [row["Watts"] for row in rows] == [None, 4.5]
    assert [row["Controller draws (W)"] for row in rows] == [None, None]
    assert "A blank is not known; sums are at least so much." in sheet["A2"].value


def test_cable_of_pulls_without_a_length_is_at_least_so_much():
    short = audit(pulls=(pull("P1", 4), pull("P2", 5, length_m=None), pull("P3", 6, length_m=None)))
    unknown = audit(pulls=(pull("P1", 4, length_m=None),))
    sheet = opened(summary_of([short, audit(), unknown]))["Jobs"]
    assert [(row["Cable (ft)"], row["Cable is"]) for row in rows_below(sheet, "Verdict")] == [
        (pytest.approx(100), "at least: 2 pulls without a length or its unit"),
        (pytest.approx(250), None),
        (None, "1 pull without a length or its unit"),
    ]
    assert sheet["J4"].value == "at least"
    assert opened(summary_of([audit()]))["Jobs"]["J4"].value in (None, "")


def test_pulls_on_no_reel_are_counted_by_their_reason():
    full = full_audit()
    short, long = full.cut_lists[0], replace(full.cut_lists[1], unmeasured=("P7", "P8"))
    pulls = (*full.pulls, pull("P9", 40, cable="14/2", length_m=None), pull("P10", 41, cable="14/2"))
    sheet = opened(summary_of([replace(full, cut_lists=(short, long), pulls=pulls), full]))["To buy"]
    assert [row["Not on any reel"] for row in rows_below(sheet, "Cable")] == [
        None,
        "2 too long for every reel, 2 without a length or its unit",
        None,
    ]
    assert sheet["A3"].value == (
        "Not in these figures: 2 pulls of cable that has no cut list, 1 of them without a length or its "
        "unit; the findings name them."
    )


def test_jobs_whose_need_of_controllers_is_unknown_are_counted():
    unknown = ControllersResult(scheduled=1, needed=None, lower_bound=None, status=None)
    texts = [
        row[0].value
        for row in opened(summary_of([audit(controllers=unknown)]))["To buy"].iter_rows(max_col=1)
    ]
    assert "How many are needed is not known in 1 of the jobs." in texts


@pytest.mark.parametrize(
    ("copy", "linked"),
    [
        ("gull/cottage.audited.xlsx", True),
        ("Küche 2/plan.audited.xlsx", True),
        ("../outside.xlsx", False),
        ("a/../b.xlsx", False),
        ("/etc/passwd", False),
        ("C:\\x.xlsx", False),
        ("a#b.xlsx", False),
        ("a%41.xlsx", False),
        ("a\tb.xlsx", False),
    ],
)
def test_only_a_safe_relative_path_becomes_a_link(copy, linked):
    cell = opened(summary_of([audit()], copies={"gull/cottage.xlsx": copy}))["Jobs"]["C6"]
    assert cell.value == "gull/cottage.xlsx"
    assert (cell.hyperlink is not None) is linked


def test_lengths_are_in_the_unit_of_most_jobs():
    metre = audit(length_unit="m", pulls=(pull("P", 1, length_m=30.48),))
    sheet = opened(summary_of([audit(), metre, metre]))["Jobs"]
    assert [row["Cable (m)"] for row in rows_below(sheet, "Verdict")] == [pytest.approx(76.2), 30.48, 30.48]


def test_no_jobs_give_an_empty_summary_that_opens():
    book = opened(summary_of([]))
    assert book.sheetnames == ["Jobs", "Findings", "Power budgets", "To buy"]
    assert book["Jobs"]["A2"].value == f"0 jobs audited. {BRIEF_CAUTION}"


def test_an_iterator_is_read_once_and_the_bytes_are_the_same():
    assert summary_of(iter(jobs())) == summary_of(jobs())


def test_text_from_workbooks_is_never_a_formula():
    text = '=HYPERLINK("http://x.example")'
    hostile = audit(
        job=text,
        file=text,
        profile=text,
        profile_chosen=text,
        findings=(finding(message=text, subject=text),),
    )
    plain = audit(
        job="a", file="a", profile="a", profile_chosen="a", findings=(finding(message="a", subject="a"),)
    )
    data = summary_of([hostile])
    assert formulas(data) == formulas(summary_of([plain]))
    assert all('TargetMode="External"' not in each for each in parts(data, r".*\.rels"))


def test_the_shown_totals_are_what_another_program_computes(tmp_path):
    data = summary_of(jobs())
    computed = recalculated(data, tmp_path)
    shown = opened(data)
    places = formulas(data)
    assert {sheet for sheet, _ in places} == {"Jobs", "Power budgets", "To buy"}
    for sheet, cell in places:
        assert computed[sheet][cell].value == pytest.approx(shown[sheet][cell].value), (sheet, cell)


def test_findings_of_each_level_keep_their_count():
    mixed = tuple(
        finding(level=level)
        for level in (Level.NOTE, Level.FAIL, Level.REVIEW)
        for _ in range(MOST_PER_RULE + 1)
    )
    rows = rows_below(opened(summary_of([audit(findings=mixed)]))["Findings"], "Level")
    assert len(rows) == 3 * (MOST_PER_RULE + 1)


def test_a_question_that_several_jobs_of_a_folder_ask_is_listed_once():
    def asks(file, *ids):
        choices = (ChoiceResult(answer="ft", leads_to="feet"), ChoiceResult(answer="m", leads_to="metres"))
        one = QuestionResult(id="", sentence="ft or m?", choices=choices)
        answered = replace(one, id="qty-00000000", answered="ft")
        return audit(file=file, questions=(*(replace(one, id=each) for each in ids), answered))

    lodges = [asks(f"lodges/{name}.xlsx", "unit-00000000") for name in "abc"]
    others = [asks("d.xlsx", "unit-00000000", "unit-00000001"), audit(file="e.xlsx")]
    book = opened(summary_of([*others, *lodges], copies={"lodges/a.xlsx": "lodges/a.audited.xlsx"}))
    assert book.sheetnames == ["Jobs", "Findings", "Questions", "Power budgets", "To buy"]
    found = rows_below(book["Questions"], "Jobs that ask")
    assert [(row["Jobs that ask"], row["Folder"], row["Where to answer"]) for row in found] == [
        (3, "lodges", "lodges/a.xlsx"),
        (1, None, "d.xlsx"),
        (1, None, "d.xlsx"),
    ]
    assert (found[0]["What is unclear"], found[0]["Answers"]) == ("Ft or m?", "ft\nm")
    assert found[0]["What to do"] == (
        "3 jobs of this folder ask the same: answer once on the sheet «Questions», in one copy, with «Use it for»: "
        "all workbooks of this folder"
    )
    assert found[1]["What to do"] == "Answer it on the sheet «Questions», in its copy"
    assert book["Questions"]["E6"].hyperlink.target.replace("\\", "/") == "lodges/a.audited.xlsx"

"""The added sheets hold the audit's own values, link to its cells, and take no text for a formula."""

from collections.abc import Mapping
from dataclasses import replace

import pytest

from auditor.job.model import CellRef, Statement, TableKind
from auditor.report.job.audit_sheet import MOST_PER_RULE, LimitRow, finding_rows
from auditor.report.job.columns import added_columns
from auditor.report.job.sheets import WANTED_NAMES, job_sheets
from auditor.report.page.look import WORD_LOOKS, WORDS
from auditor.results.audit_result import (
    ChoiceResult,
    CutListResult,
    CutReel,
    PortPlanResult,
    QuestionResult,
    Status,
)
from auditor.results.findings import Level, Verdict
from tests.report.audits import audit, device, finding, full_audit, pull, run, table
from tests.report.books import formulas, opened, part, parts, rows_below

HOSTILE = ("=1+1", "+1", "-1", "@x", '=HYPERLINK("x")', "\t=1", "{=1}", "http://x.example", "internal:A1")


def test_all_sheets_stand_in_their_order_and_an_empty_one_is_left_out():
    assert opened(job_sheets(full_audit())).sheetnames == list(WANTED_NAMES[1:])
    asking = replace(full_audit(), questions=(QUESTION,))
    assert opened(job_sheets(asking)).sheetnames == list(WANTED_NAMES)
    assert opened(
        job_sheets(audit(devices=(), pulls=(), runs=(), tables=(), questions=(QUESTION,)))
    ).sheetnames == ["Questions"]
    assert opened(job_sheets(audit(devices=(), pulls=(), runs=()))).sheetnames == ["Audit"]


def test_sheets_take_the_names_that_are_free_and_links_follow():
    data = job_sheets(full_audit(), {"Audit": "Audit (2)", "Reach chart": "Bob's reach"})
    book = opened(data)
    assert book.sheetnames == ["Audit (2)", "Power budget", "Bob's reach", "Port plan", "Cut list"]
    assert book["Audit (2)"]["A3"].hyperlink.location == "'Audit (2)'!A7"


def test_the_same_audit_gives_the_same_bytes():
    assert job_sheets(full_audit()) == job_sheets(full_audit())
    assert "2000-01-01T00:00:00Z" in part(job_sheets(audit()), "docProps/core.xml")


def test_audit_sheet_shows_verdict_runs_and_findings_worst_first():
    sheet = opened(job_sheets(full_audit()))["Audit"]
    assert sheet["A1"].value == "Audit: Harbour House, level 2"
    assert sheet["A2"].value == "fail"
    assert sheet["B2"].value == "1 to mend, 2 to review. The findings below say what and where."
    runs = rows_below(sheet, "Verdict")
    assert [(each["Run"], each["Verdict"]) for each in runs] == [
        ("C1.1", "fail"),
        ("C1.2", "pass"),
        ("C2.1", "review"),
    ]
    assert [each["Total cable (ft)"] for each in runs] == [1050, 810, 720]
    assert [each["Lowest volts"] for each in runs] == [21.9, 22.38, 22.56]
    assert runs[0]["Limits and margin"] == (
        "Limits 2,000 ft cable, 1,000 ft reach, 50 devices; farthest KP-106; lowest volts at KP-106; "
        "reach is past its limit as scheduled"
    )
    assert "1.24 times as long breaks reach" in runs[1]["Limits and margin"]
    assert "(if its cable is off specification)" in runs[2]["Limits and margin"]
    found = rows_below(sheet, "Level")
    assert [each["Level"] for each in found] == ["fail", "review", "review", "note"]
    assert (found[0]["Measured"], found[0]["Limit"], found[0]["Unit"]) == (1050, 1000, "ft")
    assert (found[2]["Measured"], found[2]["Limit"], found[2]["Unit"]) == (21.9, 22, "V")


QUESTION = QuestionResult(
    id="length-0a1b2c3d",
    sentence="which is it?",
    choices=(
        ChoiceResult(answer="A", leads_to="A is read: C1.1 fails"),
        ChoiceResult(answer="B", leads_to="B is read: C1.1 passes"),
    ),
    where=CellRef("Pulls", 1, 4),
)


def test_the_audit_sheet_leads_to_the_questions():
    job = replace(full_audit(), questions=(QUESTION, replace(QUESTION, id="unit-0a1b2c3d", answered="A")))
    book = opened(job_sheets(job, {"Questions": "Questions 2"}))
    sheet = book["Audit"]
    assert book.sheetnames[:2] == ["Questions 2", "Audit"]
    assert sheet["B2"].value.startswith("1 question to answer, 1 to mend, 2 to review.")
    assert sheet["H4"].value == "1 question to answer on the sheet «Questions 2»"
    assert sheet["H4"].hyperlink.location == "'Questions 2'!A1"
    assert {key: sheet.cell(row, 4).value for key, row in finding_rows(job).items()} == {
        ("Devices", 10): "Devices!A10",
        ("Pulls", 19): "Pulls!E19",
    }


def test_what_is_said_beside_the_tables_stands_below_how_they_were_read():
    said = (
        Statement(text="lengths count from the port", scope="sheet 'A'", used=True, where=CellRef("A", 2, 1)),
        Statement(text="the supply is 24 V", scope="the job", used=False, where=CellRef("A", 9, 3), more=2),
    )
    sheet = opened(job_sheets(audit(statements=said)))["Audit"]
    text = "What is said beside the tables"
    rows = rows_below(sheet, "Said in")
    assert [(row["Said in"], row["Holds for"], row["Used"], row[text]) for row in rows] == [
        ("A!A2", "sheet 'A'", "yes", "Lengths count from the port"),
        ("A!C9", "the job", "not used", "The supply is 24 V (and 2 more cells)"),
    ]
    headings = [cell.value for cell in sheet["A"] if cell.value in ("Table", "Said in")]
    assert headings[-1] == "Said in"


def test_without_such_cells_nothing_is_said_of_them():
    sheet = opened(job_sheets(full_audit()))["Audit"]
    assert "Said in" not in [cell.value for cell in sheet["A"]]


def test_findings_link_to_their_cells_with_quotes_doubled():
    where = CellRef("Bob's list", 7, 8)
    sheet = opened(job_sheets(audit(findings=(finding(where=where),))))["Audit"]
    cell = next(cell for row in sheet.iter_rows() for cell in row if cell.value == "Bob's list!H7")
    assert cell.hyperlink.location == "'Bob''s list'!H7"


def test_the_finding_rows_are_where_the_findings_stand():
    job = full_audit()
    sheet = opened(job_sheets(job))["Audit"]
    rows = finding_rows(job)
    assert {key: sheet.cell(row, 4).value for key, row in rows.items()} == {
        ("Devices", 10): "Devices!A10",
        ("Pulls", 19): "Pulls!E19",
    }
    links = next(column.links for column in added_columns(job)[0].columns if column.links)
    assert links == {10: f"'Audit'!A{rows['Devices', 10]}"}


def test_links_lead_from_every_row_to_its_finding_and_from_there_back():
    """Rows without a port too, and those whose finding is only counted."""
    count = MOST_PER_RULE + 5
    rows = range(5, 5 + count)
    unfed = [device(f"D{row}", row, controller=None, port=None) for row in rows]
    listed = table(TableKind.DEVICES, "Devices", rows, tag=1)
    job = audit(
        tables=(listed,),
        devices=tuple(unfed),
        pulls=(),
        findings=tuple(finding(where=CellRef("Devices", row, 1), subject=f"D{row}") for row in rows),
    )
    sheet = opened(job_sheets(job))["Audit"]
    (links,) = [column.links for column in added_columns(job)[0].columns if column.links]
    assert set(links) == set(rows)
    for row, place in links.items():
        back = sheet[place.rpartition("!")[2]].offset(column=3)
        if row - 5 < MOST_PER_RULE:
            assert back.hyperlink.location == f"'Devices'!A{row}"
        else:
            assert back.offset(column=4).value.startswith("and 5 more")


def test_what_follows_from_a_finding_is_folded_under_it_and_its_rows_lead_to_the_cause():
    cause = finding(rule="unknown-end", subject="P4", id="a", where=CellRef("Pulls", 5, 3))
    dark = [
        finding(rule="unfed", subject=f"K{n}", id=f"k{n}", because=("a",), where=CellRef("Devices", n, 1))
        for n in (5, 6)
    ]
    other = finding(
        rule="double-entry", subject="K9", id="b", level=Level.REVIEW, where=CellRef("Devices", 9, 1)
    )
    an_audit = audit(findings=(other, dark[0], cause, dark[1]), ways_untried=3, verdict=Verdict.FAIL)
    sheet = opened(job_sheets(an_audit))["Audit"]
    rows = {
        row: sheet.cell(row, 2).value
        for row in range(1, 20)
        if sheet.cell(row, 3).value in ("unfed", "unknown-end")
    }
    first = min(rows)
    assert list(rows.values()) == ["P4", "K5", "K6"]
    folds = [
        (sheet.row_dimensions[row].outlineLevel, sheet.row_dimensions[row].hidden)
        for row in range(first, first + 4)
    ]
    assert folds == [(0, False), (1, True), (1, True), (0, False)]
    assert sheet.row_dimensions[first].collapsed
    assert not sheet.sheet_properties.outlinePr.summaryBelow
    assert finding_rows(an_audit) == {
        ("Pulls", 5): first, ("Devices", 5): first, ("Devices", 6): first, ("Devices", 9): first + 3,
    }  # fmt: skip
    assert (
        sheet["B2"].value
        == "1 to mend, 1 to review, 2 that follow from these. The findings below say what and where."
    )
    assert sheet.cell(first - 2, 3).value == (
        "What follows from a finding is folded under it; the sign beside its row opens it. "
        "3 ways to mend not tried: more may follow"
    )


def test_a_review_from_which_a_fail_follows_is_to_be_mended():
    cause = finding(rule="cable-spec", subject="T", id="a", level=Level.REVIEW)
    fails = finding(rule="reach", subject="K5", id="b", because=("a",))
    sheet = opened(job_sheets(audit(findings=(fails, cause), verdict=Verdict.FAIL)))["Audit"]
    assert sheet["B2"].value == (
        "1 to mend, 0 to review, 1 that follows from these. The findings below say what and where."
    )


def test_what_follows_from_an_accepted_review_stands_for_itself():
    cause = finding(
        rule="double-entry", subject="P4", id="a", level=Level.REVIEW, accepted="J. D.: two cables"
    )
    loop = finding(rule="loop", subject="P5", id="b", because=("a",))
    sheet = opened(job_sheets(audit(findings=(cause, loop), verdict=Verdict.FAIL)))["Audit"]
    assert sheet["B2"].value == "1 to mend, 0 to review, 1 accepted. The findings below say what and where."
    assert [each["Rule"] for each in rows_below(sheet, "Level")] == ["loop", "double-entry"]
    assert not any(dimension.hidden for dimension in sheet.row_dimensions.values())


def test_many_findings_of_one_rule_are_counted_not_listed():
    many = tuple(finding(subject=f"D{index}") for index in range(MOST_PER_RULE + 7))
    found = rows_below(opened(job_sheets(audit(findings=many)))["Audit"], "Level")
    assert len(found) == MOST_PER_RULE + 1
    assert found[-1]["What was found, and what to do"].startswith("and 7 more of reach")


def test_limits_how_it_was_read_and_cautions_are_told():
    source = "common practice, no published source"
    limits = (
        LimitRow("reach", "1,000 ft", source),
        LimitRow("waste", "5 %", "ours"),
        LimitRow("cable", "2,000 ft", source),
    )
    sheet = opened(job_sheets(full_audit(), limits=limits, cautions=("Mind the gap.",)))["Audit"]
    read = rows_below(sheet, "Table")
    assert (read[0]["Table"], read[0]["Sheet"], read[0]["Rows read"]) == ("Device list", "Devices", 27)
    assert read[0]["Columns"] == "tag in A, room in B, power in C"
    texts = [cell.value for row in sheet.iter_rows() for cell in row if isinstance(cell.value, str)]
    assert (
        "52 rows read, 2 more left out (the findings say which and why). Lengths in ft. File "
        "gull/cottage.xlsx" in texts
    )
    assert "Mind the gap." in texts
    at = texts.index("Limits and sources", texts.index("Reach (ft)"))
    assert texts[at + 1 : at + 3] == [
        "Common practice, no published source: reach 1,000 ft; cable 2,000 ft.",
        "Ours: waste 5 %.",
    ]


def test_cautions_stand_on_every_audit_sheet():
    texts = " ".join(
        str(cell.value) for row in opened(job_sheets(audit()))["Audit"].iter_rows() for cell in row
    )
    for word in (
        "local codes",
        "maker's instructions",
        "licensed practitioner",
        "before walls and ceilings are closed",
    ):
        assert word in texts


def test_words_carry_their_fill_by_conditional_format():
    kinds = {
        "Audit": ("verdict", "level"),
        "Power budget": ("state",),
        "Reach chart": (),
        "Port plan": ("verdict",),
        "Cut list": (),
    }
    for sheet in opened(job_sheets(full_audit())):
        rules = [rule for each in sheet.conditional_formatting for rule in each.rules]
        words = {rule.formula[0].strip('"') for rule in rules if rule.type == "cellIs"}
        assert words == {word for kind in kinds[sheet.title] for word in WORDS[kind]}
        assert any(rule.type == "dataBar" for rule in rules) == (sheet.title in ("Power budget", "Port plan"))


def test_a_word_always_stands_with_the_fill_and_the_fills_differ_in_lightness():
    def lightness(colour: str) -> float:
        red, green, blue = (int(colour[index : index + 2], 16) for index in (1, 3, 5))
        return (0.2126 * red + 0.7152 * green + 0.0722 * blue) / 255

    fills = [lightness(WORD_LOOKS[word]["bg_color"]) for word in ("pass", "review", "fail")]
    assert fills[0] - fills[1] > 0.1
    assert fills[1] - fills[2] > 0.4


def test_every_sheet_prints_landscape_one_page_wide_on_any_paper():
    for sheet in opened(job_sheets(full_audit())):
        if sheet.title == "Reach chart":  # has its own page breaks, which fitting would drop
            assert sheet.page_setup.scale == 85
            width = sum(column.width for column in sheet.column_dimensions.values())
            assert width * 9 * 0.85 / 96 <= 11 - 0.8  # digits of 9 pixels, on Letter between its margins
            continue
        assert sheet.page_setup.orientation == "landscape"
        assert (sheet.page_setup.fitToWidth or 1, sheet.page_setup.fitToHeight) == (1, 0)  # absent means 1
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert sheet.page_setup.paperSize in (None, 0)
        assert sheet.oddFooter.right.text == "Page &P of &N"
        assert sheet.print_area


def sheets_full_of(text: str) -> Mapping[str, bytes]:
    where = CellRef("Devices", 5, 1)
    job = audit(
        job=text,
        profile=text,
        profile_chosen=text,
        file=text,
        runs=(run(text, controller=text, farthest=text, min_voltage_at=text),),
        devices=(device(text, 5, controller=text, port=text, why=text),),
        pulls=(pull(text, 4, near=text, far=text),),
        findings=(finding(rule=text, subject=text, message=text, unit=text, where=where),),
        port_plan=PortPlanResult(status=Status.PROVEN, reason=text, moves=(), cuts=(), runs=()),
        cut_lists=(
            CutListResult(
                cable=text,
                status=Status.PROVEN,
                lower_bound=None,
                cost=None,
                bought_m=10.0,
                needed_m=5.0,
                uncut=(text,),
                reels=(CutReel(reel=text, length_m=10.0, pulls=(text,), cut_m=(5.0,), offcut_m=5.0),),
            ),
        ),
        statements=(Statement(text=text, scope=text, used=True, where=CellRef("Pulls", 1, 1)),),
        voltage_basis=text,
    )
    return job_sheets(job, limits=(LimitRow(text, text, text),), cautions=(text,))


@pytest.mark.parametrize("text", HOSTILE)
def test_no_text_becomes_a_formula_or_a_link_out(text):
    data = sheets_full_of(text)
    assert formulas(data) == formulas(sheets_full_of("harmless"))
    assert all('TargetMode="External"' not in each for each in parts(data, r".*\.rels"))
    texts = {str(cell.value).strip() for sheet in opened(data) for row in sheet.iter_rows() for cell in row}
    assert text.strip() in texts


def test_text_that_looks_like_a_formula_stays_text_when_its_cell_is_edited():
    sheet = opened(job_sheets(audit(findings=(finding(subject="=1+1"),))))["Audit"]
    cell = next(cell for row in sheet.iter_rows() for cell in row if cell.value == "=1+1")
    assert cell.quotePrefix


def test_control_characters_and_overlong_text_give_a_file_that_opens():
    bad = "a\x00b\x1b[31m\ud800\ufffe\u202ec" + "y" * 40_000
    sheet = opened(job_sheets(audit(job=bad, findings=(finding(message=bad, level=Level.REVIEW),))))["Audit"]
    assert sheet["A1"].value.startswith("Audit: ab[31mcy")
    assert len(sheet["A1"].value) <= 32_767


def test_numbers_that_are_none_are_left_empty():
    job = audit(runs=(run(power_w=float("nan"), reach_m=float("inf"), loss_w=None, verdict=Verdict.REVIEW),))
    assert rows_below(opened(job_sheets(job))["Audit"], "Verdict")[0]["Watts"] is None

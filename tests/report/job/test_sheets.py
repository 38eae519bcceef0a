"""The added sheets hold the audit's own values, link to its cells, and take no text for a formula."""

import itertools
import re
from collections.abc import Mapping
from dataclasses import replace

import pytest

from auditor.job.model import CellRef, TableKind
from auditor.report.job.audit_sheet import MOST_PER_RULE, LimitRow, finding_rows
from auditor.report.job.columns import added_columns
from auditor.report.job.reach_chart import _MOST_LISTED, _MOST_PICTURES
from auditor.report.job.sheets import WANTED_NAMES, job_sheets
from auditor.report.page.look import WORD_LOOKS, WORDS
from auditor.results.audit_result import CutListResult, CutReel, LimitsResult, PortPlanResult, Status
from auditor.results.findings import Level, Verdict
from tests.report.audits import FT, audit, device, finding, full_audit, pull, run, table
from tests.report.books import formulas, opened, part, parts, rows_below

HOSTILE = ("=1+1", "+1", "-1", "@x", '=HYPERLINK("x")', "\t=1", "{=1}", "http://x.example", "internal:A1")


def test_all_sheets_stand_in_their_order_and_an_empty_one_is_left_out():
    assert opened(job_sheets(full_audit())).sheetnames == list(WANTED_NAMES)
    assert opened(job_sheets(audit(devices=(), pulls=(), runs=()))).sheetnames == ["Audit"]


def test_sheets_take_the_names_that_are_free_and_links_follow():
    data = job_sheets(full_audit(), {"Audit": "Audit (2)", "Reach chart": "Bob's reach"})
    book = opened(data)
    assert book.sheetnames == ["Audit (2)", "Power budget", "Bob's reach", "Port plan", "Cut list"]
    assert book["Audit (2)"]["A3"].hyperlink.location == "'Audit (2)'!A7"
    assert "'Bob''s reach'!$H$" in parts(data, r"xl/charts/chart1\.xml")[0]


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
    assert "23.5 % longer breaks reach" in runs[1]["Limits and margin"]
    assert "(if its cable is off specification)" in runs[2]["Limits and margin"]
    found = rows_below(sheet, "Level")
    assert [each["Level"] for each in found] == ["fail", "review", "review", "note"]
    assert (found[0]["Measured"], found[0]["Limit"], found[0]["Unit"]) == (1050, 1000, "ft")
    assert (found[2]["Measured"], found[2]["Limit"], found[2]["Unit"]) == (21.9, 22, "V")


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


def test_many_findings_of_one_rule_are_counted_not_listed():
    many = tuple(finding(subject=f"D{index}") for index in range(MOST_PER_RULE + 7))
    found = rows_below(opened(job_sheets(audit(findings=many)))["Audit"], "Level")
    assert len(found) == MOST_PER_RULE + 1
    assert found[-1]["What was found, and what to do"].startswith("and 7 more of reach")


def test_limits_how_it_was_read_and_cautions_are_told():
    limit = LimitRow("Reach", "1,000 ft", "common practice, no published source")
    sheet = opened(job_sheets(full_audit(), limits=(limit,), cautions=("Mind the gap.",)))["Audit"]
    assert rows_below(sheet, "Limit") == [{"Limit": "Reach", "Value": "1,000 ft", "Source": limit.source}]
    read = rows_below(sheet, "Table")
    assert (read[0]["Table"], read[0]["Sheet"], read[0]["Rows read"]) == ("Device list", "Devices", 27)
    assert read[0]["Columns"] == "tag in A, room in B, power in C"
    texts = [cell.value for row in sheet.iter_rows() for cell in row if isinstance(cell.value, str)]
    assert (
        "52 rows read, 2 more left out (the findings say which and why). Lengths in ft. File "
        "gull/cottage.xlsx" in texts
    )
    assert "Mind the gap." in texts


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


def test_port_plan_sheet_shows_before_after_moves_and_cuts():
    sheet = opened(job_sheets(full_audit()))["Port plan"]
    assert sheet["A2"].value == "Proven: no better plan exists."
    heads = [cell.value for cell in sheet[6]]
    rows = {row[0].value: [cell.value for cell in row] for row in sheet.iter_rows(min_row=7, max_row=10)}
    assert (
        heads[1:8]
        == heads[8:15]
        == [
            "Cable (ft)",
            "Reach (ft)",
            "Devices",
            "Watts",
            "Lowest volts",
            "Fullest limit",
            "Verdict",
        ]
    )
    assert rows["C1.1"][1:8] == [1050, 1050, 6, 7.2, 21.9, pytest.approx(1.05), "fail"]
    assert rows["C1.1"][8:15] == [875, 875, 5, 6, 22.25, pytest.approx(0.875), "pass"]
    assert rows["C2.2"][1:8] == [None] * 7
    moves = rows_below(sheet, "Branch")
    assert [(each["Branch"], each["From"], each["To"]) for each in moves] == [
        ("P106", "C1.1", "C2.2"),
        ("P204", "not scheduled", "C1.2"),
    ]
    assert rows_below(sheet, "Pull to lift") == [{"Pull to lift": "P106", "New home run (ft)": 640}]


@pytest.mark.parametrize(
    ("unknown", "share"),
    [({}, 0.25), ({"reach_m": None}, None), ({"cable_m": None}, None), ({"power_w": None}, 0.25)],
)
def test_the_fullest_limit_is_blank_where_a_figure_with_a_limit_is_not_known(unknown, share):
    """The power of `run` has no limit."""
    runs = (run("1"), run("2", **unknown))
    plan = PortPlanResult(status=Status.PROVEN, reason=None, moves=(), cuts=(), runs=runs)
    sheet = opened(job_sheets(audit(runs=runs, port_plan=plan)))["Port plan"]
    assert [cell.value for cell in sheet["G"][6:8]] == [pytest.approx(0.25), share and pytest.approx(share)]
    told = (
        "Blank: a length or a power is missing, so the figure is not known; the limit may be past "
        "all the same."
    )
    assert (sheet["A9"].value == told) == (share is None)


@pytest.mark.parametrize(
    ("status", "reason", "said"),
    [
        (
            Status.BEST_FOUND,
            "the bound is 2 controllers",
            "Best found: a better one may exist. The bound is 2 controllers",
        ),
        (Status.IMPOSSIBLE, "K9 is beyond reach", "Impossible: no plan keeps all limits. K9 is beyond reach"),
    ],
)
def test_a_plans_status_is_said_in_words(status, reason, said):
    plan = PortPlanResult(status=status, reason=reason, moves=(), cuts=(), runs=())
    assert opened(job_sheets(audit(port_plan=plan)))["Port plan"]["A2"].value == said


@pytest.mark.parametrize(
    ("left_ft", "said"),
    [(0, "offcut 0 ft"), (24.9, "scrap 24.9 ft"), (25, "offcut 25 ft"), (400, "offcut 400 ft")],
)
def test_an_offcut_too_short_to_keep_is_scrap(left_ft, said):
    reel = CutReel(reel="R1", length_m=500 * FT, pulls=(), cut_m=(), offcut_m=left_ft * FT)
    full = full_audit()
    lists = replace(full.cut_lists[0], reels=(reel,), keep_from_m=25 * FT)
    sheet = opened(job_sheets(replace(full, cut_lists=(lists,))))["Cut list"]
    assert said in [cell for row in sheet.iter_rows(values_only=True) for cell in row]


def test_cut_list_marks_run_on_along_each_reel_and_end_at_its_offcut():
    job = full_audit()
    sheet = opened(job_sheets(job))["Cut list"]
    rows = [row for row in rows_below(sheet, "Cut") if row["To mark (ft)"] is not None]
    for reel in job.cut_lists[0].reels:
        own = [row for row in rows if row["Reel"] == reel.reel]
        assert [row["Pull"] for row in own] == list(reel.pulls)
        assert own[0]["From mark (ft)"] == 0
        for before, after in itertools.pairwise(own):
            assert after["From mark (ft)"] == before["To mark (ft)"]
        assert own[-1]["To mark (ft)"] == pytest.approx((reel.length_m - reel.offcut_m) / FT)
    assert (rows[0]["From"], rows[0]["To"], rows[0]["Scheduled (ft)"]) == ("C1.1", "KP-101", 175)


def test_a_pull_too_long_for_any_reel_is_said():
    texts = [row[0].value for row in opened(job_sheets(full_audit()))["Cut list"].iter_rows(max_col=1)]
    assert "No reel is long enough for P999" in texts


def test_pulls_without_a_length_are_named_on_the_crews_sheet_with_the_cables_that_have_none():
    full = full_audit()
    lists = replace(full.cut_lists[1], unmeasured=("P8", "P9"))
    pulls = (
        pull("P301", 4, cable="18/2"),
        pull("P8", 5, cable="18/2", length_m=None),
        pull("P9", 6, cable="18/2", length_m=None),
        pull("P10", 7, cable="14/2", length_m=None),
        pull("P11", 8, cable=None, length_m=0.0),
        pull("P12", 9, cable="12/2"),
    )
    job = replace(full, cut_lists=(lists,), pulls=pulls)
    rows = opened(job_sheets(job))["Cut list"].iter_rows(max_col=1, values_only=True)
    texts = [text for (text,) in rows if text]

    fill_in = "Fill the lengths in with their unit and audit again before ordering or cutting."
    assert texts[3:] == [
        "Cable 18/2",
        "Holds 1 of 4 pulls; those not on it are named below. For the 1: 1 reel to buy, 500 ft, for "
        "350.5 ft of cuts, cost 120. Best found: a better one may exist. No plan costs less than 121.92.",
        "No reel is long enough for P999",
        f"Not on this list, since a length or its unit is missing: P8, P9. {fill_in}",
        "Cable 14/2",
        f"No cut list, since no pull of it has a length with its unit: P10. {fill_in}",
        "Cable not stated",
        f"No cut list, since no pull of it has a length with its unit: P11. {fill_in}",
        "Cable 12/2",
        "No cut list; the findings say why. Pulls: P12.",
    ]


def test_a_crew_sheet_without_gaps_says_nothing_of_them():
    job = full_audit()
    cells = opened(job_sheets(replace(job, cut_lists=job.cut_lists[:1])))["Cut list"].iter_rows(max_col=1)
    assert not [cell.value for (cell,) in cells if "not on it" in str(cell.value)]


def test_reach_chart_has_a_picture_a_controller_with_the_limit_marked():
    data = job_sheets(full_audit())
    charts = parts(data, r"xl/charts/chart\d+\.xml")
    assert len(charts) == 2
    assert all("<c:v>limit</c:v>" in chart for chart in charts)
    assert "KP-106" in charts[0]
    assert "KP-312" in charts[1]
    assert "past the limit" in charts[0]
    assert "past the limit" not in charts[1]
    rows = rows_below(opened(data)["Reach chart"], "Port")
    assert [row["Device"] for row in rows if row["Reach"] == "too far"] == ["KP-106"]
    assert [row["Port"] for row in rows] == [each.name for each in full_audit().runs]


def test_the_bars_at_the_limits_are_parted_whatever_a_program_does_with_blanks():
    """In the order of ISO/IEC 29500-1, 21.2.2.27: where it is left out, some join the bars by a line."""
    for chart in parts(job_sheets(full_audit()), r"xl/charts/chart\d+\.xml"):
        assert '<c:plotVisOnly val="1"/><c:dispBlanksAs val="gap"/></c:chart>' in chart


def test_the_pictures_points_are_every_devices_distance_and_the_table_names_farthest_and_too_far():
    limits = LimitsResult(cable_m=None, reach_m=100 * FT, devices=None, power_w=None)
    distances = {"A": 40.0, "B": 101.0, "C": 260.5}
    devices = tuple(
        device(tag, row, distance_m=length * FT) for row, (tag, length) in enumerate(distances.items(), 5)
    )
    data = job_sheets(audit(runs=(run(limits=limits, verdict=Verdict.FAIL),), devices=devices))
    sheet = opened(data)["Reach chart"]
    assert [row["Device"] for row in rows_below(sheet, "Port")] == ["C", "B"]
    near, far, bar, farthest, port = opened_points(sheet)
    assert (near, far) == ([(40, 1)], [(101, 1), (260.5, 1)])
    assert [x for x, _ in bar] == [100, 100]
    assert (farthest, port) == ([(260.5, 1)], [(0, 1)])
    (chart,) = parts(data, r"xl/charts/chart\d+\.xml")
    held = re.findall(r"<c:xVal>(.*?)</c:xVal>", chart)
    assert [[float(x) for x in re.findall(r"<c:v>(.*?)</c:v>", each)] for each in held] == [
        [x for x, _ in points] for points in (near, far, bar, farthest, port)
    ]


def opened_points(sheet) -> list[list[tuple[float, float]]]:
    """The points of each series of a sheet's first picture, from the cells that it refers to."""

    def values(reference) -> list[float]:
        cells = sheet[reference.numRef.f.rpartition("!")[2]]
        return [cell.value for (cell,) in cells] if isinstance(cells, tuple) else [cells.value]

    series = sheet._charts[0].series
    return [list(zip(values(each.xVal), values(each.yVal), strict=True)) for each in series]


def test_what_does_not_fit_the_reach_sheet_is_counted():
    limits = LimitsResult(cable_m=None, reach_m=1.0, devices=None, power_w=None)
    runs = tuple(
        run(controller=f"C{number}", limits=limits, verdict=Verdict.FAIL)
        for number in range(_MOST_PICTURES + 2)
    )
    devices = tuple(device(f"D{number}", 5 + number, controller="C41") for number in range(_MOST_LISTED + 3))
    devices += tuple(
        device(f"E{number}", 100 + number, controller=f"C{number}", distance_m=0.5)
        for number in range(_MOST_PICTURES + 1)
    )
    data = job_sheets(audit(runs=runs, devices=devices))
    sheet = opened(data)["Reach chart"]
    assert len(sheet._charts) == _MOST_PICTURES
    assert "2 more controllers only in the table below." in sheet["A2"].value
    rows = rows_below(sheet, "Port")
    assert {row["Port"] for row in rows} == {each.name for each in runs}
    assert rows[-1]["Device"] == "and 3 more too far"
    assert any("controller C41;" in text for text in parts(data, r"xl/drawings/drawing1\.xml"))


def test_devices_without_a_known_distance_are_named_below_the_reach_pictures():
    """Those past the limit all the same first."""
    unknown = {"distance_m": None, "voltage_v": None}
    job = audit(
        runs=(run("1", reach_m=None), run("2", reach_m=None, loops=1, verdict=Verdict.FAIL)),
        devices=(
            device("A-1", 5),
            device("A-2", 6, **unknown),
            device("B-1", 7, port="2", **unknown),
            device("B-2", 8, port="2", **unknown, verdict=Verdict.FAIL),
            device("C-1", 9, controller=None, port=None, **unknown),
            device("C-2", 10, controller=None, port=None),
        ),
        pulls=(pull("P1", 4), pull("P2", 5, length_m=None), pull("P3", 6, length_m=None, landed=False)),
        findings=(finding(subject="B-2"),),
    )
    sheet = opened(job_sheets(job))["Reach chart"]
    shown = [cell.value for (cell,) in sheet.iter_rows(max_col=1) if cell.value]
    assert shown[shown.index("Not shown above") + 1 :] == [
        "C1.2: B-2 (at least 1,050 ft, limit 1,000 ft), B-1. Why: 1 loop, so that there is more than "
        "one way.",
        "C1.1: A-2. Why: 1 pull of the run without a length or its unit.",
        "On no port: C-1, C-2. Why: no port feeds them yet.",
    ]
    assert sheet.print_area.endswith(f"$F${sheet.max_row}")
    all_known = opened(job_sheets(audit()))["Reach chart"]
    assert not [cell.value for (cell,) in all_known.iter_rows(max_col=1) if "Not shown" in str(cell.value)]


def test_a_limit_that_may_not_hold_is_for_review_not_too_far():
    unsure = run(
        derated=None,
        verdict=Verdict.REVIEW,
        limits=LimitsResult(cable_m=None, reach_m=200 * FT, devices=None, power_w=4.0),
    )
    data = job_sheets(audit(runs=(unsure,)))
    assert [row["Reach"] for row in rows_below(opened(data)["Reach chart"], "Port")] == ["review"]
    assert rows_below(opened(data)["Power budget"], "Port")[0]["Keeps it"] == "review"
    broken = run(derated=True, verdict=Verdict.FAIL, limits=unsure.limits)
    data = job_sheets(audit(runs=(broken,)))
    assert [row["Reach"] for row in rows_below(opened(data)["Reach chart"], "Port")] == ["too far"]
    assert rows_below(opened(data)["Power budget"], "Port")[0]["Keeps it"] == "over"


def test_the_cut_lists_heading_is_printed_on_every_page():
    """Once: two cables share it, so that no page shows it twice."""
    sheet = opened(job_sheets(full_audit()))["Cut list"]
    cut = [cell.row for cell in sheet["A"] if cell.value == "Cut"]
    cables = [cell.value for cell in sheet["A"] if str(cell.value).startswith("Cable ")]
    assert (cut, len(cables)) == ([4], len(full_audit().cut_lists))
    assert (sheet.print_title_rows, sheet.freeze_panes) == ("$4:$4", "A5")


def test_words_carry_their_fill_by_conditional_format():
    kinds = {
        "Audit": ("verdict", "level"),
        "Power budget": ("state",),
        "Reach chart": ("state",),
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


def test_no_picture_is_cut_by_a_page_break():
    runs = tuple(run("1", controller=f"C{index}") for index in range(12))
    devices = tuple(device(f"D{index}", 5 + index, controller=f"C{index}") for index in range(12))
    data = job_sheets(audit(runs=runs, devices=devices))
    sheet = opened(data)["Reach chart"]
    spans = [(chart.anchor._from.row, chart.anchor.to.row) for chart in sheet._charts]
    starts = [0, *(each.id for each in sheet.row_breaks.brk)]
    assert len(spans) == 12
    assert len(starts) > 2
    pages = [
        [start <= first and last < end for first, last in spans]
        for start, end in zip(starts, [*starts[1:], 9999], strict=True)
    ]
    assert [sum(column) for column in zip(*pages, strict=True)] == [1] * 12  # each on exactly one page


def test_every_sheet_prints_landscape_one_page_wide_on_any_paper():
    for sheet in opened(job_sheets(full_audit())):
        if sheet.title == "Reach chart":  # has its own page breaks, which fitting would drop
            assert sheet.page_setup.scale == 75
            width = sum(column.width for column in sheet.column_dimensions.values())
            assert width * 7 * 0.75 / 96 <= 11 - 0.8  # digits of 7 pixels, on Letter between its margins
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

"""The crew's sheet: reels, marks, and pulls that are not on it."""

import itertools
from dataclasses import replace

import pytest

from auditor.report.job.sheets import job_sheets
from auditor.report.words import BRIEF_CAUTION
from auditor.results.audit_result import CutReel
from auditor.results.findings import Verdict
from tests.report.audits import FT, full_audit, pull
from tests.report.books import opened, rows_below


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
    assert texts[4:] == [
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
        BRIEF_CAUTION,
    ]


def test_a_crew_sheet_without_gaps_says_nothing_of_them():
    job = full_audit()
    cells = opened(job_sheets(replace(job, cut_lists=job.cut_lists[:1])))["Cut list"].iter_rows(max_col=1)
    assert not [cell.value for (cell,) in cells if "not on it" in str(cell.value)]


def test_the_cut_lists_heading_is_printed_on_every_page():
    """Once: two cables share it, so that no page shows it twice."""
    sheet = opened(job_sheets(full_audit()))["Cut list"]
    cut = [cell.row for cell in sheet["A"] if cell.value == "Cut"]
    cables = [cell.value for cell in sheet["A"] if str(cell.value).startswith("Cable ")]
    assert (cut, len(cables)) == ([4], len(full_audit().cut_lists))
    assert (sheet.print_title_rows, sheet.freeze_panes) == ("$4:$4", "A5")


def _texts(job) -> list[str]:
    rows = opened(job_sheets(job))["Cut list"].iter_rows(values_only=True)
    return [str(cell) for row in rows for cell in row if cell]


def test_a_failing_job_warns_the_crew_and_marks_what_waits():
    full = full_audit()
    first, *others = full.pulls
    held = replace(first, hold="closes a loop", room="Hall", route="tray 4", note="with lights")
    spare = replace(others[0], landed=False)
    sheet = opened(job_sheets(replace(full, pulls=(held, spare, *others[1:]))))["Cut list"]
    assert sheet["A3"].value == (
        "The audit of Heron Lodge says fail: ask whoever planned it before cutting, lengths and ends may change. "
        "1 pull marked «not yet» must not be cut before the schedule is corrected."
    ).replace("Heron Lodge", full.job)
    rows = {row["Pull"]: row for row in rows_below(sheet, "Cut")}
    assert rows[held.id]["Cut"] == "not yet"
    assert rows[held.id]["Room, route, note"] == "not yet: closes a loop · Hall · tray 4 · with lights"
    assert rows[spare.id]["Cut"] is None
    assert rows[spare.id]["Room, route, note"] == "spare return, leave unlanded"


def test_a_job_without_faults_has_no_warning_and_says_which_list_rules():
    full = replace(full_audit(), verdict=Verdict.PASS)
    texts = _texts(full)
    assert not [text for text in texts if "not yet" in text or "says fail" in text]
    assert texts[1].endswith(
        "The reels are for this job alone: where an order is placed for several jobs, its own cut lists rule."
    )


@pytest.mark.parametrize(
    ("terms", "said"),
    [
        (
            {"waste": 0.05, "allowance_per_end_m": 3 * FT, "round_up_m": FT, "reserve_m": 20 * FT},
            "Cut lengths are the scheduled ones with 5 % for waste and 3 ft at each end, rounded up to the next 1 ft; "
            "20 ft stay on each reel in reserve. ",
        ),
        (
            {"waste": 0.0, "allowance_per_end_m": 0.0, "round_up_m": 0.0},
            "Cut lengths are the scheduled ones. ",
        ),
        ({"allowance_per_end_m": 3 * FT}, "Cut lengths are the scheduled ones with 3 ft at each end. "),
    ],
)
def test_allowances_stand_once_at_the_head(terms, said):
    full = full_audit()
    lists = tuple(replace(each, **terms) for each in full.cut_lists)
    texts = _texts(replace(full, cut_lists=lists))
    assert said in texts[1]
    mixed = (*lists, replace(lists[0], reserve_m=99.0))
    assert "Cut lengths are" not in _texts(replace(full, cut_lists=mixed))[1]


def test_what_few_reels_for_a_run_cost_is_said():
    full = full_audit()
    lists = replace(full.cut_lists[0], offcut_given_up_m=12 * FT)
    told = "for that the longest offcut is 12 ft shorter than it could be."
    assert any(told in text for text in _texts(replace(full, cut_lists=(lists,))))
    assert not any("few reels" in text for text in _texts(full))

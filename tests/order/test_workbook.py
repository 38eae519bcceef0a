"""The order asks for what the pooled cut lists and the jobs need, and stays text where it is text."""

import dataclasses

import pytest

from auditor.order.lines import Prices, order_lines
from auditor.order.warnings import order_warnings
from auditor.order.workbook import pooled_name, write_order
from auditor.results.audit_result import (
    ControllersResult,
)
from auditor.results.findings import Verdict
from tests.annotate.repair import faults
from tests.order.jobs import JOBS, POOLED, cut_list, job, order, reel
from tests.report.audits import FT, audit, pull
from tests.report.books import formulas, opened, recalculated, rows_below
from tests.report.summaries import summary_of


def test_warnings_count_jobs_of_each_verdict_and_stand_above_the_lines():
    jobs = [
        job("A", verdict=Verdict.FAIL),
        job("B", verdict=Verdict.FAIL),
        job("C", verdict=Verdict.REVIEW, pulls=(pull("P1", 4, length_m=None),)),
        job("D", verdict=Verdict.REVIEW),
        job("E", verdict=Verdict.UNREADABLE, pulls=(), cut_lists=()),
    ]
    warnings = order_warnings(jobs, ["A", "B"])
    assert [sentence.partition(":")[0] for sentence in warnings] == [
        "2 jobs with verdict fail",
        "2 jobs with verdict review",
        "1 job unreadable",
        "1 pull is not covered by any reel here (1 without a length or its unit)",
        "2 jobs were given more than once and are counted once",
    ]
    assert "mend the schedules before ordering for them" in warnings[0]
    assert "(1 job with lengths missing)" in warnings[1]
    sheet = opened(write_order(jobs, [], order_lines(jobs, []), warnings=warnings))["Order"]
    assert [sheet.cell(row, 1).value for row in range(3, 9)] == [*warnings, None]
    assert sheet.cell(9, 1).value == "Kind"
    assert order_warnings(JOBS) == []


def test_an_unreadable_job_asks_for_nothing_and_is_said():
    unreadable = audit(verdict=Verdict.UNREADABLE, pulls=(), cut_lists=())
    assert order_lines([unreadable], []) == []
    assert order_warnings([unreadable]) == ["1 job unreadable: nothing is ordered for it."]


def test_prices_make_amounts_and_a_total():
    prices = Prices(reels={("16/2", 152.4): 90.0}, controller=250.0)
    sheet = opened(order(JOBS, [POOLED], prices=prices))["Order"]
    rows = rows_below(sheet, "Kind")
    assert [(row["Item"], row["Quantity"], row["Unit price"], row["Amount"]) for row in rows[:3]] == [
        ("16/2", 1, 90, 90),
        ("Controller, two-wire-35w", 2, 250, 500),
        ("Supply", 2, None, None),
    ]
    assert rows[-1]["Amount"] == 590


def test_per_job_and_pooled_with_what_pooling_saves():
    book = opened(order(JOBS, [POOLED]))
    jobs = rows_below(book["Per job"], "Job")
    assert [(row["Job"], row["Reels"], row["To buy (ft)"], row["Cost"]) for row in jobs] == [
        ("Gull", "1 × 500 ft", 500, 90),
        ("Mill", "1 × 500 ft", 500, 90),
    ]
    assert [cell.value for cell in book["Per job"][4]] == [
        "Sum of the rows shown",
        None,
        200,
        None,
        1000,
        180,
        2,
        2,
        2,
        None,
    ]
    pooling = book["Pooling"]
    apart_pooled_saved = [2, 1000, 180, 1, 500, 90, 1, 500, 90]
    assert [cell.value for cell in pooling[6]] == [
        "16/2",
        300,
        *apart_pooled_saved,
        "Proven: no better plan exists.",
    ]
    assert [cell.value for cell in pooling[7]] == ["All cable", 300, *apart_pooled_saved, None]


def test_a_sheet_a_cable_holds_the_pooled_cut_list_with_its_ends():
    sheet = opened(order(JOBS, [POOLED]))["Cut 16-2"]
    rows = [row for row in rows_below(sheet, "Cut") if row["To mark (ft)"] is not None]
    assert [(row["Reel"], row["Pull"], row["To"]) for row in rows] == [
        ("R1", "Gull: P1", "KP-01"),
        ("R1", "Mill: P1", "KP-01"),
        ("R2", "Mill: P2", "KP-02"),
    ]
    assert pooled_name(JOBS[0], "P1") == "Gull: P1"


def test_sheet_names_are_free_short_and_allowed():
    cables = ["A/B", "a:b", "order", "x" * 60, "x" * 61, "[*?]", "'quoted'", "\x00"]
    book = opened(order(JOBS, [dataclasses.replace(POOLED, cable=cable) for cable in cables]))
    names = book.sheetnames
    assert len({name.lower() for name in names}) == len(cables) + 3
    assert all(0 < len(name) <= 31 for name in names)


def test_sheets_of_cables_that_differ_in_long_words_are_numbered_and_titled_in_full():
    cables = ["TP (nothing stated, lengths in m)", "TP (16 AWG)", "18-2 (16 AWG)", "y" * 40]
    book = opened(order(JOBS, [dataclasses.replace(POOLED, cable=cable) for cable in cables]))
    assert book.sheetnames[3:] == ["Cut TP", "Cut TP (2)", "Cut 18-2 (16 AWG)", f"Cut {'y' * 26}…"]
    assert book["Cut TP"]["A1"].value == f"Cut list over 0 jobs: {cables[0]}"


def test_a_job_without_a_known_need_shows_that_its_schedule_counts():
    unknown = ControllersResult(scheduled=2, needed=None, lower_bound=None, status=None)
    jobs = rows_below(opened(order([job("A", controllers=unknown), job("B")], []))["Per job"], "Job")
    assert [(row["Controllers ordered"], row["Ordered as"]) for row in jobs] == [
        (2, "scheduled"),
        (1, "needed"),
    ]


def test_without_prices_no_sheet_has_empty_columns_of_costs():
    unpriced = [job(name, cut_lists=(cut_list(reel("R1", 500, "P1")),)) for name in ("Gull", "Mill")]
    book = opened(order(unpriced, [dataclasses.replace(POOLED, cost=None)]))
    for name in ("Per job", "Pooling"):
        assert "Cost" not in [cell.value for cell in book[name][5]], name
    assert "Unit price" in [cell.value for cell in book["Order"][4]]
    assert [cell.value for cell in book["Pooling"][7]] == ["All cable", 300, 2, 1000, 1, 500, 1, 500, None]


def test_reels_are_ordered_in_the_unit_of_their_schedules():
    size_m = reel("R1", 500 / FT, "P1")
    metres = job("Metre", length_unit="m", cut_lists=(cut_list(size_m, cable="TP", length_unit="m"),))
    pooled = [POOLED, cut_list(reel("R3", 500 / FT, "Metre: P1"), cable="TP", length_unit="m")]
    jobs = [*JOBS, metres]
    assert [line.size for line in order_lines(jobs, pooled)[:2]] == ["500 ft reel", "500 m reel"]
    book = opened(order(jobs, pooled))
    assert [row["Reels"] for row in rows_below(book["Per job"], "Job")] == [
        "1 × 500 ft",
        "1 × 500 ft",
        "1 × 500 m",
    ]
    assert book["Cut TP"]["A1"].value == "Cut list over 1 job: TP"
    assert "Cut length (m)" in [cell.value for cell in book["Cut TP"][4]]


def test_the_summary_counts_cables_of_one_name_apart_and_shows_reels_in_their_own_unit(tmp_path):
    lists = (
        cut_list(reel("R1", 500 / FT, "P1"), cable="TP", length_unit="m", spec="16 AWG"),
        cut_list(reel("R1", 1000, "P1"), cable="tp", spec="18 AWG"),
        cut_list(reel("R1", 1000, "P1"), cable="TP", spec="18 AWG"),
    )
    data = summary_of([job(name, cut_lists=(cuts,)) for name, cuts in zip("ABC", lists, strict=True)])
    sheet = opened(data)["To buy"]
    names = ["TP (16 AWG)", "TP (18 AWG)"]
    cables = [(row["Cable"], row["Reels to buy"]) for row in rows_below(sheet, "Cable")]
    assert cables == [(names[0], 1), (names[1], 2), ("All cable", 3)]
    top = next(row for row in range(1, 60) if sheet.cell(row, 1).value == "Reels by size")
    reels = [[cell.value for cell in row[:5]] for row in sheet.iter_rows(min_row=top + 2, max_row=top + 3)]
    assert reels == [
        [names[0], "500 m", "to buy", 1, 1640.42],
        [names[1], "1,000 ft", "to buy", 2, 2000],
    ]
    computed = recalculated(data, tmp_path)["To buy"]
    for row in (top + 2, top + 3):
        assert computed.cell(row, 5).value == pytest.approx(sheet.cell(row, 5).value)


def test_the_shown_amounts_and_sums_are_what_another_program_computes(tmp_path):
    data = order(JOBS, [POOLED], prices=Prices(reels={("16/2", 152.4): 90.0}), connectors_per_end=1)
    computed, shown, places = recalculated(data, tmp_path), opened(data), formulas(data)
    assert {sheet for sheet, _ in places} == {"Order", "Per job", "Pooling"}
    for sheet, cell in places:
        now, cached = (
            computed[sheet][cell].value or 0,
            shown[sheet][cell].value or 0,
        )  # empty text reads as None
        assert now == pytest.approx(cached), (sheet, cell)


def test_workbook_text_is_never_a_formula():
    def named(text: str) -> bytes:
        jobs = [audit(job=text, profile=text, cut_lists=(cut_list(reel("R1", 500, text), cable=text),))]
        return order(jobs, [cut_list(reel("R1", 500, text), cable=text)])

    assert formulas(named("=1+1")) == formulas(named("harmless"))


def test_the_same_order_gives_the_same_bytes_and_an_empty_one_opens():
    assert order(JOBS, [POOLED]) == order(JOBS, [POOLED])
    assert opened(order([], [])).sheetnames == ["Order", "Per job"]


def test_no_program_offers_to_repair_it():
    assert faults(order(JOBS, [POOLED])) == []

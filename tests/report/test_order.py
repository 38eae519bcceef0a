"""The order asks for what the pooled cut lists and the jobs need, and stays text where it is text."""

import csv
import dataclasses
import io

import pytest

from auditor.findings import Audit, ControllersResult, CutListResult, CutReel, Status, SupplyResult, Verdict
from auditor.report.order import pooled_name, write_order
from auditor.report.order_lines import OrderLine, Prices, order_csv, order_lines
from tests.report.audits import FT, audit, pull
from tests.report.books import formulas, opened, recalculated, rows_below


def reel(name: str, length_ft: float, *pulls: str, on_shelf: bool = False) -> CutReel:
    cut_m = (100 * FT,) * len(pulls)
    left_m = length_ft * FT - sum(cut_m)
    return CutReel(
        reel=name, length_m=length_ft * FT, pulls=pulls, cut_m=cut_m, offcut_m=left_m, on_shelf=on_shelf
    )


def cut_list(*reels: CutReel, cable: str = "16/2", cost: float | None = None) -> CutListResult:
    needed_m = sum(sum(each.cut_m) for each in reels)
    bought_m = sum(each.length_m for each in reels if not each.on_shelf)
    return CutListResult(
        cable=cable,
        status=Status.PROVEN,
        lower_bound=None,
        cost=cost,
        bought_m=bought_m,
        needed_m=needed_m,
        reels=reels,
    )


def job(name: str, **changes) -> Audit:
    return audit(job=name, cut_lists=(cut_list(reel("R1", 500, "P1"), cost=90.0),), **changes)


POOLED = cut_list(
    reel("R1", 500, "Gull: P1", "Mill: P1"), reel("R2", 250, "Mill: P2", on_shelf=True), cost=90.0
)
JOBS = [job("Gull"), job("Mill")]


def test_cable_is_ordered_by_type_and_reel_and_the_shelf_is_not():
    lines = order_lines(JOBS, [POOLED])
    assert lines[0] == OrderLine("cable", "16/2", "500 ft reel", 1, None)
    assert [line.kind for line in lines] == ["cable", "controller", "supply"]


def test_controllers_and_supplies_follow_what_is_needed():
    more = ControllersResult(scheduled=1, needed=3, lower_bound=3, status=Status.PROVEN)
    unknown = ControllersResult(scheduled=2, needed=None, lower_bound=None, status=None)
    other = (SupplyResult(controller="C9", voltage_v=36.0, power_w=120.0),)
    lines = order_lines(
        [job("A", controllers=more), job("B", controllers=unknown, supplies=other), job("C", supplies=())], []
    )
    assert lines == [
        OrderLine("controller", "Controller", "", 6, None),
        OrderLine("supply", "Supply", "24 V, 35 W", 3, None),
        OrderLine("supply", "Supply", "36 V, 120 W", 2, None),
        OrderLine("supply", "Supply", "rating not stated", 1, None),
    ]


def test_connectors_come_with_every_landed_end():
    spare = (pull("P1", 4), pull("P2", 5), pull("S", 6, landed=False))
    lines = order_lines([audit(pulls=spare)], [], connectors_per_end=2)
    assert lines[-1] == OrderLine("connector", "Connector", "", 8, None)


def test_an_unreadable_job_asks_for_nothing_and_is_said():
    unreadable = audit(verdict=Verdict.UNREADABLE, pulls=(), cut_lists=())
    assert order_lines([unreadable], []) == []
    text = opened(write_order([unreadable, job("F", verdict=Verdict.FAIL)], []))["Order"]["A3"].value
    assert (
        text
        == "1 job with verdict fail: mend the schedule before ordering for it. 1 job unreadable: nothing is ordered for it"
    )


def test_prices_make_amounts_and_a_total():
    prices = Prices(reels={("16/2", 152.4): 90.0}, controller=250.0)
    sheet = opened(write_order(JOBS, [POOLED], prices=prices))["Order"]
    rows = rows_below(sheet, "Kind")
    assert [(row["Item"], row["Quantity"], row["Unit price"], row["Amount"]) for row in rows[:3]] == [
        ("16/2", 1, 90, 90),
        ("Controller", 2, 250, 500),
        ("Supply", 2, None, None),
    ]
    assert rows[-1]["Amount"] == 590


def test_per_job_and_pooled_with_what_pooling_saves():
    book = opened(write_order(JOBS, [POOLED]))
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
    sheet = opened(write_order(JOBS, [POOLED]))["Cut 16-2"]
    rows = [row for row in rows_below(sheet, "Cut") if row["To mark (ft)"] is not None]
    assert [(row["Reel"], row["Pull"], row["To"]) for row in rows] == [
        ("R1", "Gull: P1", "KP-01"),
        ("R1", "Mill: P1", "KP-01"),
        ("R2", "Mill: P2", "KP-02"),
    ]
    assert pooled_name(JOBS[0], "P1") == "Gull: P1"


def test_sheet_names_are_free_short_and_allowed():
    cables = ["A/B", "a:b", "order", "x" * 60, "x" * 61, "[*?]", "'quoted'", "\x00"]
    book = opened(write_order(JOBS, [dataclasses.replace(POOLED, cable=cable) for cable in cables]))
    names = book.sheetnames
    assert len({name.lower() for name in names}) == len(cables) + 3
    assert all(0 < len(name) <= 31 for name in names)


def test_two_jobs_in_metres_are_ordered_in_metres():
    metres = [dataclasses.replace(each, length_unit="m") for each in JOBS]
    lines = order_lines(metres, [POOLED], unit="m")
    assert lines[0].size == "152.4 m reel"
    assert "Needed (m)" in [cell.value for cell in opened(write_order(metres, [POOLED]))["Per job"][5]]


def test_the_shown_amounts_and_sums_are_what_another_program_computes(tmp_path):
    data = write_order(JOBS, [POOLED], prices=Prices(reels={("16/2", 152.4): 90.0}), connectors_per_end=1)
    computed, shown, places = recalculated(data, tmp_path), opened(data), formulas(data)
    assert {sheet for sheet, _ in places} == {"Order", "Per job", "Pooling"}
    for sheet, cell in places:
        now, cached = (
            computed[sheet][cell].value or 0,
            shown[sheet][cell].value or 0,
        )  # empty text reads as None
        assert now == pytest.approx(cached), (sheet, cell)


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "\t=1", "＝1", " =1"])
def test_csv_text_is_never_a_formula(text):
    written = order_csv([OrderLine("cable", text, text, 2, 1.5)])
    heading, line = csv.reader(io.StringIO(written))
    assert heading == ["kind", "item", "size", "quantity", "unit_price", "amount"]
    assert line[1].startswith("'")
    assert line[3:] == ["2", "1.50", "3.00"]


def test_workbook_text_is_never_a_formula():
    def order(text: str) -> bytes:
        jobs = [audit(job=text, cut_lists=(cut_list(reel("R1", 500, text), cable=text),))]
        return write_order(jobs, [cut_list(reel("R1", 500, text), cable=text)])

    assert formulas(order("=1+1")) == formulas(order("harmless"))


def test_the_same_order_gives_the_same_bytes_and_an_empty_one_opens():
    assert write_order(JOBS, [POOLED]) == write_order(JOBS, [POOLED])
    assert opened(write_order([], [])).sheetnames == ["Order", "Per job"]

"""Cut lists from workbooks: published instances, reels as the workbook states them, impossible reels."""

import io
from collections.abc import Sequence
from typing import Any

import pytest
import xlsxwriter

from auditor.audit import audit
from auditor.intake import read_job
from auditor.profile.load import load_profile
from auditor.results.audit_result import Audit, Status
from auditor.results.findings import Level

# Cutting stock, 5,600 mm paper machine: widths and demands as quoted from the encyclopedia article "Cutting
# stock problem" by a general-purpose solver's sample; "best known solution uses 73 rolls" there, and its
# bound is 407,160 / 5,600 = 72.7, so 73 is the optimum.
PAPER = {
    1380: 22,
    1520: 25,
    1560: 12,
    1710: 14,
    1820: 18,
    1880: 18,
    1930: 20,
    2000: 10,
    2050: 12,
    2100: 14,
    2140: 16,
    2150: 18,
    2200: 20,
}
# Gilmore and Gomory's example as in the public model gallery "Cutting stock": stock 100; the optimum 453 was
# computed with an integer program (LP bound 452.25).
STOCK_100 = {45: 97, 36: 610, 31: 395, 14: 211}


def workbook(
    lengths: Sequence[float], unit: str, reels: Sequence[Sequence[Any]], heading: Sequence[str] = ()
) -> bytes:
    """Pulls in a line from one port, each to a device of its own, and a sheet of reels. Nothing is added
    to what is cut."""
    held = io.BytesIO()
    book = xlsxwriter.Workbook(held)
    devices, pulls, stock = (book.add_worksheet(name) for name in ("Devices", "Pulls", "Reels"))
    pulls.write_row(0, 0, ["Allowance per end (m)", 0])
    pulls.write_row(1, 0, ["Waste", "0 %"])
    pulls.write_row(3, 0, ["Pull", "From", "To", f"Length ({unit})", "Cable"])
    devices.write_row(0, 0, ["Tag", "Power (W)"])
    for row, length in enumerate(lengths, 1):
        devices.write_row(row, 0, [f"K{row}", 0.01])
        pulls.write_row(
            3 + row, 0, [f"P{row}", "C1.1" if row == 1 else f"K{row - 1}", f"K{row}", length, "TP16"]
        )
    stock.write_row(0, 0, heading or ["Cable", f"Reel length ({unit})"])
    for row, cells in enumerate(reels, 1):
        stock.write_row(row, 0, cells)
    book.close()
    return held.getvalue()


def audited(content: bytes, **limits: object) -> Audit:
    overrides = {key.replace("__", "."): value for key, value in limits.items()}
    return audit(read_job(content, "job.xlsx"), load_profile("two-wire-35w", overrides))


def pieces(demand: dict[int, int]) -> list[int]:
    return [length for length, count in demand.items() for _ in range(count)]


@pytest.mark.parametrize(
    ("demand", "unit", "reel", "optimum"), [(PAPER, "mm", 5600, 73), (STOCK_100, "m", 100, 453)]
)
def test_a_published_instance_is_cut_from_the_fewest_reels(
    demand: dict[int, int], unit: str, reel: int, optimum: int
) -> None:
    content = workbook(pieces(demand), unit, [["TP16", reel]])
    result = audited(content, cutting__round_up__m="0 m").cut_lists[0]

    assert (result.status, len(result.reels)) == (Status.PROVEN, optimum)
    assert result.lower_bound == pytest.approx(result.bought_m)
    assert sorted(pull for each in result.reels for pull in each.pulls) == sorted(
        f"P{n}" for n in range(1, sum(demand.values()) + 1)
    )
    for each in result.reels:
        assert sum(each.cut_m) + each.offcut_m == pytest.approx(each.length_m)
        assert each.offcut_m >= 0


def test_the_shelf_is_used_before_anything_is_bought() -> None:
    heading = ["Cable", "Reel length (m)", "Price", "On shelf"]
    content = workbook([40, 50], "m", [["TP16", 100, 80, ""], ["TP16", 95, "", 1]], heading)
    result = audited(content).cut_lists[0]

    assert [(each.on_shelf, each.pulls) for each in result.reels] == [(True, ("P2", "P1"))]
    assert (result.bought_m, result.cost) == (0.0, 0.0)


def test_the_cheapest_reels_are_bought_and_not_the_fewest() -> None:
    heading = ["Cable", "Reel length (m)", "Price"]
    content = workbook([40, 50], "m", [["TP16", 50, 10], ["TP16", 100, 30]], heading)
    result = audited(content).cut_lists[0]

    assert ([each.length_m for each in result.reels], result.cost) == ([50.0, 50.0], 20.0)


def test_a_pull_longer_than_every_reel_is_found_and_the_rest_is_cut() -> None:
    found = audited(workbook([40, 120], "m", [["TP16", 100]]))

    assert found.cut_lists[0].uncut == ("P2",)
    assert [each.pulls for each in found.cut_lists[0].reels] == [("P1",)]
    assert [f.subject for f in found.findings if f.rule == "cut-list"] == ["P2"]


@pytest.mark.parametrize("length", [0, -5, "TBD"])
def test_a_reel_without_a_length_is_found_and_the_job_is_audited(length: object) -> None:
    found = audited(workbook([40], "m", [["TP16", length]]))
    counted = [
        f for f in found.findings if f.level is not Level.NOTE and f.where and f.where.sheet == "Reels"
    ]

    assert [(f.rule, f.where.a1 if f.where else "") for f in counted] == [("unreadable-value", "B2")]
    assert len(found.runs) == 1


def test_a_price_below_zero_is_found_and_the_job_is_audited() -> None:
    found = audited(workbook([40], "m", [["TP16", 100, -1]], ["Cable", "Reel length (m)", "Price"]))
    counted = [
        f for f in found.findings if f.level is not Level.NOTE and f.rule in ("unreadable-value", "cut-list")
    ]

    assert len(counted) == 1
    assert len(found.runs) == 1


def test_no_reel_sizes_at_all_is_one_sentence() -> None:
    content = workbook([40], "m", [])
    profile = load_profile("two-wire-35w", {"cutting.reels": []})
    found = audit(read_job(content, "job.xlsx"), profile)

    assert [f.message for f in found.findings if f.rule == "cut-list"] == [
        "No cut list for TP16: no reel sizes are given, so nothing can be cut; give at least one length of "
        "reel"
    ]
    assert found.cut_lists == ()

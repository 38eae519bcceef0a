"""The reach sheet: a picture a controller, and the devices in figures."""

import re

from auditor.report.job.reach_chart import _MOST_LISTED, _MOST_PICTURES
from auditor.report.job.sheets import job_sheets
from auditor.results.audit_result import LimitsResult
from auditor.results.findings import Verdict
from tests.report.audits import FT, audit, device, finding, full_audit, pull, run
from tests.report.books import opened, parts, rows_below


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

"""What is ordered, line by line, and the warnings above it."""

import csv
import dataclasses
import io

import pytest

from auditor.audit import audit as audited
from auditor.job.model import Controller
from auditor.order.lines import OrderLine, order_csv, order_lines
from auditor.order.warnings import alike_warnings, order_warnings
from auditor.profile.limits import ControllerSpec
from auditor.results.audit_result import (
    Audit,
    ControllersResult,
    Cut,
    PortPlanResult,
    Status,
    SupplyResult,
)
from tests import builders
from tests.order.jobs import JOBS, POOLED, cut_list, job, order, reel
from tests.report.audits import FT, audit, pull
from tests.report.books import opened, rows_below


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
        OrderLine(
            "controller", "Controller, two-wire-35w", "4 as needed, 2 as scheduled (need not known)", 6, None
        ),
        OrderLine("supply", "Supply", "24 V, 35 W", 3, None),
        OrderLine("supply", "Supply", "36 V, 120 W", 2, None),
        OrderLine("supply", "Supply", "rating: see profile two-wire-35w", 1, None),
    ]


@pytest.mark.parametrize(
    ("power_w", "current_a", "told"),
    [(50.0, None, "24 V, 50 W"), (None, 2.0, "24 V, 48 W"), (None, None, "24 V, power not stated")],
)
def test_a_supply_that_no_schedule_names_is_rated_by_the_profile(power_w, current_a, told):
    spec = ControllerSpec(
        ports=2,
        supply_voltage_v=24.0,
        supply_power_w=power_w,
        supply_current_a=current_a,
        supply_headroom=0.2,
        devices=None,
    )
    jobs = [
        job("A", supplies=()),
        job("B", supplies=(), profile="other"),
        job("C", supplies=(), controllers=None),
    ]
    lines = order_lines(jobs, [], supplies={"two-wire-35w": spec})
    assert [(line.size, line.quantity) for line in lines if line.kind == "supply"] == [
        (told, 1),
        ("rating: see profile other", 1),
    ]


def test_the_headroom_of_a_profile_is_not_taken_off_a_scheduled_supply():
    supply = SupplyResult(controller="C1", voltage_v=24.0, power_w=40.0, rated_w=50.0)
    assert order_lines([job("A", supplies=(supply,))], [])[-1].size == "24 V, 50 W"
    scheduled = [Controller(name="C1", supply_voltage_v=24.0, supply_power_w=50.0)]
    limits = builders.profile(controller__supply_headroom=0.2)
    result = audited(builders.job([builders.pull("C1.1", "K1")], controllers=scheduled), limits)
    assert [line.size for line in order_lines([result], []) if line.kind == "supply"] == ["24 V, 50 W"]


def test_controllers_are_a_line_a_profile():
    lines = order_lines([job("A", profile="b"), job("B", profile="a"), job("C", profile="b")], [])
    assert [(line.item, line.quantity) for line in lines if line.kind == "controller"] == [
        ("Controller, a", 1),
        ("Controller, b", 2),
    ]


@pytest.mark.parametrize(
    ("voltage_v", "power_w", "told"),
    [
        (24.0, None, "24 V, power not stated"),
        (None, 35.0, "voltage not stated, 35 W"),
        (None, None, "rating not stated"),
    ],
)
def test_what_is_known_of_a_supply_is_said(voltage_v, power_w, told):
    supply = SupplyResult(controller="C1", voltage_v=voltage_v, power_w=power_w)
    assert order_lines([job("A", supplies=(supply,))], [])[-1].size == told


def test_pulls_that_no_reel_covers_are_lines_and_a_warning():
    pulls = (
        pull("P1", 4, length_m=1003.5 * FT),
        pull("P2", 5),
        pull("P4", 6, length_m=None),
        pull("P5", 7, cable="18/2"),
        pull("P6", 8, cable=None, length_m=None),
    )
    short = job("Tollgate", pulls=pulls, cut_lists=(cut_list(reel("R1", 500, "P2"), uncut=("P1",)),))
    lines = order_lines([short], [POOLED])
    assert lines[1:5] == [
        OrderLine("cable", "16/2", "not covered: P1 of Tollgate, 1,003.5 ft", 1, None),
        OrderLine("cable", "16/2", "length or unit missing: P4 of Tollgate", 1, None),
        OrderLine("cable", "18/2", "not planned: P5 of Tollgate, 100 ft", 1, None),
        OrderLine("cable", "cable not stated", "length or unit missing: P6 of Tollgate", 1, None),
    ]
    assert order_warnings([short]) == [
        "4 pulls are not covered by any reel here (1 longer than every reel once its allowances are added, "
        "2 without a length or its unit, 1 of cable that has no cut list): they stand in the lines "
        "below with quantity 1, to be settled by hand."
    ]
    rows = rows_below(opened(order([short], [POOLED]))["Order"], "Kind")
    assert ("not covered: P1 of Tollgate, 1,003.5 ft", None) in [(row["Size"], row["Amount"]) for row in rows]


def test_new_home_runs_of_a_port_plan_are_not_in_the_cable_and_it_says_so():
    def cut(name: str, *lengths_ft: float) -> Audit:
        cuts = tuple(Cut(pull=f"P{ft}", new_home_run_m=ft * FT) for ft in lengths_ft)
        plan = PortPlanResult(status=Status.PROVEN, reason=None, moves=(), cuts=cuts, runs=())
        return job(name, port_plan=plan)

    assert order_warnings([cut("Gull", 300), job("Mill")]) == [
        "The port plans of Gull need 1 new home run, 300 ft of cable without allowances, not in the "
        "lines below: add it where the plan is followed."
    ]
    assert order_warnings([cut("Gull", 300), cut("Mill", 120, 80), cut("Pier")]) == [
        "The port plans of Gull, Mill need 3 new home runs, 500 ft of cable without allowances, not in "
        "the lines below: add them where the plan is followed."
    ]


def test_jobs_with_the_very_same_pulls_are_named():
    twins = [job("Gull"), job("Mill", pulls=(pull("P9", 9),)), job("Gull, annotated")]
    assert list(alike_warnings(twins)) == [
        "Gull, Gull, annotated: 2 jobs with the very same pulls; if they are one, give it once."
    ]
    assert list(alike_warnings([*twins[:2], job("Pier", pulls=()), job("Dock", pulls=())])) == []


def test_connectors_come_with_every_landed_end():
    spare = (pull("P1", 4), pull("P2", 5), pull("S", 6, landed=False))
    lines = order_lines([audit(pulls=spare)], [], connectors_per_end=2)
    assert lines[-1] == OrderLine("connector", "Connector", "", 8, None)


@pytest.mark.parametrize(
    ("cable", "spec", "item"),
    [
        ("TP", "16 AWG, stranded", "TP, 16 AWG, stranded"),
        ("TP (16 AWG)", "16 AWG, stranded", "TP (16 AWG), stranded"),
        ("TP (16 AWG, stranded)", "16 AWG, stranded", "TP (16 AWG, stranded)"),
        ("TP (unshielded)", "16 AWG, shielded", "TP (unshielded), 16 AWG, shielded"),
        ("TP", "", "TP"),
    ],
)
def test_what_is_stated_of_a_cable_is_ordered_with_it(cable, spec, item):
    (line,) = order_lines([], [dataclasses.replace(POOLED, cable=cable, spec=spec)])
    assert line.item == item
    short = job("Gull", cut_lists=(), pulls=(pull("P9", 4, cable=cable, length_m=None),))
    assert [
        each.item for each in order_lines([short], [dataclasses.replace(POOLED, cable=cable, spec=spec)])
    ][1] == item


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "\t=1", "＝1", " =1"])
def test_csv_text_is_never_a_formula(text):
    written = order_csv([OrderLine("cable", text, text, 2, 1.5)])
    heading, line = csv.reader(io.StringIO(written))
    assert heading == ["kind", "item", "size", "quantity", "unit_price", "amount"]
    assert line[1].startswith("'")
    assert line[3:] == ["2", "1.50", "3.00"]


def test_warnings_are_rows_of_the_csv():
    rows = list(csv.DictReader(io.StringIO(order_csv([], ["=1 job, in review"]))))
    assert [(row["kind"], row["item"], row["quantity"]) for row in rows] == [
        ("warning", "'=1 job, in review", "")
    ]

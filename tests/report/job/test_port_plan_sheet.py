"""The port plan sheet shows ports before and after, moves and cuts."""

import pytest

from auditor.report.job.sheets import job_sheets
from auditor.report.words import controllers_text
from auditor.results.audit_result import ControllersResult, Move, PortPlanResult, Status, SupplyResult
from tests.report.audits import audit, full_audit, run
from tests.report.books import opened, rows_below

MOVES = (Move(branch="P1", origin="C1.1", target="C1.2"),)


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
            "Fullest port limit",
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
    plan = PortPlanResult(status=Status.PROVEN, reason=None, moves=MOVES, cuts=(), runs=runs)
    sheet = opened(job_sheets(audit(runs=runs, port_plan=plan)))["Port plan"]
    assert [cell.value for cell in sheet["G"][6:8]] == [pytest.approx(0.25), share and pytest.approx(share)]
    told = (
        "Blank: a length or a power is missing, so the figure is not known; the limit may be past "
        "all the same."
    )
    assert str(sheet["A9"].value).startswith(
        "Fullest port limit: of cable, reach, devices and watts on the port."
    )
    assert (sheet["A10"].value == told) == (share is None)


def supply(name):
    return SupplyResult(controller=name, voltage_v=24.0, power_w=35.0)


def test_controllers_that_the_plan_adds_are_named():
    plan = PortPlanResult(
        status=Status.PROVEN, reason=None, moves=MOVES, cuts=(), runs=(run("1"), run("2", controller="C3"))
    )
    sheet = opened(
        job_sheets(audit(runs=(run("1"),), supplies=(supply("C1"), supply("C2")), port_plan=plan))
    )["Port plan"]
    assert sheet["A3"].value == "1 controller scheduled, 1 needed; to be added: C3"


def test_what_a_plan_that_is_not_proven_takes_is_not_called_needed():
    found = ControllersResult(scheduled=1, needed=2, lower_bound=1, status=Status.BEST_FOUND)
    assert controllers_text(found) == "1 controller scheduled, 2 in the port plan"


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
    plan = PortPlanResult(status=status, reason=reason, moves=MOVES, cuts=(), runs=())
    assert opened(job_sheets(audit(port_plan=plan)))["Port plan"]["A2"].value == said


@pytest.mark.parametrize(
    ("status", "reason", "said"),
    [
        (
            Status.PROVEN,
            None,
            "Port plan. Proven: no better plan exists. Every branch stays on the port where the schedule has it. "
            "1 controller scheduled, 1 needed.",
        ),
        (
            Status.IMPOSSIBLE,
            "K9 is beyond reach",
            "Port plan. Impossible: no plan keeps all limits. K9 is beyond reach. 1 controller scheduled, 1 needed.",
        ),
    ],
)
def test_a_plan_that_changes_nothing_is_told_on_the_power_budget(status, reason, said):
    plan = PortPlanResult(status=status, reason=reason, moves=(), cuts=(), runs=())
    book = opened(job_sheets(audit(port_plan=plan)))
    assert "Port plan" not in book.sheetnames
    assert said in [cell.value for cell in book["Power budget"]["A"]]

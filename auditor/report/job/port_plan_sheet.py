"""The sheet that says which branch goes to which port, with every port before and after."""

from collections.abc import Mapping, Sequence
from typing import Any, TypeGuard

from auditor.job.model import natural_key
from auditor.report.page.look import Cell, Column, Kind, Look
from auditor.report.page.page import Page
from auditor.report.words import BRIEF_CAUTION, capital, controllers_text, fullest, status_text
from auditor.results.added_sheets import PORT_PLAN
from auditor.results.audit_result import Audit, PortPlanResult, RunResult

_FIGURES: tuple[tuple[str, float, Kind], ...] = (
    ("Cable ({unit})", 9, "length"),
    ("Reach ({unit})", 9, "length"),
    ("Devices", 8, "count"),
    ("Watts", 8, "one"),
    ("Lowest volts", 8, "two"),
    ("Fullest port limit", 12, "share"),
    ("Verdict", 11, "verdict"),
)


def changes_something(plan: PortPlanResult | None) -> TypeGuard[PortPlanResult]:
    """Whether a plan has something to show: a branch that moves or is cut. Of others the power budget tells."""
    return plan is not None and bool(plan.moves or plan.cuts)


def port_plan_sheet(sheet: Any, look: Look, audit: Audit, plan: PortPlanResult) -> None:
    """Writes the sheet: status, ports before and after, moves, cuts."""
    widths = [18, *(width for _ in range(2) for _, width, _ in _FIGURES)]
    page = Page(sheet, look, widths)
    page.title(PORT_PLAN.title_of(audit.job))
    page.paragraph(1, plan_text(plan), strong=True)
    if audit.controllers is not None:
        added = plan_controllers(plan) - {supply.controller for supply in audit.supplies}
        to_add = f"; to be added: {', '.join(sorted(added, key=natural_key))}" if added else ""
        page.text(2, 0, capital(controllers_text(audit.controllers)) + to_add)
    row = _write_ports(page, audit, plan, 4)
    row = _write_moves(page, plan, row + 1)
    row = _write_cuts(page, plan, row + 1)
    page.finish(page.paragraph(row + 1, BRIEF_CAUTION, muted=True) - 1)


def plan_controllers(plan: PortPlanResult) -> set[str]:
    return {run.controller for run in plan.runs if run.controller}


def plan_text(plan: PortPlanResult) -> str:
    return f"{status_text(plan.status)} {capital(plan.reason)}" if plan.reason else status_text(plan.status)


def _write_ports(page: Page, audit: Audit, plan: PortPlanResult, row: int) -> int:
    count, group = len(_FIGURES), page.look.group
    page.cell(row, 0, None, group)
    for left, title in ((1, PORT_PLAN.sign), (1 + count, "As planned")):
        page.sheet.put_merged(row, left, left + count - 1, title, group)
    columns = [Column("Port", "wrap"), *_figure_columns(page.look), *_figure_columns(page.look)]
    before = {run.name: run for run in audit.runs}
    after = {run.name: run for run in plan.runs}
    names = [*before, *(name for name in after if name not in before)]
    rows = [(name, *_run_cells(before.get(name)), *_run_cells(after.get(name))) for name in names]
    below = page.table(row + 1, columns, rows).below
    told = (
        "Fullest port limit: of cable, reach, devices and watts on the port. Volts and the supply's power count "
        "for the verdict alone."
    )
    page.text(below, 0, told, page.look.muted)
    below += 1
    missing = [run for run in (*audit.runs, *plan.runs) if None in (run.cable_m, run.reach_m, run.power_w)]
    if any(fullest(run) is None for run in missing):
        told = (
            "Blank: a length or a power is missing, so the figure is not known; the limit may be "
            "past all the same."
        )
        page.text(below, 0, told, page.look.muted)
        return below + 1
    return below


def _figure_columns(look: Look) -> list[Column]:
    return [Column(header.format(unit=look.unit), kind) for header, _, kind in _FIGURES]


def _run_cells(run: RunResult | None) -> tuple[Cell, ...]:
    if run is None:
        return (None,) * len(_FIGURES)
    return (run.cable_m, run.reach_m, run.devices, run.power_w, run.min_voltage_v, fullest(run), run.verdict)


def _write_moves(page: Page, plan: PortPlanResult, row: int) -> int:
    page.section(row, "What moves")
    if not plan.moves:
        page.text(row + 1, 0, "Nothing: every branch stays where the schedule has it.")
        return row + 2
    columns = _columns_at({0: "Branch", 1: "From", 3: "To"}, 5)
    rows = [(move.branch, move.origin or "not scheduled", None, move.target, None) for move in plan.moves]
    return page.table(row + 1, columns, rows).below


def _write_cuts(page: Page, plan: PortPlanResult, row: int) -> int:
    if not plan.cuts:
        return row
    page.section(row, "Where a branch is cut")
    told = "Lift the pull, and lay a new home run from the head end to its far end along the same route."
    page.text(row + 1, 0, told)
    columns = [*_columns_at({0: "Pull to lift"}, 1), Column(f"New home run ({page.look.unit})", "length")]
    return page.table(row + 2, columns, [(cut.pull, cut.new_home_run_m) for cut in plan.cuts]).below


def _columns_at(headers: Mapping[int, str], count: int) -> Sequence[Column]:
    return [Column(headers.get(index, "")) for index in range(count)]

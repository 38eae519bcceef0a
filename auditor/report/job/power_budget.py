"""Watts per port and controller, added up live over the estimator's own device rows."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from operator import itemgetter
from typing import Any, TypeGuard

from auditor.job.listing import names_text
from auditor.job.model import Table, row_of
from auditor.report.job.port_plan_sheet import changes_something, plan_text
from auditor.report.page.look import Cell, Column, Kind, Live, Look, letter, quoted
from auditor.report.page.page import Page
from auditor.report.words import by_controller, capital, controllers_text, devices_by_port, supply_of
from auditor.results.added_sheets import POWER_BUDGET
from auditor.results.audit_result import Audit, DeviceResult, PortPlanResult, RunResult, Status
from auditor.results.findings import DARK, Verdict
from auditor.units import exceeds, number_text

_COLUMNS: tuple[tuple[str, float, Kind], ...] = (
    ("Port", 20, "wrap"),
    ("Devices", 9, "count"),
    ("Watts", 10, "one"),
    ("May draw (W)", 13, "one"),
    (POWER_BUDGET.sign, 12, "one"),
    ("Used", 14, "share"),
    ("Keeps it", 11, "state"),
    ("Lost in cable (W)", 12, "two"),
    ("From the supply (W)", 15, "one"),
    ("Lowest volts", 11, "two"),
    ("At device", 22, "wrap"),
)
_WATTS_OFFSET = 2
SAME_W = 1e-6  # so near two figures are one
_NAMED = 12  # ports that a sentence names
_PORT, _DEVICES, _WATTS, _LIMIT, _LOSS, _SUPPLIED = "A", "B", "C", "D", "H", "I"
_HEAD = 3
_SAFE_CRITERION = re.compile(r"[A-Za-z][\w .\-/]*", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveRows:
    """A device table whose watts the budget may add up with a formula.

    Parameters
    ----------
    table : a device or combined table with a column `power_w`
    port_column : where our own port column was put beside it, from 1
    plain_rows : rows whose power is a plain number (and whose quantity is one, or empty)
    power_w_per_unit : what one of the power column's unit is in watts, e.g. 0.001 for mW
    """

    table: Table
    port_column: int
    plain_rows: frozenset[int]
    power_w_per_unit: float


def power_budget_sheet(sheet: Any, look: Look, audit: Audit, *, live: Sequence[LiveRows]) -> None:
    """Writes the sheet: a line a port, a line a controller, the job's total."""
    widths = [width for _, width, _ in _COLUMNS]
    page = Page(sheet, look, widths, freeze=_HEAD + 1, repeat=(_HEAD, _HEAD))
    page.title(POWER_BUDGET.title_of(audit.job))
    basis = f"Volts and loss: {audit.voltage_basis}. " if audit.voltage_basis else ""
    rows, strong = _budget_rows(audit, live)
    told = (
        "All devices drawing at once. "
        f"{basis}{_live_text([row for at, row in enumerate(rows) if at not in strong])}{_not_counted_text(audit)}"
    )
    page.paragraph(1, told, muted=True)
    columns = [Column(header, kind) for header, _, kind in _COLUMNS]
    block = page.table(_HEAD, columns, rows, strong=strong)
    note = (
        "Size the supply with headroom for devices added later. A supply, its protection and its wiring "
        "on the mains side are for a licensed practitioner and the local code to decide."
    )
    row = page.paragraph(block.below + 1, note)
    if audit.port_plan is not None and not changes_something(audit.port_plan):
        row = page.paragraph(row, _plan_text(audit, audit.port_plan))
    page.finish(row - 1)


def _plan_text(audit: Audit, plan: PortPlanResult) -> str:
    """What is planned of ports that stay as they are scheduled; a plan that changes some has a sheet."""
    stays = (
        ""
        if plan.status is Status.IMPOSSIBLE
        else " Every branch stays on the port where the schedule has it."
    )
    needed = f" {capital(controllers_text(audit.controllers))}." if audit.controllers is not None else ""
    return f"Port plan. {plan_text(plan).rstrip('.')}.{stays}{needed}"


def _live_text(ports: Sequence[Sequence[Cell]]) -> str:
    """Which ports' watts are formulas, and what to do about the others."""
    others = [str(row[0]) for row in ports if not isinstance(row[_WATTS_OFFSET], Live)]
    if len(others) == len(ports):
        return "Figures as audited: audit again after a change to the device list."
    told = (
        "Watts follow the device list as you change its figures; volts, loss, ports and new rows are "
        "as audited."
    )
    if not others:
        return told
    more = (
        f" and {len(others) - _NAMED:,} more without a formula in their cell" if len(others) > _NAMED else ""
    )
    names = f"{', '.join(others[:_NAMED])}{more}"
    return (
        f"{told} Not so the watts of {names}: a power there is missing or no plain number; audit "
        "again after a change."
    )


def _not_counted_text(audit: Audit) -> str:
    """How many devices hang on no run, and which and how many watts these are where that is known."""
    count = sum(device.quantity for device in audit.devices) - sum(run.devices for run in audit.runs)
    if count <= 0:
        return ""
    told = (
        "1 device that no port feeds is not counted"
        if count == 1
        else f"{count:,} devices that no port feeds are not counted"
    )
    rows = {row_of(finding.where) for finding in audit.findings if finding.rule == DARK}
    dark = [device for device in audit.devices if row_of(device.where) in rows]
    if sum(device.quantity for device in dark) != count:
        return f" {told}."
    names = names_text([device.tag for device in dark], _NAMED, rest="others")
    power_w = _sum(device.power_w for device in dark)
    together = " together" if count > 1 else ""
    watts = f", {number_text(power_w)} W{together}" if power_w is not None else ""
    return f" {told}: {names}{watts}."


def _budget_rows(audit: Audit, live: Sequence[LiveRows]) -> tuple[list[tuple[Cell, ...]], frozenset[int]]:
    rows: list[tuple[Cell, ...]] = []
    strong: list[int] = []
    devices = devices_by_port(audit.devices)
    for controller, runs in by_controller(audit.runs).items():
        first = _HEAD + 2 + len(rows)
        for offset, run in enumerate(runs):
            own = devices.get((run.controller, run.port), ())
            rows.append(_port_row(own, run, live, first + offset))
        strong.append(len(rows))
        rows.append(_sum_row(audit, controller, runs, first))
    if len(strong) > 1:
        strong.append(len(rows))
        rows.append(_total_row(audit.runs, _HEAD + 2, _HEAD + 1 + len(rows)))
    return rows, frozenset(strong)


def _port_row(
    devices: Sequence[DeviceResult], run: RunResult, live: Sequence[LiveRows], row: int
) -> tuple[Cell, ...]:
    unsure = (
        run.derated is None and run.verdict is not Verdict.FAIL
    )  # the limit holds if the cable is off specification
    limits = _limit_cells(run.power_w, run.limits.power_w, row, "review" if unsure else "over", _WATTS)
    return (
        run.name,
        run.devices,
        _watts_cell(devices, run, live, f"${_PORT}{row}"),
        *limits,
        run.loss_w,
        _supplied_cell(run, row),
        run.min_voltage_v,
        run.min_voltage_at,
    )


def _sum_row(audit: Audit, controller: str | None, runs: Sequence[RunResult], first: int) -> tuple[Cell, ...]:
    row, last = first + len(runs), first + len(runs) - 1
    supply = supply_of(audit.supplies, controller)
    name = f"Controller {controller}" if controller is not None else "Not on a port yet"
    figures = _figures_to_sum(runs)
    devices, watts, loss, supplied = (
        _subtotal(column, first, last, value) for column, value in figures.items()
    )
    asked = _WATTS if figures[_SUPPLIED] is None else _SUPPLIED
    limit_w = supply.power_w if supply else None
    limits = _limit_cells(figures[asked], limit_w, row, "over", asked)
    word = limits[3]
    if asked == _WATTS and isinstance(word, Live) and word.value == "within":
        limits = (limit_w, None, None, None)  # what the cable loses is not known, so nothing is within
    return (name, devices, watts, *limits, loss, supplied, *_lowest_cells(runs))


def _total_row(runs: Sequence[RunResult], first: int, last: int) -> tuple[Cell, ...]:
    figures = _figures_to_sum(runs).items()
    devices, watts, loss, supplied = (_subtotal(column, first, last, value) for column, value in figures)
    return ("Whole job", devices, watts, None, None, None, None, loss, supplied, *_lowest_cells(runs))


def _figures_to_sum(runs: Sequence[RunResult]) -> dict[str, float | None]:
    """Column -> the sum of what stands in it."""
    return {
        _DEVICES: sum(run.devices for run in runs),
        _WATTS: _sum(run.power_w for run in runs),
        _LOSS: _sum(run.loss_w for run in runs),
        _SUPPLIED: _sum(run.supplied_w for run in runs),
    }


def _subtotal(column: str, first: int, last: int, value: float | None) -> Cell:
    """A subtotal: it leaves out the subtotals in its range, so that nothing is counted twice."""
    return None if value is None else Live(f"=SUBTOTAL(9,{column}{first}:{column}{last})", value)


def _sum(values: Any) -> float | None:
    """The sum; None where something in it is not known."""
    found = list(values)
    return None if None in found else sum(found)


def _lowest_cells(runs: Sequence[RunResult]) -> tuple[Cell, Cell]:
    known = [(run.min_voltage_v, run.min_voltage_at) for run in runs if run.min_voltage_v is not None]
    return min(known, key=itemgetter(0), default=(None, None))


def _limit_cells(
    power_w: float | None, limit_w: float | None, row: int, past: str, column: str
) -> tuple[Cell, Cell, Cell, Cell]:
    """Limit, headroom, share used and a word (`past` where the limit is), the last three live.

    Parameters
    ----------
    column : where the power stands: what the devices draw, or what a supply gives
    """
    if power_w is None or not limit_w:
        return (limit_w, None, None, None)
    watts, limit = f"{column}{row}", f"{_LIMIT}{row}"
    word = past if exceeds(power_w, limit_w, "W") else "within"
    return (
        limit_w,
        Live(f"={limit}-{watts}", limit_w - power_w),
        Live(f"={watts}/{limit}", power_w / limit_w),
        Live(f'=IF({watts}>{limit}*(1+1E-9),"{past}","within")', word),
    )


def _supplied_cell(run: RunResult, row: int) -> Cell:
    """What a run takes from its supply: watts and loss, live where all its loads draw a constant power."""
    if _same(run.supplied_w, _sum((run.power_w, run.loss_w))):
        return Live(f"={_WATTS}{row}+{_LOSS}{row}", run.supplied_w)
    return run.supplied_w


def _watts_cell(
    devices: Sequence[DeviceResult], run: RunResult, live: Sequence[LiveRows], port_cell: str
) -> Cell:
    """A port's watts: a formula that adds them up over the device rows, or the figure where it would not come to what
    the audit found (a power given as text, a device counted elsewhere)."""
    used = [rows for rows in live if any(_stands_in(device, rows) for device in devices)]
    covered = all(any(_stands_in(device, rows) for rows in used) for device in devices)
    total_w = _sum(device.power_w for device in devices)
    if run.port is not None and used and covered and _same(run.power_w, total_w):
        return Live("=" + "+".join(_table_formula(rows, run.name, port_cell) for rows in used), run.power_w)
    return run.power_w


def _same(left_w: float | None, right_w: float | None) -> TypeGuard[float]:
    """Whether two figures are both known, and one."""
    return left_w is not None and right_w is not None and abs(left_w - right_w) <= SAME_W


def _stands_in(device: DeviceResult, rows: LiveRows) -> bool:
    where = device.where
    return where is not None and where.sheet == rows.table.sheet and where.row in rows.plain_rows


def _table_formula(rows: LiveRows, port: str, port_cell: str) -> str:
    table = rows.table
    watts, ports = _column_range(table, table.columns["power_w"]), _column_range(table, rows.port_column)
    factor = "" if rows.power_w_per_unit == 1.0 else f"*{rows.power_w_per_unit!r}"
    if "quantity" in table.columns:
        quantity = _column_range(table, table.columns["quantity"])
        each = f'SUMPRODUCT(({ports}={port_cell})*({quantity}=""),{watts})'
        return f"({each}+SUMPRODUCT(--({ports}={port_cell}),{watts},{quantity})){factor}"
    if _SAFE_CRITERION.fullmatch(port):
        return f"SUMIFS({watts},{ports},{port_cell}){factor}"
    return f"SUMPRODUCT(--({ports}={port_cell}),{watts}){factor}"  # SUMIFS reads *, ? and digits its own way


def _column_range(table: Table, column: int) -> str:
    name = letter(column)
    return f"{quoted(table.sheet)}!${name}${table.first_row}:${name}${table.last_row}"

"""A job without numbers that no bus has: each becomes unread, with its cell and the reason.

The reader of workbooks refuses most of them itself; a job that comes another way is held to the same.
After this a length is above zero, a power is finite, a conductor is of a size that is made.
"""

import math
from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any, TypeVar

from auditor.calc.conductors import area_of_gauge, conductor
from auditor.job.model import Cable, CellRef, Controller, Device, Job, Pull, Unread

Row = TypeVar("Row", Device, Pull, Cable, Controller)
Check = Callable[[float], str]  # the reason why a number cannot be; empty: it can

MOST_M, MOST_W, MOST_V, MOST_OHM_PER_KM = 100_000.0, 100_000.0, 10_000.0, 100_000.0  # project convention
MOST_NF_PER_M, MOST_DEVICES = 1_000.0, 1_000_000  # project convention
NOWHERE = CellRef("", 1, 1)


def plausible(job: Job) -> Job:
    """The same job; what cannot be is None (a quantity: 1) and stands in its row's `unread`."""
    at = job.pulls[0].where if job.pulls else job.devices[0].where if job.devices else NOWHERE
    return replace(
        job,
        devices=tuple(_plausible_row(device, _DEVICE, at) for device in job.devices),
        pulls=tuple(_plausible_row(pull, _PULL, at) for pull in job.pulls),
        cables={
            name: _plausible_gauge(_plausible_row(cable, _CABLE, at), at)
            for name, cable in job.cables.items()
        },
        controllers={name: _plausible_row(item, _CONTROLLER, at) for name, item in job.controllers.items()},
    )


def _plausible_row(row: Row, checks: Iterable[tuple[str, Check]], fallback: CellRef) -> Row:
    for name, check in checks:
        value = getattr(row, name)
        if value is not None and check(value):
            return _without_implausible(row, checks, fallback)
    return row


def _without_implausible(row: Row, checks: Iterable[tuple[str, Check]], fallback: CellRef) -> Row:
    values = {name: getattr(row, name) for name, _ in checks}
    reasons = [(name, check(values[name])) for name, check in checks if values[name] is not None]
    wrong = [(name, reason) for name, reason in reasons if reason]
    changed: dict[str, Any] = {name: 1 if name == "quantity" else None for name, _ in wrong}
    changed["unread"] = row.unread + tuple(
        _unread(name, getattr(row, name), reason, row.cells.get(name) or row.where or fallback)
        for name, reason in wrong
    )
    return replace(row, **changed)


def _unread(name: str, value: object, reason: str, where: CellRef) -> Unread:
    return Unread(field=name, text=str(value)[:40], reason=reason, where=where)


def _plausible_gauge(cable: Cable, fallback: CellRef) -> Cable:
    """A gauge in AWG that is no size of the series."""
    if cable.area_mm2 is not None or "AWG" not in (cable.gauge or "").upper():
        return cable
    if area_of_gauge(cable.gauge or "") is not None or any(u.field == "gauge" for u in cable.unread):
        return cable
    where = cable.cells.get("gauge", cable.where or fallback)
    reason = "no wire size; the sizes are whole numbers from 4/0 to 36 AWG"
    wrong = Unread(field="gauge", text=cable.gauge or "", reason=reason, where=where)
    return replace(cable, gauge=None, unread=(*cable.unread, wrong))


def _range_check(most: float, unit: str, *, zero: str = "") -> Check:
    def reason(value: float) -> str:
        if 0 < value <= most:
            return ""
        if not math.isfinite(value):
            return "not a number"
        if value < 0:
            return "less than nothing"
        if value == 0:
            return zero
        return f"more than {most:,.0f} {unit}" if value > most else ""

    return reason


def _area_fault(area_mm2: float) -> str:
    try:
        conductor(conductor_degc=20, area_mm2=area_mm2)
    except ValueError as reason:
        return str(reason)
    return ""


def _quantity_fault(value: float) -> str:
    if not 1 <= value <= MOST_DEVICES:
        return f"a quantity is from 1 to {MOST_DEVICES:,}; counted as 1"
    return ""


_VOLTS = _range_check(MOST_V, "V", zero="zero; a voltage is more than that")
_DEVICE = (
    ("quantity", _quantity_fault),
    ("power_w", _range_check(MOST_W, "W")),
    ("idle_w", _range_check(MOST_W, "W")),
    ("start_w", _range_check(MOST_W, "W")),
    ("at_voltage_v", _VOLTS),
    ("min_voltage_v", _range_check(MOST_V, "V")),
)
_PULL = (
    ("length_m", _range_check(MOST_M, "m", zero="zero; a length is more than that")),
    ("mains_parallel_m", _range_check(MOST_M, "m")),
    ("mains_crossing_deg", _range_check(180, "degrees")),
)
_CABLE = (
    ("area_mm2", _area_fault),
    ("ohm_per_km", _range_check(MOST_OHM_PER_KM, "ohm/km", zero="zero; every conductor has resistance")),
    ("capacitance_nf_per_m", _range_check(MOST_NF_PER_M, "nF/m", zero="zero; every pair has capacitance")),
    ("insulation_v", _range_check(MOST_V, "V")),
)
_CONTROLLER = (
    ("supply_voltage_v", _VOLTS),
    ("supply_power_w", _range_check(MOST_W, "W", zero="zero; a supply gives more than that")),
)

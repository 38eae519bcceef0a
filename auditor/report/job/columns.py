"""The columns written beside a job's device and pull tables."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from auditor.annotate.columns import OURS, AddedColumn, AddedColumns
from auditor.job.model import TableKind
from auditor.report.job.audit_sheet import finding_rows
from auditor.report.page.look import clean, finite, quoted
from auditor.results.added_sheets import AUDIT, VERDICT_HEADING
from auditor.results.audit_result import Audit, DeviceResult, PullResult, RunResult
from auditor.results.findings import worst_verdict
from auditor.units import LENGTH_M

PORT = "Port"  # the heading of the column that the power budget's formulas look in
_NO_PORT, _SPARE = "none", "spare"
_NARROWEST_WHY, _WIDEST_WHY = 24, 64  # characters
_ANNOTATED = (TableKind.DEVICES, TableKind.PULLS, TableKind.COMBINED)


@dataclass(slots=True)
class _AuditedRow:
    """What the audit holds on one row of a table."""

    devices: list[DeviceResult] = field(default_factory=list)
    pulls: list[PullResult] = field(default_factory=list)
    results: list[DeviceResult | PullResult] = field(default_factory=list)  # all of them


_Port = tuple[str | None, str | None]
_Value = str | float | None


def added_columns(audit: Audit, names: Mapping[str, str] | None = None) -> list[AddedColumns]:
    """The columns for each device, pull and combined table, in the order of the audit's tables.

    A column with nothing in it is left out, and a table none of whose rows was judged.

    Parameters
    ----------
    names : wanted sheet name -> the name taken, as for `job_sheets`; the port of a row with a finding,
        or the word that it has none, links to it on the audit sheet (a verdict's link would be dark on
        dark in some programs, and a reason's would not wrap)

    Returns
    -------
    lengths in the audit's own unit, voltages in V
    """
    rows = _audited_rows(audit)
    found = finding_rows(audit)
    target = quoted((names or {}).get(AUDIT.name, AUDIT.name))
    added = []
    for table in audit.tables:
        if table.kind not in _ANNOTATED:
            continue
        own = {row: rows[table.sheet, row] for row in table.rows if (table.sheet, row) in rows}
        links = {row: f"{target}!A{found[table.sheet, row]}" for row in own if (table.sheet, row) in found}
        columns = tuple(_columns_of_table(audit, table.kind, own, links))
        if columns:
            added.append(AddedColumns(table=table, columns=columns))
    return added


def columns_together(jobs: Iterable[Sequence[AddedColumns]]) -> list[AddedColumns]:
    """The columns of a workbook's jobs, a table that several share once, each row as its own job has it."""
    shared: dict[tuple[str, int], list[AddedColumns]] = defaultdict(list)
    for job in jobs:
        for added in job:
            shared[added.table.sheet, added.table.header_row].append(added)
    return [_together(group) if len(group) > 1 else group[0] for group in shared.values()]


def _together(group: Sequence[AddedColumns]) -> AddedColumns:
    columns: dict[str, AddedColumn] = {}
    for added in group:
        for column in added.columns:
            known = columns.get(column.header, column)
            columns[column.header] = replace(
                known,
                width=max(known.width, column.width),
                values={**known.values, **column.values},
                links={**known.links, **column.links},
            )
    rows = tuple(sorted({row for added in group for row in added.table.rows}))
    return AddedColumns(table=replace(group[0].table, rows=rows), columns=tuple(columns.values()))


def port_offset(added: AddedColumns) -> int | None:
    """How many columns right of our first one the port column stands; None where there is none."""
    return next(
        (offset for offset, column in enumerate(added.columns) if column.header in (PORT, PORT + OURS)), None
    )


def _audited_rows(audit: Audit) -> dict[tuple[str, int], _AuditedRow]:
    rows: dict[tuple[str, int], _AuditedRow] = defaultdict(_AuditedRow)
    for device in audit.devices:
        if device.where is not None:
            row = rows[device.where.sheet, device.where.row]
            row.devices.append(device)
            row.results.append(device)
    for pull in audit.pulls:
        if pull.where is not None:
            row = rows[pull.where.sheet, pull.where.row]
            row.pulls.append(pull)
            row.results.append(pull)
    return rows


def _columns_of_table(
    audit: Audit, kind: TableKind, rows: Mapping[int, _AuditedRow], places: Mapping[int, str]
) -> Iterable[AddedColumn]:
    unit = audit.length_unit
    runs: dict[_Port, RunResult] = {
        (run.controller, run.port): run for run in audit.runs if run.port is not None
    }
    devices, pulls = kind is not TableKind.PULLS, kind is not TableKind.DEVICES
    why = {number: _reasons_of_row(row) for number, row in rows.items()}
    yield from _column_of_rows(VERDICT_HEADING, "verdict", 14, rows, _worst_of_row)
    yield from _column_of_values("Why", "text", _why_width(why.values()), why)
    if devices:
        yield from _column_of_values(PORT, "text", 10, _port_texts(rows, places, _device_port), links=places)
        yield from _column_of_rows(
            f"Distance ({unit})", "number", 11, rows, lambda row: _longest_distance(row, unit), digits=1
        )
        yield from _column_of_rows(_volts_header(audit), "number", 17, rows, _lowest_volts, digits=2)
        if any(device.suggested_port for device in audit.devices):
            yield from _column_of_rows("Suggested port", "text", 11, rows, _suggested_ports)
    if pulls:
        if not devices:
            yield from _column_of_values(
                "Run", "text", 10, _port_texts(rows, places, _pull_port), links=places
            )
        yield from _column_of_rows(
            f"Run total ({unit})", "number", 11, rows, lambda row: _run_total(row, runs, unit), digits=1
        )
        yield from _column_of_rows(
            "Reel", "text", 9, rows, lambda row: _joined([pull.reel for pull in row.pulls])
        )


def _column_of_rows(
    header: str,
    kind: Literal["verdict", "text", "number"],
    width: float,
    rows: Mapping[int, _AuditedRow],
    value: Callable[[_AuditedRow], _Value],
    *,
    digits: int = 0,
) -> Iterable[AddedColumn]:
    values = {number: value(row) for number, row in rows.items()}
    return _column_of_values(header, kind, width, values, digits=digits)


def _column_of_values(
    header: str,
    kind: Literal["verdict", "text", "number"],
    width: float,
    values: Mapping[int, _Value],
    *,
    digits: int = 0,
    links: Mapping[int, str] | None = None,
) -> Iterable[AddedColumn]:
    """The column, or nothing where it would be empty; only a cell that shows something is a link."""
    if all(each in (None, "") for each in values.values()):
        return
    number_format = _number_format(values.values(), digits) if kind == "number" else None
    shown = {number: place for number, place in (links or {}).items() if values[number]}
    yield AddedColumn(
        header=header, width=width, kind=kind, number_format=number_format, values=values, links=shown
    )


def _number_format(values: Iterable[str | float | None], digits: int) -> str:
    """Lengths that are all whole show no decimal; volts always show theirs."""
    numbers = [value for value in values if isinstance(value, int | float)]
    if digits == 1 and all(abs(number - round(number)) < 0.05 for number in numbers):
        return "#,##0"
    return "#,##0." + "0" * digits


def _volts_header(audit: Audit) -> str:
    return f"Volts at device ({audit.voltage_basis})" if audit.voltage_basis else "Volts at device"


def _worst_of_row(row: _AuditedRow) -> str:
    if len(row.results) == 1:
        return row.results[0].verdict.value
    return worst_verdict(result.verdict for result in row.results).value


def _reasons_of_row(row: _AuditedRow) -> str:
    """The sentences of a row, worst first, each once."""
    if len(row.results) == 1:
        why = row.results[0].why
        return clean(why) if why else ""
    ordered = sorted(row.results, key=lambda result: -result.verdict.severity)
    return clean(" ".join(dict.fromkeys(result.why for result in ordered if result.why)))


def _why_width(sentences: Iterable[str]) -> float:
    """Wide enough for short sentences in one line; a long one takes some."""
    longest = max(map(len, sentences), default=0)
    return max(_NARROWEST_WHY, min(_WIDEST_WHY, longest + 2))


def _port_texts(
    rows: Mapping[int, _AuditedRow], linked: Mapping[int, str], port: Callable[[_AuditedRow], str]
) -> Mapping[int, _Value]:
    """The port of each row; a row with a finding has a word to hang the link on in any case."""
    return {
        number: port(row) or (_pull_port(row) or _NO_PORT if number in linked else "")
        for number, row in rows.items()
    }


def _device_port(row: _AuditedRow) -> str:
    return _joined([_port_name(device.controller, device.port) for device in row.devices])


def _pull_port(row: _AuditedRow) -> str:
    return _joined([_run_name(pull) for pull in row.pulls])


def _run_name(pull: PullResult) -> str | None:
    if not pull.landed:
        return _SPARE
    return f"branch {pull.branch}" if pull.branch else _port_name(pull.controller, pull.port)


def _suggested_ports(row: _AuditedRow) -> str:
    """The port that the plan moves a device to; empty where it stays."""
    suggested = [_port_name(device.suggested_controller, device.suggested_port) for device in row.devices]
    stays = [_port_name(device.controller, device.port) for device in row.devices]
    return _joined(new for new, old in zip(suggested, stays, strict=True) if new != old)


def _longest_distance(row: _AuditedRow, unit: str) -> float | None:
    known = [d for device in row.devices if (d := finite(device.distance_m)) is not None]
    return _length_shown(max(known, default=None), unit)


def _lowest_volts(row: _AuditedRow) -> float | None:
    known = [v for device in row.devices if (v := finite(device.voltage_v)) is not None]
    return round(min(known), 3) if known else None


def _run_total(row: _AuditedRow, runs: Mapping[_Port, RunResult], unit: str) -> float | None:
    own = [runs[key] for pull in row.pulls if (key := (pull.controller, pull.port)) in runs]
    known = [total for run in own if (total := finite(run.cable_m)) is not None]
    return _length_shown(max(known, default=None), unit)


def _length_shown(length_m: float | None, unit: str) -> float | None:
    return None if length_m is None else round(length_m / LENGTH_M[unit], 1)


def _port_name(controller: str | None, port: str | None) -> str | None:
    return f"{controller}.{port}" if port is not None else None


def _joined(texts: Iterable[str | None]) -> str:
    return clean(", ".join(dict.fromkeys(filter(None, texts))))

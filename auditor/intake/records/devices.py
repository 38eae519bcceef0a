"""Rows to devices."""

from collections.abc import Sequence
from dataclasses import dataclass

from auditor.intake.formats.cells import Value
from auditor.intake.grammar import values as grammar
from auditor.intake.grammar.numbers import UnreadableError, plain
from auditor.intake.grammar.values import Context
from auditor.intake.names.ends import Ends, device_port
from auditor.intake.records.columns import MOST_ASKED, Columns
from auditor.intake.records.from_columns import from_columns
from auditor.intake.said import question
from auditor.job.model import CellRef, Device, Load, Remark
from auditor.units import number_text

AT_NOMINAL = f"the currents in {{!r}} are taken at the nominal voltage of the bus, {grammar.NOMINAL_V:g} V, as nothing states theirs"
ROUNDING, ROUNDING_W = 0.01, 0.05  # a stated total is off by no more, if it is rounded; project conventions

_LOADS = {
    Load.CONSTANT_POWER: (
        "constant power",
        "constant-power",
        "power",
        "cp",
        "switching",
        "converter",
        "regulated",
        "konstante leistung",
    ),
    Load.CONSTANT_CURRENT: (
        "constant current",
        "constant-current",
        "current",
        "cc",
        "linear",
        "linear regulator",
        "konstantstrom",
    ),
    Load.RESISTIVE: ("resistive", "resistor", "resistance", "heater", "lamp", "cr", "ohmic", "ohmsch"),
}
_LOAD_OF = {spelling: load for load, spellings in _LOADS.items() for spelling in spellings}


@dataclass(slots=True)
class Supply:
    """The supply voltage that the workbook states, for currents without their own [V]."""

    volts: float | None = None


def devices(columns: Columns, ends: Ends, supply: Supply, power_unit: str | None = None) -> list[Device]:
    """The devices of a device list or of a combined sheet."""
    tags, places = columns.texts("tag"), columns.places("tag")
    quantity = columns.numbers("quantity", lambda value, _: grammar.count(value))
    at_voltage = columns.numbers("at_voltage_v", grammar.voltage_v, "V")
    shared = "power_w" not in columns and "total_power_w" in columns
    if shared:
        columns.read_as("total_power_w", "power_w")
    power = powers_of(columns, "power_w", at_voltage, supply, power_unit)
    if shared:
        power = [
            found and (found[0] / (number or 1), found[1])
            for found, number in zip(power, quantity, strict=True)
        ]
    elif "power_w" in columns and "total_power_w" in columns:
        columns.remarks += _other_totals(columns, tags, quantity, power, at_voltage, supply)
    idle = powers_of(columns, "idle_w", at_voltage, supply)
    start = powers_of(columns, "start_w", at_voltage, supply)
    least = columns.numbers("min_voltage_v", grammar.voltage_v, "V")
    load = columns.numbers("load", _load)
    room, note = columns.texts("room"), columns.texts("note")
    controller, port = columns.texts("controller"), columns.texts("port")
    cells = columns.cells(
        (
            "tag",
            "quantity",
            "power_w",
            "idle_w",
            "start_w",
            "at_voltage_v",
            "load",
            "min_voltage_v",
            "room",
            "controller",
            "port",
            "note",
        )
    )
    if any(controller) or any(port):
        own = [device_port(*pair, ends) if any(pair) else pair for pair in zip(controller, port, strict=True)]
        controller, port = [name for name, _ in own], [number for _, number in own]
    return from_columns(
        Device,
        len(tags),
        tag=[tag or "" for tag in tags],
        quantity=[number or 1 for number in quantity],
        power_w=[found and found[0] for found in power],
        idle_w=[found and found[0] for found in idle],
        start_w=[found and found[0] for found in start],
        at_voltage_v=[found and found[1] for found in power],
        load=load,
        min_voltage_v=least,
        room=room,
        controller=controller,
        port=port,
        asked=[frozenset(name for name, given in columns.given.items() if given.asked)] * len(tags),
        note=note,
        where=places,
        cells=cells,
        unread=columns.unread_rows(),
    )


def powers_of(
    columns: Columns,
    name: str,
    at_voltage: Sequence[float | None],
    supply: Supply,
    unit: str | None = None,
) -> list[tuple[float, float | None] | None]:
    if name not in columns:
        return [None] * len(columns.rows)
    volts = iter(at_voltage)
    values = columns.raw(name)
    context = columns.context(name, values, unit)
    if context.unit in ("VA", "mVA") or any(
        type(v) is str and v.rstrip().casefold().endswith("va") for v in set(values)
    ):
        use = columns.use(name)
        columns.said.append((use, "the VA in {!r} are taken as W; the active power is at most that"))
    at_nominal = False
    result: list[tuple[float, float | None] | None] = []
    for index, (value, own) in enumerate(zip(values, volts, strict=True)):
        if type(value) is float and context.unit == "W" and 0 <= value <= grammar.MAX_POWER_W:
            result.append((value, None))
        elif grammar.is_blank(value):
            result.append(None)
        else:
            try:
                found = grammar.power_w(value, context, own or supply.volts)
                at_nominal = at_nominal or found[2]
                result.append(found[:2])
            except UnreadableError as reason:
                result.append(None)
                columns.note_unread(index, name, value, str(reason))
    if at_nominal:
        columns.nominal.add(name)
        columns.said.append((columns.use(name), AT_NOMINAL))
    return result


def _other_totals(
    columns: Columns,
    tags: Sequence[str | None],
    quantity: Sequence[int | None],
    power: Sequence[tuple[float, float | None] | None],
    at_voltage: Sequence[float | None],
    supply: Supply,
) -> list[Remark]:
    """Rows whose total is not their quantity times their power; what cannot be read is not compared."""
    totals = powers_of(columns.again(), "total_power_w", at_voltage, supply)
    header, blank = columns.use("total_power_w").header, map(grammar.is_blank, columns.raw("quantity"))
    found: list[tuple[str, str, CellRef]] = []
    for index, (total, each, number, none) in enumerate(zip(totals, power, quantity, blank, strict=True)):
        count = 1 if none else number
        if total is None or each is None or count is None:
            continue
        if abs(total[0] - count * each[0]) > max(ROUNDING_W, ROUNDING * count * each[0]):
            said = f"the total of {number_text(total[0])} W is not {count} x {number_text(each[0])} W"
            found.append((tags[index] or header, said, columns.where(index, "total_power_w")))
    if len(found) > MOST_ASKED:
        said = f"{found[0][1]} in row {found[0][2].row}, and so in {len(found) - 1} more rows"
        at = CellRef(columns.sheet, columns.table.heading_row, columns.use("total_power_w").column)
        found = [(header, said, at)]
    return [question(subject, f"{said}; correct one of them", where) for subject, said, where in found]


def _load(value: Value, _: Context) -> Load:
    text = plain(grammar.shown(value)).casefold()
    if text not in _LOAD_OF:
        raise UnreadableError("no kind of load; write constant power, constant current or resistive")
    return _LOAD_OF[text]

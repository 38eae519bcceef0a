"""Rows to records: devices, pulls, cables, controllers, reels."""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial

from auditor.intake import values as grammar
from auditor.intake.build import from_columns
from auditor.intake.cells import Value
from auditor.intake.columns import Columns
from auditor.intake.ends import Ends, device_port
from auditor.intake.numbers import UnreadableError, plain
from auditor.intake.values import Context
from auditor.model import Cable, Controller, Device, Load, Pull, Reel

_UNLANDED = re.compile(
    r"\b(?:spare(?:\s+return)?|not\s+landed|unlanded|not\s+terminated|unterminated|do\s+not\s+(?:terminate|land)|reserve|nicht\s+aufgelegt|"
    r"réserve|non\s+raccordé|reserva|sin\s+conectar|no\s+conectad[oa])\b",
    re.IGNORECASE,
)
_LANDED_COLUMN = re.compile(r"landed|terminated|aufgelegt|raccord|conectad", re.IGNORECASE)
_SPARE_COLUMN = re.compile(r"spare|reserv|réserv", re.IGNORECASE)
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
_GAUGE = re.compile(
    r"(?:(?P<pairs>\d+)\s*x\s*(?:2\s*x\s*)?)?(?P<size>\d+(?:[.,]\d+)?)\s*(?P<unit>mm2|mm²|sq\.?\s*mm|qmm|mm|awg|ga)?"
    r"(?:\s*[/\-]\s*(?P<cores>\d+)\s*c?)?(?:\s*(?:solid|stranded))?"
)


@dataclass(slots=True)
class Supply:
    """The supply voltage that the workbook states, for currents without their own [V]."""

    volts: float | None = None


def devices(columns: Columns, ends: Ends, supply: Supply) -> list[Device]:
    """The devices of a device list or of a combined sheet."""
    tags, places = columns.texts("tag"), columns.places("tag")
    quantity = columns.numbers("quantity", lambda value, _: grammar.count(value))
    at_voltage = columns.numbers("at_voltage_v", grammar.voltage_v, "V")
    power = _powers(columns, "power_w", at_voltage, supply)
    idle = _powers(columns, "idle_w", at_voltage, supply)
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
        at_voltage_v=[found and found[1] for found in power],
        load=load,
        min_voltage_v=least,
        room=room,
        controller=controller,
        port=port,
        note=note,
        where=places,
        cells=cells,
        unread=columns.unread_rows(),
    )


def _powers(
    columns: Columns, name: str, at_voltage: Sequence[float | None], supply: Supply
) -> list[tuple[float, float | None] | None]:
    if name not in columns:
        return [None] * len(columns.rows)
    volts = iter(at_voltage)
    values = columns.raw(name)
    context = columns.context(name, values)
    if context.unit in ("VA", "mVA") or any(
        type(v) is str and v.rstrip().casefold().endswith("va") for v in set(values)
    ):
        use = columns.table.understood.columns[name]
        columns.said.append((use, "the VA in {!r} are taken as W; the active power is at most that"))
    result: list[tuple[float, float | None] | None] = []
    for index, (value, own) in enumerate(zip(values, volts, strict=True)):
        if type(value) is float and context.unit == "W" and 0 <= value <= grammar.MAX_POWER_W:
            result.append((value, None))
        elif grammar.is_blank(value):
            result.append(None)
        else:
            try:
                result.append(grammar.power_w(value, context, own or supply.volts))
            except UnreadableError as reason:
                result.append(None)
                columns.note_unread(index, name, value, str(reason))
    return result


def _load(value: Value, _: Context) -> Load:
    text = plain(grammar.shown(value)).casefold()
    if text not in _LOAD_OF:
        raise UnreadableError("no kind of load; write constant power, constant current or resistive")
    return _LOAD_OF[text]


def _distance_m(value: Value, context: Context) -> float:
    return grammar.length_m(value, context, "distance")


_PULL_FIELDS = (
    "id", "near", "far", "length_m", "cable", "status", "mains_parallel_m", "mains_crossing_deg", "loudspeaker_parallel", "pinned",
    "note",
)  # fmt: skip


def pulls(columns: Columns, ends: Ends, length_unit: str | None) -> list[Pull]:
    """The pulls of a pull schedule, or the feeds of a combined sheet (then `far` is the device)."""
    combined = "far" not in columns
    far_name = "tag" if combined else "far"
    near, far = _names(columns, "near", ends), _names(columns, far_name, ends)
    if not combined and "port" in columns:
        near = [name or port for name, port in zip(near, _port_ends(columns, ends), strict=True)]
    ids = _ids(columns, near, far, combined)
    length = columns.numbers("length_m", grammar.length_m, length_unit)
    cable, note = columns.texts("cable"), columns.texts("note")
    landed = _landed(columns)
    mains = columns.numbers("mains_parallel_m", _distance_m, length_unit)
    crossing = columns.numbers("mains_crossing_deg", grammar.angle_deg)
    loudspeaker = columns.numbers("loudspeaker_parallel", lambda value, _: grammar.yes_no(value))
    pinned = columns.numbers("pinned", lambda value, _: grammar.yes_no(value))
    cells = columns.cells((*_PULL_FIELDS, "tag") if combined else _PULL_FIELDS)
    key = "id" if "id" in columns else far_name if combined or "near" not in columns else "near"
    return from_columns(
        Pull,
        len(ids),
        id=ids,
        near=near,
        far=far,
        length_m=length,
        cable=cable,
        landed=landed,
        mains_parallel_m=mains,
        mains_crossing_deg=crossing,
        loudspeaker_parallel=loudspeaker,
        pinned=map(bool, pinned),
        note=note,
        where=columns.places(key),
        cells=cells,
        unread=columns.unread_rows(),
    )


def _names(columns: Columns, name: str, ends: Ends) -> list[str]:
    """The ends that a column names; what most cells hold is known as it stands."""
    if name not in columns:
        return [""] * len(columns.rows)
    home = ends.home(columns.sheet)
    known = ends.known(home)
    result = [known.get(value) if type(value) is str else None for value in columns.raw(name)]
    if None in result:
        texts = columns.texts(name)
        for index, found in enumerate(result):
            if found is None:
                text = texts[index] or ""
                result[index] = (
                    known[text]
                    if text in known
                    else ends.name(text, partial(columns.where, index, name), home)
                )
    return [found or "" for found in result]


def _port_ends(columns: Columns, ends: Ends) -> list[str]:
    """Where a pull starts, from columns of its own for the controller and the port."""
    home = ends.home(columns.sheet)
    pairs = zip(columns.texts("controller"), columns.texts("port"), strict=True)
    own = [
        device_port(controller or home, port, ends) if port else (None, None) for controller, port in pairs
    ]
    return [ends.port(controller, port) if controller and port else "" for controller, port in own]


def _ids(columns: Columns, near: Sequence[str], far: Sequence[str], combined: bool) -> list[str]:
    """Typed ids as typed; where there is none, a name of ours that no other pull has."""
    typed = columns.texts("id")
    if all(typed):
        return [text for text in typed if text]
    taken = {text for text in typed if text}
    return [
        text or _free(f"{end} feed" if combined else f"{start or '?'} to {end or '?'}", taken)
        for text, start, end in zip(typed, near, far, strict=True)
    ]


def _free(base: str, taken: set[str]) -> str:
    name, number = base, 2
    while name in taken:
        name, number = f"{base} ({number})", number + 1
    taken.add(name)
    return name


def _landed(columns: Columns) -> list[bool]:
    """False where the status or the notes say that the cable is laid but not joined."""
    landed = [True] * len(columns.rows)
    for name in ("status", "note"):
        if name not in columns:
            continue
        header = columns.table.understood.columns[name].header
        values = columns.raw(name)
        unlanded = {value for value in set(values) if value != "" and _says_unlanded(header, value)}
        if unlanded:
            landed = [was and value not in unlanded for was, value in zip(landed, values, strict=True)]
    return landed


def _says_unlanded(header: str, value: Value) -> bool:
    text = plain(grammar.shown(value))
    if _LANDED_COLUMN.search(header) and text.casefold() in grammar.NO:
        return True
    if _SPARE_COLUMN.search(header) and text.casefold() in grammar.YES:
        return True
    return _UNLANDED.search(text) is not None


def cables(columns: Columns) -> list[Cable]:
    """The cable types of a cable sheet."""
    names = columns.texts("name")
    gauge = columns.numbers("gauge", _gauge)
    cores = columns.numbers("conductors", lambda value, _: grammar.count(value, "number of conductors"))
    stranded = columns.numbers(
        "stranded",
        _words_yes_no(
            ("stranded", "str", "flexible", "fine", "litze", "multibrin"), ("solid", "massiv", "rigide")
        ),
    )
    coated = columns.numbers(
        "coated",
        _words_yes_no(
            ("tinned", "coated", "tc", "verzinnt", "étamé"), ("bare", "uncoated", "bc", "plain", "blank")
        ),
    )
    shielded = columns.numbers(
        "shielded",
        _words_yes_no(
            ("shielded", "foil", "braid", "screened", "fs", "stp", "geschirmt", "blindé"),
            ("unshielded", "unscreened", "utp", "us", "ungeschirmt"),
        ),
    )
    capacitance = columns.numbers("capacitance_nf_per_m", grammar.capacitance_nf_per_m)
    insulation = columns.numbers("insulation_v", grammar.voltage_v, "V")
    resistance = columns.numbers("ohm_per_km", grammar.ohm_per_km)
    cells = columns.cells(tuple(columns.table.understood.columns))
    unread = columns.unread_rows()
    result = []
    for i, name in enumerate(names):
        area, text, in_gauge = gauge[i] or (None, None, None)
        result.append(
            Cable(
                name=name or "",
                area_mm2=area,
                gauge=text,
                conductors=cores[i] if cores[i] is not None else in_gauge,
                stranded=stranded[i],
                coated=coated[i],
                shielded=shielded[i],
                capacitance_nf_per_m=capacitance[i],
                insulation_v=insulation[i],
                ohm_per_km=resistance[i],
                where=columns.where(i, "name"),
                cells=cells[i],
                unread=unread[i],
            )
        )
    return result


def _words_yes_no(yes: Iterable[str], no: Iterable[str]) -> Callable[[Value, Context], bool]:
    own_yes, own_no = frozenset(yes), frozenset(no)
    return lambda value, _: grammar.yes_no(value, own_yes, own_no)


def _gauge(value: Value, context: Context) -> tuple[float | None, str, int | None]:
    """(area of one conductor [mm2] where it is stated in metric, the gauge's text, conductors).

    `16 AWG`, `16/2`, `16-2C`, `2x1.5`, `1.5 mm²`, `0.8 mm` (a diameter).
    """
    text = grammar.scalar(value, "conductor size").casefold().replace("mm²", "mm2").replace("#", "")
    text = re.sub(r"^awg\s*(\d+)", r"\1 awg", text.strip())
    if type(value) is float:
        text = f"{value:g}"
    match = _GAUGE.fullmatch(text.strip())
    if match is None:
        raise UnreadableError("no conductor size; write e.g. 16 AWG or 1.5 mm²")
    size = float(match["size"].replace(",", "."))
    unit = {"ga": "awg", "qmm": "mm2", "sq mm": "mm2", "sqmm": "mm2"}.get(match["unit"] or "", match["unit"])
    unit = (
        unit
        or (context.unit or "").casefold()
        or ("awg" if match["cores"] else "mm2" if match["pairs"] else "")
    )
    cores = int(match["cores"] or match["pairs"] or 0) or None
    if size <= 0 or not unit:
        raise UnreadableError("no unit; write e.g. 16 AWG or 1.5 mm²")
    if unit == "awg":
        return None, f"{size:g} AWG", cores
    if unit == "mm":
        return 3.141592653589793 * size * size / 4, f"{size:g} mm", cores
    return size, f"{size:g} mm²", cores


def controllers(columns: Columns) -> list[Controller]:
    """The controllers of a controller sheet."""
    names, places = columns.texts("name"), columns.texts("head_end")
    ports = columns.numbers("ports", lambda value, _: grammar.count(value, "number of ports"))
    volts = columns.numbers("supply_voltage_v", grammar.voltage_v, "V")
    supply = columns.numbers("supply_power_w", watts, "W")
    cells, unread = columns.cells(tuple(columns.table.understood.columns)), columns.unread_rows()
    return [
        Controller(
            name=name or "",
            head_end=places[i],
            ports=ports[i],
            supply_voltage_v=volts[i],
            supply_power_w=supply[i],
            where=columns.where(i, "name"),
            cells=cells[i],
            unread=unread[i],
        )
        for i, name in enumerate(names)
    ]


def reels(columns: Columns, length_unit: str | None) -> list[Reel]:
    """The reels of a stock sheet."""
    length = columns.numbers("length_m", grammar.length_m, length_unit)
    cable = columns.texts("cable")
    price = columns.numbers("price", _price)
    shelf = columns.numbers("on_shelf", lambda value, _: _stock(value))
    unread = columns.unread_rows()
    return [
        Reel(
            length_m=length[i],
            cable=cable[i],
            price=price[i],
            on_shelf=shelf[i],
            where=columns.where(i, "length_m"),
            unread=unread[i],
        )
        for i in range(len(columns.rows))
    ]


def _stock(value: Value) -> int | None:
    """How many lie on the shelf; none there means that the reel is to be bought."""
    return (
        None
        if value == 0 or plain(grammar.shown(value)) in ("0", "-")
        else grammar.count(value, "number of reels")
    )


def _price(value: Value, context: Context) -> float:
    if type(value) is float:
        amount = value
    else:
        text = re.sub(
            r"[$€£]|\b(?:usd|eur|gbp|chf|fr|euro)\b\.?", "", grammar.scalar(value, "price").casefold()
        ).strip()
        try:
            from auditor.intake.numbers import number

            amount = number(text, context.separators)
        except UnreadableError as cause:
            raise UnreadableError(str(cause) if str(cause) != "not a number" else "not a price") from None
    if not 0 <= amount < 1e9:
        raise UnreadableError("not a price")
    return amount


def watts(value: Value, context: Context) -> float:
    """A power in watts; a current is none."""
    return grammar.quantity(value, "power", grammar.POWER_UNITS, context)

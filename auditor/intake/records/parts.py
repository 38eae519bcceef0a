"""Rows to cable types, controllers and reels."""

import re
from collections.abc import Callable

from auditor.intake.formats.cells import Value, WithUnit
from auditor.intake.grammar import values as grammar
from auditor.intake.grammar.lengths import length_m
from auditor.intake.grammar.numbers import UnreadableError, plain
from auditor.intake.grammar.values import Context
from auditor.intake.records.columns import Columns
from auditor.intake.words import fold, matcher, word_list
from auditor.job.model import Cable, Controller, Reel

_GAUGE = re.compile(
    r"(?:(?P<pairs>\d+)\s*x\s*(?:2\s*x\s*)?)?(?P<size>\d+(?:[.,]\d+)?)\s*(?P<unit>mm2|mm²|sq\.?\s*mm|qmm|mm|awg|ga)?"
    r"(?:\s*[/\-]\s*(?P<cores>\d+)\s*c?)?(?:\s*(?:solid|stranded))?"
)


def cables(columns: Columns) -> list[Cable]:
    """The cable types of a cable sheet."""
    names = columns.texts("name")
    gauge = columns.numbers("gauge", _gauge)
    cores = columns.numbers("conductors", lambda value, _: grammar.count(value, "number of conductors"))
    stranded = columns.numbers(
        "stranded",
        _words_yes_no("stranded", "solid"),
    )
    coated = columns.numbers(
        "coated",
        _words_yes_no("tinned", "bare"),
    )
    shielded = columns.numbers(
        "shielded",
        _words_yes_no("shielded", "unshielded"),
    )
    capacitance = columns.numbers("capacitance_nf_per_m", grammar.capacitance_nf_per_m)
    insulation = columns.numbers("insulation_v", grammar.voltage_v, "V")
    fire = columns.texts("fire_rating")
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
                fire_rating=fire[i] or None,
                ohm_per_km=resistance[i],
                where=columns.where(i, "name"),
                cells=cells[i],
                unread=unread[i],
            )
        )
    return result


def _words_yes_no(yes: str, no: str) -> Callable[[Value, Context], bool]:
    """Yes or no in the words of two lists of the vocabulary, alone or among others: `fine stranded, flexible`."""

    def read(value: Value, _: Context) -> bool:
        text = fold(value) or value if isinstance(value, str) else value
        denied = isinstance(text, str) and matcher(no).search(text) is not None
        said = isinstance(text, str) and matcher(yes).search(matcher(no).sub(" ", text)) is not None
        if denied != said and len(str(text).split()) > 1:
            return said
        return grammar.yes_no(text, word_list(yes), word_list(no))

    return read


def _gauge(value: Value, context: Context) -> tuple[float | None, str, int | None]:
    """(area of one conductor [mm2] where it is stated in metric, the gauge's text, conductors).

    `16 AWG`, `16/2`, `16-2C`, `2x1.5`, `1.5 mm²`, `0.8 mm` (a diameter).
    """
    if type(value) is WithUnit:
        value = grammar.shown(value)
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
    unit = unit or _usual_unit(size)
    if size <= 0 or not unit:
        raise UnreadableError("no unit; write e.g. 16 AWG or 1.5 mm²")
    if unit == "awg":
        return None, f"{size:g} AWG", cores
    if unit == "mm":
        return grammar.circle_mm2(size), f"{size:g} mm", cores
    return size, f"{size:g} mm²", cores


def _usual_unit(size: float) -> str:
    """The unit of a bare size: even whole numbers are gauges, the usual sections are mm²; else none."""
    if size in (8, 10, 12, 14, 16, 18, 20, 22, 24, 26):
        return "awg"
    return "mm2" if size in (0.5, 0.75, 0.8, 1.0, 1.5, 2.5) else ""


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
    name = "length_m" if "length_m" in columns else "stock_length_m"
    length = columns.numbers(name, length_m, length_unit)
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
            where=columns.where(i, name),
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
            from auditor.intake.grammar.numbers import number

            amount = number(text, context.separators)
        except UnreadableError as cause:
            raise UnreadableError(str(cause) if str(cause) != "not a number" else "not a price") from None
    if not 0 <= amount < 1e9:
        raise UnreadableError("not a price")
    return amount


def watts(value: Value, context: Context) -> float:
    """A power in watts; a current is none."""
    return grammar.quantity(value, "power", grammar.POWER_UNITS, context)

"""Lengths and powers as offices write them: the numbers, their units, and where the units are said."""

from collections.abc import Callable

from tests.offices.book import Cell, Column, Row, Sheet, Table
from tests.offices.draft import Draft
from tests.offices.styles import WORD_HEADINGS

_PER_METRE = {"m": 1.0, "mm": 1000.0, "cm": 100.0}
UNIT_WORDS = {
    "ft": ("ft", "ft", "feet", "FT", "Ft."),
    "m": ("m", "m", "M", "mtr"),
    "mm": ("mm",),
    "cm": ("cm",),
}


# ------------------------------------------------------------------------------- numbers


def number(value: float, comma: bool) -> float | int | str:
    """As a cell holds it: a number, whole where it is; or text with a decimal comma."""
    value = round(value, 4)
    whole = int(value) if value == int(value) else value
    return f"{whole:g}".replace(".", ",") if comma else whole


def feet_and_inches(value: float) -> str:
    inches = round(value * 12)
    return f"{inches // 12}'-{inches % 12}\""


def length_text(draft: Draft, value: float) -> str:
    """A length inside a text, with its unit where cells hold it."""
    style = draft.length_style
    if style.where == "feet and inches":
        return feet_and_inches(value)
    if style.where == "prime":
        return f"{number(value, False)}'"
    text = str(number(_written_length(draft, value), style.comma))
    return f"{text} {style.unit}" if style.where in ("cell", "number format") else text


def _written_length(draft: Draft, value: float) -> float:
    unit = draft.length_style.unit
    return value if unit == "ft" else value * draft.design.metres * _PER_METRE[unit]


def _written_power(draft: Draft, value: float) -> float:
    return value * {"W": 1.0, "mW": 1000.0, "mA": 1000.0 / 24.0}[draft.power_style.unit]


def _length_cell(draft: Draft, value: float) -> object:
    style = draft.length_style
    if style.where in ("cell", "prime", "feet and inches"):
        return length_text(draft, value)
    shown = number(_written_length(draft, value), style.comma)
    return Cell(shown, number_format=f'0.0# "{style.unit}"') if style.where == "number format" else shown


def _power_cell(draft: Draft, value: float) -> object:
    style = draft.power_style
    shown = number(_written_power(draft, value), style.comma)
    if style.where == "cell":
        return f"{shown} {power_unit(draft)}"
    return (
        Cell(shown, number_format=f'0.0### "{power_unit(draft)}"')
        if style.where == "number format"
        else shown
    )


def power_unit(draft: Draft) -> str:
    style = draft.power_style
    if style.unit != "mA" or not style.volts:
        return style.unit
    return draft.rng("mA").choice(("mA @ 24 V", "mA at 24 V", "mA 24 V DC"))


# ------------------------------------------------------------------------------- columns


def measure(draft: Draft) -> None:
    """Write every raw length and power of the draft, and say the units where the office says them."""
    said: set[str] = set()
    for sheet in draft.sheets:
        for table in sheet.tables:
            _measure_table(draft, sheet, table, said)
    if draft.length_style.where == "notes sheet":
        _say_on_notes(draft)


def _measure_table(draft: Draft, sheet: Sheet, table: Table, said: set[str]) -> None:
    for unit, cell, dress in (("length", _length_cell, _dress_length), ("power", _power_cell, _dress_power)):
        columns = [(place, column) for place, column in enumerate(table.columns) if column.unit == unit]
        for place, column in columns:
            _write_column(draft, table.rows, place, cell)
            dress(draft, table, column)
        if columns:
            _say(draft, sheet, table, unit)


def _write_column(draft: Draft, rows: list[Row], place: int, cell: Callable[[Draft, float], object]) -> None:
    for row in rows:
        value = row.values[place]
        bare = value.value if isinstance(value, Cell) else value
        if not isinstance(bare, int | float):
            continue
        shown = cell(draft, bare)
        if isinstance(value, Cell):
            shown = Cell(shown, struck=value.struck, formula=value.formula)
        row.values[place] = shown


def _dress_length(draft: Draft, table: Table, column: Column) -> None:
    style, rng = draft.length_style, draft.rng("length unit")
    column.unit = style.unit
    written = rng.choice(UNIT_WORDS[style.unit])
    if style.where == "heading" or (style.where == "word" and column.role != "length"):
        column.shown_unit = written
    elif style.where == "word":
        column.heading = rng.choice(WORD_HEADINGS[draft.language][style.unit].split("|"))
    elif style.where == "second heading row":
        column.sub = rng.choice((written, f"({written})"))


def _dress_power(draft: Draft, table: Table, column: Column) -> None:
    style = draft.power_style
    column.unit = style.unit
    if style.unit == "mA" and column.role == "power":
        column.role = "current"
    if style.where in ("heading", "legend"):
        column.shown_unit = power_unit(draft)
    elif style.where == "word":
        watts = "Watts" if draft.language in ("en", "fr") else "Watt"
        column.heading, column.shown_unit = (watts, "") if column.role == "power" else ("", style.unit)
    elif style.where == "second heading row":
        column.sub = power_unit(draft)


def _say(draft: Draft, sheet: Sheet, table: Table, unit: str) -> None:
    style = draft.length_style if unit == "length" else draft.power_style
    key = "lengths" if unit == "length" else "powers"
    if style.where in ("line above", "line below"):
        sentence = draft.say(key, unit=draft.words.SAYS[style.unit])
        (table.above if style.where == "line above" else table.below).append([sentence])
    if style.where == "unit column":
        last = max(place for place, column in enumerate(table.columns) if column.unit == style.unit)
        word = draft.rng("length unit").choice(UNIT_WORDS[style.unit])
        table.insert(last + 1, Column(role="unit"), [word] * len(table.data()))
        for row in table.rows:
            if row.kind in ("void", "trade", "spare") or (
                row.kind == "core" and row.values[last] is not None
            ):
                row.values[last + 1] = word


def _say_on_notes(draft: Draft) -> None:
    sentence = draft.say("lengths", unit=draft.words.SAYS[draft.length_style.unit])
    lines: list[list[object]] = [
        [draft.sheet_name("notes")],
        [f"1. {sentence}"],
        [f"2. {draft.say('title')}"],
    ]
    draft.sheets.insert(0, Sheet(name=draft.free_name(draft.sheet_name("notes")), lines=lines))

"""What stands in the cells is the design: lengths and powers, read by the places that the office gives."""

import io
import re
from collections.abc import Iterator

import pytest
from python_calamine import CalamineWorkbook

from tests.offices.book import Placement
from tests.offices.names import same
from tests.offices.office import Office, office

METRES = {"ft": 0.3048, "'": 0.3048, "m": 1.0, "cm": 0.01, "mm": 0.001, "in": 0.0254, '"': 0.0254}
WATTS = {"W": 1.0, "mW": 0.001, "mA": 0.024}  # mA at 24 V
LENGTHS = ("total_length", "built", "length", "hop")
FAR = ("far", "far_tag", "tag", "device")
OF_LENGTHS, OF_POWERS = ("pulls", "combined", "order"), ("devices", "combined", "pulls", "levels", "indented")
Sheets = dict[str, list[list[object]]]


def offices(start: int, count: int) -> list[Office]:
    """Workbooks whose cells this test can read: one job, no text struck out, no ranges of tags."""
    left_out = {"two jobs in one workbook", "part of a length struck out", "devices: tags in ranges"}
    made = (office(seed) for seed in range(start, start + count))
    return [each for each in made if each.name.endswith("xlsx") and not left_out & set(each.habits)]


def sheets(made: Office) -> Sheets:
    book = CalamineWorkbook.from_filelike(io.BytesIO(made.data))
    return {name: book.get_sheet_by_name(name).to_python(skip_empty_area=False) for name in book.sheet_names}


def column(table: Placement, *roles: str) -> int | None:
    """The first column of the first of these roles."""
    places = {role: place for place, role in sorted(table.roles.items(), reverse=True)}
    return next((places[role] for role in roles if role in places), None)


def cells(cut: Sheets, table: Placement, *columns: int | None) -> Iterator[list[object]]:
    """The cells of a table's rows in these columns; "" where there is none."""
    rows = cut[table.sheet]
    for row in range(table.first_row - 1, min(table.last_row, len(rows))):
        yield [rows[row][place - 1] if place and place <= len(rows[row]) else "" for place in columns]


def quantity(value: object, unit: str, factors: dict[str, float]) -> float | None:
    """A cell's value; its own unit counts before the column's."""
    if isinstance(value, int | float):
        return value * factors[unit]
    feet = re.fullmatch(r"(\d+)'-(\d+)\"", str(value))
    if feet:
        return (int(feet[1]) + int(feet[2]) / 12) * METRES["ft"]
    text = re.fullmatch(r"(\d+(?:[.,]\d+)?)\s*(mm|cm|m|ft|in|W|mW|mA|['\"])?.*", str(value).strip())
    return float(text[1].replace(",", ".")) * factors.get(text[2], factors[unit]) if text else None


def lengths(made: Office) -> dict[str, float]:
    """Far end -> metres, of all lists of pulls that count."""
    found: dict[str, float] = {}
    cut = sheets(made)
    for table in made.tables:
        far, length, plan = column(table, *FAR), column(table, *LENGTHS), column(table, "planned")
        if table.void or table.kind not in OF_LENGTHS or not far or not length or "lengths" in table.context:
            continue
        for tag, value, planned in cells(cut, table, far, length, plan):
            metres = quantity(planned if value == "" else value, table.units[length], METRES)
            if metres is not None:
                found.setdefault(same(tag), metres)
    return found


def powers(made: Office) -> dict[str, float | None]:
    """Device -> watts of one piece, by the list or by its legend."""
    cut, found = sheets(made), {}
    legend = dict(_legend(made, cut))
    for table in made.tables:
        tag, power, kind = (
            column(table, *FAR, "item"),
            column(table, "power", "current"),
            column(table, "type"),
        )
        if table.void or table.kind not in OF_POWERS or not tag or not (power or kind):
            continue
        for name, value, code in cells(cut, table, tag, power, kind):
            watts = quantity(value, table.units[power], WATTS) if power else legend.get(code)
            found.setdefault(same(name), watts)
    return found


def _legend(made: Office, cut: Sheets) -> Iterator[tuple[object, float | None]]:
    for table in made.tables:
        power = column(table, "power", "current")
        if table.kind == "legend" and power:
            for code, value in cells(cut, table, column(table, "type"), power):
                yield code, quantity(value, table.units[power], WATTS)


@pytest.mark.parametrize("start", range(0, 120, 20))
def test_lengths(start: int) -> None:
    seen = 0
    for made in offices(start, 20):
        found = lengths(made)
        for pull in made.design.pulls if found and made.design.fault != "loop" else ():
            expected = (
                None if pull.length is None else pytest.approx(pull.length * made.design.metres, abs=1e-3)
            )
            assert found.get(same(pull.far)) == expected, (made.seed, pull)
            seen += 1
    assert seen > 50


@pytest.mark.parametrize("start", range(0, 120, 20))
def test_powers(start: int) -> None:
    seen = 0
    for made in offices(start, 20):
        found = powers(made)
        for device in made.design.devices if found else ():
            expected = None if device.power_w is None else pytest.approx(device.power_w)
            assert found.get(same(device.tag)) == expected, (made.seed, device)
            seen += 1
    assert seen > 50

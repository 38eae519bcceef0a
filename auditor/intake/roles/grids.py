"""Two grids of one shape: the devices of each port in order, and the lengths that lead to them."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.kinds import GRID, ColumnUse, Understood
from auditor.intake.roles.profiles import ColumnProfile
from auditor.job.model import TableKind
from auditor.units import LENGTH_M

AGREE = 0.8  # share of the rows in which devices and lengths are as many; project convention
LEAST_PLACES = 2
_PLACE = re.compile(r"(\d{1,2})(?!\d)\D*")


@dataclass(frozen=True, slots=True)
class Grid:
    """A column of names, and a column for each place behind them."""

    key: int
    places: tuple[int, ...]  # the columns of place 1, 2, 3 …
    numbers: bool  # the places hold numbers, else names
    counts: Mapping[str, int]  # name without its spelling -> how many places are filled


def grid_of(columns: Mapping[int, ColumnProfile]) -> Grid | None:
    """A form's columns as a grid; None: they are none."""
    places = _places(columns)
    before = [column for column in columns if not places or column < places[0]]
    if len(places) < LEAST_PLACES or len(before) != 1 or len(columns) != len(places) + 1:
        return None
    key = columns[before[0]]
    filled = [columns[column] for column in places if columns[column].filled]
    numbers = all(column.quantities > 0.8 for column in filled)
    if key.share_filled < 1.0 or key.distinct < 1.0 or not filled or key.quantities > 0.5:
        return None
    if not numbers and any(column.quantities > 0.2 or column.names < 0.8 for column in filled):
        return None
    counts = {
        spelling(words(name)): sum(not is_blank(columns[c].values[row]) for c in places)
        for row, name in enumerate(key.values)
    }
    return Grid(before[0], tuple(places), numbers, counts)


def _places(columns: Mapping[int, ColumnProfile]) -> list[int]:
    """The columns whose headings count: `1`, `2 (ft)`, `3`."""
    found: list[int] = []
    for column, profile in sorted(columns.items()):
        match = _PLACE.fullmatch(profile.header)
        if match is not None and int(match[1]) == len(found) + 1 and (not found or column == found[-1] + 1):
            found.append(column)
    return found


def understood_grids(forms: Sequence[Mapping[int, ColumnProfile]]) -> dict[int, Understood]:
    """Index of a form -> what it is as one of two grids that belong together."""
    grids = {index: grid for index, columns in enumerate(forms) if (grid := grid_of(columns)) is not None}
    found: dict[int, Understood] = {}
    for index, grid in grids.items():
        of_lengths = [i for i, other in grids.items() if other.numbers and _agree(grid, other)]
        if grid.numbers or not of_lengths:
            continue
        found[index] = _as_pulls(grid, forms[index])
        for other in of_lengths:
            found[other] = _as_lengths(grids[other], forms[other])
    return found


def _agree(devices: Grid, lengths: Grid) -> bool:
    common = devices.counts.keys() & lengths.counts.keys()
    same = sum(devices.counts[key] == lengths.counts[key] for key in common)
    return len(common) == len(devices.counts) and same >= AGREE * len(common)


def _as_pulls(grid: Grid, columns: Mapping[int, ColumnProfile]) -> Understood:
    reason = "a grid of lengths has the same rows and places"
    uses = {"near": ColumnUse("near", grid.key, columns[grid.key].header, reason=reason)}
    for number, column in enumerate(grid.places, 1):
        uses[f"place {number}"] = ColumnUse(f"place {number}", column, columns[column].header, reason=reason)
    return Understood(TableKind.PULLS, uses, (), shape=GRID, score=float(len(uses)))


def _as_lengths(grid: Grid, columns: Mapping[int, ColumnProfile]) -> Understood:
    reason = "a grid of names has the same rows and places"
    uses = {"id": ColumnUse("id", grid.key, columns[grid.key].header, reason=reason)}
    for number, column in enumerate(grid.places, 1):
        unit = columns[column].unit
        uses[f"place {number}"] = ColumnUse(
            f"place {number}",
            column,
            columns[column].header,
            unit if unit in LENGTH_M else None,
            reason=reason,
        )
    return Understood(TableKind.LENGTHS, uses, (), shape=GRID, score=float(len(uses)))

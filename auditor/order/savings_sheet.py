"""What one order over many jobs saves against each job's own."""

from collections.abc import Sequence
from typing import Any

from auditor.report.buying import Buying, reels_bought
from auditor.report.cable_names import cable_kind
from auditor.report.page.look import Cell, Column, Live, Look, letter
from auditor.report.page.page import Page
from auditor.report.words import status_text
from auditor.results.audit_result import CutListResult

_WIDTHS = {"Cable": 30, "Needed": 12, "Reels": 8, "Length": 12, "Cost": 11, "Plan": 34}
_HEAD = 4
_FIRST = 2  # column of the first figure, from 0; before it the cable and what is needed of it


def savings_sheet(sheet: Any, look: Look, apart: Buying, pooled: Sequence[CutListResult]) -> None:
    """Writes the sheet: per kind of cable, the jobs apart and together, and the difference.

    Parameters
    ----------
    apart : the jobs' own cut lists, counted up
    """
    unit = look.unit
    figures = [Column("Reels", "count"), Column(f"Length ({unit})", "length"), Column("Cost", "money")]
    if not apart.cost and all(cut_list.cost is None for cut_list in pooled):
        figures = figures[:2]
    each = len(figures)
    own = [*_WIDTHS.values()][_FIRST : _FIRST + each]
    widths = (_WIDTHS["Cable"], _WIDTHS["Needed"], *own, *own, *own, _WIDTHS["Plan"])
    page = Page(sheet, look, widths, freeze=_HEAD + 1, repeat=(_HEAD, _HEAD))
    page.title("What pooling saves")
    told = (
        "Apart: each job cut from its own reels. Pooled: all jobs cut from the same reels, as on the "
        "cut sheets."
    )
    page.text(1, 0, told, look.muted)
    for group, title in enumerate(("Apart", "Pooled", "Saved")):
        first = _FIRST + group * each
        sheet.put_merged(_HEAD - 1, first, first + each - 1, title, look.group)
    columns = (
        Column("Cable", "wrap"),
        Column(f"Needed ({unit})", "length"),
        *figures,
        *figures,
        *figures,
        Column("Pooled plan", "wrap"),
    )
    rows = [_savings_row(look, apart, cut_list, each, _HEAD + 2 + row) for row, cut_list in enumerate(pooled)]
    rows.append(_sum_row(look, columns, rows))
    block = page.table(_HEAD, columns, rows, strong=frozenset((len(pooled),)))
    page.finish(block.last)


def _savings_row(look: Look, apart: Buying, cut_list: CutListResult, each: int, row: int) -> list[Cell]:
    cable = cable_kind(cut_list)
    sizes = reels_bought(cut_list)
    reels, length_m = apart.bought(cable)
    pooled_reels = sum(count for _, count in sizes)
    pooled_m = sum(length * count for length, count in sizes)
    before = (reels, length_m, apart.cost.get(cable))[:each]
    after = (pooled_reels, pooled_m, cut_list.cost)[:each]
    saved = (
        reels - pooled_reels,
        look.length(length_m) - look.length(pooled_m),
        None if before[-1] is None or after[-1] is None else before[-1] - after[-1],
    )[:each]
    differences: list[Cell] = [
        None
        if value is None
        else Live(
            f"={letter(_FIRST + 1 + place)}{row}-{letter(_FIRST + 1 + each + place)}{row}", round(value, 6)
        )
        for place, value in enumerate(saved)
    ]
    return [cut_list.cable, cut_list.needed_m, *before, *after, *differences, status_text(cut_list.status)]


def _sum_row(look: Look, columns: Sequence[Column], rows: Sequence[Sequence[Cell]]) -> list[Cell]:
    """Each column's sum, as a formula; empty where no row has a figure."""
    sums: list[Cell] = ["All cable"]
    for offset in range(1, len(columns) - 1):
        values = [_number_shown(look, columns[offset], row[offset]) for row in rows]
        known = [value for value in values if value is not None]
        cells = f"{letter(offset + 1)}{_HEAD + 2}:{letter(offset + 1)}{_HEAD + 1 + len(rows)}"
        sums.append(Live(f"=SUM({cells})", round(sum(known), 6)) if known else None)
    return [*sums, None]


def _number_shown(look: Look, column: Column, cell: Cell) -> float | None:
    """The number that a cell shows."""
    if isinstance(cell, Live):
        return cell.value if isinstance(cell.value, int | float) else None
    if not isinstance(cell, int | float):
        return None
    return look.length(cell) if column.kind == "length" else cell

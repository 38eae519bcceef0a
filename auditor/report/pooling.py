"""What one order over many jobs saves against each job's own."""

from collections.abc import Sequence
from typing import Any

from auditor.findings import CutListResult
from auditor.report.buying import Buying
from auditor.report.grid import Page
from auditor.report.look import Cell, Column, Live, Look
from auditor.report.words import status_text

_WIDTHS = (26, 12, 8, 12, 11, 8, 12, 11, 8, 12, 11, 34)
_HEAD = 4


def pooling_sheet(sheet: Any, look: Look, apart: Buying, pooled: Sequence[CutListResult]) -> None:
    """Writes the sheet: per cable type, the jobs apart and together, and the difference.

    Parameters
    ----------
    apart : the jobs' own cut lists, counted up
    """
    page = Page(sheet, look, _WIDTHS, freeze=_HEAD + 1, repeat=(_HEAD, _HEAD))
    page.title("What pooling saves")
    told = "Apart: each job cut from its own reels. Pooled: all jobs cut from the same reels, as on the cut sheets."
    page.text(1, 0, told, look.muted)
    for left, last, title in ((2, 4, "Apart"), (5, 7, "Pooled"), (8, 10, "Saved")):
        sheet.put_merged(_HEAD - 1, left, last, title, look.group)
    unit = look.unit
    figures = (Column("Reels", "count"), Column(f"Length ({unit})", "length"), Column("Cost", "money"))
    columns = (
        Column("Cable", "wrap"),
        Column(f"Needed ({unit})", "length"),
        *figures,
        *figures,
        *figures,
        Column("Pooled plan", "wrap"),
    )
    rows = [_row(look, apart, cut_list, _HEAD + 2 + index) for index, cut_list in enumerate(pooled)]
    rows.append(_sums(look, apart, pooled, _HEAD + 2, _HEAD + 1 + len(pooled)))
    block = page.table(_HEAD, columns, rows, strong=frozenset((len(pooled),)))
    page.finish(block.last)


def _row(look: Look, apart: Buying, cut_list: CutListResult, row: int) -> tuple[Cell, ...]:
    reels, length_m = _apart(apart, cut_list.cable)
    own_reels, own_m = _pooled(cut_list)
    saved = round(look.length(length_m) - look.length(own_m), 6)
    cost, own_cost = apart.cost.get(cut_list.cable), cut_list.cost
    priced = cost is not None and own_cost is not None
    return (
        cut_list.cable,
        cut_list.needed_m,
        reels,
        length_m,
        cost,
        own_reels,
        own_m,
        own_cost,
        Live(f"=C{row}-F{row}", reels - own_reels),
        Live(f"=D{row}-G{row}", saved),
        Live(f"=E{row}-H{row}", round((cost or 0.0) - (own_cost or 0.0), 6)) if priced else None,
        status_text(cut_list.status),
    )


def _sums(
    look: Look, apart: Buying, pooled: Sequence[CutListResult], first: int, last: int
) -> tuple[Cell, ...]:
    pairs = [(_apart(apart, cut_list.cable), _pooled(cut_list)) for cut_list in pooled]
    own_cost = [apart.cost[each.cable] for each in pooled if each.cable in apart.cost]
    cost = [each.cost for each in pooled if each.cost is not None]
    saved = [
        apart.cost[each.cable] - each.cost
        for each in pooled
        if each.cable in apart.cost and each.cost is not None
    ]
    values = (
        sum(look.length(each.needed_m) for each in pooled),
        sum(reels for (reels, _), _ in pairs),
        sum(look.length(length_m) for (_, length_m), _ in pairs),
        sum(own_cost) if own_cost else None,
        sum(reels for _, (reels, _) in pairs),
        sum(look.length(length_m) for _, (_, length_m) in pairs),
        sum(cost) if cost else None,
        sum(reels - own for (reels, _), (own, _) in pairs),
        sum(look.length(length_m) - look.length(own_m) for (_, length_m), (_, own_m) in pairs),
        sum(saved) if saved else None,
    )
    cells: list[Cell] = [
        None if value is None else Live(f"=SUM({letter}{first}:{letter}{last})", round(value, 6))
        for letter, value in zip("BCDEFGHIJK", values, strict=True)
    ]
    return ("All cable", *cells, None)


def _apart(apart: Buying, cable: str) -> tuple[int, float]:
    return sum(count for _, count in apart.reels_of(cable, on_shelf=False)), apart.bought_m(cable)


def _pooled(cut_list: CutListResult) -> tuple[int, float]:
    bought = [reel.length_m for reel in cut_list.reels if not reel.on_shelf]
    return len(bought), sum(bought)

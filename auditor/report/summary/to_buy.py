"""The summary's sheet of what to buy, each job cut on its own."""

from collections.abc import Sequence
from typing import Any

from auditor.report.buying import Buying
from auditor.report.cable_names import CableKind
from auditor.report.page.look import Cell, Column, Live, Look
from auditor.report.page.page import Page
from auditor.report.summary.tables import SummaryTable
from auditor.report.words import plural
from auditor.units import length_text

_WIDTHS = (30, 16, 16, 16, 16, 16, 24)


def to_buy_sheet(sheet: Any, look: Look, buying: Buying, *, jobs: SummaryTable, last_row: int) -> None:
    """Writes the sheet: cable by type, reels by size, controllers.

    Parameters
    ----------
    jobs, last_row : the jobs sheet and its last row, from 0, for the controllers' formulas
    """
    page = Page(sheet, look, _WIDTHS)
    page.title("To buy")
    told = "Each job cut on its own. An order over many jobs pools the cut lists, and then often buys less."
    page.text(1, 0, told, look.muted)
    row = 3
    if unlisted := _unlisted_text(buying):
        row = page.paragraph(2, unlisted, strong=True) + 1
    if buying.cables:
        row = _write_cable(page, buying, row) + 1
    _write_controllers(page, buying, row, jobs, last_row)


def _write_cable(page: Page, buying: Buying, top: int) -> int:
    """Cable by type above its reels by size, sums live; gives the row below."""
    reels_top = top + len(buying.cables) + 5
    sizes, spans = _reel_rows(page, buying, reels_top + 2)
    page.section(top, "Cable by type")
    unit = page.look.unit
    columns = (
        Column("Cable", "wrap"),
        Column(f"Needed ({unit})", "length"),
        Column(f"To buy ({unit})", "length"),
        Column("Reels to buy", "count"),
        Column("From the shelf", "count"),
        Column("Cost", "money"),
        Column("Not on any reel", "wrap"),
    )
    rows = [_cable_row(page, buying, cable, spans.get(cable)) for cable in buying.cables]
    first, last = top + 3, top + 2 + len(rows)
    rows.append(_sum_row(page, buying, first, last))
    page.table(top + 1, columns, rows, strong=frozenset((len(rows) - 1,)))
    page.section(reels_top, "Reels by size")
    headings = (
        Column("Cable", "wrap"),
        Column("Reel") if _units_differ(page, buying) else Column(f"Reel ({unit})", "length"),
        Column("From"),
        Column("Reels", "count"),
        Column(f"Length ({unit})", "length"),
    )
    return page.table(reels_top + 1, headings, sizes).below


def _units_differ(page: Page, buying: Buying) -> bool:
    """Whether some cable is scheduled in another unit than the sheet's: reels then stand in their own."""
    return any(cable.length_unit != page.look.unit for cable in buying.cables)


def _reel_rows(
    page: Page, buying: Buying, first: int
) -> tuple[list[Sequence[Cell]], dict[CableKind, tuple[int, int]]]:
    """Rows of the reels table, and where the rows to buy of each cable stand, from 1."""
    rows: list[Sequence[Cell]] = []
    spans = {}
    for cable, name in buying.cables.items():
        for shelf in (False, True):
            start = first + len(rows) + 1
            for length_m, count in buying.reels_of(cable, on_shelf=shelf):
                place = "the shelf" if shelf else "to buy"
                reel, length = _reel_cells(page, buying, cable, length_m, count, first + len(rows) + 1)
                rows.append((name, reel, place, count, length))
            if not shelf and first + len(rows) + 1 > start:
                spans[cable] = (start, first + len(rows))
    return rows, spans


def _reel_cells(
    page: Page, buying: Buying, cable: CableKind, length_m: float, count: int, row: int
) -> tuple[Cell, Cell]:
    """A reel's size, and the formula of the length of so many, in the sheet's unit."""
    shown = page.look.length(length_m)
    total = round(shown * count, 6)
    if _units_differ(page, buying):
        return length_text(length_m, cable.length_unit), Live(f"={shown}*D{row}", total)
    return length_m, Live(f"=B{row}*D{row}", total)


def _cable_row(page: Page, buying: Buying, cable: CableKind, span: tuple[int, int] | None) -> list[Cell]:
    bought: Cell = 0.0
    reels: Cell = 0
    if span is not None:
        sizes = buying.reels_of(cable, on_shelf=False)
        total = round(sum(page.look.length(length) * count for length, count in sizes), 6)
        bought = Live(f"=SUM(E{span[0]}:E{span[1]})", total)
        reels = Live(f"=SUM(D{span[0]}:D{span[1]})", buying.bought(cable)[0])
    shelf = sum(count for _, count in buying.reels_of(cable, on_shelf=True))
    counts = (
        (buying.uncut[cable], "too long for every reel"),
        (buying.unmeasured[cable], "without a length or its unit"),
    )
    left_out = ", ".join(f"{count:,} {why}" for count, why in counts if count)
    name, cost = buying.cables[cable], buying.cost.get(cable)
    return [name, buying.needed_m[cable], bought, reels, shelf, cost, left_out or None]


def _unlisted_text(buying: Buying) -> str:
    """What is said of pulls whose cable has no cut list; nothing where there are none."""
    if not buying.unlisted_pulls:
        return ""
    without = buying.unlisted_without_length
    lengths = f", {without:,} of them without a length or its unit" if without else ""
    pulls = plural(buying.unlisted_pulls, "pull")
    return f"Not in these figures: {pulls} of cable that has no cut list{lengths}; the findings name them."


def _sum_row(page: Page, buying: Buying, first: int, last: int) -> list[Cell]:
    look = page.look
    needed = sum(look.length(buying.needed_m[cable]) for cable in buying.cables)
    sizes = [(cable, size) for cable in buying.cables for size in buying.reels_of(cable, on_shelf=False)]
    values = {
        "B": round(needed, 6),
        "C": round(sum(look.length(length) * count for _, (length, count) in sizes), 6),
        "D": sum(count for _, (_, count) in sizes),
        "E": sum(count for (_, shelf, _), count in buying.reels.items() if shelf),
    }
    cells: list[Cell] = [
        Live(f"=SUM({letter}{first}:{letter}{last})", value) for letter, value in values.items()
    ]
    cost = Live(f"=SUM(F{first}:F{last})", sum(buying.cost.values())) if buying.cost else None
    return ["All cable", *cells, cost, None]


def _write_controllers(page: Page, buying: Buying, row: int, jobs: SummaryTable, last_row: int) -> None:
    page.section(row, "Controllers")
    columns = (Column("Over all jobs"), Column("Controllers", "count"))
    rows = []
    for header, value in (("Controllers scheduled", buying.scheduled), ("Controllers needed", buying.needed)):
        letter = jobs.letter(header)
        cells = f"{jobs.name}!{letter}6:{letter}{max(6, last_row + 1)}"
        formula = f'=IF(COUNT({cells})=0,"",SUM({cells}))'
        rows.append(
            (header.removeprefix("Controllers ").capitalize(), Live(formula, "" if value is None else value))
        )
    block = page.table(row + 1, columns, rows)
    if buying.unknown:
        page.text(block.below, 0, f"How many are needed is not known in {buying.unknown} of the jobs.")
    page.finish(block.below)

"""The sheet of reach: each run drawn as it is cabled, in cells, to the right by cable distance.

The lines are borders of narrow cells and the labels text in cells, so that a tag is found by searching, that
print is crisp, and that no program has to know a kind of picture.
"""

from collections.abc import Iterator, Sequence
from typing import Any

from auditor.job.listing import names_text
from auditor.report.job.run_blocks import PANEL_COLUMNS, Block, wrapped
from auditor.report.job.run_layout import LABEL_POINTS, Label, Line, Pattern, Stroke, width
from auditor.report.job.run_pages import PANELS, Part, balanced
from auditor.report.job.run_rows import MOST_DEVICES, Facts
from auditor.report.page.look import INK, MUTED, Look, letter, looks_like_formula
from auditor.report.page.page import Page
from auditor.results.added_sheets import REACH
from auditor.results.audit_result import Audit
from auditor.units import number_text

_COLUMN = 0.5  # width of the grid's columns [characters]: 6 pixels
_GUTTER = 3  # columns between two panels
_COLUMNS = PANELS * PANEL_COLUMNS + (PANELS - 1) * _GUTTER
_HALF_POINTS = 6.75  # of half a row
_SCALE = 85  # per cent: the columns fit Letter between its margins, with room for a wider default font
_PAGE_POINTS = 516 / _SCALE * 100  # of A4 landscape between the margins, the lower of both papers
_TITLE_POINTS = 24
_FAILING = "#8E1B1B"
_BORDERS: dict[Pattern, tuple[int, int, int]] = {  # ISO/IEC 29500-1, 18.18.3, by weight
    "solid": (1, 2, 5),
    "dashed": (3, 8, 8),
    "dotted": (4, 4, 4),
    "double": (6, 6, 6),
}
_MOST_CABLES = 4  # that the legend names
_SAMPLE = 7  # columns of a line in the legend


def reach_sheet(sheet: Any, look: Look, audit: Audit, blocks: Sequence[Block], facts: Facts) -> None:
    """Writes the sheet: what the lines mean, then the drawings on pages of two panels."""
    page = Page(sheet, look, [_COLUMN] * _COLUMNS, scale=_SCALE)
    page.title(REACH.title_of(audit.job))
    grid = _Grid(page)
    legend = _write_legend(grid, audit, facts)
    rows = int((_PAGE_POINTS - 1) / (2 * _HALF_POINTS))
    on_first = int((_PAGE_POINTS - _TITLE_POINTS - 1) / (2 * _HALF_POINTS)) - legend
    parts = balanced([block.rows for block in blocks], on_first, rows)
    tops, last = _page_tops(parts, legend)
    for part in parts:
        top = tops[part.panel // PANELS] + 2 * part.top
        _write_part(grid, blocks[part.block], part, top, part.panel % PANELS * (PANEL_COLUMNS + _GUTTER))
    grid.write()
    sheet.set_h_pagebreaks(tops[1:])
    page.finish(last - 1)


def _page_tops(parts: Sequence[Part], legend: int) -> tuple[list[int], int]:
    """The sheet's row where each page starts, the first below the legend, and the row below the last."""
    tops = [1 + 2 * legend]
    for number in range(parts[-1].panel // PANELS + 1):
        below = max(part.below for part in parts if part.panel // PANELS == number)
        tops.append(tops[-1] + 2 * below)
    return tops[:-1], tops[-1]


def _write_part(grid: "_Grid", block: Block, part: Part, top: int, left: int) -> None:
    """The rows of a block that stand in one panel; of the lines what runs through these."""
    heads = len(block.heads)
    if part.continued:
        _write_continued(grid, block, top, left)
    top += 2 * part.continued - 2 * part.first
    shown = range(part.first, part.last)
    for row, label in enumerate(block.heads):
        if row in shown:
            grid.label(top + 2 * row, left, label)
    top += 2 * heads
    for label in (*block.drawing.labels, *block.ticks):
        if label.row + heads in shown:
            grid.label(top + 2 * label.row, left, label)
    for line in (*block.drawing.lines, *block.marks):
        grid.line(top, left, line, range(2 * (part.first - heads), 2 * (part.last - heads)))


def _write_continued(grid: "_Grid", block: Block, top: int, left: int) -> None:
    """The name of a run and its ruler again, over the rows that stand in a further panel."""
    text = f"{block.name}, continued" if block.name else ""
    free = min(width(text), PANEL_COLUMNS)
    grid.label(top, left, Label(0, 0, free, text, "muted"))
    for label, mark in zip(block.ticks, block.marks, strict=True):
        if label.x > free:
            grid.label(top, left, label)
            grid.line(top, left, mark, range(2))


class _Grid:
    """The cells of the sheet, gathered before they are written."""

    def __init__(self, page: Page) -> None:
        self.page, self.sheet, self.look = page, page.sheet, page.look
        self._right: dict[tuple[int, int], int] = {}  # border by (row, column)
        self._below: dict[tuple[int, int], int] = {}
        self._last = 0

    def label(self, top: int, left: int, label: Label) -> None:
        """Text over two half rows."""
        first, last = left + label.x, left + label.to_x - 1
        self.sheet.put_block(top, first, top + 1, last, label.text, self._label_format(label))
        self._last = max(self._last, top + 1)

    def line(self, top: int, left: int, line: Line, shown: range) -> None:
        """A line of which the half rows in a range are drawn."""
        border = _BORDERS[line.stroke.pattern][line.stroke.weight]
        if line.y == line.to_y and line.y - 1 in shown:
            cells = ((top + line.y - 1, left + x) for x in range(line.x, line.to_x))
            self._below.update(dict.fromkeys(cells, border))
        for y in range(line.y, line.to_y):
            if y in shown:
                self._right[top + y, left + line.x - 1] = border

    def write(self) -> None:
        ends: dict[tuple[int, int], str] = {}  # what follows the place of a cell with these borders
        for row, column in sorted(self._right.keys() | self._below.keys()):
            borders = self._right.get((row, column), 0), self._below.get((row, column), 0)
            if borders not in ends:
                ends[borders] = f'" s="{self.sheet.style_number(self._border_format(*borders))}"/>'
            self.sheet.put_row(row, column, column, f'<c r="{letter(column + 1)}{row + 1}{ends[borders]}')
            self._last = max(self._last, row)
        for row in range(1, self._last + 1):
            self.sheet.put_height(row, _HALF_POINTS)

    def _border_format(self, right: int, below: int) -> Any:
        borders = {"right": right, "right_color": INK} if right else {}
        borders |= {"bottom": below, "bottom_color": INK} if below else {}
        return self.look.format(**borders)

    def _label_format(self, label: Label) -> Any:
        colour = {"strong": _FAILING, "muted": MUTED}.get(label.look, INK)
        strong = label.look in ("strong", "source")
        guard = {"quote_prefix": True} if looks_like_formula(label.text) else {}
        return self.look.format(font_size=LABEL_POINTS, font_color=colour, bold=strong, **guard)


def _write_legend(grid: _Grid, audit: Audit, facts: Facts) -> int:
    """What the lines mean; gives the rows that it takes."""
    text = (
        f"{REACH.sign} runs to the right by the figures over each run, a step at least between two ends; what is dotted or "
        f"double is not to scale. Of a run with more than {MOST_DEVICES} devices the farther ones are summed up."
    )
    x, top = 0, 1
    for line in wrapped(text, _COLUMNS):
        grid.label(top, 0, Label(0, 0, _COLUMNS, line, "muted"))
        top += 2
    for stroke, words in _legend_entries(audit, facts):
        needed = _SAMPLE + 1 + width(words)
        if x and x + needed > _COLUMNS:
            x, top = 0, top + 2
        grid.line(top, 0, Line(x, 1, x + _SAMPLE, 1, stroke), range(2))
        grid.label(top, 0, Label(0, x + _SAMPLE + 1, min(x + needed, _COLUMNS), words, "muted"))
        x += needed + 2
    return (top + 2 - 1) // 2 + 1


def _legend_entries(audit: Audit, facts: Facts) -> Iterator[tuple[Stroke, str]]:
    thin, medium = (number_text(step, 3) for step in facts.steps_a)
    if facts.steps_a[1]:
        yield Stroke(0), f"up to {thin} A"
        yield Stroke(1), f"up to {medium} A"
        yield Stroke(2), "more"
    off = sorted(
        {pull.cable or "cable without a name" for pull in audit.pulls if pull.landed and pull.off_spec}
    )
    if off:
        yield Stroke(1, "dashed"), f"off specification ({names_text(off, _MOST_CABLES)})"
    if any(pull.landed and pull.length_m is None for pull in audit.pulls):
        yield Stroke(0, "dotted"), "length not stated"
    if any(not pull.landed for pull in audit.pulls):
        yield Stroke(0, "dotted"), "spare return, not landed"
    if facts.lift:
        yield Stroke(0, "double"), "pull to lift, it closes a loop or joins ports"

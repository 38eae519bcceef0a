"""The labels as a sheet to print and cut apart: a row a pull, its two labels side by side, reel by reel."""

from itertools import groupby
from typing import Any

from auditor.order.labels import Label, LabelledPull, Labels
from auditor.report.page.look import MUTED, Look, clean, looks_like_formula
from auditor.report.page.page import Page
from auditor.report.words import BRIEF_CAUTION, plural

_WIDTHS = (40, 1.5, 40)  # two labels and the gap between them, within the width of A4 and of Letter
_HEIGHTS = (20, 14, 14, 14, 14)  # of a label's lines [points]
_GAP = 7  # points between labels
_REEL = 18  # points of the line above a reel's labels
_PAGE = 690  # points: Letter, the shorter of the two papers, less its margins and the page's number


def write_labels(labels: Labels) -> bytes:
    """The workbook with the labels; no label is parted by the end of a page."""
    from auditor.report.page.sheet import RowBook

    workbook = RowBook()
    # No column holds a length: each label states its own with its unit.
    _write(workbook.add_worksheet("Labels"), Look(workbook, "ft"), labels)
    return workbook.content()


def _write(sheet: Any, look: Look, labels: Labels) -> None:
    page = Page(sheet, look, _WIDTHS, scale=100)
    sheet.set_portrait()
    page.title(f"Labels for {plural(len(labels.pulls), 'pull')}")
    told = "In the order of the cut list: a row a pull, a label for each end. Cut the labels apart along the lines."
    row = page.paragraph(1, told, muted=True)
    for sentence in labels.left_out:
        row = page.paragraph(row, sentence, strong=True)
    row = page.paragraph(row, BRIEF_CAUTION, muted=True) + 1
    left, breaks = _PAGE - sheet.points(row), []
    for (job_cable, reel), pulls in groupby(labels.pulls, key=_reel_of):
        own = list(pulls)
        for index, pull in enumerate(own):
            needed = sum(_HEIGHTS) + _GAP + (0 if index else _REEL)
            if needed > left:
                breaks.append(row)
                left = _PAGE
            if not index:
                page.section(row, f"Reel {reel} of {job_cable}: {plural(len(own), 'pull')}")
                row += 1
            _write_pull(page, row, pull)
            row, left = row + len(_HEIGHTS) + 1, left - needed
    sheet.set_h_pagebreaks(breaks)
    page.finish(row - 1)


def _reel_of(pull: LabelledPull) -> tuple[str, str]:
    return pull.ends[0].cable, pull.ends[0].reel


def _write_pull(page: Page, row: int, pull: LabelledPull) -> None:
    for column, label in zip((0, 2), pull.ends, strict=True):
        texts = _texts(label)
        for offset, text in enumerate(texts):
            page.cell(row + offset, column, clean(text), _style(page.look, offset, len(texts) - 1, text))
    for offset, points in enumerate(_HEIGHTS):
        page.sheet.put_height(row + offset, points)
    page.sheet.put_height(row + len(_HEIGHTS), _GAP)


def _texts(label: Label) -> tuple[str, ...]:
    length = f"{label.length} {label.length_unit}"
    note = f", {label.note}" if label.note else ""
    port = f"Port {label.port}, " if label.port else "" if label.note else "No port yet, "
    return (
        label.pull,
        f"This end: {label.this_end}",
        f"Far end: {label.far_end}",
        f"{port}{length} of {label.cable}{note}",
        f"{label.job}, reel {label.reel}",
    )


def _style(look: Look, offset: int, last: int, text: str) -> Any:
    """One line of a label: the pull's name is large, a frame goes around the whole."""
    frame: dict[str, Any] = {"left": 3, "right": 3, "border_color": MUTED, "indent": 1, "align": "left"}
    frame |= {"top": 3} if offset == 0 else {"bottom": 3} if offset == last else {}
    frame |= {"bold": True, "font_size": 13} if offset == 0 else {"font_size": 10, "shrink": True}
    frame |= {"font_color": MUTED} if offset == last else {}
    return look.format(**frame, **({"quote_prefix": True} if looks_like_formula(text) else {}))

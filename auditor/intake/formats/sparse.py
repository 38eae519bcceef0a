"""One sheet's XML read cell by cell: for sheets whose cells reach too far for a fast reader, which
would allocate the whole rectangle around them."""

import io
import re
import zipfile
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

from lxml import etree

from auditor.errors import UnusableFileError
from auditor.intake.formats.cells import NOT_CALCULATED, Fault
from auditor.intake.formats.guard import read_part
from auditor.job.model import CellRef

SAFE: dict[str, Any] = {
    "resolve_entities": False,
    "no_network": True,
    "load_dtd": False,
    "huge_tree": False,
    "recover": False,
}
MAX_ROW, MAX_COLUMN = 1_048_576, 16_384
FAR_ROWS, FAR_COLUMNS = 1_000, 100  # so many empty ones set a cell apart; project convention
NAMED = 5  # of such cells
_DATE_FORMATS = frozenset({*range(14, 23), *range(45, 48)})
_QUOTED = re.compile(r'"[^"]*"|\[[^\]]*\]|\\.')


def read_sparse(
    xml: bytes, shared: Sequence[str], date_styles: frozenset[int], part: str, name: str
) -> list[list[Any]]:
    """Rows of different lengths, `""` where a cell is blank.

    Raises
    ------
    UnusableFileError : not well formed, or an address outside a sheet
    """
    rows: list[list[Any]] = []
    row = column = 0
    try:
        for event, element in etree.iterparse(io.BytesIO(xml), events=("start", "end"), **SAFE):
            kind = _local(element)
            if event == "start" and kind == "row":
                row, column = int(element.get("r", row + 1)), 0
            elif event == "end" and kind == "c":
                row, column = _address(element.get("r"), row, column + 1)
                value = _value(element, shared, date_styles)
                if value != "":
                    _put(rows, row, column, value)
                element.clear()
            elif event == "end" and kind == "row":
                element.clear()
                while element.getprevious() is not None:
                    del element.getparent()[0]
    except (etree.XMLSyntaxError, ValueError, IndexError) as cause:
        raise UnusableFileError(
            f"{name}: the part {part!r} is damaged; open the workbook in a spreadsheet program, check it and save it again"
        ) from cause
    return rows


def far_notes(title: str, rows: Sequence[Sequence[Any]]) -> tuple[str, ...]:
    """A sentence that names the cells far away from most others; none where there are none."""
    home_rows = _home([row for row, cells in enumerate(rows, 1) if cells], FAR_ROWS)
    filled: set[int] = set()
    for cells in rows:
        filled.update(column for column, value in enumerate(cells, 1) if value != "")
    home_columns = _home(sorted(filled), FAR_COLUMNS)
    stray = [
        CellRef(title, row, column).a1
        for row, cells in enumerate(rows, 1)
        for column, value in enumerate(cells, 1)
        if value != "" and (row not in home_rows or column not in home_columns)
    ]
    if not stray:
        return ()
    named = ", ".join(stray[:NAMED]) + (f" and {len(stray) - NAMED:,} more" if len(stray) > NAMED else "")
    what = "stands" if len(stray) == 1 else "stand"
    they = "it is read, but look whether it belongs" if len(stray) == 1 else "look whether they belong"
    return (f"{named} on {title!r} {what} far away from all other cells; {they} there",)


def _home(filled: Sequence[int], gap: int) -> range:
    """The rows or columns that most filled ones stand in, up to the next gap so wide."""
    starts = [i for i in range(len(filled)) if i == 0 or filled[i] - filled[i - 1] > gap]
    groups = [filled[start:end] for start, end in zip(starts, [*starts[1:], len(filled)], strict=True)]
    most = max(groups, key=len, default=[0])
    return range(most[0], most[-1] + 1)


def shared_strings(package: zipfile.ZipFile, part: str, name: str) -> list[str]:
    """The texts that cells name by their index."""
    root = etree.fromstring(read_part(package, part, name), etree.XMLParser(**SAFE))
    return [_text(item) for item in root if _local(item) == "si"]


def date_styles(styles: bytes) -> frozenset[int]:
    """Indices of the cell formats that show a number as a date or a time."""
    root = etree.fromstring(styles, etree.XMLParser(**SAFE))
    dates = set(_DATE_FORMATS)
    for element in root.iter():
        if _local(element) == "numFmt":
            code = _QUOTED.sub("", element.get("formatCode", "")).casefold()
            if re.search(r"[dmyhs]", code.replace("general", "")):
                dates.add(int(element.get("numFmtId", "0")))
    formats = [element for element in root if _local(element) == "cellXfs"]
    return frozenset(
        i for i, xf in enumerate(formats[0] if formats else ()) if int(xf.get("numFmtId", "0")) in dates
    )


def _local(element: Any) -> str:
    return etree.QName(element).localname if isinstance(element.tag, str) else ""


def _text(element: Any) -> str:
    return "".join(
        part.text or ""
        for part in element.iter()
        if _local(part) == "t" and not any(_local(above) == "rPh" for above in part.iterancestors())
    )


def _address(text: str | None, row: int, column: int) -> tuple[int, int]:
    if text is None:
        return row, column
    match = re.fullmatch(r"([A-Z]{1,3})(\d{1,7})", text)
    if match is None:
        raise ValueError(text)
    column = 0
    for letter in match[1]:
        column = column * 26 + ord(letter) - 64
    return int(match[2]), column


def _value(cell: Any, shared: Sequence[str], dates: frozenset[int]) -> Any:
    kind = cell.get("t", "n")
    children = {_local(child): child for child in cell}
    if kind == "inlineStr":
        return _text(children["is"]) if "is" in children else ""
    text = children["v"].text if "v" in children else None
    if text is None and "f" in children and not (kind == "str" and "v" in children):
        return Fault("=" + (children["f"].text or ""), NOT_CALCULATED)
    return "" if text is None else _typed(kind, text, cell, shared, dates)


def _typed(kind: str, text: str, cell: Any, shared: Sequence[str], dates: frozenset[int]) -> Any:
    if kind == "n":
        return _number(text, int(cell.get("s", "0")) in dates)
    if kind == "e":
        return Fault(text, f"the cell shows {text}; mend its formula")
    if kind == "s":
        return shared[int(text)]
    return text == "1" if kind == "b" else text


def _number(text: str, is_date: bool) -> float | datetime:
    number = float(text)
    return datetime(1899, 12, 30) + timedelta(days=number) if is_date and 0 <= number < 2_958_466 else number


def _put(rows: list[list[Any]], row: int, column: int, value: Any) -> None:
    if not (0 < row <= MAX_ROW and 0 < column <= MAX_COLUMN):
        raise ValueError(f"row {row}, column {column}")
    while len(rows) < row:
        rows.append([])
    cells = rows[row - 1]
    cells.extend([""] * (column - len(cells)))
    cells[column - 1] = value

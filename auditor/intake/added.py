"""What an audit added to a workbook, in a file where nothing marks it any more.

An annotated .xlsx marks its added sheets and columns by hidden names; another format, or another
program, drops them. What is left cannot be told from the estimator's for sure, so it is not read.
"""

from collections.abc import Iterator, Sequence

from auditor.errors import UnusableFileError
from auditor.intake.formats.cells import Book, Format, Sheet
from auditor.results.added_sheets import ADDED_SHEETS, VERDICT_HEADING
from auditor.results.findings import Verdict

_VERDICTS = frozenset(Verdict)  # what stands below the heading of the first added column
_SIGN_ROWS, _HEADING_ROWS = 12, 1000  # rows in which they are looked for; project convention


def refuse_added(book: Book, name: str) -> None:
    """Refuse a workbook in which added sheets or columns would be read as the job.

    Raises
    ------
    UnusableFileError : a sheet, or in a format that holds no marks a column, is one that an audit added
    """
    sheets = [sheet for sheet in book.sheets if _is_added(sheet)]
    if book.format is Format.XLSX and not sheets:  # of its columns those that are in doubt are kept
        return
    beside = [sheet for sheet in book.sheets if sheet not in sheets and _has_columns(sheet)]
    what = [f"the sheet{'s' * (len(sheets) > 1)} {_listed(sheets)}"] if sheets else []
    what += [f"the columns from {VERDICT_HEADING!r} on in {_listed(beside)}"] if beside else []
    if not what:
        return
    raise UnusableFileError(
        f"{name}: this is an annotated copy saved as .{book.format}, and nothing in it marks any more what the audit "
        f"added; drop in the annotated .xlsx or the original, or delete {' and '.join(what)}"
    )


def _listed(sheets: Sequence[Sheet]) -> str:
    return ", ".join(repr(sheet.name) for sheet in sheets)


def _is_added(sheet: Sheet) -> bool:
    first = sheet.value(1, 1)
    if type(first) is not str:
        return False
    added = next((each for each in ADDED_SHEETS if first.startswith(each.title_of(""))), None)
    return added is not None and any(text.startswith(added.sign) for text in _texts(sheet))


def _texts(sheet: Sheet) -> Iterator[str]:
    for cells in sheet.rows[1:_SIGN_ROWS]:
        yield from (value for value in cells if type(value) is str)


def _has_columns(sheet: Sheet) -> bool:
    headings = (
        (row, cells.index(VERDICT_HEADING) + 1)
        for row, cells in enumerate(sheet.rows[:_HEADING_ROWS], 1)
        if VERDICT_HEADING in cells
    )
    return any(
        sheet.value(row + below, column) in _VERDICTS
        for row, column in headings
        for below in range(1, _SIGN_ROWS)
    )

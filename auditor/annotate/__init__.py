"""Annotated copies: our columns and sheets in a user's .xlsx or .xlsm workbook, and out again.

The workbook is never loaded and saved. Its package is patched: changed parts are spliced at byte
offsets, every other part is copied as it lies in the zip.
"""

from auditor.annotate.columns import AddedColumn, AddedColumns, NotPlaced
from auditor.annotate.marks import read_mark, undone
from auditor.annotate.workbook import Workbook
from auditor.errors import UnusableFileError
from auditor.ooxml.opening import open_package
from auditor.ooxml.workbook_part import WorkbookPart

__all__ = [
    "AddedColumn",
    "AddedColumns",
    "NotPlaced",
    "Workbook",
    "untouched",
]


def untouched(source: bytes) -> bool:
    """Whether a file is an annotated copy just as we wrote it: nothing in it is anybody's work but ours
    and that of the workbook it was made from."""
    try:
        package = open_package(source)
        mark = read_mark(WorkbookPart(package))
    except UnusableFileError:
        return False
    return mark is not None and undone(package, mark) is not None

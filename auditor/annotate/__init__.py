"""Annotated copies: our columns and sheets in a user's .xlsx or .xlsm workbook, and out again.

The workbook is never loaded and saved. Its package is patched: changed parts are spliced at byte
offsets, every other part is copied as it lies in the zip.
"""

from collections.abc import MutableMapping, Sequence

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
    "annotate",
    "cautions",
    "free_sheet_names",
    "is_annotated",
    "strip",
    "unplaced",
    "untouched",
]


def annotate(
    source: bytes, added: Sequence[AddedColumns], sheets: bytes | MutableMapping[str, bytes] | None
) -> bytes:
    """The workbook with our columns beside its tables and our sheets at its end.

    An annotated workbook is stripped first: annotating twice gives the same bytes. Tables beside
    which nothing can be written (see `unplaced`) are passed over.

    Parameters
    ----------
    source : an .xlsx or .xlsm file
    sheets : an .xlsx file written by XlsxWriter, or its parts by name, which are used up; all its
        sheets are taken over, and their names must be free (see `free_sheet_names`)

    Raises
    ------
    UnusableFileError : not a workbook that can be patched; one sentence says why
    """
    return Workbook(source).annotate(added, sheets)


def unplaced(source: bytes, added: Sequence[AddedColumns]) -> list[NotPlaced]:
    """The tables beside which `annotate` writes nothing, each with the reason in one sentence."""
    return Workbook(source).placed(added)[1]


def free_sheet_names(source: bytes, wanted: Sequence[str]) -> dict[str, str]:
    """Wanted sheet name -> name that is free in the workbook without our annotation: at most 31
    characters, none that spreadsheet programs forbid, compared without case."""
    return Workbook(source).free_sheet_names(wanted)


def cautions(source: bytes) -> list[str]:
    """What the user must be told before: a signature that will no longer hold, protection, macros,
    links and connections that are kept and not run or followed. One sentence each."""
    return Workbook(source).cautions()


def strip(source: bytes) -> bytes:
    """The workbook without our annotation; the same bytes when there is none."""
    return Workbook(source).strip()


def is_annotated(source: bytes) -> bool:
    """Whether the workbook carries our annotation."""
    return Workbook(source).annotated


def untouched(source: bytes) -> bool:
    """Whether a file is an annotated copy just as we wrote it: nothing in it is anybody's work but ours
    and that of the workbook it was made from."""
    try:
        package = open_package(source)
        mark = read_mark(WorkbookPart(package))
    except UnusableFileError:
        return False
    return mark is not None and undone(package, mark) is not None

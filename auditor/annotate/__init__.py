"""Annotated copies: our columns and sheets in a user's .xlsx or .xlsm workbook, and out again.

The workbook is never loaded and saved. Its package is patched: changed parts are spliced at byte
offsets, every other part is copied as it lies in the zip.
"""

from auditor.annotate.answers import typed_answers
from auditor.annotate.columns import AddedColumn, AddedColumns, NotPlaced
from auditor.annotate.our_columns import MadeFrom, Work
from auditor.annotate.typed import Remark, typed_text
from auditor.annotate.workbook import Workbook
from auditor.job.answers import TypedAnswer
from auditor.ooxml.opening import open_package
from auditor.ooxml.workbook_part import WorkbookPart

__all__ = [
    "AddedColumn",
    "AddedColumns",
    "MadeFrom",
    "NotPlaced",
    "Remark",
    "Work",
    "Workbook",
    "answers_of",
    "typed_text",
]


def answers_of(source: bytes) -> list[TypedAnswer]:
    """The answers that stand in an annotated copy, which is not taken apart for them.

    Raises
    ------
    UnusableFileError : not a workbook that could have been annotated
    """
    return typed_answers(WorkbookPart(open_package(source)))

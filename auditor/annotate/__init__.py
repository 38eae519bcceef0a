"""Annotated copies: our columns and sheets in a user's .xlsx or .xlsm workbook, and out again.

The workbook is never loaded and saved. Its package is patched: changed parts are spliced at byte
offsets, every other part is copied as it lies in the zip.
"""

from auditor.annotate.columns import AddedColumn, AddedColumns, NotPlaced
from auditor.annotate.our_columns import MadeFrom, Work
from auditor.annotate.workbook import Workbook

__all__ = [
    "AddedColumn",
    "AddedColumns",
    "MadeFrom",
    "NotPlaced",
    "Work",
    "Workbook",
]

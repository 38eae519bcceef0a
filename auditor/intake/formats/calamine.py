"""Worksheets as the fast reader of four formats, python-calamine, gives them."""

import io
from collections.abc import Mapping
from typing import Any

from auditor.errors import UnusableFileError
from auditor.intake.formats.cells import Sheet
from auditor.intake.formats.guard import damaged


def calamine_sheets(data: bytes, name: str, skip: Mapping[str, list[list[Any]]] | None = None) -> list[Sheet]:
    """The values of all worksheets as python-calamine reads them.

    Error cells and formulas that were never calculated come as `""` from it: the caller looks for them.

    Parameters
    ----------
    skip : rows of the sheets that it must not touch, read elsewhere
    """
    import python_calamine as calamine

    try:
        book = calamine.CalamineWorkbook.from_filelike(io.BytesIO(data))
        sheets = []
        for index, entry in enumerate(book.sheets_metadata):
            if entry.typ == calamine.SheetTypeEnum.WorkSheet:
                if skip and entry.name in skip:
                    hidden = entry.visible != calamine.SheetVisibleEnum.Visible
                    sheets.append(Sheet(name=entry.name, rows=skip[entry.name], hidden=hidden))
                    continue
                sheet = book.get_sheet_by_index(index)
                sheets.append(
                    Sheet(
                        name=entry.name,
                        rows=sheet.to_python(skip_empty_area=False),
                        hidden=entry.visible != calamine.SheetVisibleEnum.Visible,
                        merges=tuple(
                            (first[0] + 1, first[1] + 1, last[0] + 1, last[1] + 1)
                            for first, last in sheet.merged_cell_ranges or ()
                        ),
                    )
                )
        return sheets
    except calamine.PasswordError as cause:
        raise UnusableFileError(f"{name}: the file needs a password; save a copy without one") from cause
    except BaseException as cause:
        # a panic of the library comes as a BaseException of a class that cannot be imported
        known = (calamine.CalamineError, calamine.ZipError, calamine.XmlError, OSError)
        if not isinstance(cause, known) and type(cause).__name__ != "PanicException":
            raise
        raise UnusableFileError(damaged(name)) from cause

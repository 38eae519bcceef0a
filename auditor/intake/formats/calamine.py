"""Worksheets as the fast reader of four formats, python-calamine, gives them."""

import io
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from auditor.intake.formats.cells import Sheet
from auditor.ooxml.refusals import damaged, needs_password


class FastBook:
    """A workbook opened by the fast reader.

    Error cells and formulas that were never calculated come as `""` from it: the caller looks for them.
    Every call raises UnusableFileError where it cannot read on.
    """

    def __init__(self, data: bytes) -> None:
        import python_calamine as calamine

        with _refusing():
            self._book = calamine.CalamineWorkbook.from_filelike(io.BytesIO(data))
            entries = list(enumerate(self._book.sheets_metadata))
        shown, sheet = calamine.SheetVisibleEnum.Visible, calamine.SheetTypeEnum.WorkSheet
        self._hidden = {entry.name: entry.visible != shown for _, entry in entries}
        self._at = {entry.name: index for index, entry in entries if entry.typ == sheet}

    @property
    def names(self) -> list[str]:
        """Of the worksheets, in their order."""
        return list(self._at)

    def sheet(self, name: str) -> Sheet:
        with _refusing():
            sheet: Any = self._book.get_sheet_by_index(self._at[name])
            return Sheet(
                name=name,
                rows=sheet.to_python(skip_empty_area=False),
                hidden=self._hidden[name],
                merges=tuple(
                    (first[0] + 1, first[1] + 1, last[0] + 1, last[1] + 1)
                    for first, last in sheet.merged_cell_ranges or ()
                ),
            )


def calamine_sheets(data: bytes) -> list[Sheet]:
    """The values of all worksheets.

    Raises
    ------
    UnusableFileError : damaged or protected by a password
    """
    book = FastBook(data)
    return [book.sheet(name) for name in book.names]


@contextmanager
def _refusing() -> Iterator[None]:
    import python_calamine as calamine

    try:
        yield
    except calamine.PasswordError as cause:
        raise needs_password() from cause
    except BaseException as cause:
        # a panic of the library comes as a BaseException of a class that cannot be imported
        known = (calamine.CalamineError, calamine.ZipError, calamine.XmlError, OSError, OverflowError)
        if not isinstance(cause, known) and type(cause).__name__ != "PanicException":
            raise
        raise damaged() from cause

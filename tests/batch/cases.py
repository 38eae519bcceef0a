"""Bad inputs as cases: what each is, what must become of it, and its number in the list of bad inputs.

Cases 70 to 88 are situations, not files: they are made by the tests that need them.
"""

import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import xlsxwriter

from tests.intake.workbooks import DEVICES, PULLS, job_workbook, with_lengths

WELL = job_workbook()

SHEET = "xl/worksheets/sheet2.xml"  # the pull schedule of WELL

AUDIT, REFUSE, EITHER = "audit", "refuse", "either"


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One file, what must become of it, and words that its line or its findings must say."""

    number: int
    file: str
    make: Callable[[], bytes]
    outcome: str
    words: tuple[str, ...]


_CASES: list[Case] = []


def case(number: int, file: str, outcome: str, *words: str) -> Callable[[Callable[[], bytes]], Any]:
    def listed(make: Callable[[], bytes]) -> Callable[[], bytes]:
        _CASES.append(
            Case(number=number, file=f"{number:02} {file}", make=make, outcome=outcome, words=words)
        )
        return make

    return listed


def cases() -> Iterator[Case]:
    return iter(_CASES)


def made(build: Callable[[Any, Any], None], rows: Sequence[Sequence[Any]] = PULLS) -> bytes:
    """A job whose pull sheet XlsxWriter has changed: `build(book, sheet)`."""
    held = io.BytesIO()
    with xlsxwriter.Workbook(held, {"in_memory": True}) as book:
        devices, pulls = book.add_worksheet("Devices"), book.add_worksheet("Pulls")
        for sheet, table in ((devices, DEVICES), (pulls, rows)):
            for r, row in enumerate(table):
                sheet.write_row(r, 0, row)
        build(book, pulls)
    return held.getvalue()


def lengths(*values: Any) -> Callable[[], bytes]:
    return lambda: with_lengths(*values)

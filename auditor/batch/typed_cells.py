"""Which of the estimator's own cells differ between a workbook and its copy that somebody has worked in."""

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import zip_longest
from math import isclose
from typing import Any

from auditor.intake.formats.cells import NOT_CALCULATED, Book, Fault, Sheet
from auditor.job.listing import names_text
from auditor.job.model import CellRef

_NAMED = 5  # cells that the sentence names


def differing_cells(before: Book, after: Book) -> list[CellRef]:
    """The cells of a copy that hold another value than those of the workbook it was made from; a cell that only
    one of them has counts."""
    old = {sheet.name.casefold(): sheet for sheet in before.sheets}
    new = {sheet.name.casefold(): sheet for sheet in after.sheets}
    names = [*new, *(name for name in old if name not in new)]
    return [place for name in names for place in _differing(old.get(name), new.get(name))]


def differing_text(places: Sequence[CellRef], copy: str) -> str:
    """A sentence that names the cells."""
    named = names_text([f"'{each.sheet}'!{each.a1}" for each in places], _NAMED)
    return f"Read with what was typed in {copy}: {named}"


def _differing(before: Sheet | None, after: Sheet | None) -> Iterator[CellRef]:
    shown = after or before
    assert shown is not None, "one of them has the sheet"
    pairs = zip_longest(before.rows if before else (), after.rows if after else (), fillvalue=())
    for row, (old, new) in enumerate(pairs, 1):
        if old == new:
            continue
        for column, (one, other) in enumerate(zip_longest(old, new, fillvalue=""), 1):
            if not _is_same(one, other):
                yield CellRef(shown.name, row, column)


def _is_same(one: Any, other: Any) -> bool:
    """Whether two cells hold the same, as programs write it anew; a formula that was never calculated holds
    what it held before."""
    if any(isinstance(each, Fault) and each.reason == NOT_CALCULATED for each in (one, other)):
        return True
    if isinstance(one, (int, float)) and isinstance(other, (int, float)):
        return isclose(one, other, rel_tol=1e-9, abs_tol=1e-12)
    return _text(one) == _text(other)


def _text(value: Any) -> str:
    if isinstance(value, Fault):
        value = value.text
    if isinstance(value, date):
        return value.isoformat().removesuffix("T00:00:00")
    return " ".join(str(value).split())

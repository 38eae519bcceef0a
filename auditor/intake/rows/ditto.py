"""Marks that say «as above»."""

from auditor.intake.grammar.values import is_blank, shown
from auditor.intake.roles.profiles import is_ditto
from auditor.intake.rows.part import Part
from auditor.intake.said import question
from auditor.intake.words import says_previous
from auditor.job.model import CellRef


def fill_dittos(part: Part) -> None:
    """Write what a ditto mark stands for in its place; one with nothing above it is asked about."""
    _fill_previous(part)
    for name, use in part.table.understood.columns.items():
        values = part.values(name)
        if not any(is_ditto(value) for value in set(values) if isinstance(value, str)):
            continue
        filled, last, marks = [], None, 0
        for row, value in zip(part.rows, values, strict=True):
            if is_ditto(value):
                marks += 1
                if last is None:
                    where = CellRef(part.table.sheet.name, row, use.column)
                    message = f"{shown(value)!r} under {use.header!r} says «as above», and nothing stands above it; write the value"
                    part.remarks.append(question(use.header, message, where))
                    value = ""  # noqa: PLW2901
                else:
                    value = last  # noqa: PLW2901
            elif not is_blank(value):
                last = value
            filled.append(value)
        part.give(name, filled)


def _fill_previous(part: Part) -> None:
    """Write the end of the row above where a row says that it is fed from the previous one."""
    fed = next((name for name in ("far", "tag") if part.has(name)), None)
    if fed is None or not part.has("near"):
        return
    ends = part.values(fed)
    filled = [
        ends[i - 1] if i and says_previous(value) else value for i, value in enumerate(part.values("near"))
    ]
    if filled != part.values("near"):
        part.give("near", filled)

"""Marks that say «as above»."""

from collections.abc import Sequence

from auditor.intake.formats.cells import Value
from auditor.intake.grammar.values import is_blank, shown
from auditor.intake.roles.kinds import ColumnUse
from auditor.intake.roles.profiles import is_ditto
from auditor.intake.rows.part import Part
from auditor.intake.rows.running import AGREE, adds_up, proves
from auditor.intake.said import asked, choices, chosen, to_decide
from auditor.intake.words import says_previous
from auditor.job.model import CellRef


def fill_dittos(part: Part) -> None:
    """Write what a ditto mark stands for in its place; one with nothing above it is asked about."""
    _fill_previous(part)
    for name, use in part.table.understood.columns.items():
        values = part.values(name)
        if not any(is_ditto(value) for value in set(values) if isinstance(value, str)):
            continue
        filled, last = [], _above_the_first(part, use, values)
        for value in values:
            if not is_blank(value) and not is_ditto(value):
                last = value
            filled.append(last if is_ditto(value) else value)
        part.give(name, _from_above(part, values, filled) if name == "near" else filled)


def _from_above(part: Part, values: Sequence[Value], filled: list[Value]) -> list[Value]:
    """What marks under a near end stand for: the same end again, or, where only so the distances from the port add
    up, the device of the row above."""
    fed = next((name for name in ("far", "tag") if part.has(name)), None)
    again = adds_up(part, filled)
    if fed is None or again is None or again >= AGREE:
        return filled
    ends = part.values(fed)
    above = [ends[i - 1] if i and is_ditto(value) else value for i, value in enumerate(values)]
    return above if proves(part, above) else filled


def _above_the_first(part: Part, use: ColumnUse, values: Sequence[Value]) -> Value:
    """What marks above the first value of a column stand for: nothing, or as it is answered that value."""
    index = next(i for i, value in enumerate(values) if not is_blank(value))
    if not is_ditto(values[index]):
        return ""
    below = next((value for value in values if not is_blank(value) and not is_ditto(value)), "")
    pairs = [("nothing", "the cells are blank")]
    pairs += [(f"{shown(below)} as below", f"the first value below, {shown(below)!r}, is read there")]
    one = asked(
        "as-above",
        (part.table.sheet.name, use.header),
        f"{shown(values[index])!r} under {use.header!r} says «as above», and nothing stands above it: what is meant?",
        choices(*pairs),
        CellRef(part.table.sheet.name, part.rows[index], use.column),
    )
    part.remarks.append(to_decide(one, use.header, part.answers, "Write the value"))
    return below if chosen(one, part.answers) == pairs[1][0] else ""


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

"""Distances from the port beside the lengths: they prove which end feeds each row, or contradict it."""

from collections.abc import Sequence
from dataclasses import replace

from auditor.intake.formats.cells import Value
from auditor.intake.grammar.lengths import length_m
from auditor.intake.grammar.numbers import UNKNOWN, UnreadableError
from auditor.intake.grammar.values import Context, is_blank, words
from auditor.intake.names.spelling import spelling
from auditor.intake.rows.part import Part
from auditor.intake.said import asked, choices, chosen, to_decide, untried
from auditor.job.model import CellRef, TableKind
from auditor.units import LENGTH_M

AGREE = (
    0.8  # share of the rows that must add up; fewer: the ends or the lengths are others; project convention
)
LEAST_ROWS = 3
ROUNDING = 1.01  # of the column's unit: both figures may be rounded


def adds_up(part: Part, near: Sequence[Value]) -> float | None:
    """The share of the rows whose distance is that of this near end and their own length; None: too few say it."""
    rows = _rows(part, near)
    return sum(rows) / len(rows) if len(rows) >= LEAST_ROWS else None


def proves(part: Part, near: Sequence[Value]) -> bool:
    """Whether the distances say that these are the near ends."""
    return (adds_up(part, near) or 0.0) >= AGREE


def ask_of_distances(part: Part) -> None:
    """Ask where the distances that stand beside the lengths say that the ends are others than those read."""
    if part.table.kind not in (TableKind.PULLS, TableKind.COMBINED) or not part.has("near"):
        return
    share = adds_up(part, part.values("near"))
    if share is None or share >= AGREE:
        return
    use, length = (part.table.understood.columns[name] for name in ("distance_m", "length_m"))
    wrong = round((1 - share) * 100)
    one = asked(
        "distances",
        (part.table.sheet.name, use.header),
        f"{use.header!r} of {part.table.sheet.name!r} is in {wrong} % of the rows not what {length.header!r} adds up to from the "
        "end that feeds each row: are the ends read rightly?",
        (
            *choices(("yes", f"the ends and {length.header!r} hold, {use.header!r} is not looked at")),
            untried("no", "what feeds each row is to be written in full"),
        ),
        CellRef(part.table.sheet.name, part.table.heading_row, use.column),
    )
    remark = to_decide(one, use.header, part.answers)
    part.remarks.append(replace(remark, closes=chosen(one, part.answers) is None))


def _rows(part: Part, near: Sequence[Value]) -> list[bool]:
    """Whether the distance is what the length adds up to, of each row that states both."""
    columns = part.table.understood.columns
    if (
        not {"distance_m", "length_m"} <= columns.keys()
        or columns["distance_m"].unit != columns["length_m"].unit
    ):
        return []
    unit = columns["length_m"].unit or "m"
    ends = [spelling(words(value)) for value in part.values("far" if part.has("far") else "tag")]
    lengths, stated = (_metres(part.values(name), unit) for name in ("length_m", "distance_m"))
    at = dict(zip(ends, stated, strict=True))
    found = []
    for value, length, here in zip(near, lengths, stated, strict=True):
        before = at.get(spelling(words(value)), 0.0)  # a port has none
        if not (is_blank(value) or before is None or length is None or here is None):
            found.append(abs(before + length - here) <= ROUNDING * LENGTH_M[unit])
    return found


def _metres(values: Sequence[Value], unit: str) -> list[float | None]:
    return [_length(value, unit) for value in values]


def _length(value: Value, unit: str) -> float | None:
    try:
        return None if is_blank(value) else length_m(value, Context(unit, UNKNOWN))
    except UnreadableError:
        return None

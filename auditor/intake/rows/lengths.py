"""Lengths that a row does not simply state: drum marks, distances from the port, a unit beside them."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence

from auditor.intake.formats.cells import Value, WithUnit
from auditor.intake.grammar.lengths import length_m
from auditor.intake.grammar.numbers import UNKNOWN, UnreadableError, plain
from auditor.intake.grammar.units import UNIT_OF
from auditor.intake.grammar.values import Context, is_blank, shown, words
from auditor.intake.names.spelling import spelling
from auditor.intake.roles.kinds import ColumnUse
from auditor.intake.rows.part import Part, last_before
from auditor.intake.said import asked, choices, chosen, question, reading, to_decide
from auditor.intake.statements.facts import CUMULATIVE, LENGTH_UNIT, Facts
from auditor.job.model import CellRef, TableKind
from auditor.units import LENGTH_M

_NOUGHT = re.compile(r"0+(?:[.,]0+)?(?:'?\s*-?\s*0+\")?\s*[^\W\d]*\.?'?")
_BEHIND = re.compile(r"[^\W\d]+\.?$")
_SCHEDULES = (TableKind.PULLS, TableKind.COMBINED)


def derive_lengths(parts: Sequence[Part], facts: Facts) -> None:
    """Give each pull the length that its row, its drum marks or its distance from the port come to."""
    schedules = [part for part in parts if part.table.kind in _SCHEDULES]
    for part in schedules:
        _by_marks(part, facts)
    counted = [part for part in schedules if _is_cumulative(part, facts)]
    distances = _distances(counted, facts)
    for part in counted:
        _by_distance(part, distances, facts)
    for part in schedules:
        _by_unit_column(part, counted)


# ------------------------------------------------------------------------------------------- drum marks


def _by_marks(part: Part, facts: Facts) -> None:
    if part.has("length_m") or not (part.has("start_mark_m") and part.has("end_mark_m")):
        return
    starts, ends = part.values("start_mark_m"), part.values("end_mark_m")
    units = [_unit_of(part, name, facts) for name in ("start_mark_m", "end_mark_m")]
    unit = units[0] or units[1]
    first_marks, second_marks = (_marks(part, name, unit) for name in ("start_mark_m", "end_mark_m"))
    drums = [words(value) for value in part.values("drum")] if part.has("drum") else _sections(part)
    use = part.table.understood.columns["end_mark_m"]
    first = part.table.understood.columns["start_mark_m"]
    lengths: list[Value] = []
    direction: dict[str, float] = {}
    for index, (start, end, drum) in enumerate(zip(first_marks, second_marks, drums, strict=True)):
        if start is None or end is None:
            lengths.append("" if is_blank(starts[index]) and is_blank(ends[index]) else "?")
            continue
        sign = 1.0 if end >= start else -1.0
        if direction.setdefault(drum, sign) != sign:
            where = CellRef(part.table.sheet.name, part.rows[index], use.column)
            message = (
                f"the marks run from {shown(starts[index])} to {shown(ends[index])}, against the other rows{f' of {drum}' if drum and part.has('drum') else ''}; "
                "correct them or write the length"
            )
            part.remarks.append(question(use.header, message, where))
            lengths.append("?")
            continue
        lengths.append(abs(end - start))
    where = CellRef(part.table.sheet.name, part.table.heading_row, use.column)
    part.remarks.append(reading(use.header, f"lengths are {use.header!r} less {first.header!r}", where))
    _as_length(part, "end_mark_m", lengths)
    if unit is not None:
        part.give("length_m", lengths, [unit] * len(lengths))


def _sections(part: Part) -> list[str]:
    """The heading below which each record stands; what one drum says begins anew there."""
    return [str(above or "") for above in last_before(part.rows, sorted(part.other.headings))]


def _marks(part: Part, name: str, unit: str | None) -> list[float | None]:
    """The marks of a column in its unit; without one they are bare numbers."""
    result: list[float | None] = []
    for value in part.values(name):
        try:
            mark = 0.0 if _is_nought(value) else length_m(value, Context(unit or "m", UNKNOWN))
            result.append(mark / LENGTH_M[unit or "m"])
        except UnreadableError:
            result.append(None)
    return result


def _is_nought(value: Value) -> bool:
    """Whether a cable begins where the drum does."""
    return value == 0 or (isinstance(value, str) and _NOUGHT.fullmatch(value.strip()) is not None)


def _as_length(part: Part, column: str, values: list[Value]) -> None:
    """Read values that stand in a column of its own kind as the lengths."""
    use = part.table.understood.columns[column]
    own = ColumnUse("length_m", use.column, use.header, use.unit, None, use.reason)
    part.table.understood.columns["length_m"] = own  # type: ignore[index]
    part.give("length_m", values)


# -------------------------------------------------------------------------------- distances from the port


def _is_cumulative(part: Part, facts: Facts) -> bool:
    if part.has("distance_m") and not part.has("length_m"):
        _as_length(part, "distance_m", part.values("distance_m"))
        return True
    said = facts.at(CUMULATIVE, part.table.sheet.name, part.table.first_row)
    return said is not None and part.has("length_m") and not part.has("distance_m") and part.has("near")


def _distances(parts: Sequence[Part], facts: Facts) -> dict[str, float]:
    """The distance of each fed end from its port [m]."""
    found: dict[str, float] = {}
    for part in parts:
        far = part.values("far" if part.has("far") else "tag")
        for end, value in zip(far, _in_metres(part, facts), strict=True):
            if value is not None and not is_blank(end):
                found.setdefault(spelling(words(end)), value)
    return found


def _in_metres(part: Part, facts: Facts) -> list[float | None]:
    units = _units_of(part)
    unit = _unit_of(part, "length_m", facts) or "m"  # without any unit the differences stay bare numbers
    result: list[float | None] = []
    for value, own in zip(part.values("length_m"), units, strict=True):
        try:
            result.append(None if is_blank(value) else length_m(value, Context(own or unit, UNKNOWN)))
        except UnreadableError:
            result.append(None)
    return result


def _by_distance(part: Part, distances: Mapping[str, float], facts: Facts) -> None:
    use = part.table.understood.columns["length_m"]
    stated = _unit_of(part, "length_m", facts)
    unit = stated or "m"
    far = part.values("far" if part.has("far") else "tag")
    fed = {spelling(words(end)) for end in far if not is_blank(end)}
    values: list[Value] = []
    for index, (near, end, here) in enumerate(
        zip(part.values("near"), far, _in_metres(part, facts), strict=True)
    ):
        before = distances.get(spelling(words(near)), None if spelling(words(near)) in fed else 0.0)
        if before is None:
            values.append("")  # the distance of what feeds it is not known
        elif here is None:
            typed = part.values("length_m")[index]
            values.append("" if is_blank(typed) else f"{shown(typed)} ?")
        elif here < before:
            where = CellRef(part.table.sheet.name, part.rows[index], use.column)
            message = (
                f"{words(end)} stands nearer the port than {words(near)}, which feeds it: the distances fall from "
                f"{before / LENGTH_M[unit]:g} to {here / LENGTH_M[unit]:g} {unit}; correct one of them"
            )
            part.remarks.append(question(words(end), message, where))
            values.append("?")
        else:
            values.append((here - before) / LENGTH_M[unit])
    where = CellRef(part.table.sheet.name, part.table.heading_row, use.column)
    part.remarks.append(
        reading(
            use.header,
            f"{use.header!r} counts from the port; each pull is what it adds to the end that feeds it",
            where,
        )
    )
    part.give("length_m", values, [stated] * len(values))


def _unit_of(part: Part, name: str, facts: Facts) -> str | None:
    """The unit of a column of lengths: of the heading, of the unit column, of most cells, else of a sentence."""
    use = part.table.understood.columns[name]
    fact = facts.agreed(LENGTH_UNIT, part.table.sheet.name, part.table.first_row)
    named = [unit for unit in (*_units_of(part), *map(_own_unit, part.values(name))) if unit]
    common = Counter(named).most_common(1)
    return use.unit or (fact.value if fact and not common else None) or (common[0][0] if common else None)


def _own_unit(value: Value) -> str | None:
    """The unit that stands in a cell beside its number."""
    if isinstance(value, WithUnit):
        return value.unit if value.unit in LENGTH_M else None
    if not isinstance(value, str) or is_blank(value):
        return None
    text = plain(value).casefold().strip()
    if text.endswith(("'", '"')):
        return "ft"
    match = _BEHIND.search(text)
    unit = UNIT_OF.get(match[0].strip(" .")) if match else None
    return unit if unit in LENGTH_M else None


def _units_of(part: Part) -> list[str | None]:
    """The units that a column of their own gives the rows."""
    if not part.has("unit"):
        return [None] * len(part.rows)
    units = [UNIT_OF.get(plain(words(v)).casefold().strip(" .")) for v in part.values("unit")]
    return [unit if unit in LENGTH_M else None for unit in units]


# ------------------------------------------------------------------------------------------------- units


def _by_unit_column(part: Part, counted: Sequence[Part]) -> None:
    if not (part.has("unit") and part.has("length_m")):
        return
    use, column = part.table.understood.columns["length_m"], part.table.understood.columns["unit"]
    if part in counted:
        return
    units = _units_of(part)
    named = {unit for unit in units if unit}
    if not named:
        return
    if use.unit is not None and named != {use.unit}:
        listed = " and ".join(sorted(named - {use.unit}))
        said = f"the unit column {column.header!r} says {listed} where the heading {use.header!r} says {use.unit}"
        one = asked(
            "unit-column",
            (part.table.sheet.name, column.header, use.header),
            f"{said}: which holds?",
            choices(
                ("the column", f"lengths are in the unit that {column.header!r} gives"),
                ("the heading", f"lengths are in {use.unit}"),
            ),
            CellRef(part.table.sheet.name, part.table.heading_row, column.column),
        )
        message = f"{said}; the column is taken, as it stands beside each length: correct one of them"
        part.remarks.append(to_decide(one, column.header, part.answers, message=message))
        if chosen(one, part.answers) == "the heading":
            return
    part.give("length_m", part.values("length_m"), units)

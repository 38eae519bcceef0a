"""Which of several columns is the length of a pull: a total of parts, each and total, planned and built."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import combinations, pairwise

from auditor.intake.grammar.lengths import length_m
from auditor.intake.grammar.numbers import UnreadableError
from auditor.intake.grammar.values import Context
from auditor.intake.roles.evidence import by_words
from auditor.intake.roles.kinds import ColumnUse, Settled, Understood
from auditor.intake.roles.marks import OF_REVISION, ROUNDING
from auditor.intake.roles.profiles import ColumnProfile
from auditor.intake.words import UNITS_OF_FIELD, fold, heading, matcher, said, says
from auditor.intake.words.roles import OTHER
from auditor.job.model import TableKind
from auditor.units import LENGTH_M

AGREE = 0.8  # share of the rows in which a sum must come out; project convention
MOST_PARTS = 5
OF_A_LENGTH = 0.1  # of a length, at most, that its sum may be rounded by; project convention
NEAR = 0.5  # of a length, at least, that a second figure for the same pull is; project convention
LEAST_ROWS = 3  # in which lengths add up from row to row, or have a second figure near them
SHORTEST_M = 0.15  # of the longest pull of a schedule; project convention
_LENGTHS = frozenset(LENGTH_M)
_MARKS = ("start_mark_m", "end_mark_m")
_OTHER = (
    "part_length_m",
    "distance_m",
    "conduit_length_m",
    "start_mark_m",
    "end_mark_m",
    "mains_parallel_m",
    "stock_length_m",
)


def settle_length(understood: Understood, columns: Mapping[int, ColumnProfile]) -> Understood:
    """The understanding with the column that holds the whole length, and what is to be said of the others."""
    use = understood.columns.get("length_m")
    if (
        use is None
        or understood.kind not in (TableKind.PULLS, TableKind.COMBINED)
        or understood.shape != "rows"
    ):
        return understood
    free = [name for name in ("length_m", *_OTHER) if name not in _MARKS]
    taken = {
        u.column
        for name, u in understood.columns.items()
        if name not in free and not _may_be_after_all(name, columns[u.column])
    }
    numeric = [c for c, p in columns.items() if c not in taken and p.quantities > 0.5]
    candidates = [
        c
        for c in numeric
        if c == use.column
        or (_may_be_length(columns[c]) and not _is_inches(columns[c], use))
        or _goes_with(columns, use.column, c)
    ]
    if len(candidates) < 2 and not any(
        _role(columns[c]) in ("part_length_m", "stock_length_m") for c in numeric
    ):
        return understood
    return (
        _each_and_total(understood, columns, candidates)
        or _running_total(understood, columns, candidates)
        or _sum_of_parts(understood, columns, candidates, numeric)
        or _built_before_planned(understood, columns, candidates)
        or _asked(understood, columns, candidates)
    )


def _role(column: ColumnProfile) -> str:
    """The kind of length that a heading names best."""
    words = {name: s for name, (s, _) in by_words("pulls", column).items() if name in ("length_m", *_OTHER)}
    return max(words, key=lambda name: (words[name], name == "length_m"), default="")


def _may_be_after_all(name: str, column: ColumnProfile) -> bool:
    """Whether a column that was given another role may be a length: `Total`, or `Réel` taken for a reel."""
    if name == "total_power_w":
        return _is_bare_total(column)
    return name == "drum" and _says_built(column.header)


def _says_built(header: str) -> bool:
    """Whether a heading says no more than that something was built or measured; `Réel` does, `Reel` is a drum."""
    reel = header.isascii() and says(header, "drum")
    return bool(header) and not reel and matcher("actual").fullmatch(fold(header)) is not None


def _is_bare_total(column: ColumnProfile) -> bool:
    """Whether a heading says `Total` and not of what."""
    return column.unit is None and matcher("total").fullmatch(fold(column.header)) is not None


def _may_be_length(column: ColumnProfile) -> bool:
    role = _role(column)
    if not role and says(column.header, OTHER):
        return False
    return role == "length_m" or (not role and column.unit in _LENGTHS and not _is_size(column))


def _goes_with(columns: Mapping[int, ColumnProfile], length: int, other: int) -> bool:
    """Whether a column whose heading says nothing, or that it was built, has a figure near each length."""
    column = columns[other]
    if not _says_built(column.header) and (
        column.unit is not None or (column.header and said(column.header))
    ):
        return False
    rows = _rows(columns, [length, other])
    return len(rows) >= LEAST_ROWS and all(NEAR * a < b < a / NEAR for _, (a, b) in rows)


def _is_size(column: ColumnProfile) -> bool:
    """Whether a column gives sizes, `25 mm`: all below what any pull is long."""
    lengths = [
        number * LENGTH_M[column.unit or "m"] for v in column.filled if (number := number_of(v)) is not None
    ]
    return bool(lengths) and max(lengths) < SHORTEST_M


def _is_inches(column: ColumnProfile, length: ColumnUse) -> bool:
    """Whether a column holds the inches beside a length in feet: no length of its own."""
    return "in" in (column.unit, heading(column.header).unit, fold(column.header)) and length.unit != "in"


def _rows(columns: Mapping[int, ColumnProfile], wanted: Sequence[int]) -> list[tuple[int, list[float]]]:
    """(index, values) of the rows in which all of these columns hold plain numbers."""
    found = []
    for index, values in enumerate(zip(*(columns[c].values for c in wanted), strict=True)):
        numbers = [number_of(value) for value in values]
        if all(number is not None for number in numbers):
            found.append((index, [number for number in numbers if number is not None]))
    return found


_NO_FEET = re.compile(r"0+(?:'(?:\s*-?\s*0+\")?|\")")
_PLAIN = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*[^\W\d]*\.?\s*")


def number_of(value: object) -> float | None:
    """A cell as a number, whatever unit stands behind it; None: it is none."""
    if isinstance(value, float):
        return float(value)
    match = _PLAIN.fullmatch(value) if isinstance(value, str) else None
    if match is not None:
        return float(match[1].replace(",", "."))
    if isinstance(value, str) and value.strip().endswith(("'", '"')):
        return _feet(value)
    return None


def _feet(text: str) -> float | None:
    """Feet and inches as feet: `12'-6"`."""
    if _NO_FEET.fullmatch(text.strip()):
        return 0.0
    try:
        return length_m(text, Context()) / LENGTH_M["ft"]
    except UnreadableError:
        return None


def _each_and_total(
    understood: Understood, columns: Mapping[int, ColumnProfile], candidates: Sequence[int]
) -> Understood | None:
    """Of a length each and a total by the number of cables the first is the pull's."""
    quantity = understood.columns.get("quantity")
    if quantity is None:
        return None
    counts = [_count(v) for v in columns[quantity.column].values]
    for each, total in ((a, b) for a in candidates for b in candidates if a != b):
        rows = [(i, v) for i, v in _rows(columns, [each, total]) if counts[i]]
        several = [(i, v) for i, v in rows if (counts[i] or 1) > 1]
        agree = [
            sum(abs(v[0] * (counts[i] or 1) - v[1]) <= ROUNDING for i, v in own) for own in (rows, several)
        ]
        if several and agree[0] >= 0.9 * len(rows) and agree[1] >= 0.9 * len(several):
            text = f"{columns[each].header!r} is the length of one pull, {columns[total].header!r} is that times {quantity.header!r}"
            return _with(understood, columns, each, [Settled(total, text), Settled(quantity.column, "")])
    return None


def _running_total(
    understood: Understood, columns: Mapping[int, ColumnProfile], candidates: Sequence[int]
) -> Understood | None:
    """Of a length and what it adds up to from row to row, or begins with anew, the first is the pull's."""
    for each, total in ((a, b) for a in candidates for b in candidates if a != b):
        rows = [v for _, v in _rows(columns, [each, total])]
        begins = [abs(one - whole) <= min(ROUNDING, one * OF_A_LENGTH) for one, whole in rows]
        added = [
            abs(above[1] + own[0] - own[1]) <= min(ROUNDING, own[0] * OF_A_LENGTH)
            for above, own in pairwise(rows)
        ]
        if len(rows) < LEAST_ROWS or not begins[0] or sum(added) * 2 < len(rows):
            continue
        if all(one or other for one, other in zip(begins[1:], added, strict=True)):
            text = (
                f"{columns[each].header!r} is the length, {columns[total].header!r} adds up from row to row"
            )
            return _with(understood, columns, each, [Settled(total, text)])
    return None


def _count(value: object) -> int | None:
    text = (
        str(int(value))
        if isinstance(value, float) and value.is_integer()
        else str(value).casefold().strip("x× ")
    )
    return int(text) if text.isdigit() else None


def _sum_of_parts(
    understood: Understood,
    columns: Mapping[int, ColumnProfile],
    candidates: Sequence[int],
    numeric: Sequence[int],
) -> Understood | None:
    """A total beside its parts is the length; rows in which the sum does not come out are asked about."""
    best: tuple[float, int, tuple[int, ...], list[int]] | None = None
    totals = [
        c
        for c in numeric
        if c in candidates or _role(columns[c]) == "stock_length_m" or _is_bare_total(columns[c])
    ]
    for total in totals:
        others = [
            c for c in numeric if c != total and _role(columns[c]) in ("", "length_m", "part_length_m")
        ][: MOST_PARTS + 1]
        for size in range(2, len(others) + 1):
            for parts in combinations(others, size):
                rows = _rows(columns, [total, *parts])
                wrong = [i for i, v in rows if abs(v[0] - sum(v[1:])) > ROUNDING]
                agree = 1 - len(wrong) / len(rows) if len(rows) > 1 else 0.0
                if agree >= AGREE and (best is None or agree > best[0]):
                    best = agree, total, parts, wrong
    if best is None:
        return None
    _, total, parts, wrong = best
    if (net := _net(columns, total, parts)) is not None:
        text = f"{columns[net].header!r} is the length, {columns[total].header!r} less what came back"
        return _with(
            understood, columns, net, [Settled(total, text), *(Settled(c, "") for c in parts if c != net)]
        )
    named = " and ".join(repr(columns[c].header) for c in parts)
    text = f"{columns[total].header!r} is the length, the sum of {named}"
    settled = [Settled(c, text if c == parts[0] else "") for c in parts]
    settled += [
        Settled(
            total,
            f"{columns[total].header!r} is not the sum of {named} in this row; correct one of them",
            row=i,
        )
        for i in wrong
    ]
    return _in_unit_of(_with(understood, columns, total, settled), columns, parts)


def _in_unit_of(
    understood: Understood, columns: Mapping[int, ColumnProfile], others: Sequence[int]
) -> Understood:
    """A length whose heading states no unit has that of the columns it is summed or planned from."""
    use = understood.columns["length_m"]
    units = {columns[c].heading_unit for c in others} & _LENGTHS
    if use.unit is not None or len(units) != 1:
        return understood
    return replace(understood, columns={**understood.columns, "length_m": replace(use, unit=units.pop())})


def _net(columns: Mapping[int, ColumnProfile], total: int, parts: Sequence[int]) -> int | None:
    """The part that stays where the other one came back: `Issued`, `Returned`, `Fitted`; None: no heading says so."""
    back = [c for c in parts if matcher("returned").search(fold(columns[c].header))]
    rest = [c for c in parts if c not in back]
    return (
        rest[0]
        if len(back) == len(rest) == 1 and not matcher("returned").search(fold(columns[total].header))
        else None
    )


def _built_before_planned(
    understood: Understood, columns: Mapping[int, ColumnProfile], candidates: Sequence[int]
) -> Understood | None:
    """What was measured or built counts where it is there, else what was planned."""
    built = [c for c in candidates if matcher("actual").search(fold(columns[c].header))]
    issues = {c: match[1] for c in candidates if (match := OF_REVISION.search(fold(columns[c].header)))}
    earlier = [c for c in issues if len(issues) < len(candidates) or issues[c] < max(issues.values())]
    if not built and earlier:
        built = [c for c in candidates if c not in earlier]
    planned = [c for c in candidates if c not in built]
    if len(built) != 1 or len(planned) != 1:
        return None
    holds, falls = columns[built[0]], columns[planned[0]]
    if holds.unit not in (None, falls.unit):
        return None
    text = f"{holds.header!r} is read as the length where it is filled in, {falls.header!r} elsewhere"
    if holds.share_filled > 0.99:
        text = f"{holds.header!r} is read as the length, {falls.header!r} is not"
    settled = [Settled(planned[0], text, instead=not earlier or len(issues) > 1)]
    return _in_unit_of(_with(understood, columns, built[0], settled), columns, planned)


def _asked(
    understood: Understood, columns: Mapping[int, ColumnProfile], candidates: Sequence[int]
) -> Understood:
    use = understood.columns["length_m"]
    settled = []
    for other in candidates:
        if other == use.column:
            continue
        rows = _rows(columns, [use.column, other])
        ratio = _ratio(columns[use.column], columns[other])
        same = all(abs(v[0] * ratio - v[1]) <= ROUNDING * max(1.0, ratio) for _, v in rows)
        if same and (rows or not columns[other].filled):
            settled.append(Settled(other, ""))
        else:
            text = f"{use.header!r} in column {_letters(use.column)} is taken"
            settled.append(Settled(other, text, ask=True))
    return replace(understood, settled=(*understood.settled, *settled))


def _ratio(one: ColumnProfile, other: ColumnProfile) -> float:
    """What a number of the one column is in the unit of the other."""
    return (
        LENGTH_M.get(one.unit or "", 1.0) / LENGTH_M.get(other.unit or "", 1.0)
        if one.unit and other.unit
        else 1.0
    )


def _letters(column: int) -> str:
    from auditor.job.model import CellRef

    return CellRef("", 1, column).a1[:-1]


def _with(
    understood: Understood, columns: Mapping[int, ColumnProfile], column: int, settled: Sequence[Settled]
) -> Understood:
    """The understanding with this column as the length."""
    header = columns[column].header
    unit = (
        columns[column].heading_unit if columns[column].heading_unit in UNITS_OF_FIELD["length_m"] else None
    )
    old = understood.columns["length_m"]
    use = (
        old
        if old.column == column
        else ColumnUse("length_m", column, header, unit, heading(header).volts, f"heading {header!r}")
    )
    kept = {name: u for name, u in understood.columns.items() if u.column != column or name == "length_m"}
    return replace(understood, columns={**kept, "length_m": use}, settled=(*understood.settled, *settled))

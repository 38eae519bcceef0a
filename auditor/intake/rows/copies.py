"""Tables that share most of their rows: one content is read once, two are asked about."""

from itertools import combinations

from auditor.intake.grammar.values import is_blank, shown, words
from auditor.intake.names.spelling import spelling
from auditor.intake.rows.part import Part
from auditor.intake.said import NO_ANSWERS, Answers, asked, choices, chosen, reading, to_decide
from auditor.intake.words import fold, matcher, word_list
from auditor.job.model import CellRef, Remark, TableKind

MOST = 0.7  # share of the smaller table's records that the other has too; project convention
LOGGED = 0.8  # share of a log's devices that the other list has; project convention
LEAST_ROWS = 2
LEAST_SIZE = 0.2  # records of the smaller table as a share of the larger one's
_FIELDS = {
    TableKind.PULLS: ("near", "far"),
    TableKind.COMBINED: ("near", "tag"),
    TableKind.DEVICES: ("tag",),
    TableKind.LENGTHS: ("id",),
}
_COUNTED = {
    TableKind.PULLS: ("length_m", "cable"),
    TableKind.COMBINED: ("length_m", "cable", "power_w"),
    TableKind.DEVICES: ("power_w", "total_power_w", "quantity"),
    TableKind.LENGTHS: ("length_m", "cable"),
}
MOST_NAMED = 6  # rows that a question names


def settle_copies(parts: list[Part], answers: Answers = NO_ANSWERS) -> list[Remark]:
    """Take out tables that stand twice; where they differ, the differing values are not read and asked about."""
    said = _leave_out_logs(parts)
    for one, other in combinations(list(parts), 2):
        if one not in parts or other not in parts or not _comparable(one, other):
            continue
        mine, theirs = _records(one), _records(other)
        common = mine.keys() & theirs.keys()
        fewer, more = sorted((len(mine), len(theirs)))
        if len(common) < max(LEAST_ROWS, MOST * fewer) or fewer < LEAST_SIZE * more:
            continue
        keep, drop = (other, one) if _is_the_copy(one, other) else (one, other)
        if (old := _older(one, other)) is not None:
            parts.remove(old)
            said.append(_left_as_old(old, one if old is other else other))
            continue
        said.append(_settled(keep, drop, parts, answers))
    return said


def _leave_out_logs(parts: list[Part]) -> list[Remark]:
    """Take out lists that name devices of another list again and nothing that counts: work that was done on them, or, of a
    few, faults and remarks."""
    lists = [
        part
        for part in parts
        if part.table.kind in (TableKind.DEVICES, TableKind.COMBINED) and part.has("tag")
    ]
    said = []
    for log in lists:
        counted = (*_COUNTED[TableKind.COMBINED], *_COUNTED[TableKind.DEVICES], "near", "port", "controller")
        if log.table.kind is not TableKind.DEVICES or any(map(log.has, counted)):
            continue
        own = {spelling(words(value)) for value in log.values("tag") if not is_blank(value)}
        for other in lists:
            named = own & _tags_of_all_rows(other)
            rows = len(other.rows) if log.has("date") else (len(other.rows) + 1) / 2
            if other is not log and len(named) >= LOGGED * len(own) and len(own) < rows:
                names = log.table.sheet.name, other.table.sheet.name
                message = f"{names[0]!r} names devices that {names[1]!r} lists and nothing that counts; it is not read"
                where = CellRef(names[0], log.table.heading_row, log.table.first_column)
                said.append(reading(names[0], message, where))
                parts.remove(log)
                break
    return said


def _tags_of_all_rows(part: Part) -> set[str]:
    """The names under a list's tag, those of rows that do not count among them."""
    table, column = part.table, part.column_of("tag")
    values = (table.sheet.value(row, column) for row in range(table.first_row, table.last_row + 1))
    return {spelling(words(value)) for value in values if not is_blank(value)}


def _comparable(one: Part, other: Part) -> bool:
    kinds = one.table.kind is other.table.kind and one.table.kind in _FIELDS
    return (
        kinds
        and one.table.sheet is not other.table.sheet
        and min(len(one.rows), len(other.rows)) >= LEAST_ROWS
    )


def _records(part: Part) -> dict[tuple[str, ...], int]:
    names = _FIELDS[part.table.kind]
    columns = [[spelling(words(value)) for value in part.values(name)] for name in names]
    return {key: index for index, key in enumerate(zip(*columns, strict=True))}


def _is_the_copy(one: Part, other: Part) -> bool:
    """Whether the first is the copy: by its name, or because it is hidden."""
    sheets = one.table.sheet, other.table.sheet
    if sheets[0].hidden != sheets[1].hidden:
        return sheets[0].hidden
    named = [
        bool(matcher("copy").search(fold(sheet.name))) or sheet.name.rstrip().endswith(")")
        for sheet in sheets
    ]
    return named[0] and not named[1]


def _older(one: Part, other: Part) -> Part | None:
    """The one of two lists whose sheet is named as the other's and says that it is the old one: `ALT Kabel`."""
    for part, beside in ((one, other), (other, one)):
        left = fold(part.table.sheet.name).split()
        for word in fold(beside.table.sheet.name).split():
            if word in left:
                left.remove(word)
        same = len(left) == 1 and len(fold(part.table.sheet.name).split()) == 1 + len(
            fold(beside.table.sheet.name).split()
        )
        if same and left[0] in word_list("old"):
            return part
    return None


def _left_as_old(old: Part, held: Part) -> Remark:
    names = old.table.sheet.name, held.table.sheet.name
    where = CellRef(names[0], old.table.heading_row, old.table.first_column)
    message = (
        f"the table on {names[0]!r} is left out: it lists the same {old.table.kind} as {names[1]!r} and its sheet's name "
        "says that it is the old one"
    )
    return reading(names[0], message, where)


def _settled(keep: Part, drop: Part, parts: list[Part], answers: Answers) -> Remark:
    mine, theirs = _records(keep), _records(drop)
    differ = [
        key for key in mine.keys() & theirs.keys() if _values(keep, mine[key]) != _values(drop, theirs[key])
    ]
    only = list(mine.keys() ^ theirs.keys())
    names = keep.table.sheet.name, drop.table.sheet.name
    where = CellRef(names[1], drop.table.heading_row, drop.table.first_column)
    if not differ and not only:
        parts.remove(drop)
        return reading(
            names[1],
            f"{names[1]!r} holds the same {keep.table.kind} as {names[0]!r}; they are read once",
            where,
        )
    listed = [_named(keep, mine[key]) for key in sorted(differ, key=lambda key: mine[key])]
    listed += [_named(keep, mine[key]) if key in mine else _named(drop, theirs[key]) for key in only]
    shown_rows = ", ".join(listed[:MOST_NAMED]) + (
        f" and {len(listed) - MOST_NAMED} more" if len(listed) > MOST_NAMED else ""
    )
    one = asked(
        "which-list",
        (keep.table.kind.value, *sorted(names)),
        f"{names[0]!r} and {names[1]!r} list the same {keep.table.kind} and differ in {shown_rows}: which of the two holds?",
        choices(*((name, f"{name!r} is read, the other one is not") for name in names)),
        where,
    )
    answer = chosen(one, answers)
    parts.remove(keep if answer == names[1] else drop)
    for key in differ if answer is None else ():
        _leave_open(keep, mine[key], drop, theirs[key])
    then = "What differs is not judged; delete the other one or mark it as superseded"
    return to_decide(one, names[1], answers, then)


def _values(part: Part, index: int) -> tuple[str, ...]:
    return tuple(words(part.values(name)[index]) for name in _COUNTED[part.table.kind] if part.has(name))


def _leave_open(keep: Part, index: int, drop: Part, other: int) -> None:
    for name in _COUNTED[keep.table.kind]:
        if not keep.has(name):
            continue
        values = list(keep.values(name))
        theirs = drop.values(name)[other]
        if words(values[index]) != words(theirs) and not is_blank(values[index]):
            values[index] = "" if name == "length_m" else f"{shown(values[index])} or {shown(theirs)}"
            keep.give(name, values)
            keep.given[name].asked = name == "length_m"


def _named(part: Part, index: int) -> str:
    if part.has("id") and (text := words(part.values("id")[index])):
        return text
    return " to ".join(words(part.values(name)[index]) for name in _FIELDS[part.table.kind])

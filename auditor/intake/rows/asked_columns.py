"""Columns that a question asks for: what each may be, and how the table is read once that is answered."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from auditor.intake.grammar.values import is_blank
from auditor.intake.roles.found import FoundTable
from auditor.intake.roles.kinds import BY_ANSWER, ColumnUse, Settled, Understood
from auditor.intake.said import MOST_CHOICES, Answers, asked, choices, chosen, reading, untried
from auditor.intake.words import UNITS_OF_FIELD, heading
from auditor.job.field_words import word_of
from auditor.job.model import CellRef, Question, Remark

NOTHING = "nothing that counts"
_MAY_BE = ("length_m", "quantity", "power_w")


def column_question(
    table: FoundTable, column: int, sentence: str, fields: Sequence[str], *, counts: bool = False
) -> Question:
    """What a column is that is not read.

    Parameters
    ----------
    fields : those that it may be
    counts : whether it may count the cables of a pull, which no column does
    """
    where = CellRef(table.sheet.name, table.heading_row, column)
    taken = any(use.column == column for use in table.understood.columns.values())
    may_be = [(_answer(field), _read_as(table, column, field)) for field in fields]
    rest = (NOTHING, f"{_named(table, column)} {'counts nothing' if taken else 'stays unread'}")
    known = [untried(answer, f"a layout says that {then}") for answer, then in may_be if taken]
    pairs = [*([] if taken else may_be), rest]
    cables = [untried("the number of cables", "each cable is to be given a row of its own")] if counts else []
    return asked("column", _names(table, column), sentence, [*known, *choices(*pairs), *cables], where)


def length_question(table: FoundTable, other: Settled) -> Question:
    """Which of two columns is the length of a pull."""
    use = table.understood.columns["length_m"]
    columns = (use.column, other.column)
    pairs = _length_pairs(table, columns)
    names = (table.kind.value, *sorted(table.headers.get(c, "") for c in columns))
    where = CellRef(table.sheet.name, table.heading_row, other.column)
    sentence = f"{_place(table, columns[0])} and {_place(table, columns[1])} may both be the length of a pull: which is it?"
    return asked("length", names, sentence, choices(*pairs), where)


def one_length_question(table: FoundTable, columns: Sequence[int]) -> Question:
    """Which of several columns of numbers is the length of a pull, where nothing names one."""
    may_be = choices(*_length_pairs(table, columns))
    none = choices((NOTHING, "no column is read as the length of a pull"))
    where = CellRef(table.sheet.name, table.heading_row, columns[0])
    sentence = f"no column of {table.sheet.name!r} is known as the length of a pull: which one holds it?"
    return asked(
        "one-length",
        (table.kind.value, table.sheet.name),
        sentence,
        (*may_be[: MOST_CHOICES - 1], *none),
        where,
    )


def _length_pairs(table: FoundTable, columns: Sequence[int]) -> list[tuple[str, str]]:
    """Each column as the length; of two of which one is filled in part that one, the other where it is blank."""
    pairs = [(_place(table, c), f"{_place(table, c)} is read as the length of a pull") for c in columns]
    if len(columns) != 2:
        return pairs
    filled = {c: _filled_rows(table, c) for c in columns}
    part, whole = sorted(columns, key=lambda c: len(filled[c]))
    if not filled[part] < filled[whole]:
        return pairs
    both = _either(table, part, whole)
    return [
        (both, f"{_place(table, part)} is read as the length, {_place(table, whole)} where it is blank"),
        *pairs,
    ]


def _filled_rows(table: FoundTable, column: int) -> frozenset[int]:
    rows = range(table.first_row, table.last_row + 1)
    return frozenset(row for row in rows if not is_blank(table.sheet.value(row, column)))


def _either(table: FoundTable, part: int, whole: int) -> str:
    return f"{_place(table, part)}, where it is blank {_place(table, whole)}"


def _length_answered(table: FoundTable, answer: str | None, columns: Sequence[int]) -> Iterator["Answered"]:
    """What an answer says of the length: one column, or one in place of the blanks of another."""
    for column in columns:
        if answer == _place(table, column):
            yield Answered(column, "length_m", answer)
        for other in columns:
            if other != column and answer == _either(table, column, other):
                yield Answered(column, "length_m", answer, instead=other)


@dataclass(frozen=True, slots=True)
class Answered:
    """A column that an answer gives a field."""

    column: int
    field: str
    answer: str
    instead: int | None = None  # the column whose values count where this one is blank


def as_answered(table: FoundTable, answers: Answers) -> tuple[FoundTable, list[Remark]]:
    """The table with its columns read as answers say, and a note on each."""
    understood, said = table.understood, []
    for one in _answered(table, answers):
        understood = _as(table, understood, one)
        where = CellRef(table.sheet.name, table.heading_row, one.column)
        message = f"{_read_as(table, one.column, one.field)}. Answered: {one.answer}"
        said.append(reading(table.headers.get(one.column, ""), message, where))
    return replace(table, understood=understood) if said else table, said


def _answered(table: FoundTable, answers: Answers) -> Iterator[Answered]:
    """The columns that answers give a field."""
    use = table.understood.columns.get("length_m")
    for other in table.understood.settled:
        if other.ask and other.row is None and use is not None:
            answer = chosen(length_question(table, other), answers)
            own = _length_answered(table, answer, (use.column, other.column))
            yield from (one for one in own if one.column != use.column or one.instead is not None)
    if use is None:
        answer = answers.get(one_length_question(table, (table.first_column,)).id)
        yield from _length_answered(table, answer, list(_open_columns(table)))
    for column in _open_columns(table):
        answer = answers.get(column_question(table, column, "", ()).id)
        yield from (Answered(column, field, answer) for field in _MAY_BE if answer == _answer(field))


def _as(table: FoundTable, understood: Understood, one: Answered) -> Understood:
    """The understanding with one more column; the one that had its field is left unread and not asked of."""
    header = table.headers.get(one.column, "")
    unit = heading(header).unit if header else None
    unit = unit if unit in UNITS_OF_FIELD.get(one.field, ()) else None
    before = understood.columns.get(one.field)
    about = {one.column, one.instead}
    settled = [each for each in understood.settled if each.column not in about and each.row is None]
    if one.instead is not None:
        settled.append(Settled(one.instead, "", instead=True))
    elif before:
        settled.append(Settled(before.column, ""))
    use = ColumnUse(one.field, one.column, header, unit, None, BY_ANSWER)
    columns: Mapping[str, ColumnUse] = {**understood.columns, one.field: use}
    return replace(understood, columns=columns, settled=tuple(settled))


def _open_columns(table: FoundTable) -> Iterator[int]:
    taken = {use.column for use in table.understood.columns.values()}
    taken |= {one.column for one in table.understood.settled}
    yield from (c for c in range(table.first_column, table.last_column + 1) if c not in taken)


def _answer(field: str) -> str:
    return f"the {word_of(field)}"


def _read_as(table: FoundTable, column: int, field: str) -> str:
    before = table.understood.columns.get(field)
    instead = f" in place of {_place(table, before.column)}" if before else ""
    return f"{_named(table, column)} is read as the {word_of(field)}{instead}"


def _names(table: FoundTable, column: int) -> tuple[str, ...]:
    """A heading names a column on all sheets; one without a heading of its own is named by its sheet and letter."""
    header = table.headers.get(column, "")
    if header and list(table.headers.values()).count(header) == 1:
        return table.kind.value, header
    return table.kind.value, header, table.sheet.name, letters_of(column)


def _named(table: FoundTable, column: int) -> str:
    header = table.headers.get(column, "")
    return repr(header) if header else f"column {letters_of(column)}"


def _place(table: FoundTable, column: int) -> str:
    header = table.headers.get(column, "")
    return f"{header!r} in column {letters_of(column)}" if header else f"column {letters_of(column)}"


def letters_of(column: int) -> str:
    return CellRef("", 1, column).a1[:-1]
